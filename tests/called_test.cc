// Cavities by other names than their numbers: as moulded, as a manual has them. And through both programs.
#include "nets/called.h"

#include "run_bench.h"
#include "small_family.h"

using namespace loomproof;
using loomproof::testing::run_bench;
using loomproof::testing::SmallFamily;

namespace {

// A plug whose first two cavities are moulded the other way round, and of which two manuals count otherwise.
struct Renumbered : SmallFamily {
  Index plug_connector = none;
  Renumbered() {
    begin("chassis", PartKind::loom, "CHASSIS-LOOM");
    plug(testing::everywhere, "C1", "inline-8");
    plug_connector = connector("C1");
    end();
    Family& f = family();
    const Index first = f.housings[f.connector_rows[connector_row_in(f, plug_connector, 0)].housing].cavities.first;
    f.housing_cavities[first].moulded = build().text("2");
    f.housing_cavities[first + 1].moulded = build().text("1");
    const CiteId old_book = build().cite({build().source("old-book", SourceKind::manual)}),
                 new_book = build().cite({build().source("new-book", SourceKind::manual)});
    f.in_manuals = {{first + 2, build().text("A3"), old_book},
                    {first + 3, build().text("A4"), old_book},
                    {first + 3, build().text("B7"), new_book},
                    {first + 4, build().text("A4"), new_book}};
  }
  std::vector<Called> called(std::string_view text) {
    return cavities_called(FamilyIndex(family()), 0, plug_connector, text);
  }
  std::string meant(std::string_view text) { return std::string(family().text(cavity_meant(called(text)))); }
  std::string note(std::string_view text) { return called_note(family(), called(text), text); }
};

}  // namespace

TEST_CASE("a cavity is found by its number, and by what else it is called") {
  Renumbered f;
  CHECK(f.meant("8") == "8");
  CHECK(f.note("8").empty());
  CHECK(f.meant("A3") == "3");
  CHECK(f.note("A3") == "cavity 3 is A3 in old-book");
  CHECK(f.meant("B7") == "4");
  CHECK(f.meant("none").empty());
  CHECK(f.meant("a3").empty());  // as it is written, not nearly so
}

TEST_CASE("a number that another cavity has moulded means the cavity of that number, with a warning") {
  Renumbered f;
  CHECK(f.meant("1") == "1");
  CHECK(f.note("1") == "beware: cavity 2 is moulded 1, not cavity 1");
  CHECK(f.meant("2") == "2");
  CHECK(f.note("2") == "beware: cavity 1 is moulded 2, not cavity 2");
}

TEST_CASE("what two manuals give to two cavities means neither") {
  Renumbered f;
  CHECK(f.meant("A4").empty());
  CHECK(f.called("A4").size() == 2);
  CHECK(f.note("A4") == "cavity 4 is A4 in old-book; cavity 5 is A4 in new-book");
}

TEST_CASE("names of a cavity are kept with who gives them") {
  Renumbered f;
  const Index first = f.family().in_manuals.front().cavity - 2;
  CHECK(other_names(f.family(), first) == std::vector<std::string>{"moulded 2"});
  CHECK(names_in_manuals(f.family(), first + 3) == "A4 in old-book, B7 in new-book");
  CHECK(other_names(f.family(), none).empty());
}

// ISO 1724:2003 prints 58L for contact 7 of type 12N.
TEST_CASE("loombench show finds a cavity as it is moulded, through the pack") {
  const auto by_number = run_bench("show trailer-12v TRAILER.C1.7 --with coupling=12N");
  const auto by_name = run_bench("show trailer-12v TRAILER.C1.58L --with coupling=12N");
  REQUIRE(by_number.status == 0);
  REQUIRE(by_name.status == 0);
  CHECK(by_number.out.find("moulded 58L") != std::string::npos);
  CHECK(by_name.out.find("cavity 7 is moulded 58L") != std::string::npos);
  CHECK(by_name.out.find("POS-L") != std::string::npos);
  CHECK(run_bench("show trailer-12v TRAILER.C1.58X --with coupling=12N").status == 2);
}

// The invented plugs of the croft's body: the 14-way plug is moulded from the other end, the book numbers the 24-way
// one by rows.
TEST_CASE("both programs find a cavity as a manual has it, and warn of a number that is moulded elsewhere") {
  const auto by_book = run_bench("show croft HEAT-UNIT.X1.a8");
  REQUIRE(by_book.status == 0);
  CHECK(by_book.out.find("cavity 8 is a8 in croft-body-book") != std::string::npos);
  const auto moulded = run_bench("show croft DOOR-PANEL-L.X1.9");
  REQUIRE(moulded.status == 0);
  CHECK(moulded.out.find("beware: cavity 6 is moulded 9, not cavity 9") != std::string::npos);
  CHECK(moulded.out.find("GND-BODY") != std::string::npos);  // of cavity 9
}
