#include "upkeep/take_in.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>

#include "diag/render.h"
#include "diag/suggest.h"
#include "family/words.h"
#include "upkeep/against.h"
#include "upkeep/row_text.h"
#include "upkeep/tidy.h"

namespace loomproof::upkeep {

namespace {

bool lacks(Quantity file, Quantity table) {
  return table != not_given && file == not_given;
}

class Taker {
 public:
  Taker(const PinoutTable& table, const TakeInto& into)
      : table_(table), into_(into), family_(into.family), index_(into.family) {
    for (Str str = 1; str < family_.strings.size(); ++str) strings_.emplace(family_.strings[str], str);
    const Part& part = family_.parts[into.part];
    file_citation_ = citation_of(part.cite);
  }

  TakenIn run() {
    for (const PinSaid& said : table_.said) gather(said);
    check_twice();
    const FileSays file(into_, index_, gathered_);
    for (const SaidRow& row : gathered_)
      if (!row.refused) judge(row, file);
    std::stable_sort(out_.problems.begin(), out_.problems.end(), [](const TableProblem& a, const TableProblem& b) {
      return a.place.line != b.place.line ? a.place.line < b.place.line : a.place.column < b.place.column;
    });
    list_left_open();
    return std::move(out_);
  }

 private:
  const Part& part() const { return family_.parts[into_.part]; }
  bool is_loom() const { return part().kind == PartKind::loom; }

  void problem(const PinSaid& said, std::string text, std::vector<std::string> may_be = {}, std::string help = {}) {
    out_.problems.push_back({said.place, std::move(text), std::move(may_be), std::move(help)});
  }

  // --- names -------------------------------------------------------------------------------------

  Index connector_named(std::string_view designator) const {
    for (Index i = part().connectors.first; i < part().connectors.end(); ++i)
      if (family_.text(family_.connectors[i].designator) == designator) return i;
    return none;
  }

  std::vector<Index> housings_of(Index connector) const {
    std::vector<Index> all;
    for (const ConnectorRow& row : rows(family_.connector_rows, family_.connectors[connector].rows))
      if (row.housing != none && family_.set(row.cells).meets(into_.cells)) all.push_back(row.housing);
    return all;
  }

  bool find_cavity(const PinSaid& said, const std::string& designator, const std::string& number, EndFound& end) {
    end.connector = connector_named(designator);
    if (end.connector == none) {
      std::vector<std::string_view> known;
      for (const Connector& each : rows(family_.connectors, part().connectors))
        known.push_back(family_.text(each.designator));
      const std::string_view near = nearest(designator, known);
      problem(said, fmt::format("{} has no connector `{}`", family_.text(part().id), printable(designator)), one(near),
              is_loom() ? "connectors stand in the file first; --connector with --housing adds one"
                        : "connectors stand in the file first, each with its housing");
      return false;
    }
    std::vector<std::string_view> known;
    std::vector<std::string> called;
    for (const Index housing : housings_of(end.connector))
      for (const HousingCavity& cavity : rows(family_.housing_cavities, family_.housings[housing].cavities)) {
        known.push_back(family_.text(cavity.number));
        if (family_.text(cavity.moulded) == number) called.emplace_back(family_.text(cavity.number));
      }
    if (std::find(known.begin(), known.end(), number) != known.end()) {
      end.number = strings_.at(number);
      return true;
    }
    if (known.empty()) {
      problem(said, fmt::format("{} is not there where the table is to hold", designator), {},
              "--eras and --with say where that is");
      return false;
    }
    if (called.empty()) called = one(nearest(number, known));
    problem(said, fmt::format("the housing of {} has no cavity `{}`", designator, printable(number)), called);
    return false;
  }

  static std::vector<std::string> one(std::string_view text) {
    return text.empty() ? std::vector<std::string>() : std::vector<std::string>{std::string(text)};
  }

  bool find_end(const PinSaid& said, EndFound& end) {
    const size_t point = said.to.find('.');
    if (point != said.to.npos) return find_cavity(said, said.to.substr(0, point), said.to.substr(point + 1), end);
    std::vector<std::string_view> known;
    for (Index i = part().points.first; i < part().points.end(); ++i) {
      if (family_.points[i].kind == PointKind::cavity) continue;
      known.push_back(family_.text(family_.points[i].name));
      if (known.back() == said.to) end.joint = i;
    }
    if (end.joint != none) return true;
    problem(said,
            fmt::format("{} leads to `{}`, which is no cavity, splice, earth point or lead of {}", said.end(),
                        printable(said.to), family_.text(part().id)),
            one(nearest(said.to, known)), "splices, earth points and leads stand in the file first");
    return false;
  }

