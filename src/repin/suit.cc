#include "repin/suit.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <tuple>

#include "family/words.h"
#include "judge/words.h"
#include "nets/cavities.h"
#include "nets/firing.h"
#include "nets/nets.h"

namespace loomproof::repin {
namespace {

class Tailor {
 public:
  Tailor(const FamilyIndex& index, Side loom, const std::vector<Side>& beside)
      : index_(index),
        family_(index.family()),
        loom_(loom),
        beside_(beside),
        may_fire_(connectors_that_may_fire(index)),
        suit_{found::PartDraft(family_, loom.part, loom.cell), {}} {}

  Suit run() {
    const Range connectors = family_.parts[loom_.part].connectors;
    for (Index connector = connectors.first; connector < connectors.end(); ++connector)
      if (connector_row_in(family_, connector, loom_.cell) != none) fit_plug(connector);
    add_wires();
    return std::move(suit_);
  }

 private:
  // A partner's cavity: what it has there.
  struct Facing {
    Index circuit = none;  // none: nothing
    bool is_hidden = false;
    bool is_needed = false;
  };
  struct Missing {  // a cavity of the loom that should have an end of the circuit
    Index connector = none;
    Str number = 0;
    Index circuit = none;
    bool is_needed = false;
    std::string partner;
  };

  std::pair<Side, Index> partner_of(Index connector) const {
    const Str designator = family_.connectors[connector].designator;
    const Index place = family_.parts[loom_.part].place;
    for (const PlugPair& pair : family_.plugs) {
      const bool is_a = pair.place_a == place && pair.a == designator;
      if (!is_a && !(pair.place_b == place && pair.b == designator)) continue;
      const Side other = beside_[is_a ? pair.place_b : pair.place_a];
      if (other.part == none) continue;
      if (!family_.holds(pair.cells, loom_.cell) && !family_.holds(pair.cells, other.cell)) continue;
      const Index found = index_.connector_of(other.part, is_a ? pair.b : pair.a);
      if (found != none && connector_row_in(family_, found, other.cell) != none) return {other, found};
    }
    return {Side{}, none};
  }

  Facing facing(Side other, const Cavity& cavity, const Nets& nets) const {
    Facing facing;
    const State state = cavity.state.state;
    facing.is_hidden = state == State::unknown || state == State::disputed || cavity.state.role == Role::unknown;
    if (facing.is_hidden || state != State::wired || cavity.point == none) return facing;
    if (cavity.pin != none) {
      const Pin& pin = family_.pins[cavity.pin];
      facing.circuit = pin.role == Role::open ? none : pin.circuit;
      facing.is_needed = pin.optional == 0 && pin.role >= Role::takes_feed && pin.role <= Role::senses_high;
    }
    if (facing.circuit == none && family_.parts[other.part].kind == PartKind::loom) {
      const auto& circuits = nets.circuits(nets.net(cavity.point));
      if (!circuits.empty()) facing.circuit = circuits.front();
    }
    return facing;
  }

  Index circuit_at(Index point) const {
    const auto& wires = suit_.draft.wires;
    for (size_t i = 0; i < wires.size(); ++i)
      if (!suit_.draft.gone[i] && (wires[i].from == point || wires[i].to == point)) return wires[i].circuit;
    return none;
  }

  Index point_of(Index connector, Str number) {
    const Index point = index_.cavity_point(connector, number);
    if (point != none) return point;
    const auto [entry, is_new] = made_.emplace(std::pair(connector, number), none);
    if (is_new) entry->second = suit_.draft.add_point({PointKind::cavity, connector, number, {}});
    return entry->second;
  }

