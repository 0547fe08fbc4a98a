// The resolved family: plain index tables over cells. No YAML, no spans. Two producers fill it, the compiler from the
// corpus and the pack reader from bytes; everything electrical works on it and on nothing else.
//
// Every record is plain data of 32-bit words, so that a pack holds the very same rows. Text is an index into `strings`
// (0 is the empty text), a set of cells an index into `cell_sets`, a citation an index into `cites`. Quantities are
// whole numbers: mm² in thousandths, ampere, volt and ohm in thousandths, lengths in mm, positions on a face in 1/100
// mm. Rows that belong to one part (or housing, connector, change) stand together; the owner holds their Range.
#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "family/cells.h"

namespace loomproof {

using Index = uint32_t;
using Str = uint32_t;      // into Family::strings
using Cells = uint32_t;    // into Family::cell_sets
using CiteId = uint32_t;   // into Family::cites
using Quantity = int32_t;  // in thousandths unless said otherwise

inline constexpr Index none = 0xffffffff;
inline constexpr Quantity not_given = INT32_MIN;
inline constexpr Quantity system_volts = INT32_MIN + 1;  // `volts: system`: what the supply option says

struct Range {
  Index first = 0;
  Index count = 0;
  Index end() const { return first + count; }
};

// --- words ------------------------------------------------------------------------------------
// The order of enumerators is part of the pack format: append only. Their words are in words.h.
enum class SourceKind : uint32_t { standard, manual, measurement, handbook, practice, memory, invented };
enum class CircuitClass : uint32_t { feed, earth, return_, reference, signal, drive, bus, shield, firing };
enum class Outcome : uint32_t { unset, fine, dead, misreads, stays_on, opens_fuse, destroys, endangers };
// Of parts put together; worst last.
enum class Verdict : uint32_t { fits, fits_with_loose_ends, does_not_work, destroys_a_part, endangers_people };
enum class Contact : uint32_t { pin, receptacle, none_ };  // of a cavity; none_: a hole for no terminal
enum class View : uint32_t { wire_side, mating_side };     // the side from which positions are given
enum class PartKind : uint32_t { loom, component };
enum class State : uint32_t { wired, empty, sealed, disputed, unknown };
enum class Rest : uint32_t { unset, empty, unknown, open };              // what a cavity that no row names is
enum class PointKind : uint32_t { cavity, splice, earth, lead, inner };  // inner: reaches no cavity (`nodes`, BODY)
enum class EarthNode : uint32_t { unset, battery, engine, chassis, cab };
enum class Shade : uint32_t { unset, light, dark };
enum class Role : uint32_t {
  unset,
  gives_feed,
  gives_earth,
  gives_return,
  gives_reference,
  gives_signal,
  pulls_low,
  pulls_high,
  bus,
  shield,
  gives_firing,
  takes_feed,
  takes_earth,
  takes_return,
  takes_reference,
  takes_signal,
  takes_low,
  takes_high,
  takes_firing,
  senses_low,
  senses_high,
  passes,
  open,
  unknown
};
enum class When : uint32_t { always, stopped, running };
enum class InsideKind : uint32_t {
  strap,
  fuse,
  link,
  contact,
  coil,
  motor,
  lamp,
  heater,
  resistor,
  diode,
  squib,
  capacitor
};
enum class ClosedBy : uint32_t { unset, coil, hand, temperature, pressure };
enum class Suffers : uint32_t { nobody, first, second, both, wire, people };  // first, second: of the two that meet
enum class JoinWhen : uint32_t {
  always,          // what holds where no condition below does
  other_terminal,  // two feeds of different terminal designations (or circuits where none is given)
  volts_differ,    // the two give different volts
  volts_above,     // the giver's volts are above what the other is made for
  volts_below,     // the giver's volts are below what the other needs
  current_above,   // the load takes more than the pin that drives it bears
  unfused,         // no fuse in the path between the two
  other_circuit,   // the two are not of one circuit
  other_line,      // two bus pins of different protocol or line
  earthed_twice    // the shield is earthed at more than one end
};
enum class ChangeKind : uint32_t {
  moved,
  swapped,
  replugged,
  added,
  removed,
  recoloured,
  resized,
  rehoused,
  respliced,
  re_roled,
  re_rated,
  relocated,
  replaced,
  inside_changed,
  now_known,
  no_longer_known,
  restated
};

// --- axes -------------------------------------------------------------------------------------
struct Era {
  Str id = 0, title = 0;
  Quantity from = not_given, to = not_given;  // months since year 0 (year * 12 + month - 1); not_given: open
  Quantity number_from = not_given;           // chassis number, where the change is by number
  Quantity run_out = not_given;               // until this month the previous era was still built as well
};
struct Option {
  Str id = 0, title = 0;
  Range values;
  uint32_t independent = 0;  // its values are separate designs that nobody compares
};
struct OptionValue {
  Index option = none;
  Str id = 0, title = 0;
  Quantity supply = not_given;  // what `volts: system` means with this value, mV
};

// --- evidence ---------------------------------------------------------------------------------
struct Source {
  Str id = 0, title = 0;
  SourceKind kind{};
  Str number = 0, edition = 0;   // of a standard: "ISO 1724", "2003"
  Str section = 0;               // page, table, clause
  Str checked = 0;               // ISO 8601 date it was last looked at
  Str by = 0, on = 0, with = 0;  // of a measurement: who, on which loom, with what meter
  Str sha256 = 0;                // of a photograph or scan
};
struct Cite {
  Range sources;             // into source_refs
  uint32_t own = 0;          // 1: cited at the row itself; 0: inherited from its file
  uint32_t independent = 0;  // 1: none of these is copied from another
};
// Marks of weaker evidence on single fields of a row.
enum Mark : uint32_t {
  function_single = 1,
  function_memory = 2,
  colour_single = 4,
  colour_memory = 8,
  mm2_single = 16,
  mm2_memory = 32,
  ohm_single = 64,
  ohm_memory = 128,
  amps_single = 256,
  amps_memory = 512
};

// --- vocabulary used by the family ------------------------------------------------------------------
struct Colour {
  Str code = 0, name = 0;
  uint32_t order = 0;
  CiteId cite = 0;
};
struct Terminal {
  Str designation = 0, meaning = 0;
  uint32_t marks = 0;
  CiteId cite = 0;
};  // marks: of the meaning
struct Function {
  Str id = 0, meaning = 0;
  uint32_t marks = 0;
  CiteId cite = 0;
};
struct Conductor {
  Quantity mm2 = 0, mohm_per_m = not_given, amps = not_given;  // greatest resistance at 20 °C; continuous current
  uint32_t marks = 0;
  CiteId cite = 0, amps_cite = 0;  // tables of continuous current differ by a factor of two: the source names the table
};
struct Fuse {
  Str type = 0;
  Quantity amps = 0;
  Str colour = 0;
  uint32_t marks = 0;
  CiteId cite = 0;
};  // type as in ISO 8820-3
struct Caution {
  Str id = 0, text = 0;
  Range when;
};  // when: into string_refs ("firing", "probe", …)

// --- circuits ---------------------------------------------------------------------------------
struct Circuit {
  Str id = 0, title = 0;
  CircuitClass kind{};
  Index function = none, terminal = none;  // into functions, terminals
  Quantity volts = not_given, amps = not_given;
  Outcome if_stays_on{}, if_dead{};
  Range joins;  // into circuit_refs: joins that are meant
  CiteId cite = 0;
};
struct Apart {
  Index circuit = none, other = none;
  Range places;  // into place_refs; empty: everywhere
  Outcome outcome{};
  Str because = 0;
  CiteId cite = 0;
};

// --- housings ---------------------------------------------------------------------------------
struct Housing {
  Str id = 0, title = 0;
  Range cavities;  // into housing_cavities, in the order of their numbers
  Range mates;     // into housing_refs
  Range closes;    // into closes: cavities joined while unplugged
  View view{};
  uint32_t round = 0;                  // 1: a round body
  Str colour = 0, key = 0, latch = 0;  // of the body, in words
  CiteId cite = 0;
};
struct HousingCavity {
  Index housing = none;
  Str number = 0, moulded = 0;  // as on the drawing; as moulded, where it differs
  Contact contact{};
  int32_t x = 0, y = 0;  // centre, 1/100 mm, x to the right and y down as seen from Housing::view
  Quantity mm2_min = not_given, mm2_max = not_given, amps = not_given;
};
struct InManual {       // what a manual calls a cavity, where that is not its number
  Index cavity = none;  // into housing_cavities
  Str number = 0;
  CiteId cite = 0;
};
struct Closes {
  Index housing = none, a = none, b = none;
};  // a, b into housing_cavities

// --- places, builds, plugs --------------------------------------------------------------------
struct Place {
  Str id = 0, title = 0;
  Cells cells = 0;  // where the place exists
  uint32_t optional = 0, undocumented = 0;
  Range where;  // into place_where
  CiteId cite = 0;
};
struct PlaceWhere {
  Index place = none;
  Str where = 0;
  Cells cells = 0;
  CiteId cite = 0;
};
struct PlugPair {  // connector `a` of the part in place_a meets connector `b` of the part in place_b
  Index place_a = none;
  Str a = 0;
  Index place_b = none;
  Str b = 0;
  Cells cells = 0;
};

// --- parts ------------------------------------------------------------------------------------
// A component that several places hold stands here once a place, with rows of its own.
struct Part {
  Str id = 0, title = 0;
  PartKind kind{};
  Index place = none;
  Cells cells = 0;
  Range numbers, connectors, points, splices, earths, leads, wires, cavity_rows, pins, insides, positions, branches;
  CiteId cite = 0;
};
struct PartNumber {
  Index part = none;
  Str text = 0, on = 0, supersedes = 0;
  Cells cells = 0;
  CiteId cite = 0;
};
struct Connector {
  Index part = none;
  Str designator = 0;
  Range rows;  // into connector_rows
};
struct ConnectorRow {
  Index connector = none, housing = none;
  Str where = 0;
  Rest rest{};
  Str loose = 0;  // why nothing need be plugged in, where that is so
  Cells cells = 0;
  CiteId cite = 0;
};
struct Point {  // what a wire, a pin or an inside element can touch; once a part
  Index part = none;
  PointKind kind{};
  Index connector = none;  // of a cavity
  Str name = 0;            // cavity number, or the id of the splice, earth, lead or inner node
};
struct Splice {
  Index point = none;
  Str where = 0, branch = 0;
  Cells cells = 0;
  CiteId cite = 0;
};
struct Earth {
  Index point = none;
  Str where = 0, ring = 0;
  EarthNode to{};
  Index circuit = none;
  Cells cells = 0;
  CiteId cite = 0;
};
struct Lead {
  Index point = none;
  Str title = 0;
  Index circuit = none;
  Role role{};
  Quantity volts = not_given, amps = not_given;
  Cells cells = 0;
  CiteId cite = 0;
};
struct Wire {
  Index part = none, circuit = none, from = none, to = none;  // from, to into points
  Index base = none, tracer = none;                           // into colours
  Shade shade{};
  Quantity mm2 = not_given;
  int32_t length_mm = not_given;
  uint32_t double_crimp = 0;
  Str spare = 0;  // why it may end dead, where that is so
  uint32_t marks = 0;
  Cells cells = 0;
  CiteId cite = 0;
};
struct CavityRow {  // a state that is no wire
  Index point = none;
  State state{};
  Range says;  // into says, of a disputed cavity
  Str note = 0;
  Cells cells = 0;
  CiteId cite = 0;
};
struct Say {
  Index cavity_row = none;
  State state{};
  Index circuit = none;
  CiteId cite = 0;
};
struct Pin {
  Index point = none, circuit = none;
  Role role{};
  Quantity volts = not_given, amps = not_given;
  uint32_t optional = 0;  // `needed: false`
  When when{};
  uint32_t through_load = 0;  // may be met through a load
  Str coded_low = 0, coded_high = 0, coded_open = 0;
  Str pair_with = 0, polarity = 0;
  Str protocol = 0, line = 0, ends = 0;  // of a bus pin: protocol, line, pull-up or termination
  uint32_t marks = 0;
  Cells cells = 0;
  CiteId cite = 0;
};
struct Inside {
  Index part = none;
  Str id = 0;
  InsideKind kind{};
  Index a = none, b = none;  // into points; of a diode: anode, cathode
  Quantity ohm = not_given, amps = not_given, volts = not_given;
  uint32_t rests_closed = 0, rests_known = 0;
  ClosedBy closed_by{};
  Str coil = 0;  // the id of the coil that closes (or opens) this contact
  Cells cells = 0;
  CiteId cite = 0;
};
struct Position {
  Index part = none;
  Str switch_id = 0, value = 0;
  Range closes;
};  // closes: into string_refs (inside ids)
struct Branch {
  Index part = none;
  Str id = 0;
  Range connectors;
};  // into string_refs (designators)

// --- declared changes -------------------------------------------------------------------------
struct Change {
  uint32_t axis = 0;                // 0: eras; n: option n-1
  Index left = none, right = none;  // era or option value
  Str because = 0;
  Range items;
  CiteId cite = 0;
};
// One declared step. Which fields it uses depends on the kind:
//   moved       circuit, from -> to (points): the end of that circuit's wires (or the pin) goes from one cavity to
//   another swapped     circuit at from, circuit_b at to: the two exchange cavities replugged   from -> to: whatever is
//   in that cavity goes there, whichever circuit added, removed  circuit, from, to (none for a pin), base, tracer,
//   shade, mm2; of a pin also role recoloured  circuit, from (an end); was, becomes as colour words resized circuit,
//   from (an end); was, becomes as mm² rehoused    connector; was, becomes as housing ids ("none" where it comes or
//   goes) respliced   as added or removed, step says which: the net's cavities stay as they are re_roled    from (the
//   pin); was, becomes as roles re_rated    from (a pin, wire end, lead, earth) or connector; `of` is the corpus key
//   that differs ("max-a", "volts",
//               "needed", "spare", "double", "rest", …); was, becomes as the corpus writes it ("none" where left out)
//   relocated   place, or connector, or from (splice or earth); was, becomes
//   replaced    place; was, becomes as part ids ("none" where it comes or goes)
//   inside_changed  `what` is the inside element (or switch), `of` its key ("a", "ohm", "join", "as", "rests", …; a
//   switch:
//               the position); `of` empty where it comes (none -> present) or goes (present -> none)
//   now_known, no_longer_known, restated  from (the cavity); was, becomes as states
struct ChangeItem {
  Index change = none;
  ChangeKind kind{};
  Cells cells = 0;  // the cells of the left side it is limited to
  Index part = none, place = none, connector = none;
  Index circuit = none, circuit_b = none, from = none, to = none;
  Index base = none, tracer = none;
  Shade shade{};
  Quantity mm2 = not_given;
  Role role{};
  uint32_t step = 0;  // of respliced: 0 removed, 1 added
  Str what = 0, of = 0, was = 0, becomes = 0;
};

// --- relaxations ------------------------------------------------------------------------------
struct Allowance {
  Str rule = 0, because = 0;
  Index part = none;
  Index point = none;
  Cells cells = 0;
  CiteId cite = 0;
};

// --- rules --------------------------------------------------------------------------------------
// What happens when pins of two roles share a net, under one condition. a before b in the order of Role; rows sorted by
// a, b, when. From the compiler: every pair of roles, each with a row `always`, or no row at all where the table has
// faults. What a pair that is not there does is not proven. How rows are read is said in joins.h.
struct Join {
  Role a{}, b{};
  JoinWhen when{};
  Outcome outcome{};  // unset: not proven
  Suffers suffers{};  // first is a, second is b
  Str because = 0;
  CiteId cite = 0;
};

// --- known combinations -------------------------------------------------------------------------
// Parts that somebody may put together, as they left the factory or as they were found, with what is known to come of
// it. The compiler holds the statement against what it judges of the parts.
struct Combination {
  Str id = 0, title = 0;
  Cells others = 0;         // the places that are not named hold what was built in these cells; no cells: nothing
  Verdict best{}, worst{};  // as stated; not equal where something that nobody knows could change it
  Outcome outcome{};        // the worst that comes of it, what nobody knows included
  Range suffers;            // into place_refs: whose parts bear that
  Str because = 0;
  Range parts, edits;
  CiteId cite = 0;
};
struct CombinationPart {  // one place that is named
  Index combination = none, place = none;
  Index part = none;         // none: whatever was built there in `cells`
  Cells cells = 0;           // in all of which it is one variant
  uint32_t is_left_off = 0;  // 1: the place holds nothing
};
struct CombinationEdit {  // what was done to the part of a place
  Index combination = none, place = none;
  Str text = 0;  // as found/edits.h has it: "cut C1.12"
};

struct Family {
  Str id = 0, title = 0;
  Cells built = 0;              // the cells the factory made
  Quantity supply = not_given;  // what `volts: system` means, mV, where no option says so
  CiteId cite = 0;
  std::vector<std::string> strings{std::string()};
  std::vector<CellSet> cell_sets;
  std::vector<Cite> cites;
  std::vector<Index> source_refs, circuit_refs, place_refs, housing_refs;
  std::vector<Str> string_refs;

