#include "adapt/adapter.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "adapt/parts.h"
#include "family/words.h"
#include "judge/outcomes.h"

namespace loomproof::adapt {
namespace {

std::string joined(const std::vector<std::string>& words, const char* between) {
  return fmt::format("{}", fmt::join(words, between));
}

std::string by_words(Ground ground, const Strand& a, const Strand& b) {
  const bool terminal = !a.terminal.empty() && a.terminal == b.terminal;
  const bool function = !a.function.empty() && a.function == b.function;
  std::string name;
  if (terminal) name = "terminal " + a.terminal;
  if (function) name += (name.empty() ? "" : ", ") + a.function;
  switch (ground) {
    case Ground::circuit:
      return "circuit " + a.circuit;
    case Ground::both:
    case Ground::function:
    case Ground::terminal:
      return name;
    case Ground::partial: {
      if (terminal && !function && !a.function.empty() && !b.function.empty())
        return fmt::format("{}, but one is {}, the other {}", name, std::min(a.function, b.function),
                           std::max(a.function, b.function));
      if (function && !terminal && !a.terminal.empty() && !b.terminal.empty())
        return fmt::format("{}, but terminal {} and {}", name, std::min(a.terminal, b.terminal),
                           std::max(a.terminal, b.terminal));
      return name + ", as several circuits are called";
    }
    case Ground::role:
      break;
  }
  return "role and volts alone";
}

class Lister {
 public:
  Lister(const Side& left, const Side& right) : left_(left), right_(right), parts_(left, right) {}
  Adapter list();

 private:
  void add_row(const Pair& pair);
  void add_open(bool of_left);
  void add_material();
  static bool gives_to(const Port& port, const Strand& by, Way way);
  bool is_met(const Port& port, bool of_left) const;
  std::string why_not(const Pair& pair, bool of_left) const;
  std::string named(const Strand& strand) const;

