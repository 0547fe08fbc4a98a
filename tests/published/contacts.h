// A family of the reference corpus as the tests hold it against a published table: one side of a plug, contact by
// contact.
#pragma once
#include <catch2/catch.hpp>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "compile/compile.h"
#include "family/words.h"
#include "nets/cavities.h"
#include "nets/nets.h"
#include "published/table.h"

namespace loomproof::testing {

// A family of the reference corpus, compiled alone.
inline std::unique_ptr<Compiled> compiled_alone(const std::string& family) {
  std::unique_ptr<Compiled> compiled = compile(RealFiles(), LOOMPROOF_SOURCE_DIR "/reference", {.family = family});
  REQUIRE(compiled->families.size() == 1);
  return compiled;
}

inline Str text_of(const Family& family, const std::string& words) {
  for (Str str = 0; str < family.strings.size(); ++str)
    if (family.strings[str] == words) return str;
  FAIL("the family never says `" << words << "`");
  return 0;
}

template <typename Row>
Index named(const Family& family, const std::vector<Row>& table, const std::string& id) {
  for (Index index = 0; index < table.size(); ++index)
    if (family.text(table[index].id) == id) return index;
  FAIL("the family has no `" << id << "`");
  return none;
}

using Choice = std::map<std::string, std::string>;  // option -> value

inline uint32_t cell_of(const Family& family, const std::string& era, const Choice& choice) {
  uint32_t cell = family.with_coordinate(0, 0, named(family, family.eras, era));
  for (const auto& [id, wanted] : choice) {
    const Index index = named(family, family.options, id);
    const Range values = family.options[index].values;
    uint32_t value = 0;
    while (value < values.count && family.text(family.option_values[values.first + value].id) != wanted) ++value;
    REQUIRE(value < values.count);
    cell = family.with_coordinate(cell, index + 1, value);
  }
  return cell;
}

// One connector of the part that a place holds in a cell.
struct Side {
  const Family& family;
  FamilyIndex index;
  uint32_t cell;
  Index part, connector;

  Side(const Family& of, const std::string& place, const std::string& designator, uint32_t in_cell)
      : family(of), index(family), cell(in_cell) {
    part = index.part_in(named(family, family.places, place), cell);
    REQUIRE(part != none);
    connector = connector_of(family, family.parts[part], text_of(family, designator));
    REQUIRE(connector != none);
  }
  Cavity at(const std::string& contact) const { return cavity_at(index, cell, connector, text_of(family, contact)); }
  const Housing& housing() const {
    return family.housings[family.connector_rows[connector_row_in(family, connector, cell)].housing];
  }
  // The core at a contact: its one wire that leaves the plug, for a bridge in the plug does not.
  const Wire& core(const std::string& contact) const {
    Index found = none;
    for (const Index wire : at(contact).wires) {
      if (lead_at(wire) == none) continue;
      REQUIRE(found == none);
      found = wire;
    }
    REQUIRE(found != none);
    return family.wires[found];
  }
  const Lead& lead(const std::string& contact) const {
    const Wire& wire = core(contact);
    return family.leads[lead_at(static_cast<Index>(&wire - family.wires.data()))];
  }
  Index net(const std::string& contact) const { return part_nets(family, part, cell).net(at(contact).point); }

 private:
  Index lead_at(Index wire) const {
    for (Index lead = 0; lead < family.leads.size(); ++lead)
      if (family.leads[lead].point == family.wires[wire].from || family.leads[lead].point == family.wires[wire].to)
        return lead;
    return none;
  }
};

inline uint32_t marks_of(const PublishedRow& row) {
  uint32_t marks = 0;
  const auto add = [&](const std::string& column, uint32_t single, uint32_t memory) {
    if (row.at(column) == "single") marks |= single;
    if (row.at(column) == "memory") marks |= memory;
  };
  add("function_known", Mark::function_single, Mark::function_memory);
  add("colour_known", Mark::colour_single, Mark::colour_memory);
  add("mm2_known", Mark::mm2_single, Mark::mm2_memory);
  return marks;
}

struct Standard {
  std::string number, edition;
};

// "white/black", as the tables print it.
inline std::string printed_colour(const Family& family, const Wire& wire) {
  std::string colour(family.text(family.colours[wire.base].name));
  if (wire.tracer != none) colour += "/" + std::string(family.text(family.colours[wire.tracer].name));
  return colour;
}

// IEC 60757:2021, 5.1: several colours are joined in the order of table 1, whichever is the base.
inline std::string iec60757(const Family& family, const Wire& wire) {
  std::map<uint32_t, std::string> in_order;
  for (const Index colour : {wire.base, wire.tracer})
    if (colour != none) in_order[family.colours[colour].order] = family.text(family.colours[colour].code);
  std::string code;
  for (const auto& [order, part] : in_order) code += part;
  return code;
}

inline bool cites(const Family& family, CiteId cite, const Standard& standard) {
  for (const Index source : rows(family.source_refs, family.cites[cite].sources)) {
    const Source& cited = family.sources[source];
    if (family.text(cited.number) == standard.number && family.text(cited.edition) == standard.edition) return true;
  }
  return false;
}

}  // namespace loomproof::testing
