#include "found/edits.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "family/words.h"
#include "nets/cavities.h"

namespace loomproof::found {
namespace {

constexpr std::array<std::string_view, edit_kinds> kind_words{
    "cut", "moved", "tapped", "bridged", "added", "high-resistance", "earth-gone", "plug-gone", "strap-missing"};

std::vector<std::string_view> split(std::string_view text) {
  std::vector<std::string_view> words;
  for (size_t from = 0; from < text.size();) {
    const size_t end = std::min(text.find_first_of(" \t", from), text.size());
    if (end > from) words.push_back(text.substr(from, end - from));
    from = end + 1;
  }
  return words;
}

// A positive number with up to three decimals, in thousandths; not_given where it is none.
Quantity thousandths(std::string_view text) {
  const size_t dot = text.find('.');
  std::string digits(text.substr(0, dot));
  std::string decimals(dot == std::string_view::npos ? "" : text.substr(dot + 1));
  if (digits.empty() || digits.size() > 6 || decimals.size() > 3 || (dot != std::string_view::npos && decimals.empty()))
    return not_given;
  decimals.resize(3, '0');
  digits += decimals;
  Quantity value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  return error == std::errc() && end == digits.data() + digits.size() && value > 0 ? value : not_given;
}

Index colour_of(const Family& family, std::string_view code) {
  for (Index colour = 0; colour < family.colours.size(); ++colour)
    if (family.text(family.colours[colour].code) == code) return colour;
  return none;
}

bool names_a_strap(InsideKind kind) {
  return kind == InsideKind::strap || kind == InsideKind::link;
}

// Reads the words of one edit from left to right; stops at the first that means nothing.
class Parser {
 public:
  Parser(const FamilyIndex& index, Index part, uint32_t cell, std::string_view text, Fault& fault)
      : index_(index),
        family_(index.family()),
        part_(part),
        cell_(cell),
        text_(text),
        words_(split(text)),
        fault_(fault) {}
  Edit parse();

 private:
  bool kind();
  void ends();
  void properties();
  void colour();
  bool more() const { return !fault_.any() && next_ < words_.size(); }
  bool is_property() const {
    const std::string_view word = words_[next_];
    return word == "circuit" || word == "colour" || word == "mm2" || word == "ohm";
  }
  End end(std::string_view what);
  void strap();
  void plug();
  bool wires() const {
    return edit_.kind == EditKind::tapped || edit_.kind == EditKind::bridged || edit_.kind == EditKind::added;
  }
  Quantity quantity(std::string_view of) {
    const Quantity value = more() ? thousandths(words_[next_]) : not_given;
    if (value == not_given) fail(fmt::format("`{}` takes a number, as in \"{} 1.5\"", of, of));
    ++next_;
    return value;
  }
  void fail(std::string line) {
    if (!fault_.any()) fault_.line = fmt::format("edit \"{}\": {}", text_, line);
  }
  void unknown(std::string_view what, std::string_view wanted, std::vector<std::string> known) {
    fail(fmt::format("no {} \"{}\"", what, wanted));
    fault_.kind = what;
    fault_.wanted = wanted;
    fault_.known = std::move(known);
  }

