#include "upkeep/insert.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "upkeep/rows.h"
#include "upkeep/tidy.h"

namespace loomproof::upkeep {

namespace {

// Changes of a text by place; those of one place in the order in which they were asked for.
class Edits {
 public:
  explicit Edits(std::string_view text) : text_(text) {}
  void replace(size_t begin, size_t end, std::string by) { edits_.push_back({begin, end, std::move(by)}); }
  // Lines (without their end) behind the line that holds the byte.
  void add_line_behind(size_t at, const std::string& line) {
    const size_t end = line_end(at);
    if (end == text_.size() && !text_.ends_with('\n'))
      replace(end, end, "\n" + line);
    else
      replace(std::min(end + 1, text_.size()), std::min(end + 1, text_.size()), line + "\n");
  }
  void drop_lines(size_t begin, size_t end) {
    replace(line_begin(begin), std::min(line_end(end) + 1, text_.size()), "");
  }

  size_t line_begin(size_t at) const {
    const size_t before = at == 0 ? text_.npos : text_.rfind('\n', at - 1);
    return before == text_.npos ? 0 : before + 1;
  }
  size_t line_end(size_t at) const { return std::min(text_.find('\n', at), text_.size()); }
  size_t indent(size_t at) const { return at - line_begin(at); }

  std::string applied() {
    std::stable_sort(edits_.begin(), edits_.end(), [](const Edit& a, const Edit& b) { return a.begin < b.begin; });
    std::string out;
    size_t at = 0;
    for (const Edit& edit : edits_) {
      if (edit.begin > at) out += text_.substr(at, edit.begin - at);
      out += edit.by;
      at = std::max(at, edit.end);
    }
    return out + std::string(text_.substr(at));
  }

 private:
  struct Edit {
    size_t begin, end;
    std::string by;
  };
  std::string_view text_;
  std::vector<Edit> edits_;
};

struct Unable {
  std::string text;
  Span where;
};

class Inserter {
 public:
  Inserter(std::string_view text, yaml::Node root, const TakenIn& taken)
      : text_(text), root_(root), taken_(taken), edits_(text) {}

  bool run() {
    for (const FilledRow& row : taken_.filled) fill(row);
    for (const std::string& name : taken_.now_known) drop(name);
    for (const NewRow& row : taken_.rows) insert(row);
    finish_new_maps();
    return unable_.text.empty();
  }

  // An entry of a map in the order of its keys.
  void insert_entry(yaml::Node map, const std::string& key, const std::string& text) {
    if (in_brackets(map))
      return fail("these rows stand in brackets; write each on a line of its own first", map.span());
    emptied_.erase(map.key_span().begin);
    if (const yaml::Node there = map[key]; there && !dropped_keys_.contains(there.key_span().begin))
      return insert_beside(there, text);
    yaml::Node before;
    for (const yaml::Node entry : map)
      if (numbers_before(entry.key(), key)) before = entry;
    const yaml::Node first = *map.begin();
    const std::string line = std::string(edits_.indent(first.key_span().begin), ' ') + fmt::format("{}: {}", key, text);
    edits_.add_line_behind(before ? last_byte(before) : map.key_span().begin, line);
  }

  std::string applied() { return tidied(edits_.applied()); }
  const Unable& unable() const { return unable_; }

 private:
  using Where = NewRow::Where;

  void fail(std::string text, Span where) {
    if (unable_.text.empty()) unable_ = {std::move(text), where};
  }

  bool in_brackets(yaml::Node node) const {
    const Span span = node.span();
    return span.end > span.begin && (text_[span.begin] == '{' || text_[span.begin] == '[');
  }
  // The last byte of an entry.
  size_t last_byte(yaml::Node node) const {
    const size_t end = std::max<size_t>(node.span().end, node.key_span().end);
    return end == 0 ? 0 : end - 1;
  }

  // --- rows that lack something ------------------------------------------------------------------------

