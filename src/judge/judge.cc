#include <algorithm>

#include "family/joins.h"
#include "family/words.h"
#include "judge/judgement.h"
#include "judge/outcomes.h"
#include "nets/firing.h"

namespace loomproof::judge {

std::string_view word(Verdict verdict) {
  constexpr std::string_view words[] = {"fits", "fits, with loose ends", "does not work", "destroys a part",
                                        "endangers people"};
  return words[static_cast<size_t>(verdict)];
}

Verdict verdict_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::unset:
    case Outcome::fine:
      return Verdict::fits;
    case Outcome::dead:
    case Outcome::misreads:
    case Outcome::stays_on:
    case Outcome::opens_fuse:
      return Verdict::does_not_work;
    case Outcome::destroys:
      return Verdict::destroys_a_part;
    case Outcome::endangers:
      return Verdict::endangers_people;
  }
  return Verdict::endangers_people;
}

Judge::Judge(Shelf& shelf)
    : shelf_(shelf),
      network_(shelf),
      joins_(roles * roles),
      may_do_{std::vector<uint32_t>(roles, 0), std::vector<uint32_t>(roles, 0)},
      loud_(roles, 0),
      may_fire_(connectors_that_may_fire(shelf.index())) {
  const Family& family = shelf.family();
  for (uint32_t a = 1; a < roles; ++a)
    for (uint32_t b = 1; b < roles; ++b) {
      std::span<const Join>& rows = joins_[a * roles + b];
      rows = joins_of(family, static_cast<Role>(a), static_cast<Role>(b));
      for (const Join& join : rows) {
        const uint32_t does = 1u << static_cast<uint32_t>(join.outcome);
        may_do_[1][a] |= does;
        const Role other = static_cast<Role>(b);
        if (other != Role::gives_firing && other != Role::takes_firing) may_do_[0][a] |= does;
      }
      const bool is_hidden = static_cast<Role>(a) == Role::unknown || static_cast<Role>(b) == Role::unknown;
      const auto is_fine = [](const Join& join) { return join.outcome == Outcome::fine; };
      if (is_hidden || rows.empty() || !std::all_of(rows.begin(), rows.end(), is_fine)) loud_[a] |= 1u << b;
    }
}

Outcome Judge::raised(Outcome outcome, Index circuit) const {
  if (circuit == none) return outcome;
  const Circuit& row = shelf_.family().circuits[circuit];
  if (outcome == Outcome::stays_on && is_worse(row.if_stays_on, outcome)) return row.if_stays_on;
  if (outcome == Outcome::dead && is_worse(row.if_dead, outcome)) return row.if_dead;
  return outcome;
}

void Judge::build(const Assembly& assembly) {
  network_.build(assembly);
  by_firm_.clear();
  const auto& ports = network_.ports();
  for (uint32_t i = 0; i < ports.size(); ++i)
    by_firm_.emplace_back(network_.firm(ports[i].place, network_.port(ports[i]).net), i);
  std::sort(by_firm_.begin(), by_firm_.end());
}

// Whether another part may take a reason away: an adapter parts two plugs, an earth keeps what takes it at earth.
bool Judge::may_be_relieved(const Reason& reason) const {
  if (reason.cause == Cause::roles_clash)
    return network_.port(reason.other).role == Role::takes_earth && network_.port(reason.port).role < Role::takes_feed;
  if (reason.cause != Cause::does_not_plug) return false;
  const Family& family = shelf_.family();
  const Meeting& meeting = reason.meeting;
  const auto has_other = [&](Index place, Index connector, Index but) {
    const Str designator = family.connectors[connector].designator;
    return std::any_of(family.plugs.begin(), family.plugs.end(), [&](const PlugPair& pair) {
      return (pair.place_a == place && pair.a == designator && pair.place_b != but) ||
             (pair.place_b == place && pair.b == designator && pair.place_a != but);
    });
  };
  return has_other(meeting.place_a, meeting.connector_a, meeting.place_b) &&
         has_other(meeting.place_b, meeting.connector_b, meeting.place_a);
}

// What grows with every part that is added, as far as it is certain.
Judgement Judge::find_conflicts(const Assembly& assembly) {
  build(assembly);
  Judgement out;
  find_misfits(out);
  find_joined_circuits(out);
  find_clashes(out);
  for (const Reason& reason : out.reasons) {
    if (!reason.certain || may_be_relieved(reason)) continue;
    ++out.conflicts.count;
    out.conflicts.worst = std::max(out.conflicts.worst, verdict_of(reason.outcome));
  }
  return out;
}

Conflicts Judge::conflicts(const Assembly& assembly) {
  return find_conflicts(assembly).conflicts;
}

// Of the clashes on one net, and of the needs on one net, the worst: the others go with it. What is certain and what
// rests on something nobody knows are told apart.
void Judge::keep_one_a_net(Judgement& out) const {
  struct Seen {
    Cause cause;
    Network::Net net;
    bool certain;
    size_t at;
  };
  std::vector<Seen> seen;
  std::vector<Reason> kept;
  for (Reason& reason : out.reasons) {
    if (reason.cause != Cause::roles_clash && reason.cause != Cause::need_unmet) {
      kept.push_back(std::move(reason));
      continue;
    }
    const Network::PortRef ref = reason.cause == Cause::roles_clash ? reason.other : reason.port;
    const Seen key{reason.cause, network_.firm(ref.place, network_.port(ref).net), reason.certain, kept.size()};
    const auto before = std::find_if(seen.begin(), seen.end(), [&](const Seen& each) {
      return each.cause == key.cause && each.net == key.net && each.certain == key.certain;
    });
    if (before == seen.end()) {
      seen.push_back(key);
      kept.push_back(std::move(reason));
    } else if (is_worse(reason.outcome, kept[before->at].outcome)) {
      kept[before->at] = std::move(reason);
    }
  }
  out.reasons = std::move(kept);
}

Judgement Judge::find(const Assembly& assembly) {
  Judgement out = find_conflicts(assembly);
  find_open_plugs(out);
  find_needs(out);
  find_hidden(out);
  return out;
}

std::vector<Reason> Judge::faults_of_build(const Assembly& assembly) {
  build(assembly);
  Judgement out;
  find_joined_circuits(out);
  find_clashes(out);
  find_needs(out);
  keep_one_a_net(out);
  return std::move(out.reasons);
}

std::vector<Reason> Judge::reasons(const Assembly& assembly) {
  return find(assembly).reasons;
}

Judgement Judge::judge(const Assembly& assembly) {
  Judgement out = find(assembly);
  keep_one_a_net(out);
  std::stable_sort(out.reasons.begin(), out.reasons.end(), [](const Reason& a, const Reason& b) {
    if (a.certain != b.certain) return a.certain;
    const bool misfit_a = a.cause == Cause::does_not_plug, misfit_b = b.cause == Cause::does_not_plug;
    if (misfit_a != misfit_b) return misfit_a;  // what else is wrong often follows from it
    return is_worse(a.outcome, b.outcome);
  });
  for (const Reason& reason : out.reasons) {
    Verdict verdict = verdict_of(reason.outcome);
    if (reason.cause == Cause::hangs_loose) verdict = std::max(verdict, Verdict::fits_with_loose_ends);
    if (reason.certain) out.best = std::max(out.best, verdict);
    out.worst = std::max(out.worst, verdict);
  }
  return out;
}

}  // namespace loomproof::judge
