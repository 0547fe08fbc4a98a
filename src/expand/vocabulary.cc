// The shared files: sources, colours, terminals, functions, conductors, fuses, cautions.
#include <algorithm>

#include "diag/suggest.h"
#include "expand/expander.h"

namespace loomproof {

namespace {

constexpr size_t index_of(FileKind kind) {
  return static_cast<size_t>(kind);
}

void add_names(const Corpus& corpus, FileKind kind, std::string_view key, std::string_view what, SharedNames& shared,
               SharedNames::Names& names, Report& report) {
  for (const Document* document : corpus.of_kind[index_of(kind)]) {
    if (!document->usable) continue;
    if (yaml::Node source = document->root()["source"]) shared.file_source[document->file] = source;
    for (yaml::Node entry : document->root()[key]) {
      report.judged(Rule::duplicate_id);
      auto [known, fresh] = names.try_emplace(entry.key(), entry);
      if (!fresh)
        report.add<Rule::duplicate_id>(entry.key_span(), what, entry.key())
            .label(known->second.key_span(), "declared first here");
    }
  }
}

// Every source that a shared file names, wherever in it: vocabulary counts as cited whether or not a family uses it.
void add_citations(yaml::Node node, SharedNames& shared, Report& report) {
  for (yaml::Node child : node) {
    bool cites = node.is_map() && (child.key() == "source" || child.key() == "current-source");
    if (!cites) {
      add_citations(child, shared, report);
      continue;
    }
    for (yaml::Node id : one_or_many(child.is_map() ? child["of"] : child)) {
      shared.cited.insert(id.text());
      if (shared.sources.count(id.text())) continue;
      std::vector<std::string_view> names;
      for (const auto& entry : shared.sources) names.push_back(entry.first);
      auto finding = report.add<Rule::unknown_name>(id.span(), "source", id.text());
      if (std::string_view near = nearest(id.text(), names); !near.empty()) finding.fix(id.span(), std::string(near));
    }
  }
}

}  // namespace

std::shared_ptr<const SharedNames> read_shared_names(const Corpus& corpus, Report& report) {
  auto shared = std::make_shared<SharedNames>();
  add_names(corpus, FileKind::sources, "sources", "source", *shared, shared->sources, report);
  add_names(corpus, FileKind::housings, "housings", "housing", *shared, shared->housings, report);
  add_names(corpus, FileKind::colours, "colours", "colour", *shared, shared->colours, report);
  add_names(corpus, FileKind::terminals, "terminals", "terminal", *shared, shared->terminals, report);
  add_names(corpus, FileKind::functions, "functions", "function", *shared, shared->functions, report);
  for (const Document* document : corpus.of_kind[index_of(FileKind::conductors)]) {
    if (!document->usable) continue;
    shared->conductors_root = document->root();
    for (yaml::Node row : document->root()["conductors"]) shared->conductors.push_back(row);
  }
  for (const Document* document : corpus.of_kind[index_of(FileKind::fuses)])
    if (document->usable) shared->fuses_root = document->root();
  for (const Document* document : corpus.of_kind[index_of(FileKind::joins)]) {
    if (!document->usable) continue;
    if (yaml::Node source = document->root()["source"]) shared->file_source[document->file] = source;
    shared->joins = read_join_rows(document->root(), report);
  }
  for (const Document* document : corpus.of_kind[index_of(FileKind::cautions)]) {
    if (!document->usable) continue;
    shared->cautions_root = document->root();
    for (yaml::Node row : document->root()["cautions"]) shared->cautions.push_back(row);
  }
  const auto& sources = corpus.of_kind[index_of(FileKind::sources)];
  const bool sources_known =
      std::all_of(sources.begin(), sources.end(), [](const Document* file) { return file->usable; });
  for (const Document& document : corpus.documents)
    if (sources_known && is_shared(document.kind) && document.kind != FileKind::sources && document.usable)
      add_citations(document.root(), *shared, report);
  for (const auto& [id, source] : shared->sources) {
    report.judged(Rule::standard_without_edition);
    if (source["kind"].text() != "standard") continue;
    for (std::string_view key : {"number", "edition"})
      if (!source[key]) report.add<Rule::standard_without_edition>(source.key_span(), id, key);
  }
  return shared;
}

Index Expander::source(std::string_view id, Span place) {
  report_->judged(Rule::unknown_name);
  out_.used.sources.emplace(id);
  auto known = sources_.find(id);
  if (known != sources_.end()) return known->second;
  auto found = shared_.sources.find(id);
  if (found == shared_.sources.end()) {
    std::vector<std::string_view> names;
    for (const auto& entry : shared_.sources) names.push_back(entry.first);
    unknown("source", id, place, names);
    return none;
  }
  yaml::Node row = found->second;
  Source source;
  source.id = str(id);
  source.title = str(row["title"].text());
  source.kind = word_of<SourceKind>(row["kind"]);
  source.number = str(row["number"].text());
  source.edition = str(row["edition"].text());
  source.section = str(row["section"].text());
  source.checked = str(row["checked"].text());
  source.by = str(row["by"].text());
  source.on = str(row["on"].text());
  source.with = str(row["meter"].text());
  source.sha256 = str(row["sha256"].text());
  Index index = static_cast<Index>(f_.sources.size());
  sources_[id] = index;
  f_.sources.push_back(source);
  s_.sources.push_back(row.key_span());
  return index;
}

namespace {

uint32_t read_known(yaml::Node known, uint32_t single, uint32_t memory) {
  return known.text() == "single" ? single : known.text() == "memory" ? memory : 0;
}

}  // namespace

void Expander::read_vocabulary() {
  auto scope_of = [&](yaml::Node row) {
    auto source = shared_.file_source.find(row.span().file);
    return Scope{{}, source == shared_.file_source.end() ? yaml::Node() : source->second, {}};
  };
  std::vector<yaml::Node> colours;
  for (const auto& entry : shared_.colours) colours.push_back(entry.second);
  auto order = [](yaml::Node row) { return std::stol(std::string(row["order"].text())); };
  std::stable_sort(colours.begin(), colours.end(), [&](yaml::Node a, yaml::Node b) { return order(a) < order(b); });
  for (yaml::Node row : colours) {
    colours_[row.key()] = static_cast<Index>(f_.colours.size());
    f_.colours.push_back(
        {str(row.key()), str(row["name"].text()), static_cast<uint32_t>(order(row)), cite(row, scope_of(row))});
  }
  Scope conductor_scope{{}, shared_.conductors_root ? shared_.conductors_root["source"] : yaml::Node(), {}};
  const yaml::Node current = shared_.conductors_root ? shared_.conductors_root["current-source"] : yaml::Node();
  const CiteId current_cite = current ? cite_of(current, false) : 0;
  for (yaml::Node row : shared_.conductors) {
    Conductor conductor{quantity(row["mm2"]), quantity(row["mohm-per-m"]), quantity(row["amps"])};
    conductor.marks =
        read_known(row["known"], ohm_single, ohm_memory) | read_known(row["amps-known"], amps_single, amps_memory);
    conductor.cite = cite(row, conductor_scope);
    conductor.amps_cite = current_cite;
    f_.conductors.push_back(conductor);
  }
  std::stable_sort(f_.conductors.begin(), f_.conductors.end(),
                   [](const Conductor& a, const Conductor& b) { return a.mm2 < b.mm2; });
  if (shared_.fuses_root) {
    const Scope scope{{}, shared_.fuses_root["source"], {}};
    for (yaml::Node row : shared_.fuses_root["fuses"])
      f_.fuses.push_back({str(row["type"].text()), quantity(row["amps"]), str(row["colour"].text()),
                          read_known(row["known"], colour_single, colour_memory), cite(row, scope)});
    std::stable_sort(f_.fuses.begin(), f_.fuses.end(), [&](const Fuse& a, const Fuse& b) {
      return f_.text(a.type) != f_.text(b.type) ? f_.text(a.type) < f_.text(b.type) : a.amps < b.amps;
    });
  }
  if (shared_.cautions_root) cite_of(shared_.cautions_root["source"], false);
  for (yaml::Node row : shared_.cautions) {
    Range when{static_cast<Index>(f_.string_refs.size()), 0};
    for (yaml::Node word : row["when"]) {
      f_.string_refs.push_back(str(word.text()));
      ++when.count;
    }
    f_.cautions.push_back({str(row.key()), str(row["text"].text()), when});
  }
}

Index Expander::colour(std::string_view code, Span place) {
  auto found = colours_.find(code);
  if (found != colours_.end()) return found->second;
  std::vector<std::string_view> known;
  for (const auto& entry : colours_) known.push_back(entry.first);
  const std::string_view base = code.substr(0, 2), tracer = code.substr(base.size());
  const bool is_pair = colours_.contains(base) && colours_.contains(tracer);
  unknown("colour", code, place, known,
          is_pair ? fmt::format("a tracer stands after a stroke: {}/{}", base, tracer) : "");
  return none;
}

std::pair<Index, Index> Expander::colours(yaml::Node node) {
  const std::string_view text = node.text();
  const size_t stroke = text.find('/');
  const Index base = colour(text.substr(0, stroke), span_of_piece(node.span(), text, 0, stroke));
  if (stroke == text.npos) return {base, none};
  return {base, colour(text.substr(stroke + 1), span_of_piece(node.span(), text, stroke + 1))};
}

Index Expander::terminal(yaml::Node node) {
  if (!node) return none;
  auto known = terminals_.find(node.text());
  if (known != terminals_.end()) return known->second;
  auto found = shared_.terminals.find(node.text());
  if (found == shared_.terminals.end()) {
    std::vector<std::string_view> names;
    for (const auto& entry : shared_.terminals) names.push_back(entry.first);
    unknown("terminal designation", node.text(), node.span(), names);
    return none;
  }
  yaml::Node row = found->second;
  auto source = shared_.file_source.find(row.span().file);
  CiteId cited = cite(row, {{}, source == shared_.file_source.end() ? yaml::Node() : source->second, {}});
  Index index = static_cast<Index>(f_.terminals.size());
  terminals_[node.text()] = index;
  f_.terminals.push_back({str(node.text()), str(row["meaning"].text()),
                          read_known(row["known"], function_single, function_memory), cited});
  return index;
}

Index Expander::function(yaml::Node node) {
  if (!node) return none;
  auto known = functions_.find(node.text());
  if (known != functions_.end()) return known->second;
  auto found = shared_.functions.find(node.text());
  if (found == shared_.functions.end()) {
    std::vector<std::string_view> names;
    for (const auto& entry : shared_.functions) names.push_back(entry.first);
    unknown("function", node.text(), node.span(), names);
    return none;
  }
  yaml::Node row = found->second;
  auto source = shared_.file_source.find(row.span().file);
  CiteId cited = cite(row, {{}, source == shared_.file_source.end() ? yaml::Node() : source->second, {}});
  Index index = static_cast<Index>(f_.functions.size());
  functions_[node.text()] = index;
  f_.functions.push_back({str(node.text()), str(row["meaning"].text()),
                          read_known(row["known"], function_single, function_memory), cited});
  return index;
}

void report_unused_shared(const SharedNames& shared, const std::vector<SharedUse>& used, Report& report) {
  auto report_unused = [&](std::string_view what, const SharedNames::Names& names, auto member) {
    for (const auto& [id, row] : names) {
      report.judged(Rule::unused);
      bool is_used = shared.cited.count(id) > 0;
      for (const SharedUse& use : used) is_used |= (use.*member).count(std::string(id)) > 0;
      if (is_used) continue;
      report.add<Rule::unused>(row.key_span(), what, id);
    }
  };
  report_unused("housing", shared.housings, &SharedUse::housings);
  report_unused("source", shared.sources, &SharedUse::sources);
}

}  // namespace loomproof
