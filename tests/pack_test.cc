// Packs: what is written is read back, and nothing that is not a sound pack is read at all.
#include "pack/pack.h"

#include <flatbuffers/flatbuffers.h>
#include <catch2/catch.hpp>

#include <cstddef>
#include <cstring>
#include <map>
#include <memory>

#include "family/fields.h"
#include "pack_seal.h"
#include "pack_walk.h"
#include "random_family.h"

using namespace loomproof;
using loomproof::testing::FamilyBuilder;
using loomproof::testing::random_family;
using loomproof::testing::RandomSize;
using loomproof::testing::seal;
using loomproof::testing::sealable;
using loomproof::testing::walk;

namespace {

constexpr RandomSize tiny{.eras = 2,
                          .options = 1,
                          .values = 2,
                          .looms = 1,
                          .components = 1,
                          .connectors = 1,
                          .cavities = 2,
                          .wires = 2,
                          .splices = 1};

std::string refusal(std::string_view bytes) {
  return pack::Pack::open(bytes).refusal;
}

// The rows of a table within the bytes, as words.
uint32_t* words(std::string& bytes, const void* vector_data) {
  return reinterpret_cast<uint32_t*>(bytes.data() + (static_cast<const char*>(vector_data) - bytes.data()));
}

#define ROWS_OF(bytes, table) words(bytes, packed::GetPack((bytes).data())->table()->Data())

std::map<Table, std::pair<uint32_t*, uint32_t>> tables_of(std::string& bytes) {
  std::map<Table, std::pair<uint32_t*, uint32_t>> tables;
  const packed::Pack* pack = packed::GetPack(bytes.data());
#define TABLE(name, Row) \
  if (pack->name()) tables[Table::name] = {words(bytes, pack->name()->Data()), pack->name()->size()};
#include "family/tables.def"
#undef TABLE
  return tables;
}

// A pack of another version: the same bytes with the version fields overwritten and sealed.
std::string with_version(std::string bytes, uint32_t major, uint32_t minor) {
  auto* table = reinterpret_cast<flatbuffers::Table*>(const_cast<packed::Pack*>(packed::GetPack(bytes.data())));
  REQUIRE(table->SetField<uint32_t>(packed::Pack::VT_MAJOR, major, 0));
  REQUIRE(table->SetField<uint32_t>(packed::Pack::VT_MINOR, minor, 0));
  seal(bytes);
  return bytes;
}

// Where the field of that name stands in the root table: fields are numbered in order, two bytes each, from 4.
flatbuffers::voffset_t slot_of(std::string_view name) {
  const flatbuffers::TypeTable* pack = packed::PackTypeTable();
  size_t field = 0;
  while (pack->names[field] != name) ++field;
  return static_cast<flatbuffers::voffset_t>(4 + 2 * field);
}

// The pack of a later minor version: all that there is, and a table at the end that nobody here knows.
std::string with_later_table(const Family& family) {
  const std::string bytes = pack::write(family);
  const packed::Pack* pack = packed::GetPack(bytes.data());
  flatbuffers::FlatBufferBuilder builder;
  builder.ForceDefaults(true);
  const auto copy = [&](const auto* vector, size_t row_size) -> uint32_t {
    if (!vector) return 0;
    builder.StartVector(vector->size() * row_size / 4, 4);
    builder.PushBytes(vector->Data(), vector->size() * row_size);
    return builder.EndVector(vector->size());
  };
  std::vector<std::pair<flatbuffers::voffset_t, uint32_t>> offsets;
#define TABLE(name, Row) offsets.emplace_back(slot_of(#name), copy(pack->name(), sizeof(Row)));
#include "family/tables.def"
#undef TABLE
  offsets.emplace_back(packed::Pack::VT_CAVITY_POINTS, copy(pack->cavity_points(), 4));
  offsets.emplace_back(packed::Pack::VT_CELL_SETS, copy(pack->cell_sets(), 4));
  offsets.emplace_back(packed::Pack::VT_IN_MANUALS + 2, builder.CreateString("from a later version").o);
  offsets.emplace_back(packed::Pack::VT_STRINGS, builder.CreateVectorOfStrings(family.strings).o);
  const auto start = builder.StartTable();
  builder.AddElement<uint32_t>(packed::Pack::VT_MAJOR, pack::format_major, 0);
  builder.AddElement<uint32_t>(packed::Pack::VT_MINOR, pack::format_minor + 1, 0);
  const packed::Checksum blank;
  builder.AddStruct(packed::Pack::VT_CHECKSUM, &blank);
  builder.AddElement<uint32_t>(packed::Pack::VT_ID, pack->id(), 0);
  builder.AddElement<uint32_t>(packed::Pack::VT_TITLE, pack->title(), 0);
  builder.AddElement<uint32_t>(packed::Pack::VT_BUILT, pack->built(), 0);
  builder.AddElement<int32_t>(packed::Pack::VT_SUPPLY, pack->supply(), 0);
  builder.AddElement<uint32_t>(packed::Pack::VT_CITE, pack->cite(), 0);
  builder.AddElement<uint32_t>(packed::Pack::VT_WORDS_PER_SET, pack->words_per_set(), 0);
  for (const auto& [slot, offset] : offsets)
    if (offset != 0) builder.AddOffset(slot, flatbuffers::Offset<void>(offset));
  builder.Finish(flatbuffers::Offset<packed::Pack>(builder.EndTable(start)), packed::PackIdentifier());
  std::string later(reinterpret_cast<const char*>(builder.GetBufferPointer()), builder.GetSize());
  seal(later);
  return later;
}

// The name of a field or word as a schema of FlatBuffers spells it.
std::string spelled(std::string_view word) {
  std::string text(word);
  for (char& c : text)
    if (c == '-') c = '_';
  return text;
}

template <typename Enum>
void check_enumeration(const flatbuffers::TypeTable* type) {
  REQUIRE(type->num_elems == word_count<Enum>);
  for (uint32_t i = 0; i < word_count<Enum>; ++i) {
    std::string name = type->names[i];
    if (name.back() == '_') name.pop_back();  // a word that C++ or the code keeps for itself
    const std::string_view expected = word(static_cast<Enum>(i));
    CHECK(name == (expected.empty() ? "unset" : spelled(expected)));
    CHECK((type->values == nullptr || type->values[i] == i));
  }
}

}  // namespace

