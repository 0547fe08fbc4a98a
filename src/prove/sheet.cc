#include "prove/sheet.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <stdexcept>

#include "family/words.h"
#include "prove/order.h"

namespace loomproof::prove {
namespace {

constexpr double beside = 1.5;  // pitches: also across the corner

class Maker {
 public:
  Maker(const FamilyIndex& index, const identify::Loom& loom, const identify::OffLimits& off_limits)
      : family_(index.family()), off_limits_(off_limits), loom_(index, loom) {}

  Sheet make(Against against) {
    nets();
    looks();
    wires();
    opens();
    if (against == Against::comb) {
      comb();
    } else {
      neighbours();
    }
    sheet_.taken = order(sheet_.opens) + order(sheet_.bridges);
    return std::move(sheet_);
  }

 private:
  bool is_known(const std::string& end) const {
    const identify::CavityFacts* const facts = loom_.cavity(end);
    return !facts || facts->is_known();
  }

  void nets() {
    std::vector<Net> all;
    for (uint32_t net = 0; net < loom_.ends_of_net().size(); ++net) {
      Net made;
      for (uint32_t end : loom_.ends_of_net()[net]) {
        const std::string& name = loom_.name(end);
        if (off_limits_.holds_end(name)) {
          sheet_.unproven.push_back({Unproven::Why::firing, name});
        } else {
          made.ends.push_back(name);
        }
      }
      made.circuits = loom_.circuits_of_net(net);
      std::sort(made.ends.begin(), made.ends.end(), natural_less);
      if (!made.ends.empty()) all.push_back(std::move(made));
    }
    std::sort(all.begin(), all.end(),
              [](const Net& a, const Net& b) { return natural_less(a.ends.front(), b.ends.front()); });
    for (size_t net = 0; net < all.size(); ++net)
      for (const std::string& end : all[net].ends) net_of_[end] = net;
    sheet_.nets = std::move(all);
  }

  void looks() {
    for (const auto& [name, plug] : loom_.plugs()) {
      const bool fires = off_limits_.holds_plug(name);
      PlugLook look{name, plug.housing, fires, 0, {}, {}};
      if (fires) sheet_.unproven.push_back({Unproven::Why::firing, name});
      for (const auto& [number, cavity] : plug.cavities) {
        const std::string end = name + '.' + number;
        if (fires) continue;
        look.wires += cavity.wires;
        if (cavity.state == State::empty) look.empty.push_back(number);
        if (cavity.state == State::sealed) look.sealed.push_back(number);
        if (cavity.state == State::unknown) sheet_.unproven.push_back({Unproven::Why::unknown, end});
        if (cavity.state == State::disputed) sheet_.unproven.push_back({Unproven::Why::disputed, end});
      }
      std::sort(look.empty.begin(), look.empty.end(), natural_less);
      std::sort(look.sealed.begin(), look.sealed.end(), natural_less);
      sheet_.looks.push_back(std::move(look));
    }
    std::sort(sheet_.looks.begin(), sheet_.looks.end(),
              [](const PlugLook& a, const PlugLook& b) { return natural_less(a.plug, b.plug); });
  }

  // A wire is proven by the checks of its net where, without it, ends that may be touched stand on both its sides.
  void wires() {
    for (uint32_t net = 0; net < loom_.edges_of_net().size(); ++net)
      for (uint32_t edge : loom_.edges_of_net()[net]) {
        const std::string a = loom_.name(loom_.edges()[edge].a), b = loom_.name(loom_.edges()[edge].b);
        if (off_limits_.holds_end(a) || off_limits_.holds_end(b)) continue;  // its ends are listed as firing
        const auto [here, there, joined] = sides(net, edge);
        if (joined) {
          sheet_.unproven.push_back({Unproven::Why::parallel, a + " to " + b});
        } else if (here == 0 || there == 0) {
          sheet_.unproven.push_back({Unproven::Why::dead_end, a + " to " + b});
        }
      }
    std::stable_sort(sheet_.unproven.begin(), sheet_.unproven.end(), [](const Unproven& a, const Unproven& b) {
      return a.why != b.why ? a.why < b.why : natural_less(a.what, b.what);
    });
    sheet_.unproven.erase(
        std::unique(sheet_.unproven.begin(), sheet_.unproven.end(),
                    [](const Unproven& a, const Unproven& b) { return a.why == b.why && a.what == b.what; }),
        sheet_.unproven.end());
  }

  struct Sides {
    size_t here = 0, there = 0;  // ends that may be touched
    bool joined = false;         // another path leads round
  };
  Sides sides(uint32_t net, uint32_t without) const {
    std::map<uint32_t, std::vector<uint32_t>> at;
    for (uint32_t edge : loom_.edges_of_net()[net]) {
      if (edge == without) continue;
      at[loom_.edges()[edge].a].push_back(loom_.edges()[edge].b);
      at[loom_.edges()[edge].b].push_back(loom_.edges()[edge].a);
    }
    const auto reached = [&](uint32_t from) {
      std::set<uint32_t> seen{from};
      std::vector<uint32_t> open{from};
      while (!open.empty()) {
        const uint32_t vertex = open.back();
        open.pop_back();
        for (uint32_t next : at[vertex])
          if (seen.insert(next).second) open.push_back(next);
      }
      return seen;
    };
    const std::set<uint32_t> here = reached(loom_.edges()[without].a);
    if (here.contains(loom_.edges()[without].b)) return {0, 0, true};
    Sides sides;
    for (uint32_t end : loom_.ends_of_net()[net])
      if (!off_limits_.holds_end(loom_.name(end))) ++(here.contains(end) ? sides.here : sides.there);
    return sides;
  }

