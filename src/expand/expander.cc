#include "expand/expander.h"

#include <algorithm>

namespace loomproof {

// Each step needs the names of those before it; the order of tables in the pack follows from it.
Expansion Expander::run() {
  cells({});  // set 0 is the empty set, citation 0 is "none"
  f_.cites.emplace_back();
  yaml::Node root = files_.family->root();
  f_.id = str(root["family"].text());
  f_.title = str(root["title"].text());
  s_.family = root["family"].span();
  read_vocabulary();
  read_joins();
  if (!read_axes(root)) return std::move(out_);
  read_builds(root);
  f_.cite = cite(root, {{}, root["source"], {}});
  read_places(root);
  read_plugs(root);
  read_circuits(files_.circuits->root());
  make_room();
  const bool unique = read_parts();
  link_mates();
  if (unique) {
    check_plugs();
    read_changes();
    read_combinations();
  }
  report_unsourced();
  report_unused_circuits();
  sort_sources();
  out_.resolved = !unresolved_;
  return std::move(out_);
}

// For the two largest tables, so that they do not move as they grow.
void Expander::make_room() {
  size_t wires = 0, pins = 0;
  for (const Document* loom : files_.looms) wires += loom->root()["wires"].size();
  for (const Document* component : files_.components) {
    size_t each = 0;
    for (yaml::Node connector : component->root()["connectors"])
      for (yaml::Node row : one_or_many(connector)) each += row["pins"].size();
    pins += each * one_or_many(component->root()["place"]).size();
  }
  f_.wires.reserve(wires);
  s_.wires.reserve(wires);
  f_.pins.reserve(pins);
  s_.pins.reserve(pins);
}

// Of two parts of one id only the first is read. False then: what is said elsewhere may be meant for the other.
bool Expander::read_parts() {
  bool unique = true;
  for (const auto* documents : {&files_.looms, &files_.components}) {
    std::map<std::string_view, yaml::Node> first;
    for (const Document* document : *documents) {
      report_->judged(Rule::duplicate_id);
      yaml::Node id = document->root()[word(document->kind)];
      auto [known, fresh] = first.try_emplace(id.text(), id);
      if (fresh) {
        document->kind == FileKind::loom ? read_loom(*document) : read_component(*document);
        continue;
      }
      unresolved_ = true;
      unique = false;
      report_->add<Rule::duplicate_id>(id.span(), word(document->kind), id.text())
          .label(known->second.span(), "declared first here");
    }
  }
  return unique;
}

void Expander::report_unused_circuits() {
  for (size_t i = 0; i < f_.circuits.size(); ++i) {
    report_->judged(Rule::unused);
    if (!circuit_used_[i] && !unresolved_)
      report_->add<Rule::unused>(s_.circuits[i], "circuit", f_.text(f_.circuits[i].id));
  }
}

// Sources were met in the order of the rows that cite them; readers want them by id.
void Expander::sort_sources() {
  std::vector<Index> order(f_.sources.size());
  for (Index i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(),
            [&](Index a, Index b) { return f_.text(f_.sources[a].id) < f_.text(f_.sources[b].id); });
  std::vector<Index> new_index(order.size());
  std::vector<Source> sources;
  std::vector<Span> spans;
  for (Index i = 0; i < order.size(); ++i) {
    new_index[order[i]] = i;
    sources.push_back(f_.sources[order[i]]);
    spans.push_back(s_.sources[order[i]]);
  }
  f_.sources = std::move(sources);
  s_.sources = std::move(spans);
  for (Index& ref : f_.source_refs) ref = new_index[ref];
}

Expansion expand_family(const Corpus& corpus, const FamilyFiles& files, const SharedNames& shared, Report& report) {
  return Expander(corpus, files, shared, report).run();
}

}  // namespace loomproof
