#include "adapt/meeting.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "family/joins.h"
#include "family/words.h"
#include "judge/outcomes.h"

namespace loomproof::adapt {
namespace {

using judge::bit;

enum class Holds { no, yes, not_recorded };

bool is_driver(const Port& port) {
  return port.role == Role::pulls_low || port.role == Role::pulls_high;
}
bool is_switched_load(const Port& port) {
  return port.role == Role::takes_low || port.role == Role::takes_high;
}
bool takes(const Port& port) {
  return judge::givers_for(port.role) != 0;
}
bool meets_need_of(const Port& giver, const Port& taker) {
  return (judge::givers_for(taker.role) & bit(giver.role)) != 0;
}

bool is_of_volts(JoinWhen when) {
  return when == JoinWhen::volts_differ || when == JoinWhen::volts_above || when == JoinWhen::volts_below;
}

// `first`: the role that comes first in the table.
std::string_view condition_words(JoinWhen when, Role first) {
  switch (when) {
    case JoinWhen::volts_differ:
      return "the two must give the same volts";
    case JoinWhen::volts_above:
      return "it must get no more volts than it is made for";
    case JoinWhen::volts_below:
      return first == Role::pulls_low ? "the driver must bear the volts that are on it when it is off"
                                      : "it must get volts enough";
    case JoinWhen::current_above:
      return "the load must draw no more than its driver bears";
    default:
      return {};
  }
}

class Meeter {
 public:
  Meeter(const Side& left, const Strand& a, const Side& right, const Strand& b)
      : left_(left), right_(right), a_(a), b_(b) {}
  Meeting meet();

 private:
  struct Found {
    Outcome outcome{};
    JoinWhen when{};
    std::string_view because;
    bool proven = false;
    std::vector<JoinWhen> open;  // worse rows whose condition the record cannot tell
  };
  Found look_up(const Family& family, const Port& p, const Strand& of_p, const Port& q, const Strand& of_q) const;
  Holds holds(JoinWhen when, const Port& p, const Strand& of_p, const Port& q, const Strand& of_q) const;
  bool is_other_terminal() const;
  bool is_of_use() const;
  // Of two things that stand against a wire, which is told: the worse, and of equals the same whichever side is left.
  static bool is_worse_than(const Meeting& told, Way way, const Found& found, const Port& p, const Port& q) {
    if (way != told.way) return way > told.way;
    if (found.outcome != told.outcome) return judge::is_worse(found.outcome, told.outcome);
    const auto key = [](std::string_view because, const Port& one, const Port& other) {
      return std::tuple(because, std::min(one.at, other.at), std::max(one.at, other.at));
    };
    return key(found.because, p, q) < key(told.because, *told.first, *told.second);
  }
  Way way_around(const Port& p, const Port& q, const Found& found) const;

