// What a cavity that nobody knows could do at worst.
#include <algorithm>

#include "judge/judgement.h"
#include "judge/outcomes.h"

namespace loomproof::judge {

// The worst that a cavity nobody knows could do to a port: it may be any role the family has.
Outcome Judge::worst_with(Network::PortRef ref, bool may_fire) const {
  const Port& port = network_.port(ref);
  Outcome worst = Outcome::fine;
  for (uint32_t role = 1; role < roles; ++role) {
    const Role other = static_cast<Role>(role);
    if (!may_fire && (other == Role::gives_firing || other == Role::takes_firing)) continue;
    for (const Join& join : joins_[static_cast<uint32_t>(port.role) * roles + role]) {
      const Outcome outcome = raised(join.outcome, port.circuit);
      if (is_worse(outcome, worst)) worst = outcome;
    }
  }
  return worst;
}

// The same to every port that some state of switches and relays joins to a net.
Outcome Judge::worst_on(Network::Net loose, bool may_fire) const {
  Outcome worst = Outcome::fine;
  for (const auto& [firm, port] : by_firm_) {
    if (network_.loose_of(firm) != loose) continue;
    const Outcome outcome = worst_with(network_.ports()[port], may_fire);
    if (is_worse(outcome, worst)) worst = outcome;
  }
  return worst;
}

void Judge::find_hidden(Judgement& out) {
  const Family& family = shelf_.family();
  const Assembly& assembly = network_.assembly();
  for (Index place = 0; place < assembly.at.size(); ++place) {
    if (assembly.at[place] == none) continue;
    const Variant& variant = network_.variant(place);
    for (const Hidden& hidden : variant.hidden) {
      for (const Meeting& meeting : network_.meetings()) {
        if (!meeting.mate) continue;
        const bool is_a = meeting.connector_a == hidden.connector;
        if (!is_a && meeting.connector_b != hidden.connector) continue;
        const Index other_place = is_a ? meeting.place_b : meeting.place_a;
        const Index other_connector = is_a ? meeting.connector_b : meeting.connector_a;
        const Variant& other = network_.variant(other_place);
        const Cavity cavity = cavity_at(shelf_.index(), other.cell, other_connector, hidden.number);
        const State state = cavity.state.state;
        if (state == State::empty || state == State::sealed) continue;
        const bool fires = may_fire(hidden.connector);
        Outcome worst = Outcome::fine;
        if (state == State::unknown || state == State::disputed || cavity.state.role == Role::unknown) {
          worst = fires ? Outcome::endangers : Outcome::destroys;  // two that nobody knows may be anything
        } else if (cavity.point != none) {
          const Index net = other.net_of[cavity.point - family.parts[other.part].points.first];
          if (net != none) worst = worst_on(network_.loose(other_place, net), fires);
        }
        if (worst == Outcome::fine) continue;
        Reason reason;
        reason.cause = Cause::not_known;
        reason.outcome = worst;
        reason.certain = false;
        reason.place = place;
        reason.connector = hidden.connector;
        reason.hidden = &hidden;
        reason.may_fire = fires;
        reason.meeting = meeting;
        out.reasons.push_back(reason);
      }
    }
  }
}

}  // namespace loomproof::judge
