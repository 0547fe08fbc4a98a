// What nobody knows: cavities of real builds are hidden at random, and what is then said of the whole has to hold for
// what was hidden, and for whatever else could have been there. The data is the corpus; the method is the check.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <random>

#include "family/words.h"
#include "found/as_found.h"
#include "found/draft.h"
#include "judge/judgement.h"
#include "judge/words.h"
#include "nets/firing.h"
#include "pack/pack.h"

using namespace loomproof;
using judge::Verdict;

namespace {

using Random = std::mt19937;

uint32_t pick(Random& random, size_t count) {
  return std::uniform_int_distribution<uint32_t>(0, static_cast<uint32_t>(count) - 1)(random);
}

Family read_family(const std::string& name) {
  std::ifstream file(LOOMPROOF_SOURCE_DIR "/generated/packs/" + name + ".loompack", std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  const pack::Opened opened = pack::Pack::open(bytes);
  REQUIRE(opened.pack);
  return load(*opened.pack);
}

// A vehicle: which part in which cell stands in each place. Parts are appended to the family, never taken out.
struct Vehicle {
  Family family;
  std::vector<std::pair<Index, uint32_t>> at;  // by place: part, cell; none: nothing
};

Vehicle built(const Family& family, uint32_t cell) {
  Vehicle vehicle{family, {}};
  const FamilyIndex index(family);
  for (Index place = 0; place < family.places.size(); ++place)
    vehicle.at.emplace_back(index.part_in(place, cell), cell);
  return vehicle;
}

struct Said {
  Verdict best{}, worst{};
  std::string why;
};

Said judged(const Vehicle& vehicle) {
  const FamilyIndex index(vehicle.family);
  judge::Shelf shelf(index);
  judge::Assembly assembly;
  for (const auto& [part, cell] : vehicle.at) assembly.at.push_back(part == none ? none : shelf.variant(part, cell));
  judge::Judge judge(shelf);
  const judge::Judgement judgement = judge.judge(assembly);
  Said said{judgement.best, judgement.worst, {}};
  for (const judge::Reason& reason : judgement.reasons) {
    const judge::ReasonText text = reason_text(judge.network(), reason);
    said.why += (reason.certain ? "certain: " : "may be: ") + text.what + "; " + text.because + "\n";
  }
  return said;
}

// Cavities of the looms in a vehicle at which a wire ends, by place; none on a plug that may carry a firing circuit.
struct Spot {
  Index place = none, point = none;
};

std::vector<Spot> wired_cavities(const Vehicle& vehicle) {
  const Family& family = vehicle.family;
  const FamilyIndex index(family);
  const std::vector<bool> may_fire = connectors_that_may_fire(index);
  std::vector<Spot> spots;
  for (Index place = 0; place < vehicle.at.size(); ++place) {
    const auto [part, cell] = vehicle.at[place];
    if (part == none || family.parts[part].kind != PartKind::loom) continue;
    const Range points = family.parts[part].points;
    for (Index point = points.first; point < points.end(); ++point) {
      if (family.points[point].kind != PointKind::cavity || may_fire[family.points[point].connector]) continue;
      const auto wires = index.wires_at(point);
      if (std::any_of(wires.begin(), wires.end(),
                      [&, here = cell](Index wire) { return family.holds(family.wires[wire].cells, here); }))
        spots.push_back({place, point});
    }
  }
  return spots;
}

std::string name_of(const Family& family, Index point) {
  return std::string(family.text(family.connectors[family.points[point].connector].designator)) + "." +
         std::string(family.text(family.points[point].name));
}

// Two wired cavities of one loom, as it might be found: exchanged, joined, or the first cut or put into the second.
std::vector<std::string> random_edits(Random& random, const Family& family, const Spot& a, const Spot& b) {
  const std::string first = name_of(family, a.point), second = name_of(family, b.point);
  switch (pick(random, 3)) {
    case 0:
      return {"moved " + first + " " + second, "moved " + second + " " + first};
    case 1:
      return {"bridged " + first + " " + second};
    default:
      return {"cut " + first};
  }
}

// False where the edits cannot be.
bool alter(Vehicle& vehicle, Index place, const std::vector<std::string>& texts) {
  auto& [part, cell] = vehicle.at[place];
  const FamilyIndex index(vehicle.family);
  std::vector<found::Edit> edits;
  for (const std::string& text : texts) {
    found::Fault fault;
    edits.push_back(found::parse_edit(index, part, cell, text, fault));
    if (fault.any()) return false;
  }
  if (found::fault_of(index, part, cell, edits).any()) return false;
  part = found::add_as_found(vehicle.family, part, cell, edits);
  return true;
}

// The loom in a place with cavities of which nobody knows what is in them: their wires are gone, and the cavities at
// the other ends of these are not known either.
void hide(Vehicle& vehicle, Index place, const std::vector<std::string>& names) {
  auto& [part, cell] = vehicle.at[place];
  Family& family = vehicle.family;
  found::PartDraft draft(family, part, cell);
  const FamilyIndex index(family);
  std::vector<Index> hidden;
  const auto add = [&](Index point) {
    if (family.points[point].kind == PointKind::cavity &&
        std::find(hidden.begin(), hidden.end(), point) == hidden.end())
      hidden.push_back(point);
  };
  for (const std::string& name : names)
    if (const auto end = found::end_of(index, part, cell, name); end && end->point != none) add(end->point);
  for (size_t at = 0; at < hidden.size(); ++at)
    for (size_t i = 0; i < draft.wires.size(); ++i) {
      const Wire& wire = draft.wires[i];
      if (wire.from != hidden[at] && wire.to != hidden[at]) continue;
      draft.remove_wire(i);
      add(wire.from), add(wire.to);
    }
  for (Index point : hidden) draft.stubs.push_back({point, State::unknown});
  draft.suffix = " half seen";
  part = found::append(family, draft);
}

void check_holds(const Said& truth, const Said& hidden) {
  INFO("known:\n" << truth.why << "hidden:\n" << hidden.why);
  CHECK(hidden.best <= truth.best);
  CHECK(hidden.worst >= truth.worst);
}

}  // namespace

TEST_CASE("what is said of a vehicle with hidden cavities holds for what is in them") {
  const char* name = GENERATE("croft", "trailer-12v");
  const Family family = read_family(name);
  const std::vector<uint32_t> cells = family.cell_sets[family.built].cells();
  Random random(20);
  int altered = 0, narrowed = 0;
  for (int round = 0; round < 400; ++round) {
    Vehicle truth = built(family, cells[pick(random, cells.size())]);
    // Often with a loom of another build.
    if (pick(random, 2)) {
      const Index place = pick(random, truth.at.size());
      const Vehicle other = built(family, cells[pick(random, cells.size())]);
      truth.at[place] = other.at[place];
    }
    const std::vector<Spot> spots = wired_cavities(truth);
    if (spots.empty()) continue;
    const Spot first = spots[pick(random, spots.size())];
    std::vector<std::string> names{name_of(family, first.point)};
    std::string told = std::string(family.text(family.places[first.place].id)) + ": " + names[0];
    const uint32_t more = pick(random, 6);
    for (uint32_t i = 0; i < more; ++i) {
      const Spot& spot = spots[pick(random, spots.size())];
      if (spot.place != first.place) continue;
      names.push_back(name_of(family, spot.point));
      told += " " + names.back();
      if (pick(random, 3)) continue;
      const auto edits = random_edits(random, family, first, spot);
      if (!alter(truth, first.place, edits)) continue;
      ++altered;
      for (const std::string& edit : edits) told += "; " + edit;
      break;  // edits are of the loom as recorded
    }
    Vehicle seen = truth;
    hide(seen, first.place, names);
    INFO(name << " " << round << " " << told);
    const Said known = judged(truth), guess = judged(seen);
    check_holds(known, guess);
    narrowed += guess.best != guess.worst;
  }
  CHECK(altered > 20);
  CHECK(narrowed > 100);  // hiding does take knowledge away
}

TEST_CASE("what is said of a vehicle with hidden pins holds for whatever they are") {
  const char* name = GENERATE("croft", "trailer-12v");
  const Family family = read_family(name);
  const std::vector<uint32_t> cells = family.cell_sets[family.built].cells();
  Random random(21);
  for (int round = 0; round < 400; ++round) {
    Vehicle truth = built(family, cells[pick(random, cells.size())]);
    Vehicle seen = truth;
    const FamilyIndex index(family);
    const std::vector<bool> may_fire = connectors_that_may_fire(index);
    std::vector<Index> pins;
    for (const auto& [part, cell] : truth.at)
      if (part != none)
        for (Index pin = family.parts[part].pins.first; pin < family.parts[part].pins.end(); ++pin)
          if (family.holds(family.pins[pin].cells, cell) && !may_fire[family.points[family.pins[pin].point].connector])
            pins.push_back(pin);
    if (pins.empty()) break;
    std::string told;
    const uint32_t count = 1 + pick(random, 4);
    for (uint32_t i = 0; i < count; ++i) {
      const Index pin = pins[pick(random, pins.size())];
      told += " " + std::string(family.text(family.parts[family.points[family.pins[pin].point].part].id)) + "." +
              name_of(family, family.pins[pin].point);
      if (pick(random, 2)) {
        Role role = static_cast<Role>(1 + pick(random, 22));
        if (role != Role::gives_firing && role != Role::takes_firing && role != Role::unknown)
          truth.family.pins[pin].role = role;
        told += " as " + std::string(word(truth.family.pins[pin].role));
      }
      Pin& hidden = seen.family.pins[pin];
      hidden = {.point = hidden.point, .role = Role::unknown, .cells = hidden.cells, .cite = hidden.cite};
    }
    INFO(name << " " << round << told);
    check_holds(judged(truth), judged(seen));
  }
}