TEST_CASE("packs read back equal, to the number of every text and set", "[pack]") {
  for (uint32_t seed = 0; seed < 200; ++seed) {
    const Family family = random_family(seed);
    REQUIRE(pack::fault_of(family) == "");
    const std::string bytes = pack::write(family);
    const pack::Opened opened = pack::Pack::open(bytes);
    INFO("seed " << seed << ": " << opened.refusal);
    REQUIRE(opened.pack);
    const Family back = pack::load(*opened.pack);
    CHECK(back == family);
    CHECK(back.strings == family.strings);
    CHECK(back.cell_sets == family.cell_sets);
    CHECK(pack::write(back) == bytes);  // so every other word is the same as well
    CHECK(opened.pack->id() == family.text(family.id));
    CHECK(opened.pack->title() == family.text(family.title));
    CHECK(opened.pack->major() == pack::format_major);
  }
}

TEST_CASE("the same family gives the same bytes", "[pack]") {
  CHECK(pack::write(random_family(7)) == pack::write(random_family(7)));
  CHECK(pack::write(random_family(7)) != pack::write(random_family(8)));
}

// XXH3 of the library's one-shot function over the file with the checksum blanked, as schema/pack.fbs documents it.
TEST_CASE("the checksum is the documented one", "[pack]") {
  const std::string bytes = pack::write(random_family(1));
  std::string again = bytes;
  seal(again);
  CHECK(again == bytes);
  const std::string checksum = pack::Pack::open(bytes).pack->checksum();
  CHECK(checksum.size() == 32);
  CHECK(checksum.find_first_not_of("0123456789abcdef") == std::string::npos);
}

