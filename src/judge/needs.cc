// What a part needs and nothing gives it.
#include <algorithm>

#include "judge/judgement.h"
#include "judge/outcomes.h"

namespace loomproof::judge {

namespace {

bool is_taker(Role role) {
  return role >= Role::takes_feed && role <= Role::senses_high;
}

uint32_t givers_for(Role role) {
  switch (role) {
    case Role::takes_feed:
      return bit(Role::gives_feed) | bit(Role::pulls_high);
    case Role::takes_earth:
      return bit(Role::gives_earth) | bit(Role::pulls_low);
    case Role::takes_return:
      return bit(Role::gives_return);
    case Role::takes_reference:
      return bit(Role::gives_reference);
    case Role::takes_signal:
      return bit(Role::gives_signal);
    case Role::takes_low:
      return bit(Role::pulls_low) | bit(Role::gives_earth);
    case Role::takes_high:
      return bit(Role::pulls_high) | bit(Role::gives_feed);
    case Role::takes_firing:
      return bit(Role::gives_firing);
    case Role::senses_low:
      return bit(Role::pulls_low) | bit(Role::gives_earth) | bit(Role::gives_return) | bit(Role::gives_signal);
    case Role::senses_high:
      return bit(Role::pulls_high) | bit(Role::gives_feed) | bit(Role::gives_signal);
    default:
      return 0;
  }
}

Network::Flow flow_to_giver(Role role) {
  switch (role) {
    case Role::takes_feed:
    case Role::takes_high:
    case Role::senses_high:
      return Network::Flow::to_feed;
    case Role::takes_earth:
    case Role::takes_low:
    case Role::senses_low:
      return Network::Flow::to_earth;
    default:
      return Network::Flow::any;
  }
}

}  // namespace

bool Judge::is_met(const Port& port, Network::PortRef ref) const {
  const Network::Net net = network_.firm(ref.place, port.net);
  Settings settings;
  return network_.reaches(net, givers_for(port.role), flow_to_giver(port.role), port.through_load, settings);
}

void Judge::find_needs(Judgement& out) {
  const Family& family = shelf_.family();
  const auto& ports = network_.ports();
  for (const Network::PortRef& ref : ports) {
    const Port& port = network_.port(ref);
    if (!port.needed || !is_taker(port.role)) continue;
    if (port.pin != none) {
      const Pin& pin = family.pins[port.pin];
      if (pin.coded_low != 0 || pin.coded_high != 0 || pin.coded_open != 0) continue;  // open is a state it knows
    }
    if (is_met(port, ref)) continue;
    Reason reason;
    reason.cause = Cause::need_unmet;
    reason.port = ref;
    reason.circuit = port.circuit;
    reason.outcome = raised(Outcome::dead, port.circuit);
    reason.certain = !may_be_met(ref);
    out.reasons.push_back(reason);
  }
}

// Whether something nobody knows could meet the need: its net runs to a cavity that is hidden, or whose partner is, or
// has a splice or earth point in a part with hidden cavities, where a wire may end that nobody has seen.
bool Judge::may_be_met(Network::PortRef ref) {
  const Assembly& assembly = network_.assembly();
  const Network::Net net = network_.loose_of(network_.firm(ref.place, network_.port(ref).net));
  const auto is_on_net = [&](Index place, Index each) { return each != none && network_.loose(place, each) == net; };
  for (Index place = 0; place < assembly.at.size(); ++place) {
    if (assembly.at[place] == none) continue;
    const Variant& variant = network_.variant(place);
    if (variant.hidden.empty()) continue;
    for (Index joint : variant.joints)
      if (is_on_net(place, joint)) return true;
    for (const Hidden& hidden : variant.hidden) {
      if (is_on_net(place, hidden.net)) return true;
      for (const Meeting& meeting : network_.meetings()) {
        if (!meeting.mate || (meeting.connector_a != hidden.connector && meeting.connector_b != hidden.connector))
          continue;
        const bool is_a = meeting.connector_a == hidden.connector;
        const Index other_place = is_a ? meeting.place_b : meeting.place_a;
        const Index point =
            shelf_.index().cavity_point(is_a ? meeting.connector_b : meeting.connector_a, hidden.number);
        if (point == none) continue;
        const Variant& other = network_.variant(other_place);
        if (is_on_net(other_place, other.net_of[point - shelf_.family().parts[other.part].points.first])) return true;
      }
    }
  }
  return false;
}

}  // namespace loomproof::judge
