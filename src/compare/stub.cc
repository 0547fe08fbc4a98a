#include "compare/stub.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "compare/neighbours.h"
#include "family/words.h"

namespace loomproof {
namespace {

// --- YAML scalars ---------------------------------------------------------------------------------------------------

// Words that some YAML reader takes for something other than text.
bool is_no_plain_word(std::string_view text) {
  std::string lower;
  for (char c : text) lower += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  for (std::string_view word : {"true", "false", "yes", "no", "on", "off", "y", "n", "null"})
    if (lower == word) return true;
  return false;
}

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// What begins with a digit may be a number or a date; "12V" cannot.
bool may_be_number(std::string_view text) {
  if (!is_digit(text.front())) return false;
  if (text.size() > 1 && text[0] == '0' && is_letter(text[1])) return true;  // 0x1f, 0o17
  return std::none_of(text.begin(), text.end(), [](char c) { return is_letter(c) && c != 'e' && c != 'E'; });
}

bool is_plain(std::string_view text) {
  const auto inner = [](char c) {
    return is_letter(c) || is_digit(c) || c == ' ' || c == '.' || c == '/' || c == '+' || c == '-' || c == '_';
  };
  return !text.empty() && (is_letter(text.front()) || is_digit(text.front())) && text.back() != ' ' &&
         std::all_of(text.begin(), text.end(), inner) && !is_no_plain_word(text) && !may_be_number(text);
}

std::string scalar(std::string_view text) {
  if (is_plain(text)) return std::string(text);
  std::string quoted = "\"";
  for (char c : text) {
    if (c == '"' || c == '\\') quoted += '\\';
    if (static_cast<unsigned char>(c) < 0x20)
      quoted += fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
    else
      quoted += c;
  }
  return quoted + "\"";
}

// --- cells as tags --------------------------------------------------------------------------------------------------

using Tags = std::vector<std::set<uint32_t>>;  // by axis: the values; empty: all

// Says which of `all` are in `wanted`, as few boxes of tags as the splitting finds.
class Tagger {
 public:
  Tagger(const Family& family, const CellSet& all) : family_(family), all_(all), whole_(hull(all)) {}
  std::vector<Tags> tags(const CellSet& wanted) const {
    std::vector<Tags> boxes;
    split(wanted, boxes);
    return boxes;
  }

 private:
  Tags hull(const CellSet& cells) const {
    Tags box(family_.axis_count());
    for (uint32_t cell : cells.cells())
      for (uint32_t axis = 0; axis < box.size(); ++axis) box[axis].insert(family_.coordinate(cell, axis));
    return box;
  }
  CellSet inside(const Tags& box) const {
    CellSet cells;
    for (uint32_t cell : all_.cells()) {
      bool in = true;
      for (uint32_t axis = 0; axis < box.size(); ++axis) in = in && box[axis].count(family_.coordinate(cell, axis)) > 0;
      if (in) cells.insert(cell);
    }
    return cells;
  }
  void split(const CellSet& wanted, std::vector<Tags>& boxes) const {
    Tags box = hull(wanted);
    if (inside(box) == wanted) {
      for (uint32_t axis = 0; axis < box.size(); ++axis)
        if (box[axis] == whole_[axis]) box[axis].clear();
      boxes.push_back(std::move(box));
      return;
    }
    uint32_t axis = 0;
    while (box[axis].size() < 2) ++axis;  // a box of one cell is exact, so that some axis has more
    for (uint32_t value : box[axis]) {
      CellSet part;
      for (uint32_t cell : wanted.cells())
        if (family_.coordinate(cell, axis) == value) part.insert(cell);
      split(part, boxes);
    }
  }

