// Interning, references, tags and citations.
#include <algorithm>

#include "diag/suggest.h"
#include "expand/expander.h"

namespace loomproof {

namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

std::string_view digits_at(std::string_view text, size_t at) {
  size_t end = at;
  while (end < text.size() && is_digit(text[end])) ++end;
  return text.substr(at, end - at);
}

std::string_view without_zeros(std::string_view digits) {
  size_t first = std::min(digits.find_first_not_of('0'), digits.size());
  return digits.substr(first);
}

template <typename Map>
std::vector<std::string_view> keys(const Map& map) {
  std::vector<std::string_view> names;
  for (const auto& entry : map) names.push_back(entry.first);
  return names;
}

template <typename Map>
Index find_or_none(const Map& map, std::string_view name) {
  auto found = map.find(name);
  return found == map.end() ? none : found->second;
}

}  // namespace

std::vector<std::string_view> sorted_names(const NameIndex& names) {
  std::vector<std::string_view> sorted = keys(names);
  std::sort(sorted.begin(), sorted.end());
  return sorted;
}

bool natural_less(std::string_view a, std::string_view b) {
  size_t i = 0, j = 0;
  while (i < a.size() && j < b.size()) {
    if (is_digit(a[i]) && is_digit(b[j])) {
      std::string_view left = digits_at(a, i), right = digits_at(b, j);
      i += left.size();
      j += right.size();
      left = without_zeros(left);
      right = without_zeros(right);
      if (left.size() != right.size()) return left.size() < right.size();
      if (left != right) return left < right;
    } else {
      if (a[i] != b[j]) return a[i] < b[j];
      ++i, ++j;
    }
  }
  if ((i < a.size()) != (j < b.size())) return j < b.size();
  return a < b;  // only leading zeros differ
}

std::vector<yaml::Node> by_key(yaml::Node map) {
  std::vector<yaml::Node> entries(map.begin(), map.end());
  if (map.is_map())
    std::sort(entries.begin(), entries.end(),
              [](yaml::Node a, yaml::Node b) { return natural_less(a.key(), b.key()); });
  return entries;
}

namespace {

// What a node says, whatever the order of its keys and its layout.
void append_content(yaml::Node node, std::string& out) {
  out += node.text();
  for (yaml::Node child : by_key(node)) {
    out += '\n';
    out += child.key();
    out += ' ';
    append_content(child, out);
  }
  out += '\r';  // stands in no text: the longer of two that begin alike comes last
}

}  // namespace

std::vector<yaml::Node> by_content(yaml::Node list) {
  std::vector<std::pair<std::string, yaml::Node>> rows;
  for (yaml::Node row : list) append_content(row, rows.emplace_back(std::string(), row).first);
  std::stable_sort(rows.begin(), rows.end(),
                   [](const auto& a, const auto& b) { return natural_less(a.first, b.first); });
  std::vector<yaml::Node> sorted;
  for (const auto& [content, row] : rows) sorted.push_back(row);
  return sorted;
}

std::vector<yaml::Node> one_or_many(yaml::Node node) {
  if (!node) return {};
  if (node.is_sequence()) return by_content(node);
  return {node};
}

Span span_of_row(yaml::Node node) {
  Span key = node.key_span(), value = node.span();
  return {value.file, std::min(key.begin, value.begin), std::max(key.end, value.end)};
}

Span span_of_piece(Span whole, std::string_view text, size_t at, size_t count) {
  const size_t more = whole.end - whole.begin - text.size();  // 2: a quote on either side
  if (more != 0 && more != 2) return whole;
  const uint32_t begin = whole.begin + static_cast<uint32_t>(more / 2 + at);
  return {whole.file, begin, begin + static_cast<uint32_t>(std::min(count, text.size() - at))};
}

Str Expander::str(std::string_view text) {
  if (text.empty()) return 0;
  if (const auto known = strings_.find(text); known != strings_.end()) return known->second;
  const Str index = static_cast<Str>(f_.strings.size());
  f_.strings.emplace_back(text);
  strings_.emplace(text, index);
  return index;
}

Cells Expander::cells(const CellSet& set) {
  auto [entry, fresh] = cell_sets_.try_emplace(set, static_cast<Cells>(f_.cell_sets.size()));
  if (fresh) f_.cell_sets.push_back(set);
  return entry->second;
}