TEST_CASE("pins are found by part, connector and cavity", "[pack]") {
  const Family family = random_family(12, {.looms = 6, .components = 9, .cavities = 30});
  const std::string bytes = pack::write(family);
  const pack::Pack pack = *pack::Pack::open(bytes).pack;
  for (Index point = 0; point < family.points.size(); ++point) {
    const Point& row = family.points[point];
    if (row.kind != PointKind::cavity) continue;
    const std::string_view part = family.text(family.parts[row.part].id);
    const std::string_view designator = family.text(family.connectors[row.connector].designator);
    CHECK(pack.find_point(part, designator, family.text(row.name)) == point);
    CHECK(pack.point(point).connector == row.connector);
    CHECK(pack.find_point(part, designator, "no such cavity") == none);
    CHECK(pack.find_point(part, "", family.text(row.name)) == none);
  }
  CHECK(pack.find_point("", "", "") == none);
  CHECK(pack.find_point("zzz", "C1", "1") == none);
}

TEST_CASE("where several places hold a part, the pin of the first is found", "[pack]") {
  FamilyBuilder build;
  build.era("a");
  build.family.built = build.everywhere();
  const Index housing = build.housing("h", 1);
  std::vector<Index> points;
  for (const char* place : {"GLOW-1", "GLOW-2"}) {
    build.begin_part("glow-plug", PartKind::component, build.place(place), CellSet::first(1));
    points.push_back(build.cavity(build.connector("X1", housing, Rest::open, CellSet::first(1)), "1"));
    build.end_part();
  }
  const std::string bytes = pack::write(build.family);
  const pack::Opened opened = pack::Pack::open(bytes);
  REQUIRE(opened.pack);
  CHECK(opened.pack->find_point("glow-plug", "X1", "1") == points.front());
}

TEST_CASE("bytes that are not aligned are read as well", "[pack]") {
  const Family family = random_family(4);
  const std::string bytes = pack::write(family);
  for (size_t shift = 1; shift < 8; ++shift) {
    std::string shifted = std::string(shift, 'x') + bytes;
    pack::Opened opened = pack::Pack::open(std::string_view(shifted).substr(shift));
    REQUIRE(opened.pack);
    const pack::Pack copy = *opened.pack;
    opened.pack.reset();
    CHECK(pack::load(copy) == family);
  }
}

TEST_CASE("what is no pack is refused in one line", "[pack][refusal]") {
  CHECK(refusal("") == "not a pack: it is too short");
  CHECK(refusal("LOOM") == "not a pack: it is too short");
  CHECK(refusal("family: croft\ntitle: nothing of the kind\n") == "not a pack: it does not begin like one");
  CHECK(refusal(std::string(4096, '\0')) == "not a pack: it does not begin like one");
  std::string only_name(64, '\0');
  only_name.replace(4, 4, "LOOM");
  CHECK(refusal(only_name) == "damaged: its layout does not hold");
}

TEST_CASE("every truncation is refused", "[pack][refusal]") {
  const std::string bytes = pack::write(random_family(2, tiny));
  for (size_t size = 0; size < bytes.size(); ++size) {
    const std::string cut = bytes.substr(0, size);  // its own allocation, so that reading past the end is seen
    REQUIRE_FALSE(refusal(cut).empty());
  }
  CHECK(refusal(bytes + std::string(4, '\0')) == "damaged: its checksum does not match");
}

TEST_CASE("every flip of one bit is refused", "[pack][refusal]") {
  std::string bytes = pack::write(random_family(2, tiny));
  INFO(bytes.size() << " bytes");
  for (size_t bit = 0; bit < bytes.size() * 8; ++bit) {
    bytes[bit / 8] = static_cast<char>(bytes[bit / 8] ^ (1 << bit % 8));
    const pack::Opened opened = pack::Pack::open(bytes);
    if (opened.pack) walk(*opened.pack);
    REQUIRE_FALSE(opened.pack);
    bytes[bit / 8] = static_cast<char>(bytes[bit / 8] ^ (1 << bit % 8));
  }
  CHECK(refusal(bytes).empty());
}

// The checksum finds accidents, not forgeries: with it put right, the checks behind it stand alone.
TEST_CASE("every flip of one bit under a right checksum is refused or harmless", "[pack][refusal]") {
  const std::string bytes = pack::write(random_family(2, tiny));
  uint32_t refused = 0, harmless = 0;
  for (size_t bit = 0; bit < bytes.size() * 8; ++bit) {
    std::string flipped = bytes;
    flipped[bit / 8] = static_cast<char>(flipped[bit / 8] ^ (1 << bit % 8));
    if (sealable(flipped)) seal(flipped);
    const pack::Opened opened = pack::Pack::open(flipped);
    if (opened.pack) walk(*opened.pack);
    ++(opened.pack ? harmless : refused);
  }
  CHECK(refused > harmless);
  CHECK(harmless > 0);  // a flipped quantity is a sound pack that says something else
}