  void fill(const FilledRow& row) {
    std::string by(text_.substr(row.row.begin, row.row.end - row.row.begin));
    const std::optional<Row> parsed = parse_row("- " + by);
    if (!parsed || !parsed->is_map) return fail("this row is not on one line; fill it in by hand", row.row);
    std::vector<RowCell> cells = parsed->cells;
    for (const auto& [key, value] : row.cells) {
      const auto is =
          std::find_if(cells.begin(), cells.end(), [&, &name = key](const RowCell& cell) { return cell.key == name; });
      if (is != cells.end())
        is->value = value;
      else
        cells.push_back({key, value});
    }
    std::string out;
    for (const RowCell& cell : cells) out += fmt::format("{}{}: {}", out.empty() ? "" : ", ", cell.key, cell.value);
    edits_.replace(row.row.begin, row.row.end, "{" + out + "}");
  }

  // --- cavities that were unknown ----------------------------------------------------------------------

  yaml::Node map_of(Where where, const std::string& connector) {
    if (where == Where::cavities) return root_["cavities"];
    yaml::Node row = root_["connectors"][connector];
    if (row.is_sequence()) {
      fail(fmt::format("{} has several rows here; put its pins in by hand", connector), row.span());
      return {};
    }
    return row[where == Where::pins ? "pins" : "cavities"];
  }

  void drop(const std::string& name) {
    const size_t point = name.find('.');
    const std::string connector = name.substr(0, point), number = name.substr(point + 1);
    const bool is_loom = static_cast<bool>(root_["wires"]);
    const yaml::Node map = map_of(is_loom ? Where::cavities : Where::pin_cavities, connector);
    const yaml::Node row = map[is_loom ? std::string_view(name) : std::string_view(number)];
    if (!row) return;
    if (!row.is_map() || in_brackets(map))
      return fail("take `unknown` out of these rows by hand first", row.key_span());
    edits_.drop_lines(row.key_span().begin, last_byte(row));
    dropped_keys_.insert(row.key_span().begin);
    if (++dropped_[map.key_span().begin] == map.size()) emptied_[map.key_span().begin] = map;
  }

  // --- new rows ----------------------------------------------------------------------------------------

  void insert(const NewRow& row) {
    if (row.where == Where::wires) return insert_wire(row);
    const std::string key = row.where == Where::cavities ? row.connector + "." + row.cavity : row.cavity;
    const yaml::Node map = map_of(row.where, row.connector);
    if (!unable_.text.empty()) return;
    if (map && map.size() == 0 && dropped_keys_.insert(map.key_span().begin).second)  // `pins: {}`
      edits_.drop_lines(map.key_span().begin, last_byte(map));
    if (map.size() == 0) {
      new_maps_[{row.where == Where::cavities ? "" : row.connector, row.where}].push_back(
          fmt::format("{}: {}", key, row.text));
      return;
    }
    insert_entry(map, key, row.text);
  }

  // A cavity that has a row for other cells becomes a list.
  void insert_beside(yaml::Node there, const std::string& text) {
    const size_t indent = edits_.indent(there.key_span().begin) + 2;
    const std::string item = std::string(indent, ' ') + "- ";
    if (there.is_sequence() && !in_brackets(there))
      return edits_.add_line_behind(last_byte(there), std::string(edits_.indent(first_dash(there)), ' ') + "- " + text);
    const Span value = there.span();
    const bool one_line = edits_.line_begin(value.begin) == edits_.line_begin(value.end - 1);
    if (!there.is_map() || !in_brackets(there) || !one_line || split_.contains(value.begin))
      return fail("this cavity has rows that another cannot be put beside; do it by hand", there.key_span());
    split_.insert(value.begin);
    edits_.replace(there.key_span().end + 1, value.begin, "\n" + item);
    edits_.add_line_behind(value.end - 1, item + text);
  }

  size_t first_dash(yaml::Node list) const {
    const yaml::Node first = *list.begin();
    return text_.rfind('-', first.span().begin == 0 ? 0 : first.span().begin - 1);
  }

