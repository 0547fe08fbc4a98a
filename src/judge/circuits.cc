// Circuits on one hard net that do not belong together, or are declared to be kept apart.
#include <algorithm>

#include "judge/judgement.h"
#include "judge/outcomes.h"
#include "nets/firing.h"

namespace loomproof::judge {

// Whether a pin or lead is on a hard net: where there is none, nothing is there that could do otherwise than it should.
bool Judge::has_port(Network::Net hard) const {
  const auto& ports = network_.ports();
  return std::any_of(ports.begin(), ports.end(), [&](const Network::PortRef& ref) {
    return network_.hard(ref.place, network_.port(ref).net) == hard;
  });
}

void Judge::find_joined_circuits(Judgement& out) {
  const Family& family = shelf_.family();
  const Assembly& assembly = network_.assembly();
  circuit_of_.assign(network_.vertices(), none);
  net_circuits_.clear();
  for (Index place = 0; place < assembly.at.size(); ++place) {
    if (assembly.at[place] == none) continue;
    for (const auto& [net, circuit] : network_.variant(place).circuits) {
      const Network::Net hard = network_.hard(place, net);
      Index& first = circuit_of_[hard];
      if (first == none) first = circuit;
      if (first == circuit) continue;
      net_circuits_.emplace_back(hard, first);
      net_circuits_.emplace_back(hard, circuit);
    }
  }
  std::sort(net_circuits_.begin(), net_circuits_.end());
  net_circuits_.erase(std::unique(net_circuits_.begin(), net_circuits_.end()), net_circuits_.end());
  const auto touches = [&](Network::Net net, const Apart& apart) {
    const Rows<Index> places = rows(family.place_refs, apart.places);
    if (apart.places.count == 0) return true;
    for (Index place : places) {
      if (assembly.at[place] == none) continue;
      for (Index each = 0; each < network_.variant(place).nets; ++each)
        if (network_.hard(place, each) == net) return true;
    }
    return false;
  };
  for (size_t first = 0; first < net_circuits_.size();) {
    size_t last = first + 1;
    while (last < net_circuits_.size() && net_circuits_[last].first == net_circuits_[first].first) ++last;
    for (size_t i = first; i < last; ++i)
      for (size_t j = i + 1; j < last; ++j) {
        const Index a = net_circuits_[i].second, b = net_circuits_[j].second;
        Reason reason;
        reason.circuit = a;
        reason.other_circuit = b;
        reason.net = net_circuits_[first].first;
        reason.cause = Cause::circuits_joined;
        bool told = false;
        for (Index apart = 0; apart < family.aparts.size(); ++apart) {
          const Apart& row = family.aparts[apart];
          const bool names = (row.circuit == a && row.other == b) || (row.circuit == b && row.other == a);
          if (!names || !touches(net_circuits_[first].first, row)) continue;
          const bool is_worst = row.outcome != Outcome::unset && is_worse(row.outcome, reason.outcome);
          if (told && reason.certain && !is_worst) continue;  // said of both circuits: the worst that is known
          reason.cause = Cause::kept_apart;
          reason.apart = apart;
          reason.certain = row.outcome != Outcome::unset;
          reason.outcome = reason.certain ? row.outcome : Outcome::endangers;  // nobody can say: it may be anything
          told = true;
        }
        if (told) out.reasons.push_back(reason);
        if (told && reason.certain) continue;
        if (go_together(family, a, b)) continue;
        const bool firing = is_firing(family, a) || is_firing(family, b);
        if (!firing && !has_port(net_circuits_[first].first)) continue;  // as in a loom on its own
        const Outcome worse_a = raised(Outcome::dead, a), worse_b = raised(Outcome::dead, b);
        reason.cause = Cause::circuits_joined;
        reason.certain = true;
        reason.outcome = firing ? Outcome::endangers : is_worse(worse_a, worse_b) ? worse_a : worse_b;
        out.reasons.push_back(reason);
      }
    first = last;
  }
}

}  // namespace loomproof::judge
