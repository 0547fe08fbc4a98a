#include "import_text.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <set>

#include "diag/render.h"

namespace loomproof::tool {

namespace {

using upkeep::Column;
using upkeep::Fate;
using upkeep::RowFate;
using upkeep::TableProblem;

std::string count_of(size_t count, std::string_view one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

std::vector<TableProblem> problems_of(const ImportTold& told) {
  std::vector<TableProblem> all = told.read.problems;
  all.insert(all.end(), told.taken.problems.begin(), told.taken.problems.end());
  std::stable_sort(all.begin(), all.end(), [](const TableProblem& a, const TableProblem& b) {
    return a.place.line != b.place.line ? a.place.line < b.place.line : a.place.column < b.place.column;
  });
  return all;
}

std::string place_text(const ImportTold& told, upkeep::TextPlace place) {
  return fmt::format("{}:{}:{}", printable(told.table), place.line, place.column);
}

// "reference/families/croft/looms/pump.yaml:23"
std::string there_text(const ImportTold& told, Span there) {
  if (!there.known()) return {};
  const SourceFile& file = told.compiled.sources.file(there.file);
  std::string path = file.path();
  if (path.starts_with("./")) path.erase(0, 2);
  return fmt::format("{}/{}:{}", told.corpus, path, file.at(there.begin).line);
}

void append_problems(const ImportTold& told, std::string& out) {
  const std::vector<TableProblem> problems = problems_of(told);
  if (problems.empty()) return;
  out += "\nNot understood\n";
  std::set<std::string> helped;
  for (const TableProblem& problem : problems) {
    out += fmt::format("{}: {}\n", place_text(told, problem.place), printable(problem.text));
    if (!problem.may_be.empty()) out += fmt::format("  may be: {}\n", printable(upkeep::either_words(problem.may_be)));
    if (!problem.help.empty() && helped.insert(problem.help).second) out += fmt::format("  help: {}\n", problem.help);
  }
}

void append_conflicts(const ImportTold& told, std::string& out) {
  if (told.taken.count(Fate::conflict) == 0) return;
  out += "\nSaid otherwise by the file, which stays as it is\n";
  for (const RowFate& row : told.taken.fates) {
    if (row.fate != Fate::conflict) continue;
    out += fmt::format("{}: {}: {}\n", place_text(told, row.place), row.end, printable(row.words));
    if (row.there.known()) out += fmt::format("  {}\n", there_text(told, row.there));
  }
}

std::string list_text(const std::vector<std::string>& items) {
  std::string text;
  for (const std::string& item : items) text += (text.empty() ? "" : ", ") + printable(item);
  return text;
}

std::string closing_line(const ImportTold& told) {
  if (told.written && !told.diff.empty())
    return fmt::format("written; next: loomproof check {} --family {}\n", told.corpus, told.family);
  if (told.stopped) return "nothing is written: mend the table, or leave these rows out with --partly\n";
  if (told.diff.empty()) return "nothing to write\n";
  return "nothing is written yet; --write writes this\n";
}

}  // namespace

size_t rows_not_understood(const upkeep::PinoutTable& read, const upkeep::TakenIn& taken) {
  std::set<uint32_t> lines;
  for (const auto* problems : {&read.problems, &taken.problems})
    for (const TableProblem& problem : *problems) lines.insert(problem.place.line);
  return lines.size();
}

std::string import_text(const ImportTold& told) {
  const auto& [table, corpus, family, compiled, read, taken, part, diff, left_out, stopped, written] = told;
  std::string columns;
  for (size_t i = 0; i < upkeep::column_count; ++i)
    if (read.headings.has(static_cast<Column>(i)))
      columns += fmt::format("{}{}", columns.empty() ? "" : ", ", word(static_cast<Column>(i)));
  std::string out = fmt::format("{}: {}, separated by {}\n", printable(table), count_of(read.rows, "row"),
                                read.separator == '\t'  ? "tabs"
                                : read.separator == ';' ? "semicolons"
                                                        : "commas");
  if (read.other_connectors > 0)
    out += fmt::format("  {} of other connectors\n", count_of(read.other_connectors, "row"));
  out += fmt::format("  read        {}\n", columns);
  if (!read.headings.aside.empty()) out += fmt::format("  left aside  {}\n", list_text(read.headings.aside));
  for (const std::string& note : read.notes) out += fmt::format("  note        {}\n", note);
  append_problems(told, out);
  append_conflicts(told, out);
  if (!diff.empty()) out += "\n" + diff;
  out += fmt::format("\n{}: {} added, {} filled in, {} the same", part, taken.count(Fate::added),
                     taken.count(Fate::filled), taken.count(Fate::same));
  const size_t conflicts = taken.count(Fate::conflict), problems = rows_not_understood(read, taken);
  if (conflicts > 0) out += fmt::format(", {} said otherwise", conflicts);
  if (problems > 0) out += fmt::format(", {} not understood", problems);
  out += "\n";
  if (!taken.left_open.empty()) out += fmt::format("still unknown: {}\n", list_text(taken.left_open));
  if (left_out > 0 && !stopped) out += fmt::format("{} left out\n", count_of(left_out, "row"));
  return out + closing_line(told);
}

std::string import_json(const ImportTold& told) {
  nlohmann::ordered_json out;
  const auto place = [&](upkeep::TextPlace at) {
    return nlohmann::ordered_json{{"path", told.table}, {"line", at.line}, {"column", at.column}};
  };
  out["rows"] = nlohmann::ordered_json::array();
  for (const RowFate& row : told.taken.fates) {
    nlohmann::ordered_json one = place(row.place);
    one["cavity"] = row.end;
    one["fate"] = word(row.fate);
    one["words"] = row.words;
    one["there"] = row.there.known() ? nlohmann::ordered_json(there_text(told, row.there)) : nlohmann::ordered_json();
    out["rows"].push_back(std::move(one));
  }
  out["problems"] = nlohmann::ordered_json::array();
  for (const TableProblem& problem : problems_of(told)) {
    nlohmann::ordered_json one = place(problem.place);
    one["message"] = problem.text;
    one["mayBe"] = problem.may_be;
    one["help"] = problem.help;
    out["problems"].push_back(std::move(one));
  }
  out["notes"] = told.read.notes;
  out["leftAside"] = told.read.headings.aside;
  out["leftOpen"] = told.taken.left_open;
  out["diff"] = told.diff;
  out["written"] = told.written && !told.diff.empty();
  return out.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace loomproof::tool
