// What a part needs and nothing gives it.
#include <algorithm>

#include "judge/judgement.h"
#include "judge/outcomes.h"

namespace loomproof::judge {

namespace {

bool is_taker(Role role) {
  return role >= Role::takes_feed && role <= Role::senses_high;
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

// Whether something nobody knows could meet the need, or feed the relay that would: a cavity, or what lies behind a
// lead.
bool Judge::may_be_met(Network::PortRef ref) const {
  const Port& port = network_.port(ref);
  const Network::Net net = network_.firm(ref.place, port.net);
  if (network_.roles_of_firm(net) & bit(Role::unknown)) return true;
  return network_.may_reach(net, givers_for(port.role), flow_to_giver(port.role), port.through_load);
}

}  // namespace loomproof::judge