  std::vector<Era> eras;
  std::vector<Option> options;
  std::vector<OptionValue> option_values;
  std::vector<Source> sources;
  std::vector<Colour> colours;
  std::vector<Terminal> terminals;
  std::vector<Function> functions;
  std::vector<Conductor> conductors;
  std::vector<Fuse> fuses;
  std::vector<Caution> cautions;
  std::vector<Circuit> circuits;
  std::vector<Apart> aparts;
  std::vector<Housing> housings;
  std::vector<HousingCavity> housing_cavities;
  std::vector<Closes> closes;
  std::vector<Place> places;
  std::vector<PlaceWhere> place_where;
  std::vector<PlugPair> plugs;
  std::vector<Cells> builds;  // one a row of `builds`
  std::vector<Part> parts;
  std::vector<PartNumber> numbers;
  std::vector<Connector> connectors;
  std::vector<ConnectorRow> connector_rows;
  std::vector<Point> points;
  std::vector<Splice> splices;
  std::vector<Earth> earths;
  std::vector<Lead> leads;
  std::vector<Wire> wires;
  std::vector<CavityRow> cavity_rows;
  std::vector<Say> says;
  std::vector<Pin> pins;
  std::vector<Inside> insides;
  std::vector<Position> positions;
  std::vector<Branch> branches;
  std::vector<Change> changes;
  std::vector<ChangeItem> change_items;
  std::vector<Allowance> allowances;
  std::vector<Join> joins;
  std::vector<Combination> combinations;
  std::vector<CombinationPart> combination_parts;
  std::vector<CombinationEdit> combination_edits;
  std::vector<InManual> in_manuals;