TEST_CASE("random words under a right checksum are refused or harmless", "[pack][refusal]") {
  loomproof::testing::Random random(31);
  const std::string bytes = pack::write(random_family(5, tiny));
  constexpr uint32_t values[] = {0, 1, 2, 3, 7, 0x7fffffff, 0x80000000, 0xfffffffe, 0xffffffff};
  for (int round = 0; round < 20000; ++round) {
    std::string changed = bytes;
    for (uint32_t i = 0, count = random.between(1, 3); i < count; ++i) {
      const uint32_t value = values[random.below(std::size(values))];
      std::memcpy(changed.data() + random.below(static_cast<uint32_t>(bytes.size() / 4)) * 4, &value, 4);
    }
    if (sealable(changed)) seal(changed);
    const pack::Opened opened = pack::Pack::open(changed);
    if (opened.pack) walk(*opened.pack);
  }
}

// Every field of every row, one at a time, with a value just past what it may hold.
TEST_CASE("every index, text, range and word out of bounds is refused by name", "[pack][refusal]") {
  const Family family = random_family(9);
  std::string bytes = pack::write(family);
  auto tables = tables_of(bytes);
  uint32_t tried = 0;
  for (const auto& [table, rows] : tables) {
    for (const Field& field : fields(table)) {
      if (field.kind == FieldKind::quantity || (field.kind == FieldKind::number && field.limit == 0)) continue;
      uint32_t& word = rows.first[(rows.second - 1) * row_words(table) + field.offset];
      const uint32_t before = word;
      word = 0x7ffffffe;
      seal(bytes);
      const std::string line = refusal(bytes);
      INFO(table_name(table) << " " << field.name << ": " << line);
      CHECK(line.rfind("faulty: " + std::string(table_name(table)) + " row ", 0) == 0);
      CHECK(line.find('\n') == std::string::npos);
      if (!field.name.empty()) CHECK(line.find("`" + std::string(field.name) + "`") != std::string::npos);
      ++tried;
      word = before;
      if (field.kind != FieldKind::range) continue;
      rows.first[(rows.second - 1) * row_words(table) + field.offset + 1] += 0x7fffff00;
      seal(bytes);
      CHECK(refusal(bytes).find("`" + std::string(field.name) + "`") != std::string::npos);
      rows.first[(rows.second - 1) * row_words(table) + field.offset + 1] -= 0x7fffff00;
    }
  }
  CHECK(tried > 100);
  seal(bytes);
  CHECK(refusal(bytes).empty());
}

TEST_CASE("a refusal says which index is wrong and why", "[pack][refusal]") {
  std::string bytes = pack::write(random_family(9));
  const uint32_t circuits = packed::GetPack(bytes.data())->circuits()->size();
  ROWS_OF(bytes, wires)[1] = 4294;  // circuit of the first wire
  seal(bytes);
  CHECK(refusal(bytes) ==
        "faulty: wires row 0: `circuit` is 4294, but circuits has " + std::to_string(circuits) + " rows");
}

TEST_CASE("rows of another owner are refused", "[pack][refusal]") {
  Family family = random_family(9);
  REQUIRE(family.parts.size() > 1);
  SECTION("a wire in the range of another part") {
    family.wires[0].part = 1;
    CHECK(pack::fault_of(family) == "wires row 0: it is in the range of parts row 0 and belongs to another");
  }
  SECTION("a wire in no range") {
    --family.parts[0].wires.count;
    CHECK(pack::fault_of(family).find("lie in no range of parts") != std::string::npos);
  }
  SECTION("a wire to a point of another part") {
    family.wires[0].to = family.parts[1].points.first;
    CHECK(pack::fault_of(family) == "wires row 0: a wire ends at points of its own part");
  }
  SECTION("a cavity without a connector") {
    family.points[0].connector = none;
    CHECK(pack::fault_of(family).find("points row 0") == 0);
  }
  SECTION("cells that are none") {
    family.cell_sets[0].insert(511);
    CHECK(pack::fault_of(family) == "cell_sets row 0: it holds cells that are none");
  }
  SECTION("more cells than there can be") {
    family.eras.resize(600);
    CHECK(pack::fault_of(family) == "eras and options make no cells, or more than 512");
  }
  SECTION("text that is not UTF-8") {
    family.strings[1] = "caf\xe9";
    CHECK(pack::fault_of(family) == "strings row 1: it is not UTF-8");
  }
  SECTION("a text twice") {
    family.strings.push_back(family.strings[1]);
    CHECK(pack::fault_of(family).find("there already") != std::string::npos);
  }
  CHECK_THROWS_AS(pack::write(family), std::logic_error);
}