  // --- rows of the table, each wire once ------------------------------------------------------------

  void gather(const PinSaid& said) {
    SaidRow row{said, {}, {}};
    if (!find_cavity(said, said.connector, said.cavity, row.at)) return;
    if (is_loom() && said.state == State::wired && !said.to.empty()) {
      if (!find_end(said, row.to)) return;
      row.leads = true;
      if (said.to == said.end()) return problem(said, fmt::format("{} leads to itself", said.end()));
    }
    for (const std::string& end : {said.end(), said.to}) {
      for (const size_t at : by_end_[end]) {
        SaidRow& other = gathered_[at];
        if (!is_same_thing(other, row)) continue;
        if (merge(other, said)) return;
        other.refused = true;
        return problem(said, fmt::format("{} is said otherwise in line {}", said.end(), other.said.place.line));
      }
      if (said.to.empty()) break;
    }
    by_end_[said.end()].push_back(gathered_.size());
    gathered_.push_back(std::move(row));
  }

  static bool is_same_thing(const SaidRow& a, const SaidRow& b) {
    const bool wires = a.leads && b.leads;
    if (wires && a.said.end() == b.said.to && a.said.to == b.said.end()) return true;
    if (a.said.end() != b.said.end()) return false;
    return wires ? a.said.to == b.said.to
                 : !(a.said.state == State::wired && b.said.state == State::wired && (a.leads != b.leads));
  }

  static bool merge(SaidRow& into, const PinSaid& more) {
    PinSaid& said = into.said;
    if (said.state != more.state || said.open != more.open || said.circuit != more.circuit || said.role != more.role)
      return false;
    const auto join = [](auto& a, const auto& b, const auto& nothing) {
      if (a != nothing && b != nothing && a != b) return false;
      if (a == nothing) a = b;
      return true;
    };
    if (said.colour.base.empty()) said.colour = more.colour;
    if (!more.colour.base.empty() &&
        (more.colour.code() != said.colour.code() || more.colour.shade != said.colour.shade))
      return false;
    said.double_crimp = said.double_crimp || more.double_crimp;
    if (said.spare.empty()) said.spare = more.spare;
    said.marks |= more.marks;
    return join(said.mm2, more.mm2, not_given) && join(said.length_mm, more.length_mm, not_given) &&
           join(said.volts, more.volts, not_given) && join(said.amps, more.amps, not_given);
  }

  // Several wires in one cavity have to be meant.
  void check_twice() {
    std::map<std::string, std::vector<SaidRow*>> at;
    for (SaidRow& row : gathered_) {
      if (!is_loom()) break;
      at[row.said.end()].push_back(&row);
      if (row.leads && row.to.is_cavity()) at[row.said.to].push_back(&row);
    }
    for (auto& [end, rows_there] : at) {
      if (rows_there.size() < 2) continue;
      const bool meant = std::all_of(rows_there.begin(), rows_there.end(), [](const SaidRow* row) {
        return row->said.state == State::wired && row->leads && row->said.double_crimp;
      });
      if (meant) continue;
      for (SaidRow* row : rows_there) {
        if (row->refused) continue;
        row->refused = true;
        problem(row->said, fmt::format("{} has more than one row that is not the same", end), {},
                "two wires in one cavity are a double crimp: a column `double` says so");
      }
    }
  }

  // --- one row against the file ------------------------------------------------------------------------

  CellSet cells_of(const SaidRow& row) const {
    CellSet present;
    for (const ConnectorRow& each : rows(family_.connector_rows, family_.connectors[row.at.connector].rows))
      present |= family_.set(each.cells);
    return present & into_.cells;
  }

  void judge(const SaidRow& row, const FileSays& file) {
    const CellSet cells = cells_of(row);
    std::optional<Found> first_open, first_agrees;
    CellSet open, agrees;
    std::vector<Index> wires, pins, unknown;
    for (const uint32_t cell : cells.cells()) {
      Found found = file.of(row, cell);
      if (found.against == Against::differs) return conflict(row, found.words, found.there);
      if (found.against == Against::open) {
        open.insert(cell);
        for (const Index each : found.unknown_rows) add_once(unknown, each);
        if (!first_open) first_open = std::move(found);
      } else {
        agrees.insert(cell);
        if (found.wire != none) add_once(wires, found.wire);
        if (found.pin != none) add_once(pins, found.pin);
        if (!first_agrees) first_agrees = std::move(found);
      }
    }
    if (first_agrees && first_open)
      return conflict(row, fmt::format("the file says so in {} alone", cells_text(family_, agrees, cells)),
                      first_agrees->there);
    if (first_agrees) return agree(row, wires, pins);
    if (is_loom() && row.said.state == State::wired && !row.leads)
      return problem(row.said, fmt::format("where {} leads is not said: a wire has two ends", row.said.end()), {},
                     "a column `to` (or `nach`) says it");
    if (cells != into_.cells)
      return conflict(row,
                      fmt::format("{} is there in {} alone; say with --eras and --with where the table holds",
                                  row.said.connector, cells_text(family_, cells)),
                      {});
    add(row, unknown);
  }

