// loomproof compare: what differs by meaning between two eras, two values of an option, or two parts.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "checks/check.h"
#include "command.h"
#include "compare/differences.h"
#include "compare/judge.h"
#include "compare/stub.h"
#include "compare/words.h"
#include "diag/render.h"
#include "reports/escape.h"
#include "select.h"
#include "terminal.h"

namespace loomproof::tool {

namespace {

struct CompareArguments {
  CorpusArguments corpus;
  CellArguments cells;
  std::string left, right, format = "text";
  bool declare = false;
};

struct Row {
  std::string place, part, kind, words, cells;
};

// The same words in several pairs of cells are one row.
class Collected {
 public:
  explicit Collected(const Family& family) : family_(family) {}
  void add(const std::vector<Difference>& differences, uint32_t cell) {
    for (const Difference& each : differences) {
      Key key{each.item.place, each.item.part, static_cast<uint32_t>(each.item.kind), difference_words(family_, each)};
      auto [entry, fresh] = cells_.try_emplace(key);
      entry->second.insert(cell);
      if (fresh) order_.push_back(key);
    }
  }
  std::vector<Row> rows(const CellSet& universe) const {
    std::vector<Row> all;
    std::vector<Key> order = order_;  // by place; within it as the pairs of cells were compared
    std::stable_sort(order.begin(), order.end(),
                     [](const Key& a, const Key& b) { return std::get<0>(a) < std::get<0>(b); });
    for (const Key& key : order) {
      const auto& [place, part, kind, words] = key;
      all.push_back({place == none ? "" : std::string(family_.text(family_.places[place].id)),
                     part == none ? "" : std::string(family_.text(family_.parts[part].id)),
                     std::string(word(static_cast<ChangeKind>(kind))), words,
                     cells_text(family_, cells_.at(key), universe)});
    }
    return all;
  }

 private:
  using Key = std::tuple<Index, Index, uint32_t, std::string>;
  const Family& family_;
  std::map<Key, CellSet> cells_;
  std::vector<Key> order_;
};

void print_rows(const Family& family, const CompareArguments& arguments, const std::vector<Row>& rows) {
  if (arguments.format == "json") {
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    for (const Row& row : rows)
      all.push_back(
          {{"place", row.place}, {"part", row.part}, {"kind", row.kind}, {"words", row.words}, {"in", row.cells}});
    fmt::print("{}\n", all.dump(2));
  } else if (arguments.format == "csv") {
    fmt::print("place,part,kind,difference,in\n");
    for (const Row& row : rows)
      fmt::print("{},{},{},{},{}\n", csv_field(row.place), csv_field(row.part), csv_field(row.kind),
                 csv_field(row.words), csv_field(row.cells));
  } else if (arguments.format == "markdown") {
    fmt::print("# {}: {} and {}\n\n", markdown_text(family.text(family.title)), markdown_text(arguments.left),
               markdown_text(arguments.right));
    fmt::print("| place | part | kind | difference | in |\n| --- | --- | --- | --- | --- |\n");
    for (const Row& row : rows)
      fmt::print("| {} | {} | {} | {} | {} |\n", markdown_text(row.place), markdown_text(row.part), row.kind,
                 markdown_text(row.words), markdown_text(row.cells));
  } else {
    std::string place;
    for (const Row& row : rows) {
      if (row.place != place) fmt::print("{}{}\n", place.empty() ? "" : "\n", printable(row.place));
      place = row.place;
      std::string words = row.words + (row.cells == "all" ? "" : "; in " + row.cells);
      fmt::print("  {}\n", wrapped(printable(words), 4, static_cast<size_t>(terminal_width(STDOUT_FILENO))));
    }
    fmt::print("{}{} differences\n", rows.empty() ? "" : "\n", rows.empty() ? "no" : std::to_string(rows.size()));
  }
}

std::vector<Index> parts_named(const Family& family, const std::string& id) {
  std::vector<Index> found;
  for (Index part = 0; part < family.parts.size(); ++part)
    if (family.text(family.parts[part].id) == id) found.push_back(part);
  return found;
}

int compare_parts(const Family& family, const FamilyIndex& index, const CompareArguments& arguments, Index left,
                  Index right) {
  CellSet wanted = arguments.cells.select(family);
  CellSet a = family.set(family.parts[left].cells) & wanted, b = family.set(family.parts[right].cells) & wanted;
  if (a.empty() || b.empty())
    throw EnvironmentError("one of the two parts was not built with that era and those options");
  Collected collected(family);
  collected.add(differences(index, left, a.lowest(), right, b.lowest()), a.lowest());
  fmt::print(stderr, "{} as in {}; {} as in {}\n", arguments.left, cell_text(family, a.lowest()), arguments.right,
             cell_text(family, b.lowest()));
  print_rows(family, arguments, collected.rows(CellSet::of(a.lowest())));
  return clean;
}

int compare_sides(const Family& family, const FamilyIndex& index, const CompareArguments& arguments) {
  Side left = find_side(family, arguments.left), right = find_side(family, arguments.right);
  if (left.axis != right.axis) throw EnvironmentError("the two sides have to be eras, or values of one option");
  if (left.value == right.value) throw EnvironmentError("the two sides are the same");
  if (arguments.declare) {
    FamilyVerdict verdict = judge_family(index);
    std::string stub = declare_stub(family, left.axis, left.value, right.value, verdict.undeclared);
    if (stub.empty()) fmt::print(stderr, "nothing between {} and {} is undeclared\n", arguments.left, arguments.right);
    fmt::print("{}", stub);
    return clean;
  }
  const CellSet& built = family.set(family.built);
  CellSet wanted = arguments.cells.select(family), compared;
  Collected collected(family);
  for (uint32_t cell : wanted.cells()) {
    if (family.coordinate(cell, left.axis) != left.value) continue;
    uint32_t other = family.with_coordinate(cell, left.axis, right.value);
    if (!built.has(other)) continue;
    compared.insert(cell);
    collected.add(differences(index, cell, other), cell);
  }
  if (compared.empty()) throw EnvironmentError("the factory built no two vehicles that differ in this alone");
  print_rows(family, arguments, collected.rows(compared));
  return clean;
}

int run(const CompareArguments& arguments) {
  std::unique_ptr<Compiled> compiled = arguments.corpus.compile();
  const CompiledFamily& each = find_family(*compiled, arguments.corpus.family);
  FamilyIndex index(each.family);
  std::vector<Index> left = parts_named(each.family, arguments.left), right = parts_named(each.family, arguments.right);
  if (!left.empty() && !right.empty()) return compare_parts(each.family, index, arguments, left.front(), right.front());
  return compare_sides(each.family, index, arguments);
}

}  // namespace

void add_compare(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<CompareArguments>();
  CLI::App* command = app.add_subcommand("compare", "Say what differs between two eras, option values or parts");
  command->add_option("FAMILY", arguments->corpus.family, "The family")->required();
  command->add_option("LEFT", arguments->left, "An era, option=value, or a part")->required();
  command->add_option("RIGHT", arguments->right, "The other")->required();
  arguments->cells.add_to(*command);
  arguments->corpus.add_to(*command, false);
  command->add_option("--format", arguments->format, "text, markdown, csv or json")
      ->check(CLI::IsMember({"text", "markdown", "csv", "json"}))
      ->capture_default_str();
  command->add_flag("--declare", arguments->declare, "Print a changes file for what is not declared");
  command->footer(
      "Examples:\n  loomproof compare croft b c\n  loomproof compare croft supply=12V supply=24V --era c\n"
      "  loomproof compare croft unit-12-ab unit-12-c --format markdown\n  loomproof compare croft b c --declare");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
