#include "upkeep/pinout_table.h"

#include <fmt/format.h>

#include <algorithm>

#include "diag/render.h"
#include "diag/suggest.h"
#include "family/words.h"
#include "upkeep/sizes.h"

namespace loomproof::upkeep {

namespace {

struct StateWord {
  std::string_view word;
  State state;
};
constexpr StateWord state_words[] = {
    {"wired", State::wired},         {"belegt", State::wired},        {"used", State::wired},
    {"empty", State::empty},         {"leer", State::empty},          {"unused", State::empty},
    {"not used", State::empty},      {"frei", State::empty},          {"unbelegt", State::empty},
    {"nicht belegt", State::empty},  {"sealed", State::sealed},       {"plugged", State::sealed},
    {"verschlossen", State::sealed}, {"blindstopfen", State::sealed}, {"unknown", State::unknown},
    {"unbekannt", State::unknown},   {"disputed", State::disputed},   {"strittig", State::disputed}};

std::optional<State> state_of_word(std::string_view text) {
  const std::string small = folded(text);
  for (const StateWord& each : state_words)
    if (each.word == small) return each.state;
  return std::nullopt;
}

// Words alone count in titles: "Sensor return, plus" and "sensor return (plus)" are one.
std::string plain_words(std::string_view text) {
  std::string out;
  for (const char c : folded(text)) {
    const bool is_word =
        (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (static_cast<unsigned char>(c) & 0x80) || c == '+';
    if (is_word)
      out += c;
    else if (!out.empty() && out.back() != ' ')
      out += ' ';
  }
  while (out.ends_with(' ')) out.pop_back();
  return out;
}

bool begins_with_word(std::string_view text, std::string_view word) {
  return text.starts_with(word) && (text.size() == word.size() || text[word.size()] == ';' ||
                                    text[word.size()] == ',' || text[word.size()] == ':');
}

class TableReader {
 public:
  TableReader(const CsvTable& table, const TableNames& names, const TableOptions& options, PinoutTable& out)
      : table_(table), names_(names), options_(options), out_(out) {}

  std::optional<CsvFault> read() {
    if (auto fault = read_headings(table_, options_.ignored, out_.headings)) return fault;
    if (auto fault = check_columns()) return fault;
    for (const CsvRow& row : table_.rows) read_row(row);
    return std::nullopt;
  }

 private:
  bool has(Column column) const { return out_.headings.has(column); }
  const CsvCell& cell(Column column) const {
    static const CsvCell nothing;
    const int at = out_.headings.at[static_cast<size_t>(column)];
    return at < 0 ? nothing : (*row_)[static_cast<size_t>(at)];
  }
  // Without the mark that our own tables put in front of what a spreadsheet would run.
  std::string_view text(Column column) const {
    std::string_view all = cell(column).text;
    if (all.size() > 1 && all[0] == '\'' && std::string_view("=+-@").find(all[1]) != all.npos) all.remove_prefix(1);
    return all;
  }

  std::optional<CsvFault> check_columns() const {
    std::string missing, mend;
    if (!has(Column::cavity) && !has(Column::from))
      missing = "cavities", mend = "`cavity`, `pin`, `from`, `Kammer`";
    else if (!has(Column::connector) && !has(Column::from) && options_.connector.empty())
      missing = "connectors", mend = "`connector`, `Stecker`; or name it with --connector";
    else if (!has(Column::circuit) && !has(Column::title) && !has(Column::function) && !has(Column::state))
      missing = "circuits", mend = "`circuit`, `signal`, `title`, `Stromkreis`";
    else
      return std::nullopt;
    return CsvFault{table_.headings.front().place, fmt::format("no heading names the {}, such as {}", missing, mend)};
  }

  void problem(Column column, std::string what, std::vector<std::string> may_be = {}, std::string help = {}) {
    const int at = out_.headings.at[static_cast<size_t>(column)];
    const std::string heading = at < 0 ? std::string() : table_.headings[static_cast<size_t>(at)].text;
    const TextPlace place = at < 0 ? row_->front().place : cell(column).place;
    out_.problems.push_back({place, heading.empty() ? std::move(what) : fmt::format("{}: {}", printable(heading), what),
                             std::move(may_be), std::move(help)});
    good_ = false;
  }

  void note(std::string text) {
    if (std::find(out_.notes.begin(), out_.notes.end(), text) == out_.notes.end())
      out_.notes.push_back(std::move(text));
  }

  void read_row(const CsvRow& row) {
    row_ = &row;
    good_ = true;
    said_ = {};
    read_cavity();
    if (!options_.connector.empty() && !said_.connector.empty() && said_.connector != options_.connector) {
      ++out_.other_connectors;
      if (!good_) out_.problems.pop_back();
      return;
    }
    ++out_.rows;
    check_part();
    read_state();
    if (said_.state == State::wired) {
      read_circuit();
      if (options_.kind == PartKind::loom)
        read_wire();
      else
        read_pin();
      read_marks_of_row();
    }
    read_source();
    if (good_) out_.said.push_back(std::move(said_));
  }

  void check_part() {
    const auto check = [&](Column column, const std::string& wanted) {
      const std::string_view is = text(column);
      if (!is.empty() && !wanted.empty() && plain_words(is) != plain_words(wanted))
        problem(column, fmt::format("this row is of `{}`, not of `{}`", printable(is), wanted));
    };
    check(Column::family, options_.family);
    check(Column::part, options_.part);
    const std::string_view holds = text(Column::holds_in);
    if (!holds.empty() && !options_.cells.empty() && holds != options_.cells)
      problem(Column::holds_in,
              fmt::format("this row holds in `{}`, and is to be taken in for `{}`", printable(holds), options_.cells),
              {}, "say where it holds with --eras and --with");
  }

  void read_cavity() {
    if (has(Column::cavity)) {
      said_.place = cell(Column::cavity).place;
      said_.connector = has(Column::connector) ? std::string(text(Column::connector)) : options_.connector;
      said_.cavity = text(Column::cavity);
      if (said_.cavity.empty()) problem(Column::cavity, "no cavity is named");
      if (said_.connector.empty()) problem(Column::connector, "no connector is named");
      return;
    }
    said_.place = cell(Column::from).place;
    const std::string end = end_of(text(Column::from));
    const size_t point = end.find('.');
    if (point == end.npos) return problem(Column::from, fmt::format("`{}` is no cavity such as C1.12", printable(end)));
    said_.connector = end.substr(0, point);
    said_.cavity = end.substr(point + 1);
  }

  // "C1.12", "C1:12", "C1/12", "C1 12"; "C30.1, C31.87 through S1" leads to S1.
  static std::string end_of(std::string_view text) {
    constexpr std::string_view through = " through ";
    if (const size_t at = text.rfind(through); at != text.npos) text.remove_prefix(at + through.size());
    std::string end(text);
    if (end.find('.') != end.npos) return end;
    const size_t at = end.find_first_of(":/ ");
    if (at != end.npos && at > 0 && at + 1 < end.size() && end.find_first_of(":/ ", at + 1) == end.npos) end[at] = '.';
    return end;
  }

  void read_state() {
    const std::string_view circuit = text(Column::circuit);
    const std::string_view word = text(Column::state);
    const bool names_circuit = !circuit.empty() || !text(Column::title).empty() || !text(Column::function).empty();
    said_.state = State::wired;
    if (word.empty()) {
      // Many tables say in place of the circuit that there is none.
      for (const Column column : {Column::circuit, Column::title, Column::function}) {
        if (text(column).empty()) continue;
        if (const auto state = state_of_word(text(column));
            state && *state != State::wired && *state != State::disputed)
          said_.state = *state;
        return;
      }
      if (options_.kind == PartKind::component && !text(Column::role).empty()) return;
      return problem(Column::circuit, fmt::format("{} has neither a circuit nor a state", said_.end()), {},
                     "a cavity that is known to hold nothing says `empty` (or `leer`)");
    }
    const auto state = state_of_word(word);
    if (!state && options_.kind == PartKind::component && folded(word) == "open") {
      said_.state = State::empty;
      said_.open = true;
      return;
    }
    if (!state) {
      std::vector<std::string_view> words;
      for (const StateWord& each : state_words) words.push_back(each.word);
      const std::string small = folded(word);
      const std::string_view near = nearest(small, words);
      return problem(Column::state, fmt::format("`{}` is no state that is known here", printable(word)),
                     near.empty() ? std::vector<std::string>() : std::vector<std::string>{std::string(near)},
                     "wired, empty, sealed, unknown; belegt, leer, verschlossen, unbekannt");
    }
    said_.state = *state;
    if (*state == State::disputed)
      return problem(Column::state,
                     fmt::format("{} is disputed: who says what has to be written by hand", said_.end()));
    said_.open =
        options_.kind == PartKind::component && *state == State::empty && begins_with_word(text(Column::note), "open");
    if (*state != State::wired && names_circuit)
      problem(Column::state, fmt::format("{} is {} here, and has a circuit", said_.end(), loomproof::word(*state)));
  }

  // By id, else by a title that one circuit alone has.
  std::vector<std::string> circuits_named(std::string_view name, bool by_id) const {
    std::vector<std::string> found;
    if (by_id) {
      for (const TableNames::Circuit& each : names_.circuits)
        if (each.id == name) return {each.id};
      for (const TableNames::Circuit& each : names_.circuits)
        if (folded(each.id) == folded(name)) found.push_back(each.id);
      if (!found.empty()) return found;
    }
    for (const TableNames::Circuit& each : names_.circuits)
      if (plain_words(each.title) == plain_words(name)) found.push_back(each.id);
    return found;
  }

  std::vector<std::string> near_circuits(std::string_view name) const {
    std::vector<std::string_view> ids, titles;
    for (const TableNames::Circuit& each : names_.circuits) ids.push_back(each.id), titles.push_back(each.title);
    std::vector<std::string> near;
    if (const std::string_view id = nearest(name, ids); !id.empty()) near.emplace_back(id);
    if (const std::string_view title = nearest(name, titles); !title.empty())
      for (const TableNames::Circuit& each : names_.circuits)
        if (each.title == title && std::find(near.begin(), near.end(), each.id) == near.end()) near.push_back(each.id);
    return near;
  }

  void read_circuit() {
    Column column = Column::circuit;
    if (text(column).empty()) column = Column::title;
    if (text(column).empty()) column = Column::function;
    const std::string_view name = text(column);
    if (name.empty() && options_.kind == PartKind::component) return;  // of one that many places hold
    if (name.empty() && text(Column::state).empty()) return;           // told already
    if (name.empty()) return problem(Column::circuit, fmt::format("{} is wired, and has no circuit", said_.end()));
    const std::vector<std::string> found = circuits_named(name, true);
    if (found.size() > 1) return problem(column, fmt::format("`{}` may be several circuits", printable(name)), found);
    if (found.empty())
      return problem(column, fmt::format("no circuit is named `{}`", printable(name)), near_circuits(name),
                     "circuits.yaml lists those of the family");
    said_.circuit = found.front();
    if (column != Column::circuit || text(Column::title).empty()) return;
    const std::vector<std::string> titled = circuits_named(text(Column::title), false);
    if (titled.size() == 1 && titled.front() != said_.circuit)
      problem(Column::title, fmt::format("`{}` is the title of {}, not of {}", printable(text(Column::title)),
                                         titled.front(), said_.circuit));
  }

  void read_wire() {
    said_.to = has(Column::to_connector) && !text(Column::to_connector).empty()
                   ? fmt::format("{}.{}", text(Column::to_connector), text(Column::to_cavity))
                   : end_of(text(Column::to));
    if (has(Column::to_connector) && !text(Column::to_cavity).empty() && text(Column::to_connector).empty())
      problem(Column::to_connector, "a cavity without its connector");
    read_colour_of_row();
    const auto take = [&](Column column, QuantityRead read) {
      if (!read.understood()) return problem(column, read.problem, read.may_be);
      if (!read.note.empty()) note(read.note);
      if (read.value != not_given) said_.mm2 = read.value;
    };
    take(Column::mm2, read_mm2(text(Column::mm2), names_.nominal_mm2));
    if (!text(Column::awg).empty()) {
      if (said_.mm2 != not_given)
        problem(Column::awg, "a gauge as well as a cross-section; leave one of them out");
      else
        take(Column::awg, read_awg(text(Column::awg), names_.nominal_mm2));
    }
    const QuantityRead length = read_quantity(text(Column::length_mm), {"mm"});
    if (!length.understood() ||
        (length.value != not_given && (length.value % 1000 != 0 || length.value > 100'000'000 || length.value == 0)))
      problem(Column::length_mm, fmt::format("`{}` is no length in whole mm", printable(text(Column::length_mm))));
    else if (length.value != not_given)
      said_.length_mm = length.value / 1000;
    const std::string twice = folded(text(Column::double_crimp));
    const bool yes = twice == "yes" || twice == "true" || twice == "x" || twice == "ja" || twice == "1";
    const bool no = twice.empty() || twice == "no" || twice == "false" || twice == "nein" || twice == "0";
    if (!yes && !no) problem(Column::double_crimp, fmt::format("`{}` is neither yes nor no", printable(twice)));
    // As our own tables note it, at the end.
    constexpr std::string_view spare = "spare: ";
    const std::string_view remark = text(Column::note);
    if (const size_t at = remark.rfind(spare); at == 0 || (at != remark.npos && at > 1 && remark[at - 2] == ';'))
      said_.spare = remark.substr(at + spare.size());
    said_.double_crimp = yes || begins_with_word(text(Column::note), "double crimp");
  }

  void read_colour_of_row() {
    const auto read = [&](Column column) {
      ColourRead colour = read_colour(text(column), options_.colours);
      if (!colour.understood())
        problem(column, colour.problem, colour.may_be,
                "say what an abbreviation means with --colour, as in --colour bl=BU");
      for (const std::string& code : {colour.base, colour.tracer})
        if (!code.empty() && !names_.colours.contains(code))
          problem(column, fmt::format("the corpus's vocabulary has no colour {}", code));
      return colour;
    };
    said_.colour = read(Column::colour);
    if (text(Column::tracer).empty()) return;
    const ColourRead tracer = read(Column::tracer);
    if (tracer.understood() && tracer.base.empty()) return;  // "none"
    if (said_.colour.base.empty() || !said_.colour.tracer.empty() || !tracer.tracer.empty() ||
        tracer.shade != Shade::unset || tracer.base == said_.colour.base || tracer.base == "GNYE" ||
        said_.colour.base == "GNYE")
      return problem(Column::tracer, fmt::format("`{}` does not go with `{}`", printable(text(Column::tracer)),
                                                 printable(text(Column::colour))));
    said_.colour.tracer = tracer.base;
  }

  void read_pin() {
    const std::string_view role = text(Column::role);
    if (role.empty())
      problem(Column::role, fmt::format("{} has no role: whether it gives or takes is never guessed", said_.end()), {},
              "a column `role` with the corpus's words, such as takes-feed, gives-signal, pulls-low");
    else if (!parse_word(role, said_.role)) {
      std::vector<std::string_view> words;
      for (uint32_t i = 1; i < word_count<Role>; ++i) words.push_back(loomproof::word(static_cast<Role>(i)));
      const std::string_view near = nearest(role, words);
      problem(Column::role, fmt::format("`{}` is no role", printable(role)),
              near.empty() ? std::vector<std::string>() : std::vector<std::string>{std::string(near)});
    }
    if (folded(text(Column::volts)) == "system") {
      said_.volts = system_volts;
    } else {
      const QuantityRead volts = read_quantity(text(Column::volts), {"v"});
      if (!volts.understood()) problem(Column::volts, volts.problem);
      said_.volts = volts.value;
    }
    const QuantityRead amps = read_quantity(text(Column::max_a), {"a"});
    if (!amps.understood()) problem(Column::max_a, amps.problem);
    said_.amps = amps.value;
  }

  void read_marks_of_row() {
    const auto read = [&](Column column, uint32_t single, uint32_t memory) {
      const std::string_view is = text(column);
      if (is.empty()) return;
      if (is == "single source" || is == "single")
        said_.marks |= single;
      else if (is == "from memory" || is == "memory")
        said_.marks |= memory;
      else
        problem(column, fmt::format("`{}` is no such mark", printable(is)), {"single source", "from memory"});
    };
    read(Column::function_evidence, function_single, function_memory);
    read(Column::colour_evidence, colour_single, colour_memory);
    read(Column::mm2_evidence, mm2_single, mm2_memory);
  }

  // "a", "a; b (practice), independent of each other"
  void read_source() {
    std::string_view all = text(Column::source);
    if (all.empty()) all = options_.source;
    if (all.empty() && said_.state != State::unknown && !options_.file_source.empty()) {
      all = options_.file_source;
      note(fmt::format("rows that name no source rest on that of the file: {}", all));
    }
    constexpr std::string_view independent = ", independent of each other";
    if (all.ends_with(independent)) {
      said_.citation.independent = true;
      all.remove_suffix(independent.size());
    }
    if (all.empty() && (said_.state == State::unknown || said_.state == State::disputed))
      return;  // nothing is written of it
    if (all.empty())
      return problem(Column::source, fmt::format("{} has no source", said_.end()), {},
                     "name one with --source, or in a column `source`");
    while (!all.empty()) {
      const size_t end = std::min(all.find_first_of(";,"), all.size());
      std::string id(all.substr(0, end));
      all.remove_prefix(std::min(end + 1, all.size()));
      if (const size_t kind = id.find(" ("); kind != id.npos && id.ends_with(')')) id.erase(kind);
      while (id.starts_with(' ')) id.erase(0, 1);
      while (id.ends_with(' ')) id.pop_back();
      if (id.empty()) continue;
      if (names_.sources.contains(id)) {
        said_.citation.of.push_back(id);
        continue;
      }
      const std::vector<std::string_view> known(names_.sources.begin(), names_.sources.end());
      const std::string_view near = nearest(id, known);
      problem(Column::source, fmt::format("no source is named `{}`", printable(id)),
              near.empty() ? std::vector<std::string>() : std::vector<std::string>{std::string(near)});
    }
  }

  const CsvTable& table_;
  const TableNames& names_;
  const TableOptions& options_;
  PinoutTable& out_;
  const CsvRow* row_ = nullptr;
  PinSaid said_;
  bool good_ = true;
};

}  // namespace

std::string either_words(const std::vector<std::string>& items) {
  std::string text;
  for (size_t i = 0; i < items.size(); ++i) text += (i == 0 ? "" : i + 1 == items.size() ? " or " : ", ") + items[i];
  return text;
}

std::optional<CsvFault> read_pinout(std::string_view bytes, char separator, const TableNames& names,
                                    const TableOptions& options, PinoutTable& out) {
  out = {};
  CsvTable table;
  if (auto fault = read_csv(bytes, separator, table)) return fault;
  out.separator = table.separator;
  return TableReader(table, names, options, out).read();
}

}  // namespace loomproof::upkeep
