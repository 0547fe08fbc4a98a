// What a cavity that nobody knows could do at worst: join what is known at it, in its partner and at the splices, earth
// points and leads of its own part to anything that the family has.
#include <algorithm>

#include "judge/judgement.h"
#include "judge/outcomes.h"
#include "nets/firing.h"

namespace loomproof::judge {

namespace {

void make_worse(Outcome& outcome, Outcome other) {
  if (is_worse(other, outcome)) outcome = other;
}

}  // namespace

// To a port: it may be any role.
Outcome Judge::worst_with(const Port& port, bool may_fire) const {
  Outcome worst = Outcome::fine;
  const uint32_t may_do = may_do_[may_fire][static_cast<uint32_t>(port.role)];
  for (uint32_t outcome = 0; may_do >> outcome != 0; ++outcome)
    if ((may_do >> outcome) & 1) make_worse(worst, raised(static_cast<Outcome>(outcome), port.circuit));
  return worst;
}

// By loose net: the worst that can come of something nobody knows on it, to its ports, to its circuits, and by its
// coils to what their contacts join.
std::vector<Outcome> Judge::worst_on_nets(bool may_fire) const {
  const Family& family = shelf_.family();
  const Assembly& assembly = network_.assembly();
  std::vector<Outcome> worst(network_.vertices(), Outcome::fine), stopped(network_.vertices(), Outcome::fine);
  for (const auto& [firm, at] : by_firm_) {
    const Port& port = network_.port(network_.ports()[at]);
    const Network::Net loose = network_.loose_of(firm);
    make_worse(worst[loose], worst_with(port, may_fire));
    for (const Outcome outcome : {Outcome::dead, Outcome::stays_on})
      make_worse(stopped[loose], raised(outcome, port.circuit));
  }
  const auto join_to = [&](Network::Net hard, Index circuit) {
    Outcome& outcome = worst[network_.loose_of(hard)];
    make_worse(outcome, may_fire || is_firing(family, circuit) ? Outcome::endangers : raised(Outcome::dead, circuit));
    for (const Apart& apart : family.aparts)
      if (apart.circuit == circuit || apart.other == circuit) make_worse(outcome, apart.outcome);
  };
  for (Network::Net hard = 0; hard < circuit_of_.size(); ++hard)
    if (circuit_of_[hard] != none) join_to(hard, circuit_of_[hard]);
  for (const auto& [hard, circuit] : net_circuits_) join_to(hard, circuit);
  for (bool has_changed = true; has_changed;) {  // a coil's contacts may feed another coil
    has_changed = false;
    for (Index place = 0; place < assembly.at.size(); ++place) {
      if (assembly.at[place] == none) continue;
      const Variant& variant = network_.variant(place);
      for (const Bridge& contact : variant.bridges) {
        if (contact.device == none || variant.devices[contact.device].coil == none) continue;
        const Bridge& coil = variant.bridges[variant.devices[contact.device].coil];
        for (Index side : {coil.a, coil.b}) {
          Outcome& outcome = worst[network_.loose(place, side)];
          const Outcome before = outcome;
          for (Index end : {contact.a, contact.b}) {
            const Network::Net loose = network_.loose(place, end);
            make_worse(stopped[network_.loose(place, side)], stopped[loose]);
          }
          make_worse(outcome, stopped[network_.loose(place, side)]);
          has_changed |= outcome != before;
        }
      }
    }
  }
  return worst;
}

Outcome Judge::worst_at(Index place, const Hidden& hidden, bool may_fire, const std::vector<Outcome>& on_nets) const {
  const Variant& variant = network_.variant(place);
  const auto on = [&](Index at, Index net) { return on_nets[network_.loose(at, net)]; };
  Outcome worst = Outcome::fine;
  if (hidden.point != none && network_.is_insulated(hidden.point)) return worst;
  for (Index net : variant.bare) make_worse(worst, on(place, net));
  for (const Meeting& meeting : network_.meetings()) {
    if (!meeting.mate) continue;
    const bool is_a = meeting.connector_a == hidden.connector;
    if (!is_a && meeting.connector_b != hidden.connector) continue;
    const Index other_place = is_a ? meeting.place_b : meeting.place_a;
    const Variant& other = network_.variant(other_place);
    const Cavity cavity =
        cavity_at(shelf_.index(), other.cell, is_a ? meeting.connector_b : meeting.connector_a, hidden.number);
    const State state = cavity.state.state;
    if (state == State::empty || state == State::sealed) continue;
    if (cavity.point != none && network_.is_insulated(cavity.point)) continue;
    const bool is_hidden = state == State::unknown || state == State::disputed || cavity.state.role == Role::unknown;
    if (is_hidden) make_worse(worst, may_fire ? Outcome::endangers : Outcome::destroys);  // two may be anything
    if (cavity.point != none) {
      const Index net = other.net_of[cavity.point - shelf_.family().parts[other.part].points.first];
      if (net != none) make_worse(worst, on(other_place, net));
    }
    if (hidden.net != none) make_worse(worst, on(place, hidden.net));
    for (Index joint : variant.joints) make_worse(worst, on(place, joint));
  }
  return worst;
}

void Judge::find_hidden(Judgement& out) {
  const Assembly& assembly = network_.assembly();
  std::vector<Outcome> on_nets[2];  // by whether it may fire; filled when they are asked for
  for (Index place = 0; place < assembly.at.size(); ++place) {
    if (assembly.at[place] == none) continue;
    for (const Hidden& hidden : network_.variant(place).hidden) {
      const bool fires = may_fire(hidden.connector);
      if (on_nets[fires].empty()) on_nets[fires] = worst_on_nets(fires);
      Reason reason;
      reason.cause = Cause::not_known;
      reason.outcome = worst_at(place, hidden, fires, on_nets[fires]);
      if (reason.outcome == Outcome::fine) continue;
      reason.certain = false;
      reason.place = place;
      reason.connector = hidden.connector;
      reason.hidden = &hidden;
      reason.may_fire = fires;
      out.reasons.push_back(reason);
    }
  }
}

}  // namespace loomproof::judge