  const Family& family_;
  CellSet all_;
  Tags whole_;
};

std::string value_id(const Family& family, uint32_t axis, uint32_t value) {
  if (axis == 0) return scalar(family.text(family.eras[value].id));
  return scalar(family.text(family.option_values[family.options[axis - 1].values.first + value].id));
}

std::string value_list(const Family& family, uint32_t axis, const std::set<uint32_t>& values) {
  if (values.size() == 1) return value_id(family, axis, *values.begin());
  std::string text;
  for (uint32_t value : values) text += (text.empty() ? "[" : ", ") + value_id(family, axis, value);
  return text + "]";
}

std::string tags_text(const Family& family, const Tags& tags) {
  std::string text, with;
  if (!tags[0].empty()) text += ", eras: " + value_list(family, 0, tags[0]);
  for (uint32_t axis = 1; axis < tags.size(); ++axis) {
    if (tags[axis].empty()) continue;
    with += fmt::format("{}{}: {}", with.empty() ? "" : ", ", scalar(family.text(family.options[axis - 1].id)),
                        value_list(family, axis, tags[axis]));
  }
  return with.empty() ? text : text + ", with: {" + with + "}";
}

// --- steps ----------------------------------------------------------------------------------------------------------

class StepText {
 public:
  StepText(const Family& family, const Difference& difference)
      : family_(family), difference_(difference), item_(difference.item) {}
  std::string row(const std::string& tags) const;

 private:
  std::string id(Str str) const { return scalar(family_.text(str)); }
  std::string circuit(Index circuit) const { return id(family_.circuits[circuit].id); }
  std::string point(Index point) const { return scalar(point_name(family_, point)); }
  std::string owner() const;
  std::string body() const;
  std::string wire(const ChangeItem& item, bool with_looks) const;
  std::string pin(const ChangeItem& item) const;
  std::string looks(const ChangeItem& item) const;
  std::string replugged() const;
  std::string respliced() const;
  std::string was_now() const {
    return fmt::format("was: {}, now: {}", scalar(difference_.was), scalar(difference_.becomes));
  }
  std::string at_circuit(const std::string& was_and_now) const {
    return fmt::format("{{circuit: {}, at: {}, {}}}", circuit(item_.circuit), point(item_.from), was_and_now);
  }

