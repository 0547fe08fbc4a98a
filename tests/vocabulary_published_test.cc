// The shared vocabulary of the reference corpus against the published tables that it is taken from: IEC 60757:2021,
// DIN 72552-2:2014, SAE J1930 MAR2017, ISO 6722-1:2011, ISO 8820-3 and one maker's table of currents. Every entry is
// there, none is made up, and what is known less well is marked so. The tables are in tests/published.
#include <catch2/catch.hpp>
#include <set>

#include "published/table.h"
#include "source/files.h"
#include "yaml/tree.h"

using namespace loomproof;
using loomproof::testing::published_table;
using loomproof::testing::PublishedRow;

namespace {

class Vocabulary {
 public:
  explicit Vocabulary(const std::string& name) {
    std::string problem;
    const std::string path = std::string(LOOMPROOF_SOURCE_DIR) + "/reference/vocabulary/" + name;
    const FileId id = sources_.add(name, RealFiles().read(path, problem));
    REQUIRE(problem.empty());
    Report report;
    tree_ = yaml::Tree::read(sources_.file(id), id, report);
    REQUIRE(report.empty());
  }
  yaml::Node operator[](std::string_view key) const { return tree_.root()[key]; }

 private:
  Sources sources_;
  yaml::Tree tree_;
};

std::string text(yaml::Node node) {
  return node ? std::string(node.text()) : std::string();
}
double number(yaml::Node node) {
  return node ? std::stod(text(node)) : 0;
}

// The mark of an entry, in the words of the tables.
std::string known(yaml::Node entry, std::string_view key = "known") {
  const std::string mark = text(entry[key]);
  return mark.empty() ? "confirmed" : mark;
}

yaml::Node of_size(yaml::Node conductors, double mm2) {
  for (const yaml::Node row : conductors)
    if (number(row["mm2"]) == Approx(mm2)) return row;
  return {};
}

}  // namespace

TEST_CASE("colours are those of IEC 60757, in its order") {
  const Vocabulary colours("colours.yaml");
  const std::vector<PublishedRow> table = published_table("iec60757.csv");
  CHECK(colours["colours"].size() == table.size());
  for (const PublishedRow& row : table) {
    INFO(row.at("code"));
    const yaml::Node colour = colours["colours"][row.at("code")];
    REQUIRE(colour);
    CHECK(text(colour["name"]) == row.at("colour"));
    CHECK(text(colour["order"]) == row.at("order"));
  }
}

TEST_CASE("terminal designations are those of DIN 72552-2") {
  const Vocabulary terminals("terminals.yaml");
  const std::vector<PublishedRow> table = published_table("din72552.csv");
  CHECK(terminals["terminals"].size() == table.size());
  for (const PublishedRow& row : table) {
    INFO(row.at("terminal"));
    const yaml::Node terminal = terminals["terminals"][row.at("terminal")];
    REQUIRE(terminal);
    CHECK(text(terminal["group"]) == row.at("group"));
    CHECK(known(terminal) == row.at("known"));
  }
}

TEST_CASE("functions begin with the terms of SAE J1930; all others are common practice and say so") {
  const Vocabulary functions("functions.yaml");
  std::set<std::string> acronyms;
  for (const PublishedRow& row : published_table("j1930.csv")) {
    INFO(row.at("acronym"));
    acronyms.insert(row.at("acronym"));
    const yaml::Node function = functions["functions"][row.at("acronym")];
    REQUIRE(function);
    const std::string meaning = text(function["meaning"]);
    CHECK(meaning.substr(0, meaning.find(" (also called: ")) == row.at("term"));
    CHECK(known(function) == row.at("known"));
    CHECK_FALSE(function["source"]);
  }
  for (const yaml::Node function : functions["functions"]) {
    INFO(function.key());
    if (!acronyms.count(std::string(function.key()))) CHECK(text(function["source"]) == "trade-words");
  }
}

TEST_CASE("resistances are those of ISO 6722-1, and above that of copper by itself") {
  const Vocabulary conductors("conductors.yaml");
  std::set<double> sizes;
  for (const PublishedRow& row : published_table("iso6722_1.csv")) {
    INFO(row.at("mm2") << " mm2");
    sizes.insert(std::stod(row.at("mm2")));
    const yaml::Node conductor = of_size(conductors["conductors"], std::stod(row.at("mm2")));
    REQUIRE(conductor);
    CHECK(number(conductor["mohm-per-m"]) == Approx(std::stod(row.at("mohm_per_m"))));
    CHECK(known(conductor) == row.at("known"));
    // IEC 60028: copper at 20 C has 1/58 ohm mm2/m; a stranded conductor has a little more.
    CHECK(number(conductor["mohm-per-m"]) > 1000.0 / 58 / std::stod(row.at("mm2")));
  }
  for (const yaml::Node conductor : conductors["conductors"])
    if (conductor["mohm-per-m"]) CHECK(sizes.count(number(conductor["mm2"])) == 1);
}

TEST_CASE("continuous currents are those of the one table that is named") {
  const Vocabulary conductors("conductors.yaml");
  CHECK(text(conductors["current-source"]) == "thin-wall-ratings");
  CHECK_FALSE(text(conductors["current-table"]).empty());
  std::set<double> sizes;
  for (const PublishedRow& row : published_table("thin_wall_ratings.csv")) {
    INFO(row.at("mm2") << " mm2");
    sizes.insert(std::stod(row.at("mm2")));
    const yaml::Node conductor = of_size(conductors["conductors"], std::stod(row.at("mm2")));
    REQUIRE(conductor);
    CHECK(number(conductor["amps"]) == Approx(std::stod(row.at("amps"))));
    CHECK(known(conductor, "amps-known") == row.at("known"));
  }
  for (const yaml::Node conductor : conductors["conductors"])
    if (conductor["amps"]) CHECK(sizes.count(number(conductor["mm2"])) == 1);
}

TEST_CASE("fuse colours are those of ISO 8820-3") {
  const Vocabulary fuses("fuses.yaml");
  const std::vector<PublishedRow> table = published_table("iso8820_3.csv");
  std::set<std::string> stated;
  for (const yaml::Node fuse : fuses["fuses"]) {
    const std::string type = text(fuse["type"]), amps = text(fuse["amps"]);
    INFO("type " << type << ", " << amps << " A");
    CHECK(stated.insert(type + amps).second);
    size_t found = 0;
    for (const PublishedRow& row : table) {
      if (row.at("amps") != amps || row.at("type").find(type) == std::string::npos) continue;
      ++found;
      CHECK(text(fuse["colour"]) == row.at("colour"));
      CHECK(known(fuse) == row.at("known"));
    }
    CHECK(found == 1);
  }
  // Every rating of the tables is there: of those that C and F share, at least as C.
  for (const PublishedRow& row : table) CHECK(stated.count(row.at("type").substr(0, 1) + row.at("amps")) == 1);
}