// Examples and limits from RFC 3629, sections 3 and 4.
TEST_CASE("texts of a pack are UTF-8", "[pack][refusal]") {
  const auto try_text = [](const std::string& text) {
    Family family = random_family(2, tiny);
    family.strings.push_back("PLACEHOLDER-" + std::string(text.size(), '#'));
    std::string bytes = pack::write(family);
    const size_t at = bytes.find("PLACEHOLDER-") + 12;
    bytes.replace(at, text.size(), text);
    seal(bytes);
    return refusal(bytes);
  };
  for (const char* good : {"abc", "\xc3\xa9", "\xe2\x89\xa2", "\xf0\xa3\x8e\xb4", "\xf4\x8f\xbf\xbf", "\xed\x9f\xbf",
                           "a long ASCII text before \xc3\xa9 and after it"})
    CHECK(try_text(good) == "");
  for (const char* bad : {"\x80", "\xc3", "\xc0\xaf", "\xe0\x80\xaf", "\xed\xa0\x80", "\xf4\x90\x80\x80", "\xff",
                          "abcdefgh\xe2\x89", "\xf8\x88\x80\x80\x80"})
    CHECK(try_text(bad).find("it is not UTF-8") != std::string::npos);
}

TEST_CASE("texts that share bytes cannot fill the memory", "[pack][refusal]") {
  Family family = random_family(2, tiny);
  family.strings.push_back(std::string(60000, 'x'));
  for (int i = 0; i < 20; ++i) family.strings.push_back("unused " + std::to_string(i));
  std::string bytes = pack::write(family);
  auto* strings = packed::GetPack(bytes.data())->strings();
  auto* offsets = words(bytes, strings->Data());
  const uint32_t large = static_cast<uint32_t>(strings->size() - 21);
  for (uint32_t i = large + 1; i < strings->size(); ++i) offsets[i] = offsets[large] - (i - large) * 4;
  seal(bytes);
  CHECK(refusal(bytes) == "faulty: strings: they hold more text than the file");
}

TEST_CASE("the lookup table of pins is held to be sorted and whole", "[pack][refusal]") {
  std::string bytes = pack::write(random_family(9));
  uint32_t* order = ROWS_OF(bytes, cavity_points);
  std::swap(order[0], order[1]);
  seal(bytes);
  CHECK(refusal(bytes) == "faulty: cavity_points row 1: it is out of order");
  order[1] = order[0];
  seal(bytes);
  CHECK(refusal(bytes) == "faulty: cavity_points row 1: it is out of order");
  order[0] = 0x7fffffff;
  seal(bytes);
  CHECK(refusal(bytes) == "faulty: cavity_points row 0: 2147483647 is no cavity");
}

TEST_CASE("a newer major version is refused, whatever else is in it", "[pack][version]") {
  const std::string bytes = pack::write(random_family(3));
  CHECK(refusal(with_version(bytes, 2, 5)) ==
        "written in pack format 2.5, newer than this program reads (1.3): use a newer program");
  CHECK(refusal(with_version(bytes, 0, 9)) == "written in pack format 0.9, which this program no longer reads");
  // A root table that has nothing but a version in common with today's.
  flatbuffers::FlatBufferBuilder builder;
  const auto start = builder.StartTable();
  builder.AddElement<uint32_t>(packed::Pack::VT_MAJOR, 3, 0);
  builder.AddElement<uint64_t>(packed::Pack::VT_TITLE, 77, 0);
  builder.Finish(flatbuffers::Offset<packed::Pack>(builder.EndTable(start)), packed::PackIdentifier());
  const std::string alien(reinterpret_cast<const char*>(builder.GetBufferPointer()), builder.GetSize());
  CHECK(refusal(alien).rfind("written in pack format 3.0", 0) == 0);
}

