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

void Judge::find_hidden(Judgement& out) {
  const Family& family = shelf_.family();
  const Assembly& assembly = network_.assembly();
  const auto& ports = network_.ports();
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
        const bool fires =
            housing_fires_[family.connector_rows[connector_row_in(family, hidden.connector, variant.cell)].housing];
        Outcome worst = Outcome::fine;
        if (state == State::unknown || state == State::disputed || cavity.state.role == Role::unknown) {
          worst = fires ? Outcome::endangers : Outcome::destroys;  // two that nobody knows may be anything
        } else if (cavity.point != none) {
          const Index net = other.net_of[cavity.point - family.parts[other.part].points.first];
          const Network::Net firm = net == none ? none : network_.firm(other_place, net);
          const auto range = std::equal_range(by_firm_.begin(), by_firm_.end(), std::make_pair(firm, 0u),
                                              [](const auto& x, const auto& y) { return x.first < y.first; });
          for (auto at = range.first; firm != none && at != range.second; ++at) {
            const Outcome outcome = worst_with(ports[at->second], fires);
            if (is_worse(outcome, worst)) worst = outcome;
          }
        }
        if (worst == Outcome::fine) continue;
        Reason reason;
        reason.cause = Cause::not_known;
        reason.outcome = worst;
        reason.certain = false;
        reason.place = place;
        reason.connector = hidden.connector;
        reason.hidden = &hidden;
        reason.meeting = meeting;
        out.reasons.push_back(reason);
      }
    }
  }
}

}  // namespace loomproof::judge