  const Side &left_, &right_;
  Parts parts_;
  Match match_;
  Adapter out_;
};

std::string Lister::named(const Strand& strand) const {
  return fmt::format("{} ({}: {})", cavities_words(strand), circuit_words(strand), joined(strand_words(strand), "; "));
}

void Lister::add_row(const Pair& pair) {
  const Strand &a = left_.strands[pair.left], &b = right_.strands[pair.right];
  const Meeting& meeting = pair.meeting;
  Row row{pair.left,
          pair.right,
          pair.ground,
          by_words(pair.ground, a, b),
          joined(strand_words(a), "; "),
          joined(strand_words(b), "; "),
          meeting.way,
          meeting.because,
          meeting.conditions,
          {},
          0,
          {}};
  // The side that takes says what it draws; where neither is recorded, the circuit's greatest current.
  const auto has_load = [](const Strand& strand) {
    return std::any_of(strand.ports.begin(), strand.ports.end(), [](const Port& port) { return needs(port); });
  };
  const auto draws = [&](const Strand& strand) {
    const Quantity load = load_of(strand);
    return load != not_given ? load : std::max(a.amps, b.amps);
  };
  Quantity amps = std::max(a.amps, b.amps);
  if (has_load(a) != has_load(b)) amps = draws(has_load(a) ? a : b);
  if (has_load(a) && has_load(b)) amps = std::max(draws(a), draws(b));
  const size_t count = std::max(a.ends.size(), b.ends.size());
  for (size_t i = 0; i < count; ++i) {
    Line line{a.ends[std::min(i, a.ends.size() - 1)], b.ends[std::min(i, b.ends.size() - 1)], i >= a.ends.size(),
              i >= b.ends.size()};
    // Several wires share the current in a way that nobody knows: each as thick as the sides have it.
    line.mm2 = parts_.mm2(line.left, line.right, count == 1 ? amps : not_given);
    row.lines.push_back(std::move(line));
  }
  Quantity thinnest = not_given;
  for (const Strand* strand : {&a, &b})
    for (const End& end : strand->ends)
      if (end.mm2 != not_given && (thinnest == not_given || end.mm2 < thinnest)) thinnest = end.mm2;
  if (thinnest == not_given) thinnest = row.lines.front().mm2;
  if (meeting.way == Way::relay) {
    row.takes.push_back(parts_.relay(meeting, amps, thinnest));
    row.fuses += meeting.first->role == Role::takes_high || meeting.second->role == Role::takes_high;
    const Outcome stuck = judge::is_worse(a.if_stays_on, b.if_stays_on) ? a.if_stays_on : b.if_stays_on;
    if (judge::is_worse(stuck, Outcome::stays_on))
      row.conditions.push_back(
          fmt::format("a contact that sticks keeps {} on, which {}", circuit_words(a), word(stuck)));
  }
  if (meeting.way == Way::part) row.takes.push_back(parts_.other_volts(meeting, amps));
  for (const auto& [giver, taker] : {std::pair(&a, &b), std::pair(&b, &a)}) {
    const bool unfused = std::any_of(giver->ports.begin(), giver->ports.end(),
                                     [](const Port& port) { return port.role == Role::gives_feed && !port.fused; });
    if (!unfused || !has_load(*taker) || meeting.way == Way::relay) continue;
    row.takes.push_back(parts_.fuse(fmt::format("for {}, which has none in the record", cavities_words(*giver)),
                                    draws(*taker), thinnest));
    ++row.fuses;
  }
  if (a.ends.size() != b.ends.size()) {
    const Strand& fewer = a.ends.size() < b.ends.size() ? a : b;
    row.takes.push_back(fmt::format("a splice or double crimp at {}: {} wires meet there", fewer.ends.back().cavity,
                                    count - fewer.ends.size() + 1));
  }
  out_.rows.push_back(std::move(row));
}

bool Lister::gives_to(const Port& port, const Strand& by, Way way) {
  if (way == Way::part) return false;
  const auto drives = [](const Port& giver, const Port& load) {
    return (giver.role == Role::pulls_low || giver.role == Role::pulls_high) &&
           (load.role == Role::takes_low || load.role == Role::takes_high);
  };
  return std::any_of(by.ports.begin(), by.ports.end(), [&](const Port& giver) {
    return (judge::givers_for(port.role) & judge::bit(giver.role)) != 0 || (way == Way::relay && drives(giver, port));
  });
}

// By any pair whose strand leads to the port: two circuits that are joined behind the plug share what they are given.
bool Lister::is_met(const Port& port, bool of_left) const {
  return std::any_of(match_.pairs.begin(), match_.pairs.end(), [&](const Pair& pair) {
    const Strand &mine = of_left ? left_.strands[pair.left] : right_.strands[pair.right],
                 &by = of_left ? right_.strands[pair.right] : left_.strands[pair.left];
    const auto same = [&](const Port& each) { return each.at == port.at && each.role == port.role; };
    return std::any_of(mine.ports.begin(), mine.ports.end(), same) && gives_to(port, by, pair.meeting.way);
  });
}

std::string Lister::why_not(const Pair& pair, bool of_left) const {
  if (pair.meeting.way == Way::part) return "only with a part that is to be found";
  const Strand& by = of_left ? right_.strands[pair.right] : left_.strands[pair.left];
  const bool passes =
      std::all_of(by.ports.begin(), by.ports.end(), [](const Port& port) { return port.role == Role::passes; });
  return passes ? "what it meets only passes on what it is given" : "what it meets does not give it";
}

// The strands of one side that have a need left, or meet nothing.
void Lister::add_open(bool of_left) {
  const Side& side = of_left ? left_ : right_;
  for (size_t at = 0; at < side.strands.size(); ++at) {
    const Strand& strand = side.strands[at];
    const auto here = [&](const Pair& pair) { return (of_left ? pair.left : pair.right) == at; };
    const auto pair = std::find_if(match_.pairs.begin(), match_.pairs.end(), here);
    const bool in_choice = std::any_of(match_.choices.begin(), match_.choices.end(), [&](const Choice& choice) {
      const std::vector<size_t>& list = of_left ? choice.left : choice.right;
      return std::find(list.begin(), list.end(), at) != list.end();
    });
    const bool is_refused = std::any_of(match_.refused.begin(), match_.refused.end(), here);
    Open open{of_left, at, cavities_words(strand), strand.circuit, {}, {}};
    std::vector<std::string> wants;
    for (const Port& port : strand.ports) {
      if (!needs(port) || is_met(port, of_left)) continue;
      const std::string words = port_words(port);
      if (std::find(wants.begin(), wants.end(), words) == wants.end()) wants.push_back(words);
    }
    if (!wants.empty()) {
      open.does = joined(wants, "; ");
      open.why = pair != match_.pairs.end() ? why_not(*pair, of_left)
                 : in_choice                ? "one of the choices"
                 : is_refused               ? "what it is called must not be joined to it"
                                            : "nothing on the other side gives it";
      out_.unmet.push_back(std::move(open));
    } else if (pair == match_.pairs.end() && !in_choice && !is_refused) {
      open.does = joined(strand_words(strand), "; ");
      if (strand.ports.empty()) open.does = "leads to nothing in the record";
      const bool gives_any =
          std::any_of(strand.ports.begin(), strand.ports.end(), [](const Port& p) { return gives(p); });
      open.why = gives_any ? "nothing on the other side takes it" : "nothing on the other side meets it";
      out_.unused.push_back(std::move(open));
    }
  }
}

void Lister::add_material() {
  std::map<Quantity, uint32_t> wires;
  uint32_t fuses = 0, relays = 0, parts = 0, splices = 0;
  for (const Row& row : out_.rows) {
    for (const Line& line : row.lines) ++wires[line.mm2];
    relays += row.way == Way::relay, parts += row.way == Way::part;
    splices += row.lines.back().left_again || row.lines.back().right_again;
    fuses += row.fuses;
  }
  for (const auto& [mm2, count] : wires)
    out_.material.push_back(
        {mm2 == not_given ? std::string("wire, cross-section not recorded") : fmt::format("wire of {} mm²", milli(mm2)),
         count});
  const std::pair<const char*, uint32_t> others[] = {{"fuse, and a holder for it", fuses},
                                                     {"relay, and a base for it", relays},
                                                     {"part for other volts, to be found", parts},
                                                     {"splice or double crimp", splices}};
  for (const auto& [what, count] : others)
    if (count > 0) out_.material.push_back({what, count});
}

Adapter Lister::list() {
  match_ = match(left_, right_);
  for (const Pair& pair : match_.pairs) add_row(pair);
  for (const Choice& choice : match_.choices) {
    Alternatives all;
    for (size_t a : choice.left) all.left.push_back(named(left_.strands[a]));
    for (size_t b : choice.right) all.right.push_back(named(right_.strands[b]));
    const Strand &a = left_.strands[choice.left.front()], &b = right_.strands[choice.right.front()];
    all.ground = by_words(choice.ground, a, b);
    out_.choices.push_back(std::move(all));
  }
  for (const Pair& pair : match_.refused) {
    const Strand &a = left_.strands[pair.left], &b = right_.strands[pair.right];
    const bool known = pair.meeting.way == Way::clash;
    out_.refused.push_back({named(a), named(b), by_words(pair.ground, a, b),
                            known ? pair.meeting.because : "nobody can say what happens",
                            known ? pair.meeting.outcome : Outcome::unset});
  }
  add_open(true), add_open(false);
  add_material();
  const auto is_clear = [](const Side& side) { return side.hidden.empty() && side.firing.empty(); };
  const bool needs_part =
      std::any_of(out_.rows.begin(), out_.rows.end(), [](const Row& row) { return row.way == Way::part; });
  out_.is_complete = out_.unmet.empty() && out_.choices.empty() && out_.refused.empty() && !needs_part &&
                     is_clear(left_) && is_clear(right_);
  return std::move(out_);
}

}  // namespace

std::string cavities_words(const Strand& strand) {
  std::string text;
  for (const End& end : strand.ends) text += (text.empty() ? "" : ", ") + end.cavity;
  return text;
}

std::string circuit_words(const Strand& strand) {
  return strand.circuit.empty() ? "no circuit named" : strand.circuit;
}

Adapter adapter(const Side& left, const Side& right) {
  return Lister(left, right).list();
}

}  // namespace loomproof::adapt