  void fit_plug(Index connector) {
    if (may_fire_[connector]) return;
    const auto [other, partner] = partner_of(connector);
    if (partner == none) return;
    take_mating_housing(connector, connector_row_in(family_, partner, other.cell));
    const Nets nets = part_nets(family_, other.part, other.cell);
    std::map<Str, Facing> wanted;
    for (const Cavity& cavity : cavities(index_, other.cell, partner))
      wanted[cavity.number] = facing(other, cavity, nets);
    // Ends that stay where they are; the others look for a cavity that wants them.
    std::vector<std::pair<Str, Index>> ends;  // number, circuit: those that face another circuit first
    std::set<Str> served;
    for (const bool faces_nothing : {false, true})
      for (const Cavity& cavity : cavities(index_, loom_.cell, connector)) {
        const Index circuit = cavity.point == none ? none : circuit_at(cavity.point);
        if (circuit == none) continue;
        const auto at = wanted.find(cavity.number);
        const Facing faces = at == wanted.end() ? Facing{} : at->second;
        if (faces.is_hidden || (faces.circuit != none && go_together(family_, circuit, faces.circuit)))
          served.insert(cavity.number);
        else if ((faces.circuit == none) == faces_nothing)
          ends.emplace_back(cavity.number, circuit);
      }
    std::map<Str, Str> moves;
    std::vector<Missing> missing;
    for (const Cavity& cavity : cavities(index_, other.cell, partner)) {
      const Facing& faces = wanted[cavity.number];
      if (faces.circuit == none || served.count(cavity.number)) continue;
      const auto end = std::find_if(ends.begin(), ends.end(), [&, circuit = faces.circuit](const auto& each) {
        return !moves.count(each.first) && go_together(family_, each.second, circuit);
      });
      if (end != ends.end())
        moves[end->first] = cavity.number;
      else
        missing.push_back(
            {connector, cavity.number, faces.circuit, faces.is_needed,
             fmt::format("{}.{}.{}", family_.text(family_.places[family_.parts[other.part].place].id),
                         family_.text(family_.connectors[partner].designator), family_.text(cavity.number))});
    }
    move_ends(connector, moves);
    for (const auto& [number, circuit] : ends) {
      const auto at = wanted.find(number);
      const bool faces_another = at != wanted.end() && at->second.circuit != none;
      if (!moves.count(number) && faces_another) take_out(index_.cavity_point(connector, number), moves, connector);
    }
    missing_.insert(missing_.end(), missing.begin(), missing.end());
  }

  // Where the housing does not go into its partner: one that does, of another variant if any has it.
  void take_mating_housing(Index connector, Index partner_row) {
    const ConnectorRow& row = family_.connector_rows[connector_row_in(family_, connector, loom_.cell)];
    const auto mates = rows(family_.housing_refs, family_.housings[family_.connector_rows[partner_row].housing].mates);
    if (std::find(mates.begin(), mates.end(), row.housing) != mates.end() || mates.begin() == mates.end()) return;
    ConnectorRow other = row;
    other.housing = *mates.begin();
    for (Index i = 0; i < family_.connectors.size(); ++i) {
      const bool is_alike = family_.connectors[i].designator == family_.connectors[connector].designator &&
                            family_.parts[family_.connectors[i].part].place == family_.parts[loom_.part].place;
      if (!is_alike) continue;
      for (const ConnectorRow& each : rows(family_.connector_rows, family_.connectors[i].rows))
        if (std::find(mates.begin(), mates.end(), each.housing) != mates.end()) other.housing = each.housing;
    }
    suit_.draft.rehoused.emplace_back(connector, other);
  }

  void move_ends(Index connector, const std::map<Str, Str>& moves) {
    std::vector<std::pair<Index*, Index>> ends;
    for (const auto& [from, to] : moves) {
      const Index at = index_.cavity_point(connector, from), target = point_of(connector, to);
      for (size_t i = 0; i < suit_.draft.wires.size(); ++i) {
        if (suit_.draft.gone[i]) continue;
        if (suit_.draft.wires[i].from == at) ends.emplace_back(&suit_.draft.wires[i].from, target);
        if (suit_.draft.wires[i].to == at) ends.emplace_back(&suit_.draft.wires[i].to, target);
      }
    }
    for (const auto& [end, target] : ends) *end = target;
  }

  // The wires that were at a cavity, unless their end was led elsewhere, or another took its place.
  void take_out(Index point, const std::map<Str, Str>& moves, Index connector) {
    for (size_t i = 0; i < suit_.draft.wires.size(); ++i) {
      const Wire& recorded = recorded_wire(i);
      if (recorded.from != point && recorded.to != point) continue;
      suit_.draft.remove_wire(i);
    }
    const bool is_taken = std::any_of(moves.begin(), moves.end(), [&](const auto& move) {
      return index_.cavity_point(connector, move.second) == point;
    });
    if (!is_taken) suit_.draft.stubs.push_back({point, State::empty});
  }
  const Wire& recorded_wire(size_t i) {
    if (recorded_.empty()) recorded_ = found::PartDraft(family_, loom_.part, loom_.cell).wires;
    return recorded_[i];
  }