// As written before there were known combinations.
TEST_CASE("a pack of an older minor version is read, without what came later", "[pack][version]") {
  Family family = random_family(3);
  REQUIRE_FALSE(family.combinations.empty());
  family.combinations.clear();
  family.combination_parts.clear();
  family.combination_edits.clear();
  family.in_manuals.clear();
  const std::string bytes = with_version(pack::write(family), 1, 1);
  CHECK(packed::GetPack(bytes.data())->combinations() == nullptr);
  const pack::Opened opened = pack::Pack::open(bytes);
  REQUIRE(opened.pack);
  CHECK(pack::load(*opened.pack) == family);
}

TEST_CASE("a newer minor version is read, and what it adds is passed over", "[pack][version]") {
  const Family family = random_family(3);
  const std::string same = with_version(pack::write(family), 1, 7);
  const pack::Opened opened = pack::Pack::open(same);
  REQUIRE(opened.pack);
  CHECK(opened.pack->minor() == 7);
  CHECK(pack::load(*opened.pack) == family);

  const std::string bytes = with_later_table(family);
  const pack::Opened later = pack::Pack::open(bytes);
  INFO(later.refusal);
  REQUIRE(later.pack);
  CHECK(pack::load(*later.pack) == family);
  walk(*later.pack);
}

TEST_CASE("words of a newer minor version become their stand-in, or are refused", "[pack][version]") {
  const Family family = random_family(9);
  constexpr uint32_t newer = pack::format_minor + 1;
  const auto changed = [&](Table table, std::string_view name, uint32_t value, uint32_t minor) {
    std::string bytes = pack::write(family);
    for (const Field& field : fields(table))
      if (field.name == name) tables_of(bytes)[table].first[field.offset] = value;
    return with_version(bytes, 1, minor);
  };
  const auto read = [](const std::string& bytes) {
    const pack::Opened opened = pack::Pack::open(bytes);
    INFO(opened.refusal);
    REQUIRE(opened.pack);
    walk(*opened.pack);
    return pack::load(*opened.pack);
  };
  CHECK(read(changed(Table::pins, "role", 99, newer)).pins[0].role == Role::unknown);
  CHECK(read(changed(Table::cavity_rows, "state", 99, newer)).cavity_rows[0].state == State::unknown);
  CHECK(read(changed(Table::connector_rows, "rest", 99, newer)).connector_rows[0].rest == Rest::unknown);
  CHECK(read(changed(Table::circuits, "if_dead", 99, newer)).circuits[0].if_dead == Outcome::endangers);
  CHECK(read(changed(Table::sources, "kind", 99, newer)).sources[0].kind == SourceKind::memory);
  CHECK(read(changed(Table::wires, "marks", 1024 + 3, newer)).wires[0].marks == 3);
  // Of this very version the same words are a fault, and so are words without a stand-in in any version.
  CHECK(refusal(changed(Table::pins, "role", 99, pack::format_minor)).find("pins row 0: `role` is 99") !=
        std::string::npos);
  CHECK(refusal(changed(Table::wires, "marks", 1024 + 3, pack::format_minor)).find("wires row 0: `marks`") !=
        std::string::npos);
  CHECK(refusal(changed(Table::circuits, "kind", 99, newer)).find("circuits row 0: `kind` is 99") != std::string::npos);
}

