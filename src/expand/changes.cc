// changes/*.yaml: the declared differences, one item a step. A step on a component that several places hold stands once
// a place.
#include <algorithm>
#include <tuple>

#include "expand/expander.h"

namespace loomproof {

namespace {

struct KindKey {
  std::string_view key;
  ChangeKind kind;
};
constexpr KindKey kind_keys[] = {{"moved", ChangeKind::moved},         {"swapped", ChangeKind::swapped},
                                 {"replugged", ChangeKind::replugged}, {"added", ChangeKind::added},
                                 {"removed", ChangeKind::removed},     {"recoloured", ChangeKind::recoloured},
                                 {"resized", ChangeKind::resized},     {"rehoused", ChangeKind::rehoused},
                                 {"respliced", ChangeKind::respliced}, {"re-roled", ChangeKind::re_roled},
                                 {"re-rated", ChangeKind::re_rated},   {"relocated", ChangeKind::relocated},
                                 {"replaced", ChangeKind::replaced},   {"inside-changed", ChangeKind::inside_changed},
                                 {"now-known", ChangeKind::now_known}, {"no-longer-known", ChangeKind::no_longer_known},
                                 {"restated", ChangeKind::restated}};

bool is_of_place(ChangeKind kind) {
  return kind == ChangeKind::replaced || kind == ChangeKind::relocated;
}

}  // namespace

// Steps of one part: resolves ends in it and emits items.
class ChangeReader {
 public:
  ChangeReader(Expander& expander, ChangeItem item, yaml::Node row) : e_(expander), item_(item), row_(row) {}
  void emit(yaml::Node body);

