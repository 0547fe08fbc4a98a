#include "prove/result.h"

#include <algorithm>
#include <map>
#include <numeric>

#include "identify/verdict.h"

namespace loomproof::prove {
namespace {

using identify::Look;
using identify::Reading;

class Judge {
 public:
  Judge(const Sheet& sheet, const identify::Sheet& recorded, const identify::Evidence& evidence,
        const std::vector<CombReading>& comb)
      : sheet_(sheet), recorded_(recorded), evidence_(evidence), comb_(comb) {}

  Result run() {
    result_.nets.resize(sheet_.nets.size());
    for (size_t net = 0; net < sheet_.nets.size(); ++net)
      for (const std::string& end : sheet_.nets[net].ends) net_of_[end] = net;
    within();
    across();
    checks_done();
    looks();
    result_.passes =
        !result_.nets.empty() && result_.against.empty() &&
        std::all_of(result_.nets.begin(), result_.nets.end(), [](const NetResult& net) { return net.passes(); });
    result_.complete =
        result_.passes && result_.looks_left.empty() && sheet_.unproven.empty() && sheet_.not_covered.empty();
    return std::move(result_);
  }

 private:
  using Pair = std::pair<std::string, std::string>;

  void within() {
    for (const Reading& reading : evidence_.readings) {
      if (reading.question.look != Look::beeps) continue;
      if (!reading.plugged.empty()) {
        ++result_.set_aside;
        continue;
      }
      said_[{reading.question.a, reading.question.b}].insert(reading.answer == "yes");
    }
    for (size_t net = 0; net < sheet_.nets.size(); ++net) {
      const std::vector<std::string>& ends = sheet_.nets[net].ends;
      std::map<std::string, std::string> group;
      for (const std::string& end : ends) group[end] = end;
      const auto group_of = [&](std::string end) {
        while (group[end] != end) end = group[end];
        return end;
      };
      NetResult& made = result_.nets[net];
      for (const auto& [pair, answers] : said_) {
        if (!is_in(pair.first, net) || !is_in(pair.second, net)) continue;
        if (answers.size() > 1) made.contradicted = true;
        if (answers == std::set<bool>{true}) group[group_of(pair.first)] = group_of(pair.second);
      }
      std::map<std::string, std::vector<std::string>> pieces;
      for (const std::string& end : ends) pieces[group_of(end)].push_back(end);
      for (const auto& [pair, answers] : said_) {
        if (!is_in(pair.first, net) || !is_in(pair.second, net) || answers != std::set<bool>{false}) continue;
        // Joined by other readings: one of them is wrong, or the path is a bad one.
        (group_of(pair.first) == group_of(pair.second) ? made.contradicted : made.open) = true;
      }
      made.joined = pieces.size() == 1;
      if (made.open)
        for (auto& [first, piece] : pieces) made.pieces.push_back(std::move(piece));
      std::sort(made.pieces.begin(), made.pieces.end(),
                [](const auto& a, const auto& b) { return natural_less(a.front(), b.front()); });
      std::map<std::string, std::string> groups;
      for (const std::string& end : ends) groups[end] = group_of(end);
      group_.push_back(std::move(groups));
    }
  }