  static void add_once(std::vector<Index>& all, Index one_more) {
    if (std::find(all.begin(), all.end(), one_more) == all.end()) all.push_back(one_more);
  }

  void conflict(const SaidRow& row, std::string words, Span there) {
    out_.fates.push_back({row.said.place, Fate::conflict, row.said.end(), std::move(words), there});
  }

  // --- what is written ---------------------------------------------------------------------------------

  Citation citation_of(CiteId id) const {
    Citation citation;
    const Cite& cite = family_.cites[id];
    for (const Index source : rows(family_.source_refs, cite.sources))
      citation.of.emplace_back(family_.text(family_.sources[source].id));
    citation.independent = cite.independent != 0;
    return citation;
  }

  bool is_of_file(Citation citation) const {
    std::sort(citation.of.begin(), citation.of.end());
    return citation == file_citation_;
  }

  std::string source_of(const Citation& citation) const { return is_of_file(citation) ? "" : source_text(citation); }

  void add(const SaidRow& row, const std::vector<Index>& unknown) {
    const PinSaid& said = row.said;
    using Where = NewRow::Where;
    RowText text;
    Where where = Where::wires;
    if (said.state != State::wired && !said.open) {
      where = is_loom() ? Where::cavities : Where::pin_cavities;
      text.add("state", loomproof::word(said.state));
    } else if (is_loom()) {
      write_wire(said, text);
    } else {
      where = Where::pins;
      write_pin(said, text);
    }
    text.add_marks(said.marks);
    text.add_tags(into_.tags);
    text.add("source", source_of(said.citation));
    out_.rows.push_back({where, said.connector, said.cavity, text.text()});
    for (const Index each : unknown) forget(each);
    out_.fates.push_back({said.place, Fate::added, said.end(), words_of(said), {}});
  }

  void forget(Index cavity_row) {
    const std::string name = point_name(family_, family_.cavity_rows[cavity_row].point);
    if (std::find(out_.now_known.begin(), out_.now_known.end(), name) == out_.now_known.end())
      out_.now_known.push_back(name);
  }

  static void write_wire(const PinSaid& said, RowText& text) {
    text.add("circuit", said.circuit);
    text.add("from", said.end());
    text.add("to", said.to);
    text.add("colour", said.colour.code());
    text.add("mm2", milli(said.mm2));
    if (said.length_mm != not_given) text.add("length-mm", std::to_string(said.length_mm));
    text.add("shade", loomproof::word(said.colour.shade));
    if (said.double_crimp) text.add("double", "true");
    text.add("spare", quoted(said.spare));
  }

  static void write_pin(const PinSaid& said, RowText& text) {
    if (!said.open) text.add("circuit", said.circuit);
    text.add("role", said.open ? loomproof::word(Role::open) : loomproof::word(said.role));
    text.add("volts", said.volts == system_volts ? "system" : milli(said.volts));
    text.add("max-a", milli(said.amps));
  }

  static std::string words_of(const PinSaid& said) {
    if (said.open) return "open";
    if (said.state != State::wired) return std::string(loomproof::word(said.state));
    std::string words = said.circuit;
    if (said.role != Role::unset) words += fmt::format("{}{}", words.empty() ? "" : ", ", loomproof::word(said.role));
    if (!said.to.empty()) words += fmt::format(" to {}", said.to);
    if (!said.colour.base.empty()) words += fmt::format(", {}", said.colour.code());
    if (said.mm2 != not_given) words += fmt::format(", {} mm²", milli(said.mm2));
    return words;
  }