void Expander::unknown(std::string_view kind, std::string_view name, Span span,
                       const std::vector<std::string_view>& known, const std::string& help) {
  unresolved_ = true;
  auto finding = report_->add<Rule::unknown_name>(span, kind, name);
  if (std::string_view near = nearest(name, known); !near.empty())
    finding.fix(span, std::string(near), span.end - span.begin == name.size() && surely_named(name, known) == near);
  if (!help.empty()) finding.help(help);
}

// --- citations ----------------------------------------------------------------------------------

CiteId Expander::cite_of(yaml::Node node, bool own) {
  bool independent = node["independent"].text() == "true";
  std::vector<Index> ids;
  for (yaml::Node id : one_or_many(node.is_map() ? node["of"] : node)) {
    Index index = source(id.text(), id.span());
    if (index != none) ids.push_back(index);
  }
  std::sort(ids.begin(), ids.end(),
            [&](Index a, Index b) { return f_.text(f_.sources[a].id) < f_.text(f_.sources[b].id); });
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  auto [entry, fresh] = cites_.try_emplace({ids, {own, independent}}, static_cast<CiteId>(f_.cites.size()));
  if (fresh) {
    Range range{static_cast<Index>(f_.source_refs.size()), static_cast<Index>(ids.size())};
    f_.source_refs.insert(f_.source_refs.end(), ids.begin(), ids.end());
    f_.cites.push_back({range, own, independent});
  }
  return entry->second;
}

// Nearly every row inherits, and from the same place as the row before it. Each still counts as one that names a
// source.
CiteId Expander::inherited_cite(yaml::Node source) {
  if (source == inherited_.source) {
    report_->judged(Rule::unknown_name, inherited_.names);
    return inherited_.cite;
  }
  const uint64_t before = report_->judged_count(Rule::unknown_name);
  inherited_.cite = cite_of(source, false);
  inherited_.source = source;
  inherited_.names = report_->judged_count(Rule::unknown_name) - before;
  return inherited_.cite;
}

CiteId Expander::cite(yaml::Node row, const Scope& scope) {
  report_->judged(Rule::no_source);
  if (yaml::Node own = row.is_map() ? row["source"] : yaml::Node()) return cite_of(own, true);
  if (scope.source) return inherited_cite(scope.source);
  Unsourced& file = unsourced_[row.span().file];
  if (file.rows.empty()) {
    const bool is_part = !row.has_key() && scope.owner.size() > 0 && row["connectors"];
    file.first = row.has_key() ? row.key_span() : is_part ? row.opening() : row.span();
    file.owner = scope.owner.empty() ? "this row" : (is_part ? "" : "this row of ") + std::string(scope.owner);
  }
  file.rows.insert(row.span().begin);
  return 0;
}

// A file that lacks its `source:` lacks it once.
void Expander::report_unsourced() {
  for (const auto& [id, file] : unsourced_) {
    auto finding = report_->add<Rule::no_source>(file.first, file.owner);
    if (file.rows.size() > 1)
      finding.help(fmt::format("neither ha{} {} further row{} of this file", file.rows.size() == 2 ? "s" : "ve",
                               file.rows.size() - 1, file.rows.size() == 2 ? "" : "s"));
    finding.help("give the file a `source:`, or the row one of its own");
  }
}

// --- tags ---------------------------------------------------------------------------------------

// A coordinate that is named in so many words has to exist where the row's part does.
void Expander::check_coordinate(const CellSet& set, yaml::Node node, const Scope& scope) {
  report_->judged(Rule::outside_part);
  if (!f_.builds.empty() && !(set & scope.cells).meets(f_.set(f_.built)) && !scope.owner.empty())
    report_->add<Rule::outside_part>(node.span(), scope.owner);
}

CellSet Expander::era_range(yaml::Node node, const Scope& scope) {
  std::string_view text = node.text();
  size_t dots = text.find("..");
  auto index_of = [&](std::string_view id, Index open) {
    if (id.empty()) return open;
    Index era = find_or_none(eras_, id);
    const size_t at = static_cast<size_t>(id.data() - text.data());
    if (era == none)
      unknown("era", id, span_of_piece(node.span(), text, at, id.size()), keys(eras_));
    else
      check_coordinate(axis_cells_[0][era], node, scope);
    return era;
  };
  Index last = static_cast<Index>(f_.eras.size()) - 1;
  Index from = index_of(dots == text.npos ? text : text.substr(0, dots), 0);
  if (from == none) return {};
  Index to = dots == text.npos ? from : index_of(text.substr(dots + 2), last);
  if (to == none) return {};
  report_->judged(Rule::bad_range);
  if (from > to) {
    unresolved_ = true;
    report_->add<Rule::bad_range>(node.span(), "this range of eras runs backward")
        .help("eras stand in the order in which the family lists them");
  }
  CellSet set;
  for (Index era = from; era <= to; ++era) set |= axis_cells_[0][era];
  return set;
}