  void across() {
    std::set<std::pair<size_t, size_t>> apart;
    const auto part = [&](size_t a, size_t b) {
      // What was held against one piece says nothing of the others.
      if (result_.nets[a].joined && result_.nets[b].joined) apart.insert(std::minmax(a, b));
    };
    for (const auto& [pair, answers] : said_) {
      const auto a = net_of_.find(pair.first), b = net_of_.find(pair.second);
      if (a == net_of_.end() || b == net_of_.end() || a->second == b->second) continue;
      if (answers.size() > 1) {
        result_.nets[a->second].contradicted = result_.nets[b->second].contradicted = true;
      } else if (answers.contains(true)) {
        for (const auto& [one, other] : {std::pair(a->second, b->second), std::pair(b->second, a->second)}) {
          result_.nets[one].bridged = true;
          result_.nets[one].bridged_to.push_back(other);
        }
      } else {
        part(a->second, b->second);
      }
    }
    std::map<size_t, std::set<bool>> combed;
    for (const CombReading& reading : comb_)
      if (const auto net = net_of_.find(reading.end); net != net_of_.end()) combed[net->second].insert(reading.beeps);
    for (const auto& [net, answers] : combed) {
      if (answers.size() > 1) result_.nets[net].contradicted = true;
      if (answers == std::set<bool>{true}) result_.nets[net].bridged = true;
      if (answers == std::set<bool>{false})
        for (size_t other = 0; other < sheet_.nets.size(); ++other)
          if (other != net) part(net, other);
    }
    const std::set<std::pair<size_t, size_t>> not_covered(sheet_.not_covered.begin(), sheet_.not_covered.end());
    for (size_t net = 0; net < sheet_.nets.size(); ++net) {
      NetResult& made = result_.nets[net];
      std::sort(made.bridged_to.begin(), made.bridged_to.end());
      made.bridged_to.erase(std::unique(made.bridged_to.begin(), made.bridged_to.end()), made.bridged_to.end());
      made.apart = true;
      for (size_t other = 0; other < sheet_.nets.size(); ++other) {
        const auto pair = std::minmax(net, other);
        if (other != net && !apart.contains(pair) && !not_covered.contains(pair)) made.apart = false;
      }
      // A bridge and a reading that has the two apart.
      for (size_t other : made.bridged_to)
        if (apart.contains(std::minmax(net, other))) made.contradicted = true;
    }
    apart_ = std::move(apart);
  }

  // A check is done where its two ends were held together, or where other readings say the same.
  void checks_done() {
    for (const Check& check : sheet_.opens)
      result_.opens_done.push_back(was_read(check) || group_[check.net].at(check.a) == group_[check.net].at(check.b));
    for (const Check& check : sheet_.bridges) {
      bool done = was_read(check);
      if (!check.with_comb()) {
        done = done || apart_.contains(std::minmax(check.net, check.other));
      } else if (!done) {
        done = true;
        for (size_t other = 0; other < sheet_.nets.size(); ++other)
          done = done && (other == check.net || apart_.contains(std::minmax(check.net, other)));
      }
      result_.bridges_done.push_back(done);
    }
  }
  bool was_read(const Check& check) const {
    if (check.with_comb())
      return std::any_of(comb_.begin(), comb_.end(), [&](const CombReading& reading) {
        const auto net = net_of_.find(reading.end);
        return net != net_of_.end() && net->second == check.net;
      });
    return said_.contains(std::minmax(check.a, check.b));
  }

  void looks() {
    std::set<std::pair<Look, std::string>> seen;
    for (size_t i = 0; i < evidence_.readings.size(); ++i) {
      const Reading& reading = evidence_.readings[i];
      if (reading.question.look == Look::beeps) continue;
      seen.insert({reading.question.look, reading.question.a});
      if (const auto agrees = identify::agrees(recorded_, reading); agrees && !*agrees) result_.against.push_back(i);
    }
    for (const PlugLook& look : sheet_.looks) {
      if (!look.housing.empty() && !seen.contains({Look::housing, look.plug}))
        result_.looks_left.push_back(look.plug + ": the housing");
      for (const auto& [numbers, state] : {std::pair(&look.empty, "empty"), std::pair(&look.sealed, "sealed")})
        for (const std::string& number : *numbers)
          if (!seen.contains({Look::state, look.plug + '.' + number}))
            result_.looks_left.push_back(look.plug + '.' + number + ": " + state);
    }
  }

  bool is_in(const std::string& end, size_t net) const {
    const auto found = net_of_.find(end);
    return found != net_of_.end() && found->second == net;
  }

  const Sheet& sheet_;
  const identify::Sheet& recorded_;
  const identify::Evidence& evidence_;
  const std::vector<CombReading>& comb_;
  std::map<std::string, size_t> net_of_;
  std::map<Pair, std::set<bool>> said_;
  std::set<std::pair<size_t, size_t>> apart_;
  std::vector<std::map<std::string, std::string>> group_;  // by net: by end, the group that readings make of it
  Result result_;
};

}  // namespace

Result result_of(const Sheet& sheet, const identify::Sheet& recorded, const identify::Evidence& evidence,
                 const std::vector<CombReading>& comb) {
  return Judge(sheet, recorded, evidence, comb).run();
}

}  // namespace loomproof::prove