  // An end that two plugs each lack is a wire between them; one that a splice of its circuit can give, a branch.
  void add_wires() {
    std::vector<char> is_done(missing_.size(), 0);
    for (size_t i = 0; i < missing_.size(); ++i) {
      if (is_done[i]) continue;
      const Index splice = splice_of(missing_[i].circuit);
      if (splice != none && missing_[i].is_needed) {
        add(missing_[i], splice), is_done[i] = 1;
        continue;
      }
      std::vector<size_t> fellows;
      for (size_t j = 0; j < missing_.size(); ++j)
        if (j != i && !is_done[j] && go_together(family_, missing_[i].circuit, missing_[j].circuit) &&
            missing_[j].connector != missing_[i].connector)
          fellows.push_back(j);
      if (fellows.size() == 1 && (missing_[i].is_needed || missing_[fellows[0]].is_needed)) {
        add(missing_[i], point_of(missing_[fellows[0]].connector, missing_[fellows[0]].number));
        is_done[i] = is_done[fellows[0]] = 1;
      }
    }
    for (size_t i = 0; i < missing_.size(); ++i)
      if (!is_done[i] && missing_[i].is_needed)
        suit_.open.push_back(fmt::format("{}.{}: {} needs {}, and the record does not say where from",
                                         family_.text(family_.connectors[missing_[i].connector].designator),
                                         family_.text(missing_[i].number), missing_[i].partner,
                                         family_.text(family_.circuits[missing_[i].circuit].id)));
  }

  Index splice_of(Index circuit) const {
    for (size_t i = 0; i < suit_.draft.wires.size(); ++i) {
      const Wire& wire = suit_.draft.wires[i];
      if (suit_.draft.gone[i] || wire.circuit != circuit) continue;
      for (Index point : {wire.from, wire.to})
        if (point < suit_.draft.next_point && family_.points[point].kind == PointKind::splice) return point;
    }
    return none;
  }

  // As thick and of the colour that the wire has in another variant of the place, where one has it.
  void add(const Missing& missing, Index to) {
    Wire wire{
        .part = loom_.part, .circuit = missing.circuit, .from = point_of(missing.connector, missing.number), .to = to};
    const auto is_like = [&](const Wire& each) {
      return each.circuit == missing.circuit && family_.parts[each.part].place == family_.parts[loom_.part].place &&
             each.mm2 != not_given;
    };
    const auto like = std::find_if(family_.wires.begin(), family_.wires.end(), is_like);
    if (like != family_.wires.end())
      wire.base = like->base, wire.tracer = like->tracer, wire.shade = like->shade, wire.mm2 = like->mm2;
    suit_.draft.add_wire(wire);
  }