  std::string_view text(Str str) const { return strings[str]; }
  const CellSet& set(Cells cells) const { return cell_sets[cells]; }
  bool holds(Cells cells, uint32_t cell) const { return cell_sets[cells].has(cell); }
  uint32_t cell_count() const;  // eras times option values
  uint32_t axis_count() const { return 1 + static_cast<uint32_t>(options.size()); }
  uint32_t axis_size(uint32_t axis) const;                  // 0: eras; n: values of option n-1
  uint32_t coordinate(uint32_t cell, uint32_t axis) const;  // index along the axis
  uint32_t with_coordinate(uint32_t cell, uint32_t axis, uint32_t value) const;
};

// Rows of a Range, for range-for: `for (const Wire& wire : rows(family.wires, part.wires))`.
template <typename T>
struct Rows {
  const T* first;
  const T* last;
  const T* begin() const { return first; }
  const T* end() const { return last; }
};
template <typename T>
Rows<T> rows(const std::vector<T>& table, Range range) {
  return {table.data() + range.first, table.data() + range.first + range.count};
}

// The part in a place in a cell; none where the place is empty there. The first, where the corpus names several.
Index part_in(const Family& family, Index place, uint32_t cell);
// The row of a connector in a cell; none where the part has no such connector there.
Index connector_row_in(const Family& family, Index connector, uint32_t cell);
// The connector of a part by its designator; none where there is none.
Index connector_of(const Family& family, const Part& part, Str designator);

// Whether two circuits may share a net: they are one, or one of them declares the join.
bool go_together(const Family& family, Index circuit, Index other);

// The same content, whatever the numbering: used by tests and by packs.
bool operator==(const Family& a, const Family& b);

}  // namespace loomproof