  // By net, the hand that most nets share: those are checked from there, the others from the next such.
  std::vector<std::string> hubs(size_t least_ends) const {
    std::vector<std::string> hub(sheet_.nets.size());
    std::set<size_t> left;
    for (size_t net = 0; net < sheet_.nets.size(); ++net)
      if (sheet_.nets[net].ends.size() >= least_ends) left.insert(net);
    while (!left.empty()) {
      std::map<std::string, size_t> count;
      for (size_t net : left) {
        std::set<std::string> hands;
        for (const std::string& end : sheet_.nets[net].ends) hands.insert(hand_of(end));
        for (const std::string& hand : hands) ++count[hand];
      }
      std::string best;
      for (const auto& [hand, nets] : count)
        if (best.empty() || nets > count[best] || (nets == count[best] && natural_less(hand, best))) best = hand;
      std::erase_if(left, [&](size_t net) {
        const bool is_here = std::any_of(sheet_.nets[net].ends.begin(), sheet_.nets[net].ends.end(),
                                         [&](const std::string& end) { return hand_of(end) == best; });
        if (is_here) hub[net] = best;
        return is_here;
      });
    }
    return hub;
  }
  const std::string& first_in(size_t net, const std::string& hand) const {
    for (const std::string& end : sheet_.nets[net].ends)
      if (hand_of(end) == hand) return end;
    throw std::logic_error("no end in that hand");
  }

  void opens() {
    const std::vector<std::string> hub = hubs(2);
    for (size_t net = 0; net < sheet_.nets.size(); ++net) {
      if (sheet_.nets[net].ends.size() < 2) continue;
      const std::string& from = first_in(net, hub[net]);
      for (const std::string& end : sheet_.nets[net].ends)
        if (end != from) sheet_.opens.push_back({from, end, net, net});
    }
  }

  void comb() {
    const std::vector<std::string> hub = hubs(1);
    for (size_t net = 0; net < sheet_.nets.size(); ++net) {
      sheet_.comb.push_back(first_in(net, hub[net]));
      // The last is held against all the others by their own checks.
      if (net + 1 < sheet_.nets.size()) sheet_.bridges.push_back({sheet_.comb.back(), {}, net, none});
    }
  }

  void neighbours() {
    std::set<std::pair<size_t, size_t>> covered;
    for (const auto& [name, plug] : loom_.plugs()) {
      if (plug.housing_index == none || off_limits_.holds_plug(name)) continue;
      const auto cavities = rows(family_.housing_cavities, family_.housings[plug.housing_index].cavities);
      const auto distance = [](const HousingCavity& a, const HousingCavity& b) {
        return std::hypot(static_cast<double>(a.x) - b.x, static_cast<double>(a.y) - b.y);
      };
      for (const HousingCavity& a : cavities) {
        double pitch = 0;  // to the nearest: round couplings have no grid
        for (const HousingCavity& b : cavities)
          if (&a != &b && (pitch == 0 || distance(a, b) < pitch)) pitch = distance(a, b);
        for (const HousingCavity& b : cavities) {
          if (&a == &b || distance(a, b) > beside * pitch) continue;
          const auto of_a = net_of_.find(name + '.' + std::string(family_.text(a.number)));
          const auto of_b = net_of_.find(name + '.' + std::string(family_.text(b.number)));
          if (of_a == net_of_.end() || of_b == net_of_.end() || of_a->second == of_b->second) continue;
          const auto pair = std::minmax(of_a->second, of_b->second);
          if (!covered.insert(pair).second) continue;
          const bool in_order = natural_less(of_a->first, of_b->first);
          const auto& first = in_order ? *of_a : *of_b;
          const auto& second = in_order ? *of_b : *of_a;
          sheet_.bridges.push_back({first.first, second.first, first.second, second.second});
        }
      }
    }
    for (size_t a = 0; a < sheet_.nets.size(); ++a)
      for (size_t b = a + 1; b < sheet_.nets.size(); ++b)
        if (!covered.contains({a, b})) sheet_.not_covered.emplace_back(a, b);
  }

  const Family& family_;
  const identify::OffLimits& off_limits_;
  identify::Sheet loom_;
  std::map<std::string, size_t> net_of_;  // by end
  Sheet sheet_;
};

}  // namespace

std::string hand_of(const std::string& end) {
  const std::string_view plug = identify::plug_of(end);
  return plug.empty() ? end : std::string(plug);
}

bool natural_less(std::string_view a, std::string_view b) {
  const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
  size_t i = 0, j = 0;
  while (i < a.size() && j < b.size()) {
    if (is_digit(a[i]) && is_digit(b[j])) {
      const size_t from_a = i, from_b = j;
      while (i < a.size() && is_digit(a[i])) ++i;
      while (j < b.size() && is_digit(b[j])) ++j;
      const std::string_view x = a.substr(from_a, i - from_a), y = b.substr(from_b, j - from_b);
      if (x.size() != y.size()) return x.size() < y.size();
      if (x != y) return x < y;
    } else {
      if (a[i] != b[j]) return a[i] < b[j];
      ++i, ++j;
    }
  }
  return a.size() - i < b.size() - j;
}

Sheet sheet_for(const FamilyIndex& index, const identify::Loom& loom, const identify::OffLimits& off_limits,
                Against against) {
  if (index.family().parts[loom.part].kind != PartKind::loom) throw std::invalid_argument("it is no loom");
  return Maker(index, loom, off_limits).make(against);
}

}  // namespace loomproof::prove
