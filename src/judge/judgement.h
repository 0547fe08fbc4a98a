// Will these parts work together? Every reason against it, and the verdict: the worst of them, as an interval from best
// to worst case where something nobody knows could change it.
//
// Judged in every permitted state of switches and relays: what destroys, endangers or blows a fuse counts where any
// state brings it about; what reads wrong, stays on or stays dead where no contact lies between. Currents through loads
// are not solved: a lamp fed backwards through others is not found here.
#pragma once
#include <optional>
#include <string_view>
#include <vector>

#include "family/joins.h"
#include "judge/network.h"

namespace loomproof::judge {

using loomproof::Verdict;
std::string_view word(Verdict verdict);  // for people
Verdict verdict_of(Outcome outcome);

enum class Cause : uint32_t {
  roles_clash,      // two ports that must not meet: port, other, join
  need_unmet,       // a port that nothing gives what it needs: port
  circuits_joined,  // circuit and other_circuit on one hard net
  kept_apart,       // the same, and the family declares what it does: apart
  does_not_plug,    // meeting
  place_empty,      // connector hangs open because place holds nothing
  hangs_loose,      // connector; live where it carries a feed
  not_known         // hidden: a cavity that could make it worse
};

struct Reason {
  Cause cause{};
  Outcome outcome{};      // raised by what the circuit says of itself
  bool certain = true;    // false: it rests on something nobody knows
  bool live = false;      // of a plug that hangs open: a feed is on it
  bool may_fire = false;  // of a plug or hidden cavity: it carries, or may carry, a firing circuit
  Network::PortRef port, other;
  const Join* join = nullptr;  // of a clash; nullptr where the table says nothing of the two
  Index circuit = none, other_circuit = none, apart = none;
  Network::Net net = 0;                  // of circuits: the hard net that they share
  Index place = none, connector = none;  // of a plug, or of a hidden cavity
  Meeting meeting;
  const Hidden* hidden = nullptr;
  Settings settings;  // in which it comes about; empty: always
};

// What the parts of an assembly certainly do to each other, whatever else is plugged in: both only grow with every part
// that is added. Needs do not count, nor what another part may take away.
struct Conflicts {
  Verdict worst{};
  uint32_t count = 0;
  friend auto operator<=>(const Conflicts&, const Conflicts&) = default;
};

struct Judgement {
  Verdict best{}, worst{};      // equal where nothing unknown matters
  Conflicts conflicts;          // before they are told one a net
  std::vector<Reason> reasons;  // the certain ones first: what does not plug, then the worst
  bool is_proven() const { return best == worst; }
};

class Judge {
 public:
  explicit Judge(Shelf& shelf);

  Judgement judge(const Assembly& assembly);
  // Every reason, before those of one net are told as one.
  std::vector<Reason> reasons(const Assembly& assembly);
  // What is wrong with what a factory built: clashes, needs, circuits. Plugs are left to those who look at plugs, and
  // what nobody knows to the bench.
  std::vector<Reason> faults_of_build(const Assembly& assembly);
  Conflicts conflicts(const Assembly& assembly);
  const Network& network() const { return network_; }  // of the assembly judged last
  // Whether a connector carries, or may carry, a firing circuit: nobody is led to work on it.
  bool may_fire(Index connector) const { return may_fire_[connector]; }

 private:
  void build(const Assembly& assembly);
  Judgement find_conflicts(const Assembly& assembly);
  Judgement find(const Assembly& assembly);
  void find_misfits(Judgement& out);
  void find_open_plugs(Judgement& out);
  void find_joined_circuits(Judgement& out);
  void find_clashes(Judgement& out);
  void find_needs(Judgement& out);
  void find_hidden(Judgement& out);
  void keep_one_a_net(Judgement& out) const;

  Index missing_at(Index place, const Socket& socket) const;
  bool is_live(Index place, const Socket& socket) const;
  std::optional<Reason> clash(Network::PortRef a, Network::PortRef b) const;
  std::optional<Reason> unknown_lead(Reason reason) const;
  const Join* row_for(Network::PortRef a, Network::PortRef b) const;
  bool holds(const Join& join, const Port& a, const Port& b, Network::PortRef ref_a, Network::PortRef ref_b) const;
  Outcome raised(Outcome outcome, Index circuit) const;
  bool may_be_relieved(const Reason& reason) const;
  bool has_port(Network::Net hard) const;
  bool is_earthed(const Port& port, Network::PortRef ref) const;
  bool is_met(const Port& port, Network::PortRef ref) const;
  bool may_be_met(Network::PortRef ref) const;
  Outcome worst_with(const Port& port, bool may_fire) const;
  std::vector<Outcome> worst_on_nets(bool may_fire) const;
  Outcome worst_at(Index place, const Hidden& hidden, bool may_fire, const std::vector<Outcome>& on_nets) const;

  Shelf& shelf_;
  Network network_;
  static constexpr uint32_t roles = 24;
  std::vector<std::span<const Join>> joins_;  // by role and role
  std::vector<uint32_t> may_do_[2];           // by whether it fires, and role: outcomes of all its rows, as bits
  std::vector<uint32_t> loud_;                // by role: the roles that it does not just get on with
  std::vector<bool> may_fire_;                // by connector
  std::vector<std::pair<Network::Net, uint32_t>> by_firm_;    // ports, by firm net
  std::vector<Index> circuit_of_;                             // by hard net: one of its circuits
  std::vector<std::pair<Network::Net, Index>> net_circuits_;  // hard net, circuit: of nets that have several
};

}  // namespace loomproof::judge