  const Family& family_;
  const Difference& difference_;
  const ChangeItem& item_;
};

std::string StepText::owner() const {
  const bool of_place = item_.kind == ChangeKind::replaced ||
                        (item_.kind == ChangeKind::relocated && item_.connector == none && item_.from == none);
  if (of_place) return "place: " + id(family_.places[item_.place].id);
  const Part& part = family_.parts[item_.part];
  return fmt::format("{}: {}", word(part.kind), id(part.id));
}

std::string StepText::looks(const ChangeItem& item) const {
  std::string text;
  if (item.base != none) {
    text += fmt::format(", colour: {}", family_.text(family_.colours[item.base].code));
    if (item.tracer != none) text += fmt::format("/{}", family_.text(family_.colours[item.tracer].code));
  }
  if (item.shade != Shade::unset) text += fmt::format(", shade: {}", word(item.shade));
  if (item.mm2 != not_given) text += ", mm2: " + milli(item.mm2);
  return text;
}

std::string StepText::wire(const ChangeItem& item, bool with_looks) const {
  return fmt::format("{{circuit: {}, from: {}, to: {}{}}}", circuit(item.circuit), point(item.from), point(item.to),
                     with_looks ? looks(item) : "");
}

std::string StepText::pin(const ChangeItem& item) const {
  std::string text = "{at: " + point(item.from);
  if (item.circuit != none) text += ", circuit: " + circuit(item.circuit);
  if (item.role != Role::unset) text += fmt::format(", role: {}", word(item.role));
  return text + "}";
}

std::string StepText::replugged() const {
  std::string text;
  for (const ChangeItem& step : difference_.steps)
    text += fmt::format("{}{}: {}", text.empty() ? "{" : ", ", point(step.from), point(step.to));
  return text + "}";
}

std::string StepText::respliced() const {
  std::string goes, comes;
  for (const ChangeItem& step : difference_.steps) {
    std::string& list = step.step == 0 ? goes : comes;
    list += (list.empty() ? "" : ", ") + wire(step, step.step != 0);
  }
  std::string text;
  if (!goes.empty()) text += "removed: [" + goes + "]";
  if (!comes.empty()) text += (text.empty() ? "" : ", ") + ("added: [" + comes + "]");
  return "{" + text + "}";
}

std::string StepText::body() const {
  const Difference& d = difference_;
  const std::string thing = item_.connector != none ? id(family_.connectors[item_.connector].designator)
                            : item_.from != none    ? point(item_.from)
                                                    : std::string();
  switch (item_.kind) {
    case ChangeKind::moved:
      return wire(item_, false);
    case ChangeKind::swapped:
      return fmt::format("{{circuits: [{}, {}], at: [{}, {}]}}", circuit(item_.circuit), circuit(item_.circuit_b),
                         point(item_.from), point(item_.to));
    case ChangeKind::replugged:
      return replugged();
    case ChangeKind::added:
      return item_.to == none ? pin(item_) : wire(item_, true);
    case ChangeKind::removed:
      return item_.to == none ? pin(item_) : wire(item_, false);
    case ChangeKind::recoloured:
      return at_circuit(was_now());
    case ChangeKind::resized:
      return at_circuit(fmt::format("was: {}, now: {}", d.was, d.becomes));  // numbers
    case ChangeKind::rehoused:
      return fmt::format("{{connector: {}, {}}}", thing, was_now());
    case ChangeKind::respliced:
      return respliced();
    case ChangeKind::re_rated:
      return fmt::format("{{at: {}, of: {}, {}}}", thing, scalar(d.of), was_now());
    case ChangeKind::relocated:
      return fmt::format("{{{}{}}}", thing.empty() ? "" : "what: " + thing + ", ", was_now());
    case ChangeKind::replaced:
      return fmt::format("{{{}}}", was_now());
    case ChangeKind::inside_changed:
      return fmt::format("{{id: {}, {}{}}}", scalar(d.what), d.of.empty() ? "" : "of: " + scalar(d.of) + ", ",
                         was_now());
    case ChangeKind::re_roled:
    case ChangeKind::now_known:
    case ChangeKind::no_longer_known:
    case ChangeKind::restated:
      return fmt::format("{{at: {}, {}}}", thing, was_now());
  }
  return {};
}

std::string StepText::row(const std::string& tags) const {
  return fmt::format("      - {{{}, {}: {}{}}}\n", owner(), word(item_.kind), body(), tags);
}

std::string side(const Family& family, uint32_t axis, Index value) {
  if (axis == 0) return "{era: " + value_id(family, axis, value) + "}";
  return fmt::format("{{option: {}, value: {}}}", scalar(family.text(family.options[axis - 1].id)),
                     value_id(family, axis, value));
}

}  // namespace

std::string declare_stub(const Family& family, uint32_t axis, Index left, Index right,
                         const std::vector<Undeclared>& undeclared) {
  CellSet all;
  for (const Pair& pair : neighbours(family))
    if (pair.axis == axis && family.coordinate(pair.left, axis) == left && family.coordinate(pair.right, axis) == right)
      all.insert(pair.left);
  const Tagger tagger(family, all);
  std::string rows;
  for (const Undeclared& one : undeclared) {
    if (one.axis != axis || one.left != left || one.right != right) continue;
    for (const Tags& tags : tagger.tags(one.difference.cells & all))
      rows += StepText(family, one.difference).row(tags_text(family, tags));
  }
  if (rows.empty()) return rows;
  return fmt::format(
      "# yaml-language-server: $schema=../../../../schema/changes.schema.json\n"
      "between: [{}, {}]\n"
      "changes:\n"
      "  - because: \"\"\n"
      "    changed:\n"
      "{}",
      side(family, axis, left), side(family, axis, right), rows);
}

std::string declare_stub(const Family& family, uint32_t left_cell, uint32_t right_cell,
                         const std::vector<Difference>& differences) {
  uint32_t axis = 0;
  while (axis + 1 < family.axis_count() && family.coordinate(left_cell, axis) == family.coordinate(right_cell, axis))
    ++axis;
  const Index left = family.coordinate(left_cell, axis), right = family.coordinate(right_cell, axis);
  std::vector<Undeclared> undeclared;
  for (const Difference& difference : differences) {
    undeclared.push_back({axis, left, right, difference});
    undeclared.back().difference.cells = CellSet::of(left_cell);
  }
  return declare_stub(family, axis, left, right, undeclared);
}

}  // namespace loomproof
