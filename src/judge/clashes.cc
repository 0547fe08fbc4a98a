// Roles that must not meet, in every permitted state.
#include <algorithm>

#include "judge/judgement.h"
#include "judge/outcomes.h"

namespace loomproof::judge {

namespace {

bool never_together(When a, When b) {
  return (a == When::stopped && b == When::running) || (a == When::running && b == When::stopped);
}

}  // namespace

bool Judge::holds(const Join& join, const Port& a, const Port& b, Network::PortRef ref_a,
                  Network::PortRef ref_b) const {
  const Family& family = shelf_.family();
  const bool volts = a.volts != not_given && b.volts != not_given;
  const auto well_above = [](Quantity high, Quantity low) { return high > low + low / 4; };
  switch (join.when) {
    case JoinWhen::always:
      return true;
    case JoinWhen::volts_differ:
      return volts && (well_above(a.volts, b.volts) || well_above(b.volts, a.volts));
    case JoinWhen::volts_above:
      return volts && well_above(a.volts, b.volts);
    case JoinWhen::volts_below:
      return volts && well_above(b.volts, a.volts);
    case JoinWhen::current_above:
      return a.amps != not_given && b.amps != not_given && b.amps > a.amps;
    case JoinWhen::unfused:
      return network_.earthed(ref_a.place, a.net) == network_.earthed(ref_b.place, b.net);
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
      return false;
  }
  return false;
}

Outcome Judge::clash(Network::PortRef a, Network::PortRef b, bool firm, Settings& settings, const Join*& join) const {
  const Port *first = &network_.port(a), *second = &network_.port(b);
  if (never_together(first->when, second->when)) return Outcome::fine;
  if (first->role > second->role) std::swap(first, second), std::swap(a, b);
  Outcome worst = Outcome::fine;
  bool is_conditional = false;
  for (const Join& row : joins_[static_cast<uint32_t>(first->role) * roles + static_cast<uint32_t>(second->role)]) {
    if (!holds(row, *first, *second, a, b)) continue;
    const bool conditional = row.when != JoinWhen::always;
    if (conditional && !is_conditional) worst = Outcome::fine, is_conditional = true;  // it takes the place of `always`
    if (join == nullptr || conditional || is_worse(row.outcome, worst)) {
      if (!is_worse(row.outcome, worst)) continue;
      worst = row.outcome;
      join = &row;
    }
  }
  if (worst == Outcome::fine || worst == Outcome::unset) return Outcome::fine;
  if (firm) return worst;
  if (!is_grave(worst) && !is_conditional) return Outcome::fine;
  const Network::Net from = network_.firm(a.place, first->net), to = network_.firm(b.place, second->net);
  const bool walks_down = first->role == Role::gives_feed || first->role == Role::pulls_high;
  return network_.connects(from, to, walks_down ? Network::Flow::to_earth : Network::Flow::any, settings)
             ? worst
             : Outcome::fine;
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
      const bool firm = network_.firm(a.place, port_a.net) == network_.firm(b.place, port_b.net);
      Reason reason;
      reason.outcome = clash(a, b, firm, reason.settings, reason.join);
      if (reason.outcome == Outcome::fine) continue;
      reason.cause = Cause::roles_clash;
      reason.port = a, reason.other = b;
      if (port_b.role < port_a.role) std::swap(reason.port, reason.other);
      const Outcome by_a = raised(reason.outcome, port_a.circuit), by_b = raised(reason.outcome, port_b.circuit);
      reason.outcome = is_worse(by_a, by_b) ? by_a : by_b;
      out.reasons.push_back(reason);
    }
  }
}

}  // namespace loomproof::judge
