#include "review/consequence.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "family/words.h"
#include "nets/nets.h"
#include "review/names.h"
#include "review/risk.h"

namespace loomproof::review {
namespace {

using Ends = std::vector<uint32_t>;  // numbers of end names, ascending

// The ends of one build: pins of components, leads of looms and earth points, by name.
struct Reach {
  std::map<std::string, Index> points;
  BuildNets build;
};

Reach reach_of(const FamilyIndex& index, uint32_t cell) {
  const Family& family = index.family();
  Reach reach{{}, build_nets(index, cell)};
  const auto add = [&](Index point) {
    if (reach.build.nets.net(point) == none) return;
    reach.points.emplace(id_of_place(family, family.points[point].part) + "." + point_name(family, point), point);
  };
  for (const Index part : reach.build.parts) {
    if (part == none) continue;
    for (const Pin& pin : rows(family.pins, family.parts[part].pins))
      if (family.holds(pin.cells, cell)) add(pin.point);
    for (const Earth& earth : rows(family.earths, family.parts[part].earths))
      if (family.holds(earth.cells, cell)) add(earth.point);
    for (const Lead& lead : rows(family.leads, family.parts[part].leads))
      if (family.holds(lead.cells, cell)) add(lead.point);
  }
  return reach;
}

Ends without(const Ends& a, const Ends& b) {
  Ends rest;
  std::set_difference(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(rest));
  return rest;
}

class Follower {
 public:
  Follower(const FamilyIndex& base, const FamilyIndex& head, const CellPair& pair)
      : base_(base), head_(head), was_(reach_of(base, pair.base)), is_(reach_of(head, pair.head)) {
    for (const auto& [name, point] : is_.points) {
      const auto other = was_.points.find(name);
      if (other == was_.points.end()) continue;
      names_.push_back(name);
      was_points_.push_back(other->second);
      is_points_.push_back(point);
    }
  }

  std::vector<Consequence> run() {
    const std::vector<Ends> was = groups(was_.build.nets, was_points_), is = groups(is_.build.nets, is_points_);
    const std::set<Ends> known_was(was.begin(), was.end()), known_is(is.begin(), is.end());
    std::vector<Ends> before, after;
    for (const Ends& group : was)
      if (!known_is.count(group)) before.push_back(group);
    for (const Ends& group : is)
      if (!known_was.count(group)) after.push_back(group);
    pair_up(before, after);
    return std::move(found_);
  }

 private:
  static std::vector<Ends> groups(const Nets& nets, const std::vector<Index>& points) {
    std::map<Index, Ends> by_net;
    for (uint32_t end = 0; end < points.size(); ++end) by_net[nets.net(points[end])].push_back(end);
    std::vector<Ends> all;
    for (auto& [net, ends] : by_net) all.push_back(std::move(ends));
    std::sort(all.begin(), all.end());
    return all;
  }

  // Each net as it is, held against the one of before that it has most of; each of those is taken once if it can be.
  void pair_up(const std::vector<Ends>& before, const std::vector<Ends>& after) {
    struct Pairing {
      size_t shared, was, is;
    };
    std::vector<size_t> was_of(names_.size(), before.size());
    for (size_t was = 0; was < before.size(); ++was)
      for (const uint32_t end : before[was]) was_of[end] = was;
    std::vector<Pairing> pairings;
    for (size_t is = 0; is < after.size(); ++is) {
      std::map<size_t, size_t> shared;  // by net of before; each end of a net that changed was on one that did
      for (const uint32_t end : after[is]) ++shared[was_of[end]];
      for (const auto& [was, count] : shared) pairings.push_back({count, was, is});
    }
    std::sort(pairings.begin(), pairings.end(), [](const Pairing& a, const Pairing& b) {
      return a.shared != b.shared ? a.shared > b.shared : std::tie(a.was, a.is) < std::tie(b.was, b.is);
    });
    std::vector<size_t> chosen(after.size(), before.size());
    std::vector<bool> is_taken(before.size());
    for (const Pairing& pairing : pairings)
      if (chosen[pairing.is] == before.size() && !is_taken[pairing.was])
        chosen[pairing.is] = pairing.was, is_taken[pairing.was] = true;
    for (const auto& [shared, was, is] : pairings)
      if (chosen[is] == before.size()) chosen[is] = was;
    for (size_t is = 0; is < after.size(); ++is) {
      const Ends &group = after[is], &other = before[chosen[is]];
      const Ends gained = without(group, other), lost = without(other, group);
      // What two nets parted into is told of the smaller, since of the larger it says the same.
      if (gained.empty() && is_told(lost, group)) continue;
      tell(without(group, gained), gained, lost);
    }
  }
  bool is_told(const Ends& lost, const Ends& kept) {
    const auto pair = std::minmax(lost, kept);
    return !parted_.insert({pair.first, pair.second}).second;
  }

  void tell(const Ends& kept, const Ends& gained, const Ends& lost) {
    Consequence told;
    const Family& head = head_.family();
    const bool turn = gained.empty() && lost.size() < kept.size();
    const Ends &of = turn ? lost : kept, &others = turn ? kept : lost;
    if (gained.empty())
      told.words = fmt::format("{} no longer meet{} {}", list(of), of.size() == 1 ? "s" : "", list(others));
    else if (lost.empty())
      told.words = fmt::format("{} now meet{} {}", list(kept), kept.size() == 1 ? "s" : "", list(gained));
    else
      told.words =
          fmt::format("{} meet{} {} in place of {}", list(kept), kept.size() == 1 ? "s" : "", list(gained), list(lost));
    const Index point = is_points_[of.front()];
    told.place = id_of_place(head, head.points[point].part);
    for (const Ends* ends : {&kept, &gained, &lost})
      for (const uint32_t end : *ends) {
        told.ends.push_back(names_[end]);
        note_circuits(told, base_.family(), was_.build.nets, was_points_[end]);
        note_circuits(told, head, is_.build.nets, is_points_[end]);
      }
    const std::span<const Index> circuits = is_.build.nets.circuits(is_.build.nets.net(point));
    if (!circuits.empty()) told.circuit = head.text(head.circuits[circuits.front()].id);
    std::sort(told.circuits.begin(), told.circuits.end());
    told.circuits.erase(std::unique(told.circuits.begin(), told.circuits.end()), told.circuits.end());
    found_.push_back(std::move(told));
  }
  static void note_circuits(Consequence& told, const Family& family, const Nets& nets, Index point) {
    for (const Index circuit : nets.circuits(nets.net(point))) {
      told.circuits.emplace_back(family.text(family.circuits[circuit].id));
      told.risk = worse(told.risk, risk_of(family.circuits[circuit].kind));
    }
  }

  // The first three, and how many more.
  std::string list(const Ends& ends) const {
    constexpr size_t most = 3;
    std::string text;
    for (size_t i = 0; i < std::min(ends.size(), most); ++i)
      text += (i == 0 ? "" : i + 1 == ends.size() ? " and " : ", ") + names_[ends[i]];
    if (ends.size() > most) text += fmt::format(" and {} more", ends.size() - most);
    return text;
  }

  const FamilyIndex &base_, &head_;
  Reach was_, is_;
  std::vector<std::string> names_;  // by end that both have
  std::vector<Index> was_points_, is_points_;
  std::set<std::pair<Ends, Ends>> parted_;
  std::vector<Consequence> found_;
};

}  // namespace

std::vector<Consequence> find_consequences(const FamilyIndex& base, const FamilyIndex& head, const CellPair& pair) {
  return Follower(base, head, pair).run();
}

}  // namespace loomproof::review