  const FamilyIndex& index_;
  const Family& family_;
  Index part_;
  uint32_t cell_;
  std::string_view text_;
  std::vector<std::string_view> words_;
  Fault& fault_;
  size_t next_ = 0;
  Edit edit_;
};

bool Parser::kind() {
  const std::string_view word = words_.empty() ? std::string_view() : words_[next_++];
  const auto found = std::find(kind_words.begin(), kind_words.end(), word);
  if (found == kind_words.end()) {
    unknown("such edit", word, {kind_words.begin(), kind_words.end()});
    fault_.kind = "edit";
    return false;
  }
  edit_.kind = static_cast<EditKind>(found - kind_words.begin());
  return true;
}

End Parser::end(std::string_view what) {
  if (!more() || is_property()) {
    fail(fmt::format("{} is missing", what));
    return {};
  }
  const std::string_view name = words_[next_++];
  if (const auto found = end_of(index_, part_, cell_, name)) return *found;
  unknown(fmt::format("end of {}", family_.text(family_.parts[part_].id)), name, end_names(index_, part_, cell_));
  return {};
}

void Parser::plug() {
  if (!more()) return fail("which plug is missing");
  const std::string_view name = words_[next_++];
  std::vector<std::string> known;
  const Range connectors = family_.parts[part_].connectors;
  for (Index connector = connectors.first; connector < connectors.end(); ++connector) {
    if (connector_row_in(family_, connector, cell_) == none) continue;
    known.emplace_back(family_.text(family_.connectors[connector].designator));
    if (known.back() == name) edit_.connector = connector;
  }
  if (edit_.connector == none)
    unknown(fmt::format("plug of {}", family_.text(family_.parts[part_].id)), name, std::move(known));
}

void Parser::strap() {
  const Range insides = family_.parts[part_].insides;
  for (Index inside = insides.first; more() && inside < insides.end(); ++inside) {
    const Inside& row = family_.insides[inside];
    if (!family_.holds(row.cells, cell_) || !names_a_strap(row.kind) || family_.text(row.id) != words_[next_]) continue;
    edit_.inside = inside;
    ++next_;
    return;
  }
  edit_.from = end("which earth point or strap");
  if (more() && !is_property()) edit_.to = end("its other end");
}

void Parser::ends() {
  switch (edit_.kind) {
    case EditKind::cut:
    case EditKind::high_resistance:
      edit_.from = end("which end");
      if (more() && !is_property()) edit_.to = end("its other end");
      return;
    case EditKind::moved:
    case EditKind::tapped:
    case EditKind::bridged:
    case EditKind::added:
      edit_.from = end("the first end");
      edit_.to = end("the second end");
      return;
    case EditKind::earth_gone:
      edit_.from = end("which earth point");
      return;
    case EditKind::plug_gone:
      return plug();
    case EditKind::strap_missing:
      return strap();
  }
}

void Parser::colour() {
  if (more() && parse_word(words_[next_], edit_.shade)) ++next_;
  if (!more()) return fail("`colour` takes a code, as in \"colour BN/WH\"");
  const std::string_view code = words_[next_++];
  const size_t slash = code.find('/');
  const auto one = [&](std::string_view part, Index& colour) {
    colour = colour_of(family_, part);
    if (colour != none) return;
    std::vector<std::string> known;
    for (const Colour& row : family_.colours) known.emplace_back(family_.text(row.code));
    unknown("colour", part, std::move(known));
  };
  one(code.substr(0, slash), edit_.base);
  if (slash != std::string_view::npos) one(code.substr(slash + 1), edit_.tracer);
}

void Parser::properties() {
  while (more()) {
    const std::string_view word = words_[next_++];
    if (word == "ohm" && edit_.kind == EditKind::high_resistance) {
      edit_.ohm = quantity(word);
    } else if (word == "mm2" && wires()) {
      edit_.mm2 = quantity(word);
    } else if (word == "colour" && wires()) {
      colour();
    } else if (word == "circuit" && wires()) {
      const std::string_view id = more() ? words_[next_++] : std::string_view();
      std::vector<std::string> known;
      for (Index circuit = 0; circuit < family_.circuits.size(); ++circuit) {
        known.emplace_back(family_.text(family_.circuits[circuit].id));
        if (known.back() == id) edit_.circuit = circuit;
      }
      if (edit_.circuit == none) unknown("circuit", id, std::move(known));
    } else {
      fail(fmt::format("\"{}\" means nothing here", word));
    }
  }
}

Edit Parser::parse() {
  if (kind()) ends();
  properties();
  if (edit_.kind == EditKind::high_resistance && edit_.ohm == not_given) fail("`ohm` is missing, as in \"ohm 4\"");
  return edit_;
}

bool is_there(const Family& family, const Part& part, Index point, uint32_t cell) {
  const auto in = [&](const auto& table, Range range) {
    for (const auto& row : rows(table, range))
      if (row.point == point && family.holds(row.cells, cell)) return true;
    return false;
  };
  switch (family.points[point].kind) {
    case PointKind::splice:
      return in(family.splices, part.splices);
    case PointKind::earth:
      return in(family.earths, part.earths);
    case PointKind::lead:
      return in(family.leads, part.leads);
    case PointKind::inner:
      return true;
    case PointKind::cavity:
      break;
  }
  return false;
}

template <typename Visit>
void each_end(const FamilyIndex& index, Index part, uint32_t cell, Visit visit) {
  const Family& family = index.family();
  const Part& row = family.parts[part];
  for (Index connector = row.connectors.first; connector < row.connectors.end(); ++connector)
    for (const Cavity& cavity : cavities(index, cell, connector)) visit(End{cavity.point, connector, cavity.number});
  for (Index point = row.points.first; point < row.points.end(); ++point)
    if (family.points[point].kind != PointKind::cavity && is_there(family, row, point, cell)) visit(End{point});
}

std::string wire_words(const Family& family, const Edit& edit) {
  Wire wire;
  wire.base = edit.base, wire.tracer = edit.tracer, wire.shade = edit.shade;
  std::string text = colour_code(family, wire);
  if (edit.mm2 != not_given) text += (text.empty() ? "" : ", ") + milli(edit.mm2) + " mm²";
  return text.empty() ? text : " (" + text + ")";
}

}  // namespace

std::string_view word(EditKind kind) {
  const auto number = static_cast<size_t>(kind);
  return number < kind_words.size() ? kind_words[number] : std::string_view();
}

Edit parse_edit(const FamilyIndex& index, Index part, uint32_t cell, std::string_view text, Fault& fault) {
  return Parser(index, part, cell, text, fault).parse();
}

std::vector<std::string> end_names(const FamilyIndex& index, Index part, uint32_t cell) {
  std::vector<std::string> names;
  each_end(index, part, cell, [&](const End& end) { names.push_back(end_name(index.family(), end)); });
  return names;
}

std::optional<End> end_of(const FamilyIndex& index, Index part, uint32_t cell, std::string_view name) {
  std::optional<End> found;
  each_end(index, part, cell, [&](const End& end) {
    if (!found && end_name(index.family(), end) == name) found = end;
  });
  return found;
}

std::string end_name(const Family& family, const End& end) {
  if (end.connector == none) return point_name(family, end.point);
  return fmt::format("{}.{}", family.text(family.connectors[end.connector].designator), family.text(end.number));
}

std::string edit_text(const Family& family, const Edit& edit) {
  std::string text(word(edit.kind));
  const auto add = [&](std::string_view words) { text.append(" ").append(words); };
  if (edit.from.given()) add(end_name(family, edit.from));
  if (edit.to.given()) add(end_name(family, edit.to));
  if (edit.connector != none) add(family.text(family.connectors[edit.connector].designator));
  if (edit.inside != none) add(family.text(family.insides[edit.inside].id));
  if (edit.circuit != none) add(fmt::format("circuit {}", family.text(family.circuits[edit.circuit].id)));
  Wire wire;
  wire.base = edit.base, wire.tracer = edit.tracer, wire.shade = edit.shade;
  if (edit.base != none) add("colour " + colour_code(family, wire));
  if (edit.mm2 != not_given) add("mm2 " + milli(edit.mm2));
  if (edit.ohm != not_given) add("ohm " + milli(edit.ohm));
  return text;
}

std::string edit_words(const Family& family, const Edit& edit) {
  const std::string from = end_name(family, edit.from), to = end_name(family, edit.to);
  switch (edit.kind) {
    case EditKind::cut:
      return edit.to.given() ? fmt::format("the wire from {} to {} is cut", from, to)
                             : fmt::format("the wire at {} is cut", from);
    case EditKind::moved:
      return fmt::format("the wire end of {} sits in {}", from, to);
    case EditKind::tapped:
      return fmt::format("a branch{} leads from the wire at {} to {}", wire_words(family, edit), from, to);
    case EditKind::bridged:
      return fmt::format("{} and {} are bridged{}", from, to, wire_words(family, edit));
    case EditKind::added:
      return fmt::format("a wire{} is added from {} to {}", wire_words(family, edit), from, to);
    case EditKind::high_resistance:
      return edit.to.given() ? fmt::format("{} ohm in the wire from {} to {}", milli(edit.ohm), from, to)
                             : fmt::format("{} ohm at {}", milli(edit.ohm), from);
    case EditKind::earth_gone:
      return fmt::format("the ring of {} is on no metal", from);
    case EditKind::plug_gone:
      return fmt::format("the plug {} is cut off", family.text(family.connectors[edit.connector].designator));
    case EditKind::strap_missing:
      break;
  }
  if (edit.inside != none) return fmt::format("the strap {} is missing", family.text(family.insides[edit.inside].id));
  return edit.to.given() ? fmt::format("the earth lead from {} to {} is missing", from, to)
                         : fmt::format("the earth lead at {} is missing", from);
}

}  // namespace loomproof::found