CellSet Expander::options(yaml::Node node, const Scope& scope) {
  CellSet all = CellSet::first(f_.cell_count());
  for (yaml::Node entry : node) {
    Index option = find_or_none(option_names_, entry.key());
    if (option == none) {
      unknown("option", entry.key(), entry.key_span(), keys(option_names_));
      continue;
    }
    CellSet any;
    for (yaml::Node value : one_or_many(entry)) {
      auto found = value_names_.find({option, value.text()});
      if (found == value_names_.end()) {
        std::vector<std::string_view> known;
        for (const auto& [name, index] : value_names_)
          if (name.first == option) known.push_back(name.second);
        unknown("value of option `" + std::string(entry.key()) + "`", value.text(), value.span(), known);
        continue;
      }
      const CellSet& cells = axis_cells_[option + 1][found->second - f_.options[option].values.first];
      check_coordinate(cells, value, scope);
      any |= cells;
    }
    all &= any;
  }
  return all;
}

CellSet Expander::tags(yaml::Node row, const Scope& scope) {
  CellSet set = scope.cells;
  if (!row.is_map()) return set;
  yaml::Node eras = row["eras"], with = row["with"];
  if (!eras && !with) return set;
  size_t said = report_->findings().size();
  if (eras) {
    CellSet any;
    for (yaml::Node range : one_or_many(eras)) any |= era_range(range, scope);
    set &= any;
  }
  if (with) set &= options(with, scope);
  if (!scope.owner.empty() && report_->findings().size() == said && !set.meets(f_.set(f_.built)))
    report_->add<Rule::outside_part>((eras ? eras : with).span(), scope.owner)
        .help("each of these tags holds somewhere, but no built vehicle has them all");
  return set;
}

// --- values -------------------------------------------------------------------------------------