  // What agrees may still lack something that the table has.
  void agree(const SaidRow& row, const std::vector<Index>& wires, const std::vector<Index>& pins) {
    std::string filled;
    for (const Index wire : wires) {
      const Wire& is = family_.wires[wire];
      const PinSaid& said = row.said;
      FilledRow fill{into_.spans.wires[wire].row, {}};
      if (is.base == none && !said.colour.base.empty()) fill.cells.emplace_back("colour", said.colour.code());
      if (lacks(is.mm2, said.mm2)) fill.cells.emplace_back("mm2", milli(said.mm2));
      if (lacks(is.length_mm, said.length_mm)) fill.cells.emplace_back("length-mm", std::to_string(said.length_mm));
      if (is.shade == Shade::unset && said.colour.shade != Shade::unset)
        fill.cells.emplace_back("shade", loomproof::word(said.colour.shade));
      if (!said.spare.empty() && is.spare == 0) fill.cells.emplace_back("spare", quoted(said.spare));
      if (said.double_crimp && is.double_crimp == 0) fill.cells.emplace_back("double", "true");
      if (!take_fill(row, fill, is.cells, is.cite, filled)) return;
    }
    for (const Index pin : pins) {
      const Pin& is = family_.pins[pin];
      FilledRow fill{into_.spans.pins[pin].row, {}};
      if (is.circuit == none && !row.said.circuit.empty()) fill.cells.emplace_back("circuit", row.said.circuit);
      if (lacks(is.volts, row.said.volts))
        fill.cells.emplace_back("volts", row.said.volts == system_volts ? "system" : milli(row.said.volts));
      if (lacks(is.amps, row.said.amps)) fill.cells.emplace_back("max-a", milli(row.said.amps));
      if (!take_fill(row, fill, is.cells, is.cite, filled)) return;
    }
    out_.fates.push_back({row.said.place,
                          filled.empty() ? Fate::same : Fate::filled,
                          row.said.end(),
                          filled.empty() ? words_of(row.said) : filled,
                          {}});
  }

  // False where the fill would say more than the table does, which is then a conflict.
  bool take_fill(const SaidRow& row, FilledRow& fill, Cells cells, CiteId cite, std::string& filled) {
    if (fill.cells.empty()) return true;
    if (!into_.cells.contains(family_.set(cells) & family_.set(family_.built))) {
      conflict(row,
               fmt::format("the row lacks {}, and holds in more eras or options than the table is for",
                           fill.cells.front().first),
               fill.row);
      return false;
    }
    for (const auto& [key, value] : fill.cells)
      filled += fmt::format("{}{} {}", filled.empty() ? "" : ", ", key, value);
    Citation citation = citation_of(cite);
    bool more = false;
    for (const std::string& id : row.said.citation.of)
      if (std::find(citation.of.begin(), citation.of.end(), id) == citation.of.end())
        citation.of.push_back(id), more = true;
    if (more) {
      citation.independent = false;
      fill.cells.emplace_back("source", source_text(citation));
    }
    out_.filled.push_back(std::move(fill));
    return true;
  }

  // What nobody has said of the connectors that the table is about.
  void list_left_open() {
    std::vector<Index> connectors;
    std::map<std::string, bool> named;
    for (const SaidRow& row : gathered_) {
      add_once(connectors, row.at.connector);
      if (row.said.state != State::unknown) named[row.said.end()] = true;
      if (row.leads) named[row.said.to] = true;
    }
    for (const Index connector : connectors)
      for (const uint32_t cell : into_.cells.cells())
        for (const Cavity& cavity : cavities(index_, cell, connector)) {
          const std::string name =
              fmt::format("{}.{}", family_.text(family_.connectors[connector].designator), family_.text(cavity.number));
          if (cavity.state.state != State::unknown || named.contains(name)) continue;
          if (std::find(out_.left_open.begin(), out_.left_open.end(), name) == out_.left_open.end())
            out_.left_open.push_back(name);
        }
    std::sort(out_.left_open.begin(), out_.left_open.end(),
              [](const std::string& a, const std::string& b) { return numbers_before(a, b); });
  }

  const PinoutTable& table_;
  const TakeInto& into_;
  const Family& family_;
  const FamilyIndex index_;
  std::map<std::string_view, Str, std::less<>> strings_;
  Citation file_citation_;
  std::vector<SaidRow> gathered_;
  std::map<std::string, std::vector<size_t>> by_end_;  // into gathered_, by the cavity of the row
  TakenIn out_;
};

}  // namespace

std::string_view word(Fate fate) {
  constexpr std::string_view words[] = {"same", "added", "filled in", "conflict"};
  return words[static_cast<size_t>(fate)];
}

size_t TakenIn::count(Fate fate) const {
  return static_cast<size_t>(
      std::count_if(fates.begin(), fates.end(), [&](const RowFate& row) { return row.fate == fate; }));
}

TakenIn take_in(const PinoutTable& table, const TakeInto& into) {
  return Taker(table, into).run();
}

}  // namespace loomproof::upkeep