  const FamilyIndex& index_;
  const Family& family_;
  const Side loom_;
  const std::vector<Side>& beside_;
  const std::vector<bool> may_fire_;
  Suit suit_;
  std::vector<Wire> recorded_;
  std::map<std::pair<Index, Str>, Index> made_;
  std::vector<Missing> missing_;
};

struct Said {
  judge::Judgement judgement;
  std::vector<std::string> reasons, unknown;
};

Said judged(const Family& family, const std::vector<Side>& beside, Side loom) {
  const FamilyIndex index(family);
  judge::Shelf shelf(index);
  judge::Assembly assembly;
  for (Index place = 0; place < family.places.size(); ++place) {
    const Side side = place == family.parts[loom.part].place ? loom : beside[place];
    assembly.at.push_back(side.part == none ? none : shelf.variant(side.part, side.cell));
  }
  judge::Judge judge(shelf);
  Said said{judge.judge(assembly), {}, {}};
  for (const judge::Reason& reason : said.judgement.reasons) {
    const judge::ReasonText text = reason_text(judge.network(), reason);
    (reason.certain ? said.reasons : said.unknown)
        .push_back(text.because.empty() ? text.what : fmt::format("{}: {}", text.what, text.because));
  }
  return said;
}

// By circuit, the thinnest of its wires in a loom, in the order of the circuits.
std::map<Index, Quantity> thinnest(const Family& family, Side loom) {
  std::map<Index, Quantity> found;
  for (const Wire& wire : rows(family.wires, family.parts[loom.part].wires)) {
    if (!family.holds(wire.cells, loom.cell) || wire.mm2 == not_given) continue;
    const auto [entry, is_new] = found.emplace(wire.circuit, wire.mm2);
    if (!is_new) entry->second = std::min(entry->second, wire.mm2);
  }
  return found;
}

// Circuits that have a thinner wire than where the factory put the parts beside it. The judge looks at no
// cross-section.
std::vector<std::string> thinner(const FamilyIndex& index, const Plan& plan, const std::vector<Side>& beside) {
  const Family& family = index.family();
  const Index place = family.parts[plan.done.part].place;
  const std::map<Index, Quantity> here = thinnest(plan.worked, {plan.worked_part, plan.done.cell});
  std::map<Index, std::pair<Quantity, uint32_t>> wanted;  // circuit: the thickest that any wants, and its cell
  std::set<uint32_t> cells;
  for (const Side& side : beside)
    if (side.part != none) cells.insert(side.cell);
  for (uint32_t cell : cells) {
    const Index part = index.part_in(place, cell);
    if (part == none) continue;
    for (const auto& [circuit, mm2] : thinnest(family, {part, cell})) {
      const auto entry = wanted.emplace(circuit, std::pair(mm2, cell)).first;
      if (mm2 > entry->second.first) entry->second = {mm2, cell};
    }
  }
  std::vector<std::string> found;
  for (const auto& [circuit, want] : wanted) {
    const auto have = here.find(circuit);
    if (have != here.end() && have->second < want.first)
      found.push_back(fmt::format("{}: {} mm² in this loom, at least {} mm² as built in {}",
                                  family.text(family.circuits[circuit].id), milli(have->second), milli(want.first),
                                  cell_text(family, want.second)));
  }
  return found;
}

}  // namespace

Suit suit(const FamilyIndex& index, Side loom, const std::vector<Side>& beside) {
  return Tailor(index, loom, beside).run();
}

Suited plan_to_suit(const FamilyIndex& index, Side from, const std::vector<Side>& beside, const Settings& settings) {
  const Family& family = index.family();
  const Index place = family.parts[from.part].place;
  const Said before = judged(family, beside, from);
  std::optional<Suited> best;
  const auto take_if_better = [&](Plan plan, Side recorded, std::vector<std::string> open) {
    const bool is_refused = !plan.refusal.empty();
    if (!is_refused) {
      std::vector<std::string> thin = thinner(index, plan, beside);
      open.insert(open.end(), thin.begin(), thin.end());
    }
    const Said after = is_refused ? before : judged(plan.worked, beside, {plan.worked_part, from.cell});
    Suited found{std::move(plan),        recorded,
                 std::move(open),        before.judgement.best,
                 before.judgement.worst, after.judgement.best,
                 after.judgement.worst,  after.reasons,
                 after.unknown};
    const auto rank = [](const Suited& each) {
      return std::tuple(!each.plan.refusal.empty(), each.best, each.reasons.size() + each.open.size(),
                        !each.plan.proven, each.plan.operations);
    };
    if (!best || rank(found) < rank(*best)) best = std::move(found);
  };
  for (Index part : index.parts_in(place))
    for (const Variant& variant : variants(family, part)) {
      const Side to{part, variant.cells.lowest()};
      take_if_better(plan(index, from, to, settings), to, {});
    }
  const Suit made = suit(index, from, beside);
  Family tailored = family;
  const Index part = found::append(tailored, made.draft);
  const FamilyIndex tailored_index(tailored);
  take_if_better(plan(tailored_index, from, {part, from.cell}, settings), {}, made.open);
  return std::move(*best);
}

uint32_t nearest_cell(const Family& family, const CellSet& cells, uint32_t to) {
  uint32_t nearest = cells.lowest();
  size_t fewest = family.options.size() + 2;
  for (const uint32_t cell : cells.cells()) {
    size_t differ = 0;
    for (uint32_t axis = 0; axis <= family.options.size(); ++axis)
      differ += family.coordinate(cell, axis) != family.coordinate(to, axis);
    if (differ < fewest) nearest = cell, fewest = differ;
  }
  return nearest;
}

LeastWork least_work(const judge::Shelf& shelf, const judge::Assembly& assembly, const Settings& settings) {
  const Family& family = shelf.family();
  LeastWork least;
  size_t reasons = 0;
  for (Index place = 0; place < assembly.at.size(); ++place) {
    const judge::VariantId loom = assembly.at[place];
    if (loom == none || family.parts[shelf[loom].part].kind != PartKind::loom) continue;
    std::vector<Side> beside;
    for (const judge::VariantId id : assembly.at) {
      if (id == none) {
        beside.emplace_back();
        continue;
      }
      beside.push_back({shelf[id].part, nearest_cell(family, shelf[id].cells, shelf[loom].cell)});
    }
    const Suited suited = plan_to_suit(shelf.index(), {shelf[loom].part, shelf[loom].cell}, beside, settings);
    if (!suited.plan.refusal.empty() || !suited.open.empty() || suited.plan.operations == 0) continue;
    if (suited.best >= suited.best_before) continue;
    const auto rank = std::tuple(suited.best, suited.reasons.size(), suited.plan.operations);
    if (least.place != none && std::tuple(least.best, reasons, least.operations) <= rank) continue;
    least = {place, suited.plan.operations, suited.best};
    reasons = suited.reasons.size();
  }
  return least;
}

}  // namespace loomproof::repin
