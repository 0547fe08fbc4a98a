// Roles that must not meet, in every permitted state.
#include <algorithm>

#include "judge/judgement.h"
#include "judge/outcomes.h"
#include "nets/firing.h"

namespace loomproof::judge {

bool Judge::holds(const Join& join, const Port& a, const Port& b, Network::PortRef ref_a,
                  Network::PortRef ref_b) const {
  const Family& family = shelf_.family();
  const bool volts = a.volts != not_given && b.volts != not_given;
  switch (join.when) {
    case JoinWhen::always:
      return true;
    case JoinWhen::volts_differ:
      return volts && (is_well_above(a.volts, b.volts) || is_well_above(b.volts, a.volts));
    case JoinWhen::volts_above:
      return volts && is_well_above(a.volts, b.volts);
    case JoinWhen::volts_below:
      return volts && is_well_above(b.volts, a.volts);
    case JoinWhen::current_above:
      return a.amps != not_given && b.amps != not_given && b.amps > a.amps;
    case JoinWhen::unfused:
      return network_.may_meet_unfused(ref_a.place, a.net, ref_b.place, b.net);
    case JoinWhen::other_circuit:
      return a.circuit != b.circuit;
    case JoinWhen::other_terminal: {
      if (a.circuit == none || b.circuit == none) return false;
      const Index terminal_a = family.circuits[a.circuit].terminal, terminal_b = family.circuits[b.circuit].terminal;
      return terminal_a != none && terminal_b != none ? terminal_a != terminal_b : a.circuit != b.circuit;
    }
    case JoinWhen::other_line: {
      if (a.pin == none || b.pin == none) return false;
      return family.pins[a.pin].protocol != family.pins[b.pin].protocol ||
             family.pins[a.pin].line != family.pins[b.pin].line;
    }
    case JoinWhen::earthed_twice:
      return (a.role == Role::shield && network_.earthings(ref_a.place, a.net) > 1) ||
             (b.role == Role::shield && network_.earthings(ref_b.place, b.net) > 1);
  }
  return false;
}

// Of the conditions that hold the worst, else what always holds; nullptr where the table says nothing.
const Join* Judge::row_for(Network::PortRef a, Network::PortRef b) const {
  const Port &first = network_.port(a), &second = network_.port(b);
  const Join* found = nullptr;
  for (const Join& row : joins_[static_cast<uint32_t>(first.role) * roles + static_cast<uint32_t>(second.role)]) {
    if (!holds(row, first, second, a, b)) continue;
    const bool is_first_condition = found != nullptr && found->when == JoinWhen::always;
    if (found == nullptr || is_first_condition || is_worse(row.outcome, found->outcome)) found = &row;
  }
  return found;
}

// A lead of which nobody knows what lies beyond may be anything: so may what it does to a port.
std::optional<Reason> Judge::unknown_lead(Reason reason) const {
  const Port &first = network_.port(reason.port), &second = network_.port(reason.other);
  const bool are_both = first.role == second.role;
  const Port& known = first.role == Role::unknown ? second : first;
  reason.outcome = are_both ? Outcome::destroys : worst_with(known, is_firing(shelf_.family(), known.circuit));
  reason.certain = false;
  if (reason.outcome == Outcome::fine) return std::nullopt;
  const Network::Net from = network_.firm(reason.port.place, first.net),
                     to = network_.firm(reason.other.place, second.net);
  if (!network_.connects(from, to, Network::Flow::any, reason.settings) &&
      !network_.may_connect(from, to, Network::Flow::any, reason.settings))
    return std::nullopt;
  return reason;
}

// Whether a pin has the earth that it takes in metal: then it stays at earth, and what is joined to it meets that
// earth, which is told of those two.
bool Judge::is_earthed(const Port& port, Network::PortRef ref) const {
  return port.role == Role::takes_earth &&
         (network_.roles_of_firm(network_.firm(ref.place, port.net)) & bit(Role::gives_earth)) != 0;
}

// What two ports do to each other where contacts let them meet; `a` is the one whose role comes first.
std::optional<Reason> Judge::clash(Network::PortRef a, Network::PortRef b) const {
  const Port &first = network_.port(a), &second = network_.port(b);
  if (never_together(first.when, second.when)) return std::nullopt;
  if (is_earthed(second, b) && first.role < Role::takes_feed) return std::nullopt;
  Reason reason;
  reason.cause = Cause::roles_clash;
  reason.port = a, reason.other = b;
  const auto is_hidden_pin = [](const Port& port) { return port.role == Role::unknown && port.pin != none; };
  if (is_hidden_pin(first) || is_hidden_pin(second)) return std::nullopt;  // judged as hidden cavities: hidden.cc
  if (first.role == Role::unknown || second.role == Role::unknown) return unknown_lead(reason);
  reason.join = row_for(a, b);
  reason.certain = reason.join != nullptr && reason.join->outcome != Outcome::unset;
  reason.outcome = reason.certain ? reason.join->outcome : Outcome::endangers;  // nobody can say: it may be anything
  if (reason.outcome == Outcome::fine) return std::nullopt;
  const Network::Net from = network_.firm(a.place, first.net), to = network_.firm(b.place, second.net);
  if (from != to) {
    if (!is_grave(reason.outcome) && reason.join->when == JoinWhen::always) return std::nullopt;
    const bool walks_down = first.role == Role::gives_feed || first.role == Role::pulls_high;
    const Network::Flow flow = walks_down ? Network::Flow::to_earth : Network::Flow::any;
    if (!network_.connects(from, to, flow, reason.settings)) {
      if (!network_.may_connect(from, to, flow, reason.settings)) return std::nullopt;
      reason.certain = false;  // only if something nobody knows feeds a relay
    }
  }
  const Outcome by_first = raised(reason.outcome, first.circuit), by_second = raised(reason.outcome, second.circuit);
  reason.outcome = is_worse(by_first, by_second) ? by_first : by_second;
  return reason;
}

void Judge::find_clashes(Judgement& out) {
  const auto& ports = network_.ports();
  // Ports that share a loose net, each net's together.
  std::vector<std::pair<Network::Net, uint32_t>> by_loose;
  by_loose.reserve(ports.size());
  for (const auto& [firm, port] : by_firm_) {
    const Network::Net loose = network_.loose_of(firm);
    const uint32_t mask = network_.roles_of_loose(loose);
    if (loud_[static_cast<uint32_t>(network_.port(ports[port]).role)] & mask) by_loose.emplace_back(loose, port);
  }
  std::stable_sort(by_loose.begin(), by_loose.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (size_t first = 0; first < by_loose.size(); ++first) {
    const Network::PortRef a = ports[by_loose[first].second];
    const Port& port_a = network_.port(a);
    for (size_t next = first + 1; next < by_loose.size() && by_loose[next].first == by_loose[first].first; ++next) {
      const Network::PortRef b = ports[by_loose[next].second];
      const Port& port_b = network_.port(b);
      if (!(loud_[static_cast<uint32_t>(port_a.role)] & bit(port_b.role))) continue;
      if (a.place == b.place && port_a.net == port_b.net) continue;  // joined inside the part: its own business
      const std::optional<Reason> reason = port_b.role < port_a.role ? clash(b, a) : clash(a, b);
      if (reason) out.reasons.push_back(*reason);
    }
  }
}

}  // namespace loomproof::judge