 private:
  Index end(yaml::Node node) { return node ? end(node.text(), node.span()) : none; }
  Index end(std::string_view name, Span span);
  Str value(yaml::Node node);
  void colour(yaml::Node node, ChangeItem& item);
  void wire(yaml::Node body, ChangeItem item);
  void push(const ChangeItem& item);
  Expander& e_;
  ChangeItem item_;
  yaml::Node row_;
  std::set<std::string_view> missed_;  // connectors
};

void ChangeReader::push(const ChangeItem& item) {
  e_.f_.change_items.push_back(item);
  e_.s_.change_items.push_back(row_.span());
}

// A wire end in the part; a cavity that exists but that no row ever uses cannot take part in a change.
Index ChangeReader::end(std::string_view name, Span span) {
  if (item_.part == none) return none;
  Expander::PartNames& names = e_.part_names_[item_.part];
  // A connector that is not there is missed once in a step, however many of its cavities are named.
  const std::string_view designator = name.substr(0, name.find('.'));
  if (designator != name && !names.connectors.count(designator) && !missed_.insert(designator).second) return none;
  e_.part_ = item_.part;
  size_t points = e_.f_.points.size();
  Index found = e_.point(name, span);
  if (e_.f_.points.size() > points) {
    e_.f_.points.resize(points);
    e_.s_.points.resize(points);
    std::erase_if(names.cavity_points, [&](const auto& entry) { return entry.second == found; });
    e_.report_->add<Rule::untrue_change>(span, fmt::format("no row ever uses `{}`", name));
    e_.unresolved_ = true;
    found = none;
  }
  e_.part_ = none;
  return found;
}

// Numbers as the tables write them, everything else as it stands.
Str ChangeReader::value(yaml::Node node) {
  std::string_view text = node.text();
  bool number =
      !text.empty() && text.find_first_not_of("0123456789.") == text.npos && text.front() != '.' && text.back() != '.';
  if (!number || node.quoted()) return e_.str(text);
  size_t dots = 0;
  for (char c : text) dots += c == '.';
  return dots > 1 ? e_.str(text) : e_.str(milli(e_.quantity(node)));
}

void ChangeReader::colour(yaml::Node node, ChangeItem& item) {
  if (!node) return;
  std::tie(item.base, item.tracer) = e_.colours(node);
}

void ChangeReader::wire(yaml::Node body, ChangeItem item) {
  item.circuit = e_.circuit(body["circuit"]);
  item.from = end(body["at"] ? body["at"] : body["from"]);
  item.to = end(body["to"]);
  item.mm2 = e_.quantity(body["mm2"]);
  if (body["shade"]) parse_word(body["shade"].text(), item.shade);
  if (body["role"]) parse_word(body["role"].text(), item.role);
  colour(body["colour"], item);
  push(item);
}

void ChangeReader::emit(yaml::Node body) {
  ChangeItem item = item_;
  switch (item.kind) {
    case ChangeKind::swapped: {
      auto circuit = body["circuits"].begin(), at = body["at"].begin();
      item.circuit = e_.circuit(*circuit);
      item.circuit_b = e_.circuit(*++circuit);
      item.from = end(*at);
      item.to = end(*++at);
      return push(item);
    }
    case ChangeKind::replugged:
      for (yaml::Node pair : by_key(body)) {
        item.from = end(pair.key(), pair.key_span());
        item.to = end(pair);
        push(item);
      }
      return;
    case ChangeKind::respliced:
      for (yaml::Node row : body["removed"]) {
        item.step = 0;
        wire(row, item);
      }
      for (yaml::Node row : body["added"]) {
        item.step = 1;
        wire(row, item);
      }
      return;
    case ChangeKind::moved:
    case ChangeKind::added:
    case ChangeKind::removed:
      return wire(body, item);
    default:
      break;
  }
  item.circuit = e_.circuit(body["circuit"]);
  item.was = value(body["was"]);
  item.becomes = value(body["now"]);
  item.of = e_.str(body["of"].text());
  if (item.kind == ChangeKind::inside_changed) item.what = e_.str(body["id"].text());
  yaml::Node thing = body["at"] ? body["at"] : body["what"] ? body["what"] : body["connector"];
  if (thing && item.part != none) {
    auto named = e_.part_names_[item.part].connectors.find(thing.text());
    if (named != e_.part_names_[item.part].connectors.end())
      item.connector = named->second;
    else if (item.kind == ChangeKind::rehoused)
      e_.unknown("connector", thing.text(), thing.span(), sorted_names(e_.part_names_[item.part].connectors));
    else
      item.from = end(thing);
  }
  push(item);
}

void Expander::read_change_item(yaml::Node row, Index change, const Scope& scope) {
  const KindKey* kind = nullptr;
  yaml::Node body;
  for (const KindKey& known : kind_keys)
    if (yaml::Node found = row[known.key]) {
      report_->judged(Rule::bad_form);
      if (kind) {
        unresolved_ = true;
        report_->add<Rule::bad_form>(found.key_span(), found.key(), "and `" + std::string(kind->key) + "` in one step")
            .help("a step says one thing: give each a row of its own");
        return;
      }
      kind = &known;
      body = found;
    }
  yaml::Node target;
  for (std::string_view key : {"loom", "component", "place"})
    if (row[key]) target = row[key];
  if (!kind || !target) {
    unresolved_ = true;
    report_->add<Rule::missing_key>(row.span(), "this step",
                                    kind ? "loom` or `component` or `place" : "moved` or another kind of change");
    return;
  }
  ChangeItem item;
  item.change = change;
  item.kind = kind->kind;
  item.cells = cells(tags(row, scope));
  if (target.key() == "place") {
    item.place = place(target);
    if (item.place == none) return;
    if (!is_of_place(item.kind)) {
      unresolved_ = true;
      report_->add<Rule::wrong_kind>(target.key_span(), target.text(), "place", "loom or component")
          .help("only `replaced` and `relocated` are about a place");
      return;
    }
    if (item.kind == ChangeKind::replaced)
      for (std::string_view key : {"was", "now"}) check_part_name(body[key]);
    ChangeReader(*this, item, row).emit(body);
    return;
  }
  const auto& parts = target.key() == "loom" ? looms_ : components_;
  auto found = parts.find(target.text());
  if (found == parts.end()) {
    std::vector<std::string_view> known;
    for (const auto& entry : parts) known.push_back(entry.first);
    unknown(target.key(), target.text(), target.span(), known);
    return;
  }
  if (item.kind == ChangeKind::replaced) {
    unresolved_ = true;
    report_->add<Rule::wrong_kind>(target.key_span(), target.text(), target.key(), "place")
        .help("`replaced` is about a place");
    return;
  }
  const CellSet tagged = tags(row, scope);
  for (Index part : found->second) {
    item.part = part;
    item.cells = cells(tagged & f_.set(f_.parts[part].cells));  // a step holds where its part does
    item.place = f_.parts[part].place;
    ChangeReader(*this, item, row).emit(body);
  }
}

void Expander::check_part_name(yaml::Node node) {
  if (node.text() == "none" || looms_.count(node.text()) || components_.count(node.text())) return;
  std::vector<std::string_view> known{"none"};
  for (const auto& entry : looms_) known.push_back(entry.first);
  for (const auto& entry : components_) known.push_back(entry.first);
  unknown("part", node.text(), node.span(), known);
}

// The two sides of a changes file: the axis and its two coordinates. Nothing if they do not resolve.
bool Expander::read_between(yaml::Node between, Change& change) {
  auto side = [&](yaml::Node node, uint32_t& axis) -> Index {
    if (yaml::Node era = node["era"]) {
      axis = 0;
      auto found = eras_.find(era.text());
      if (found != eras_.end()) return found->second;
      std::vector<std::string_view> known;
      for (const auto& entry : eras_) known.push_back(entry.first);
      unknown("era", era.text(), era.span(), known);
      return none;
    }
    yaml::Node option = node["option"], value = node["value"];
    if (!option || !value) {
      unresolved_ = true;
      report_->add<Rule::missing_key>(node.span(), "this side", option ? "value" : "era` or `option");
      return none;
    }
    auto found = option_names_.find(option.text());
    if (found == option_names_.end()) {
      std::vector<std::string_view> known;
      for (const auto& entry : option_names_) known.push_back(entry.first);
      unknown("option", option.text(), option.span(), known);
      return none;
    }
    axis = found->second + 1;
    auto known_value = value_names_.find({found->second, value.text()});
    if (known_value != value_names_.end()) return known_value->second - f_.options[found->second].values.first;
    std::vector<std::string_view> known;
    for (const auto& [name, index] : value_names_)
      if (name.first == found->second) known.push_back(name.second);
    unknown("value of option `" + std::string(option.text()) + "`", value.text(), value.span(), known);
    return none;
  };
  auto node = between.begin();
  yaml::Node left = *node, right = *++node;
  uint32_t left_axis = 0, right_axis = 0;
  change.left = side(left, left_axis);
  change.right = side(right, right_axis);
  change.axis = left_axis;
  if (change.left == none || change.right == none) return false;
  report_->judged(Rule::bad_range);
  if (left_axis != right_axis || change.left >= change.right) {
    unresolved_ = true;
    report_
        ->add<Rule::bad_range>(between.span(), left_axis != right_axis
                                                   ? "these are neither two eras nor two values of one option"
                                               : change.left == change.right ? "both sides are the same"
                                                                             : "the later of the two stands first")
        .help("a changes file stands between two eras, or two values of one option, in the order listed");
    return false;
  }
  return true;
}

void Expander::read_changes() {
  struct File {
    Change between;
    const Document* document;
  };
  std::vector<File> files;
  for (const Document* document : files_.changes) {
    Change change;
    if (read_between(document->root()["between"], change)) files.push_back({change, document});
  }
  std::stable_sort(files.begin(), files.end(), [](const File& a, const File& b) {
    return std::tie(a.between.axis, a.between.left, a.between.right) <
           std::tie(b.between.axis, b.between.left, b.between.right);
  });
  for (const File& file : files) {
    yaml::Node root = file.document->root();
    Scope scope{axis_cells_[file.between.axis][file.between.left], root["source"], {}};
    std::vector<yaml::Node> all(root["changes"].begin(), root["changes"].end());
    std::stable_sort(all.begin(), all.end(),
                     [](yaml::Node a, yaml::Node b) { return a["because"].text() < b["because"].text(); });
    for (yaml::Node row : all) {
      Index index = static_cast<Index>(f_.changes.size());
      Change change = file.between;
      change.because = str(row["because"].text());
      change.cite = cite(row, scope);
      change.items.first = static_cast<Index>(f_.change_items.size());
      f_.changes.push_back(change);
      s_.changes.push_back(row["because"].span());
      for (yaml::Node item : by_content(row["changed"])) read_change_item(item, index, scope);
      f_.changes[index].items.count = static_cast<Index>(f_.change_items.size()) - change.items.first;
    }
  }
}

}  // namespace loomproof