  const Side &left_, &right_;
  const Strand &a_, &b_;
};

bool Meeter::is_other_terminal() const {
  if (!a_.terminal.empty() && !b_.terminal.empty()) return a_.terminal != b_.terminal;
  return left_.family != right_.family || a_.circuit != b_.circuit;
}

// p is the one whose role comes first in the table.
Holds Meeter::holds(JoinWhen when, const Port& p, const Strand&, const Port& q, const Strand& of_q) const {
  const bool volts = p.volts != not_given && q.volts != not_given;
  const auto known = [&](bool is) { return !volts ? Holds::not_recorded : is ? Holds::yes : Holds::no; };
  switch (when) {
    case JoinWhen::always:
      return Holds::yes;
    case JoinWhen::volts_differ:
      return known(judge::is_well_above(p.volts, q.volts) || judge::is_well_above(q.volts, p.volts));
    case JoinWhen::volts_above:
      return known(judge::is_well_above(p.volts, q.volts));
    case JoinWhen::volts_below:
      return known(judge::is_well_above(q.volts, p.volts));
    case JoinWhen::current_above: {
      // All loads that hang on it, not each by itself.
      int64_t load = 0;
      bool recorded = p.amps != not_given && q.amps != not_given;
      for (const Port& each : of_q.ports) {
        if (each.role != q.role || each.switched != q.switched) continue;
        recorded = recorded && each.amps != not_given;
        load += each.amps;
      }
      if (!recorded) return Holds::not_recorded;
      return load > p.amps ? Holds::yes : Holds::no;
    }
    case JoinWhen::unfused: {
      const Port& feed = p.role == Role::gives_feed ? p : q;
      return feed.role == Role::gives_feed && feed.fused ? Holds::no : Holds::yes;
    }
    case JoinWhen::other_circuit:  // the two are joined because they are one
      return Holds::no;
    case JoinWhen::other_terminal:
      return is_other_terminal() ? Holds::yes : Holds::no;
    case JoinWhen::other_line:
      return p.protocol != q.protocol || p.line != q.line ? Holds::yes : Holds::no;
    case JoinWhen::earthed_twice:
      return a_.earthings + b_.earthings > 1 ? Holds::yes : Holds::no;
  }
  return Holds::yes;
}

Meeter::Found Meeter::look_up(const Family& family, const Port& p, const Strand& of_p, const Port& q,
                              const Strand& of_q) const {
  Found found;
  const Join* worst = nullptr;
  for (const Join& row : joins_of(family, p.role, q.role)) {
    const Holds is = holds(row.when, p, of_p, q, of_q);
    if (is == Holds::no) continue;
    if (is == Holds::not_recorded) {
      found.open.push_back(row.when);
      continue;
    }
    const bool first = worst == nullptr || worst->when == JoinWhen::always;
    if (first || judge::is_worse(row.outcome, worst->outcome)) worst = &row;
  }
  if (worst == nullptr || worst->outcome == Outcome::unset) return found;
  found.proven = true;
  found.outcome = worst->outcome, found.when = worst->when, found.because = family.text(worst->because);
  return found;
}

// Whether what stands against a wire is something that a relay or another part takes away.
Way Meeter::way_around(const Port& p, const Port& q, const Found& found) const {
  const bool drives = (is_driver(p) && is_switched_load(q)) || (is_driver(q) && is_switched_load(p));
  if (drives) return Way::relay;
  const bool is_need = meets_need_of(p, q) || meets_need_of(q, p);
  return is_need && is_of_volts(found.when) ? Way::part : Way::clash;
}

bool Meeter::is_of_use() const {
  // Fuse, relay and switch pins by themselves: what they pass on is for the other side to give or take.
  const auto passes = [](const Port& port) { return port.role == Role::passes; };
  if (std::all_of(a_.ports.begin(), a_.ports.end(), passes) || std::all_of(b_.ports.begin(), b_.ports.end(), passes))
    return true;
  // Behind a strap or contact the same circuit may be given what it needs by another pin of this very adapter.
  const bool is_one = left_.family == right_.family && !a_.circuit.empty() && a_.circuit == b_.circuit;
  if (is_one &&
      (std::any_of(a_.ports.begin(), a_.ports.end(), passes) || std::any_of(b_.ports.begin(), b_.ports.end(), passes)))
    return true;
  for (const Port& p : a_.ports)
    for (const Port& q : b_.ports) {
      if (takes(q) && !q.met && meets_need_of(p, q)) return true;
      if (takes(p) && !p.met && meets_need_of(q, p)) return true;
      // A driver and a load of the other pole: of use with a relay.
      if (is_driver(p) && is_switched_load(q) && !q.met) return true;
      if (is_driver(q) && is_switched_load(p) && !p.met) return true;
      if (p.role == Role::bus && q.role == Role::bus) return true;
      const auto earths = [](Role role) { return role == Role::gives_earth || role == Role::gives_return; };
      if ((p.role == Role::shield && earths(q.role)) || (q.role == Role::shield && earths(p.role))) return true;
    }
  return false;
}

void add_condition(Meeting& meeting, const std::string& words) {
  if (std::find(meeting.conditions.begin(), meeting.conditions.end(), words) == meeting.conditions.end())
    meeting.conditions.push_back(words);
}

Meeting Meeter::meet() {
  Meeting out;
  if (a_.ports.empty() != b_.ports.empty()) {
    out.way = Way::direct, out.outcome = Outcome::fine;
    out.conditions.push_back("the record has nothing at the far end");
    return out;
  }
  if (!is_of_use()) return out;
  out.way = Way::direct, out.outcome = Outcome::fine;
  for (const Port& p : a_.ports)
    for (const Port& q : b_.ports) {
      if (judge::never_together(p.when, q.when)) continue;
      const bool turned = q.role < p.role;
      const auto& [first, of_first] = turned ? std::tie(q, b_) : std::tie(p, a_);
      const auto& [second, of_second] = turned ? std::tie(p, a_) : std::tie(q, b_);
      Found found = look_up(*left_.rows, first, of_first, second, of_second);
      const Found other = look_up(*right_.rows, first, of_first, second, of_second);
      if (!other.proven || (found.proven && judge::is_worse(other.outcome, found.outcome))) found = other;
      Way way = Way::direct;
      if (!found.proven) {
        way = Way::not_proven;
      } else if (found.outcome != Outcome::fine) {
        // Across contacts only what is grave, or holds under a condition, as the judge has it.
        if ((p.switched || q.switched) && !judge::is_grave(found.outcome) && found.when == JoinWhen::always) continue;
        way = way_around(p, q, found);
      } else if (is_driver(first) && is_switched_load(second) && first.volts != not_given &&
                 second.volts != not_given &&
                 (judge::is_well_above(first.volts, second.volts) || judge::is_well_above(second.volts, first.volts))) {
        // The table has no row for a driver of more volts than its load: a wire would do, if it has no pull-up inside.
        found.outcome = Outcome::destroys, found.because = "the driver is made for other volts than the load hangs on";
        way = Way::relay;
      }
      if (way == Way::direct)
        for (JoinWhen when : found.open)
          add_condition(out, fmt::format("{} ({} not recorded)", condition_words(when, first.role),
                                         when == JoinWhen::current_above ? "currents" : "volts"));
      if (way == Way::direct && (meets_need_of(p, q) || meets_need_of(q, p)) && p.volts != not_given &&
          q.volts != not_given && (judge::is_well_above(p.volts, q.volts) || judge::is_well_above(q.volts, p.volts)))
        add_condition(out, fmt::format("made for {} and {}: it must do with that",
                                       volts_text(std::min(p.volts, q.volts)), volts_text(std::max(p.volts, q.volts))));
      if (way == Way::direct || !is_worse_than(out, way, found, p, q)) continue;
      out.way = way, out.outcome = found.outcome, out.because = found.because, out.first = &p, out.second = &q;
    }
  if (out.way != Way::direct && out.way != Way::relay) out.conditions.clear();
  std::sort(out.conditions.begin(), out.conditions.end());
  return out;
}

}  // namespace

Meeting meet(const Side& left, const Strand& a, const Side& right, const Strand& b) {
  return Meeter(left, a, right, b).meet();
}

bool needs(const Port& port) {
  return takes(port) && port.needed && !port.met;
}
bool gives(const Port& port) {
  return port.role >= Role::gives_feed && port.role <= Role::pulls_high;
}

std::string port_words(const Port& port) {
  std::string text(word(port.role));
  const bool is_supply = port.role == Role::gives_feed || port.role == Role::gives_earth;
  if (port.volts != not_given) text += ", " + volts_text(port.volts);
  if (port.amps != not_given && !is_supply) text += fmt::format(", {} A", milli(port.amps));
  if (port.switched) text += ", switched";
  if (!port.title.empty()) text += fmt::format(" ({})", port.title);
  if (port.when != When::always && !is_supply) text += fmt::format(", while {}", word(port.when));
  return text;
}

std::vector<std::string> strand_words(const Strand& strand) {
  std::vector<std::string> words;
  const auto add = [&](const auto& is) {
    for (const Port& port : strand.ports) {
      if (!is(port)) continue;
      const std::string text = port_words(port);
      if (std::find(words.begin(), words.end(), text) == words.end()) words.push_back(text);
    }
  };
  add([](const Port& port) { return gives(port); });
  add([](const Port& port) { return !gives(port) && takes(port) && !port.met; });
  if (words.empty()) add([](const Port&) { return true; });
  if (words.empty()) words.emplace_back("nothing in the record");
  return words;
}

Quantity load_of(const Strand& strand) {
  int64_t sum = 0;
  bool any = false;
  for (const Port& port : strand.ports) {
    if (!takes(port) || port.met) continue;
    if (port.amps == not_given) return not_given;
    sum += port.amps, any = true;
  }
  return any && sum <= INT32_MAX ? static_cast<Quantity>(sum) : not_given;
}

}  // namespace loomproof::adapt