// Decimal text to thousandths, exactly; the schema has checked that it is a number.
Quantity Expander::quantity(yaml::Node node) {
  if (!node) return not_given;
  std::string_view text = node.text();
  bool negative = !text.empty() && text[0] == '-';
  if (negative) text.remove_prefix(1);
  int64_t value = 0;
  int decimals = -1;
  bool inexact = false;
  for (char c : text) {
    if (c == '.') {
      decimals = 0;
    } else if (!is_digit(c)) {
      inexact = true;  // 1e3 and the like
    } else if (decimals < 3) {
      value = value * 10 + (c - '0');
      if (decimals >= 0) ++decimals;
    } else if (c != '0') {
      inexact = true;
    }
    if (value > 2'000'000'000) inexact = true, value = 0;
  }
  for (int i = std::max(decimals, 0); i < 3; ++i) value *= 10;
  if (inexact || value > 2'000'000'000) {
    unresolved_ = true;
    report_->add<Rule::bad_form>(node.span(), node.text(),
                                 "is no decimal number of at most three decimals below two million");
    return not_given;
  }
  return static_cast<Quantity>(negative ? -value : value);
}

Quantity Expander::volts(yaml::Node node) {
  if (node && node.text() == "system") return system_volts;
  return quantity(node);
}

Quantity Expander::month(std::string_view text) {  // "1998-02"
  if (text.size() != 7) return not_given;
  Quantity year = 0;
  for (char c : text.substr(0, 4)) year = year * 10 + (c - '0');
  return year * 12 + (text[5] - '0') * 10 + (text[6] - '0') - 1;
}

// --- references ---------------------------------------------------------------------------------

Index Expander::circuit(yaml::Node node) {
  if (!node) return none;
  report_->judged(Rule::unknown_name);
  Index index = find_or_none(circuits_, node.text());
  if (index == none)
    unknown("circuit", node.text(), node.span(), sorted_names(circuits_));
  else
    circuit_used_[index] = true;
  return index;
}

Index Expander::place(yaml::Node node) {
  report_->judged(Rule::unknown_name);
  Index index = find_or_none(places_, node.text());
  if (index == none) unknown("place", node.text(), node.span(), sorted_names(places_));
  return index;
}

Index Expander::connector(std::string_view designator) const {
  return find_or_none(names().connectors, designator);
}

bool Expander::has_cavity(Index connector, std::string_view number) const {
  for (const ConnectorRow& row : rows(f_.connector_rows, f_.connectors[connector].rows)) {
    if (row.housing == none) return true;  // already reported
    for (const HousingCavity& cavity : rows(f_.housing_cavities, f_.housings[row.housing].cavities))
      if (f_.text(cavity.number) == number) return true;
  }
  return false;
}

Index Expander::cavity_point(Index connector, std::string_view number, Span span) {
  auto found = names().cavity_points.find({connector, number});
  if (found != names().cavity_points.end()) return found->second;
  if (!has_cavity(connector, number)) {
    if (const auto told = unknown_cavities_.find(connector); told != unknown_cavities_.end()) {
      another_unknown_cavity(connector, number, span, told->second);
      return none;
    }
    unknown_cavities_[connector] = {report_->findings().size(), std::string(number)};
    std::vector<std::string_view> known;
    for (const ConnectorRow& row : rows(f_.connector_rows, f_.connectors[connector].rows))
      for (const HousingCavity& cavity : rows(f_.housing_cavities, f_.housings[row.housing].cavities))
        known.push_back(f_.text(cavity.number));
    unknown("cavity of " + std::string(f_.text(f_.connectors[connector].designator)), number, span, known);
    return none;
  }
  Index point = static_cast<Index>(f_.points.size());
  f_.points.push_back({part_, PointKind::cavity, connector, str(number)});
  s_.points.push_back(span);
  names().cavity_points[{connector, number}] = point;
  return point;
}

// Two numbers that a connector has not are more likely one wrong housing than two slips: one finding.
void Expander::another_unknown_cavity(Index connector, std::string_view number, Span span, UnknownCavity& told) {
  constexpr size_t most = 8;  // labels
  Finding& finding = report_->findings()[told.finding];
  if (finding.related.empty() && number != told.number)
    for (Index row = f_.connectors[connector].rows.first; row < f_.connectors[connector].rows.end(); ++row)
      finding.related.push_back({s_.connector_rows[row].housing, "its housing"});
  if (finding.related.size() < most)
    finding.related.push_back({span, number == told.number ? "here as well" : "nor has it this one"});
  else if (++told.more == 1)
    finding.help.push_back("other rows name cavities that it has not, too");
}

Index Expander::joint_point(std::string_view name, PointKind kind) {
  auto [entry, fresh] = names().joints.try_emplace(name, static_cast<Index>(f_.points.size()));
  if (fresh) {
    f_.points.push_back({part_, kind, none, str(name)});
    s_.points.push_back({});
  }
  return entry->second;
}

Index Expander::point(std::string_view name, Span span) {
  report_->judged(Rule::unknown_name);
  report_->judged(Rule::wrong_kind);
  size_t dot = name.find('.');
  if (dot == name.npos) {
    Index joint = find_or_none(names().joints, name);
    if (joint != none) return joint;
    std::vector<std::string_view> known = sorted_names(names().joints);
    for (std::string_view designator : sorted_names(names().connectors)) known.push_back(designator);
    if (connector(name) != none) {
      unresolved_ = true;
      report_->add<Rule::wrong_kind>(span, name, "connector", "cavity, splice, earth or lead")
          .help("name the cavity: `" + std::string(name) + ".1`");
    } else {
      unknown("splice, earth or lead", name, span, known);
    }
    return none;
  }
  Index index = connector(name.substr(0, dot));
  if (index == none) {
    unknown("connector", name.substr(0, dot), span_of_piece(span, name, 0, dot), sorted_names(names().connectors));
    return none;
  }
  return cavity_point(index, name.substr(dot + 1), span_of_piece(span, name, dot + 1));
}

void Expander::allow(yaml::Node row, Span scope) {
  if (!row.is_map()) return;
  for (yaml::Node entry : row["allow"]) {
    yaml::Node rule = entry["rule"];
    const Rule* known = find_rule(rule.text());
    if (!known) {
      std::vector<std::string_view> ids;
      for (const RuleInfo& info : all_rules()) ids.push_back(info.id);
      unknown("rule", rule.text(), rule.span(), ids);
      continue;
    }
    s_.allows.push_back({rule.text(), entry["because"].text(), scope, rule.span()});
    f_.allowances.push_back(
        {str(rule.text()), str(entry["because"].text()), part_, none, cells(CellSet::first(f_.cell_count())), 0});
  }
}

}  // namespace loomproof