// As rows of the stand-in they would say of every unknown pin what holds of the new role alone.
TEST_CASE("joins of a role that is not known yet are passed over", "[pack][version]") {
  Family family = random_family(9);
  family.joins = {{.a = Role::gives_feed, .b = Role::gives_feed, .outcome = Outcome::fine},
                  {.a = Role::gives_feed, .b = Role::open, .outcome = Outcome::fine},
                  {.a = Role::open, .b = Role::unknown, .outcome = Outcome::fine}};
  const auto changed = [&](uint32_t row, size_t member, uint32_t value, uint32_t minor) {
    std::string bytes = pack::write(family);
    tables_of(bytes)[Table::joins].first[row * row_words(Table::joins) + member / 4] = value;
    return with_version(bytes, 1, minor);
  };
  constexpr uint32_t newer = pack::format_minor + 1;
  const auto read = [](const std::string& bytes) {
    const pack::Opened opened = pack::Pack::open(bytes);
    INFO(opened.refusal);
    REQUIRE(opened.pack);
    walk(*opened.pack);
    return pack::load(*opened.pack).joins;
  };
  const std::vector<Join> left = read(changed(2, offsetof(Join, b), 99, newer));
  REQUIRE(left.size() == 2);
  CHECK(left[1].b == Role::open);
  CHECK(read(changed(2, offsetof(Join, outcome), 99, newer))[2].outcome == Outcome::endangers);
  CHECK(read(changed(2, offsetof(Join, suffers), 99, newer))[2].suffers == Suffers::people);
  CHECK(refusal(changed(2, offsetof(Join, when), 99, newer)).find("joins row 2: `when` is 99") != std::string::npos);
  CHECK(refusal(changed(2, offsetof(Join, b), 99, pack::format_minor)).find("joins row 2: `b`") != std::string::npos);
}

// The schema names every field and every word in the order of the family's own description.
TEST_CASE("schema/pack.fbs is the family, word for word", "[pack]") {
  const flatbuffers::TypeTable* pack = packed::PackTypeTable();
  Family family;
  each_table(family, [&](Table table, const auto&) {
    INFO(table_name(table));
    size_t element = 0;
    while (element < pack->num_elems && pack->names[element] != table_name(table)) ++element;
    REQUIRE(element < pack->num_elems);
    const flatbuffers::TypeCode code = pack->type_codes[element];
    if (code.sequence_ref < 0) return;  // a table of plain indexes
    const flatbuffers::TypeTable* row = pack->type_refs[code.sequence_ref]();
    REQUIRE(row->st == flatbuffers::ST_STRUCT);
    REQUIRE(row->num_elems == fields(table).size());
    for (size_t i = 0; i < row->num_elems; ++i) {
      const Field& field = fields(table)[i];
      CHECK(row->names[i] == field.name);
      CHECK(row->values[i] == field.offset * 4);
      const auto base = static_cast<flatbuffers::ElementaryType>(row->type_codes[i].base_type);
      if (field.kind == FieldKind::quantity) CHECK(base == flatbuffers::ET_INT);
      if (field.kind == FieldKind::range) CHECK(base == flatbuffers::ET_SEQUENCE);
      CHECK((field.kind == FieldKind::word) == (base == flatbuffers::ET_UINT && row->type_codes[i].sequence_ref >= 0));
    }
  });
  CHECK(std::string_view(pack->names[0]) == "major");
  CHECK(std::string_view(pack->names[1]) == "minor");
  check_enumeration<SourceKind>(packed::SourceKindTypeTable());
  check_enumeration<CircuitClass>(packed::CircuitClassTypeTable());
  check_enumeration<Outcome>(packed::OutcomeTypeTable());
  check_enumeration<Verdict>(packed::VerdictTypeTable());
  check_enumeration<Contact>(packed::ContactTypeTable());
  check_enumeration<View>(packed::ViewTypeTable());
  check_enumeration<PartKind>(packed::PartKindTypeTable());
  check_enumeration<State>(packed::StateTypeTable());
  check_enumeration<Rest>(packed::RestTypeTable());
  check_enumeration<PointKind>(packed::PointKindTypeTable());
  check_enumeration<EarthNode>(packed::EarthNodeTypeTable());
  check_enumeration<Shade>(packed::ShadeTypeTable());
  check_enumeration<Role>(packed::RoleTypeTable());
  check_enumeration<When>(packed::WhenTypeTable());
  check_enumeration<InsideKind>(packed::InsideKindTypeTable());
  check_enumeration<ClosedBy>(packed::ClosedByTypeTable());
  check_enumeration<ChangeKind>(packed::ChangeKindTypeTable());
  check_enumeration<Suffers>(packed::SuffersTypeTable());
  check_enumeration<JoinWhen>(packed::JoinWhenTypeTable());
}