  static bool begins_at(yaml::Node wire, std::string_view connector) {
    const std::string_view end = wire["from"].text();
    return end.size() > connector.size() && end.starts_with(connector) && end[connector.size()] == '.';
  }

  void insert_wire(const NewRow& row) {
    const yaml::Node wires = root_["wires"];
    if (wires.size() == 0) {
      if (first_wire_) {
        edits_.replace(wires.key_span().end + 1, std::max(wires.key_span().end + 1, wires.span().end), "");
        first_wire_ = false;
      }
      return edits_.add_line_behind(wires.key_span().begin, "  - " + row.text);
    }
    if (in_brackets(wires))
      return fail("the wires stand in brackets; write each on a line of its own first", wires.span());
    yaml::Node behind, last;
    for (const yaml::Node wire : wires) {
      if (begins_at(wire, row.connector)) behind = wire;
      last = wire;
    }
    const std::string line = std::string(edits_.indent(first_dash(wires)), ' ') + "- " + row.text;
    edits_.add_line_behind(last_byte(behind ? behind : last), line);
  }

  // Maps that the file does not have yet.
  void finish_new_maps() {
    for (const auto& [begin, map] : emptied_) edits_.drop_lines(begin, begin);
    std::string at_end;
    for (auto& [key, lines] : new_maps_) {
      const auto& [connector, where] = key;
      std::stable_sort(lines.begin(), lines.end(), [](const std::string& a, const std::string& b) {
        return numbers_before(a.substr(0, a.find(": ")), b.substr(0, b.find(": ")));
      });
      if (where == Where::cavities) {
        for (const std::string& line : lines) at_end += "  " + line + "\n";
        continue;
      }
      const yaml::Node row = root_["connectors"][connector];
      if (!row || in_brackets(row)) {
        fail(fmt::format("{} stands in brackets; write its keys on lines of their own first", connector), row.span());
        continue;
      }
      const size_t indent = edits_.indent((*row.begin()).key_span().begin);
      std::string text = std::string(indent, ' ') + (where == Where::pins ? "pins:" : "cavities:");
      for (const std::string& line : lines) text += "\n" + std::string(indent + 2, ' ') + line;
      edits_.add_line_behind(last_byte(row), text);
    }
    if (!at_end.empty()) {
      const std::string begin = text_.ends_with('\n') || text_.empty() ? "" : "\n";
      edits_.replace(text_.size(), text_.size(), begin + "cavities:\n" + at_end);
    }
  }

  std::string_view text_;
  yaml::Node root_;
  const TakenIn& taken_;
  Edits edits_;
  Unable unable_;
  bool first_wire_ = true;
  std::map<size_t, size_t> dropped_;       // by where the map's key begins: rows taken out
  std::map<size_t, yaml::Node> emptied_;   // maps that lose all their rows
  std::set<size_t> dropped_keys_, split_;  // by where a row's key, or its value, begins
  std::map<std::pair<std::string, Where>, std::vector<std::string>> new_maps_;  // by connector; "" for a loom's own
};

}  // namespace

std::string with_rows(std::string_view text, yaml::Node root, const TakenIn& taken, std::string& problem, Span& where) {
  Inserter inserter(text, root, taken);
  if (inserter.run()) return inserter.applied();
  problem = inserter.unable().text;
  where = inserter.unable().where;
  return {};
}

std::string with_connector(std::string_view text, yaml::Node root, const std::string& designator,
                           const std::string& housing, std::string& problem, Span& where) {
  const TakenIn nothing;
  Inserter inserter(text, root, nothing);
  inserter.insert_entry(root["connectors"], designator, fmt::format("{{housing: {}, rest: unknown}}", housing));
  if (inserter.unable().text.empty()) return inserter.applied();
  problem = inserter.unable().text;
  where = inserter.unable().where;
  return {};
}

}  // namespace loomproof::upkeep
