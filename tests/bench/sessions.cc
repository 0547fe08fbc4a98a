// How well looms are told: simulated sessions on the compiled packs, with broken wires, slipped probes, faded colours,
// lost plugs and wrong labels. Three cases apart: the loom is one of those recorded, it is a foreign one, it is a
// sibling that nobody recorded. And what the next reading and a procedure cost. Not a test: figures, printed.
//
//   sessions [--sessions N] PACK...
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <iterator>
#include <random>

#include "family/words.h"
#include "found/as_found.h"
#include "identify/next.h"
#include "identify/practice.h"
#include "nets/variants.h"
#include "pack/pack.h"
#include "prove/result.h"

using namespace loomproof;
using namespace loomproof::identify;

namespace {

constexpr size_t most_readings = 40;

class Dice {
 public:
  explicit Dice(uint64_t seed) : engine_(seed) {}
  bool chance(double share) { return static_cast<double>(engine_()) / 18446744073709551616.0 < share; }
  size_t below(size_t limit) { return limit < 2 ? 0 : static_cast<size_t>(engine_() % limit); }

 private:
  std::mt19937_64 engine_;
};

// A loom on the bench as things have gone with it: every question has its answer, and the same one again, but for
// slips.
class World {
 public:
  // `names`: by plug of the place, the plug of this loom that stands in for it; empty: its own.
  World(const Family& family, const Sheet& sheet, const Rates& rates, std::map<std::string, std::string> names,
        Dice& dice)
      : family_(family), sheet_(sheet), rates_(rates), names_(std::move(names)), dice_(dice) {
    for (uint32_t edge = 0; edge < sheet.edges().size(); ++edge)
      if (dice.chance(rates.break_)) broken_.insert(edge);
  }

  std::string answer(const Question& asked) {
    Question question = asked;
    question.a = own(question.a), question.b = own(question.b);
    if (question.look == Look::beeps) {
      const bool beeps = joined(question.a, question.b);
      return beeps != dice_.chance(rates_.slip) ? "yes" : "no";
    }
    const auto known = kept_.find(asked);
    if (known != kept_.end()) return known->second;
    return kept_[asked] = look(question);
  }

 private:
  std::string own(const std::string& end) const {
    const std::string_view plug = plug_of(end).empty() ? std::string_view(end) : plug_of(end);
    const auto found = names_.find(std::string(plug));
    if (found == names_.end()) return end;
    return found->second + end.substr(plug.size());
  }

  bool joined(const std::string& a, const std::string& b) const {
    const uint32_t from = sheet_.vertex(a), to = sheet_.vertex(b);
    if (from == Sheet::nowhere || to == Sheet::nowhere || sheet_.net(from) != sheet_.net(to)) return false;
    std::set<uint32_t> reached{from};
    for (bool grew = true; grew;) {
      grew = false;
      for (uint32_t edge : sheet_.edges_of_net()[sheet_.net(from)]) {
        if (broken_.contains(edge)) continue;
        const auto [x, y] = std::pair(sheet_.edges()[edge].a, sheet_.edges()[edge].b);
        if (reached.contains(x) != reached.contains(y)) reached.insert(x), reached.insert(y), grew = true;
      }
    }
    return reached.contains(to);
  }

  bool is_lost(const std::string& plug) {
    const auto [entry, is_new] = lost_.emplace(plug, false);
    if (is_new) entry->second = dice_.chance(rates_.lost);
    return entry->second;
  }

  std::string any_colour() {
    std::vector<std::string> all;
    for (const Wire& wire : family_.wires)
      if (const std::string colour = colour_seen(family_, wire); !colour.empty()) all.push_back(colour);
    return all.empty() ? "BK" : all[dice_.below(all.size())];
  }

  std::string look(const Question& question) {
    const bool wrong = dice_.chance(rates_.misread);
    switch (question.look) {
      case Look::plug:
        return sheet_.plug(question.a) && !is_lost(question.a) ? "present" : "absent";
      case Look::housing:
        return sheet_.plug(question.a) && !is_lost(question.a) && !sheet_.plug(question.a)->housing.empty()
                   ? sheet_.plug(question.a)->housing
                   : "other";
      case Look::label: {
        if (dice_.chance(0.4) || sheet_.labels().empty()) return "none";
        if (!dice_.chance(rates_.label)) return *sheet_.labels().begin();
        return std::string(family_.text(family_.numbers[dice_.below(family_.numbers.size())].text));
      }
      case Look::wires:
      case Look::thick:
      case Look::empty:
      case Look::coloured: {
        const Span32 span = sheet_.count(question.a, question.look, question.of);
        uint32_t count = span.least + static_cast<uint32_t>(dice_.below(span.most - span.least + 1));
        const bool off = wrong || (question.look == Look::coloured && dice_.chance(rates_.faded));
        if (off) count = count > 0 && dice_.chance(0.5) ? count - 1 : count + 1;
        return std::to_string(count);
      }
      default:
        break;
    }
    const CavityFacts* const cavity = sheet_.cavity(question.a);
    const State state = cavity && cavity->is_known() ? cavity->state : dice_.chance(0.5) ? State::wired : State::empty;
    if (question.look == Look::state) {
      constexpr State states[] = {State::wired, State::empty, State::sealed};
      return std::string(word(wrong ? states[dice_.below(3)] : state));
    }
    if (state != State::wired) return "unsure";
    if (question.look == Look::colour) {
      if (wrong || !cavity || cavity->colours.empty()) return any_colour();
      const std::string colour =
          *std::next(cavity->colours.begin(), static_cast<std::ptrdiff_t>(dice_.below(cavity->colours.size())));
      if (!dice_.chance(rates_.faded)) return colour;
      const std::string other = any_colour();
      return dice_.chance(0.7) ? colour.substr(0, 2) : other;  // the tracer is overlooked
    }
    if (question.look == Look::crimped)
      return std::to_string(std::max(1u, cavity ? cavity->wires : 1) + (wrong ? 1 : 0));
    if (!cavity || cavity->mm2.empty()) return "unsure";
    return wrong ? "2.5" : *cavity->mm2.begin();
  }

  const Family& family_;
  const Sheet& sheet_;
  Rates rates_;
  std::map<std::string, std::string> names_;
  Dice& dice_;
  std::set<uint32_t> broken_;
  std::map<std::string, bool> lost_;
  std::map<Question, std::string> kept_;
};

struct Tally {
  size_t sessions = 0, leads = 0, leads_right = 0, top_right = 0, none = 0, open = 0, readings = 0;
  size_t at_99 = 0;  // variants that lead at 99 %
  void add(const Tally& other) {
    sessions += other.sessions, leads += other.leads, leads_right += other.leads_right, top_right += other.top_right;
    none += other.none, open += other.open, readings += other.readings, at_99 += other.at_99;
  }
};

// One session, to where a variant stands out or nothing is left to ask. `truth`: the variant; none where it is no
// recorded one.
void session(Identification& identification, World& world, size_t truth, Tally& tally) {
  Evidence evidence;
  for (const Sheet* sheet : identification.sheets())
    for (const auto& [name, plug] : sheet->plugs()) evidence.settled.insert(name);
  std::optional<Question> last;
  bool leads = false;
  double lead = 0;
  identification.weigh(evidence);
  for (size_t step = 0; step < most_readings; ++step) {
    const auto next = next_reading(identification, evidence, last ? &*last : nullptr);
    if (!next) break;
    last = next->question;
    const std::string answer = world.answer(next->question);
    if (answer == "unsure") {
      evidence.open.insert(next->question);
      continue;
    }
    evidence.readings.push_back({next->question, answer, {}});
    identification.weigh(evidence);
    const Candidate& first = identification.candidates().front();
    lead =
        first.kind == Kind::variant || first.kind == Kind::edited ? identification.weight_of_group(first.variant) : 0;
    leads = lead >= 0.95;
    if (leads || (first.kind == Kind::none && first.weight >= 0.95)) break;
  }
  const Candidate& first = identification.candidates().front();
  const bool is_variant = first.kind == Kind::variant || first.kind == Kind::edited;
  const std::vector<size_t> group = is_variant ? identification.group_of(first.variant) : std::vector<size_t>{};
  const bool right = std::find(group.begin(), group.end(), truth) != group.end();
  ++tally.sessions;
  tally.readings += evidence.readings.size();
  tally.leads += leads, tally.leads_right += leads && right, tally.top_right += right;
  tally.none += first.kind == Kind::none, tally.open += !leads;
  tally.at_99 += is_variant && lead >= 0.99;
}

std::string share(size_t part, size_t whole) {
  return whole == 0 ? "-" : fmt::format("{:.1f} %", 100.0 * static_cast<double>(part) / static_cast<double>(whole));
}

void print_row(const std::string& name, const Tally& tally) {
  fmt::print("{:<44}{:>9}{:>9}{:>9}{:>9}{:>9}{:>9}{:>10.1f}\n", name, tally.sessions,
             share(tally.leads, tally.sessions), share(tally.leads_right, tally.leads),
             share(tally.top_right, tally.sessions), share(tally.none, tally.sessions),
             share(tally.at_99, tally.sessions),
             tally.sessions ? static_cast<double>(tally.readings) / static_cast<double>(tally.sessions) : 0.0);
}

void print_head(const std::string& what) {
  fmt::print("\n{:<44}{:>9}{:>9}{:>9}{:>9}{:>9}{:>9}{:>10}\n", what, "sessions", "lead", "right", "on top", "none",
             "at 99 %", "readings");
}

Rates times(double factor) {
  Rates rates;
  for (double* rate : {&rates.break_, &rates.slip, &rates.misread, &rates.faded, &rates.lost, &rates.label})
    *rate *= factor;
  return rates;
}

// Every check of the sheet on a loom with nothing else wrong: whether any of them fails.
bool is_caught(const prove::Sheet& sheet, const Sheet& recorded, const Sheet& lies_there) {
  const auto beeps = [&](const std::string& a, const std::string& b) {
    const uint32_t from = lies_there.vertex(a), to = lies_there.vertex(b);
    return from != Sheet::nowhere && to != Sheet::nowhere && lies_there.net(from) == lies_there.net(to);
  };
  for (const prove::Check& check : sheet.opens)
    if (!beeps(check.a, check.b)) return true;
  for (const prove::Check& check : sheet.bridges)
    for (const std::string& other : sheet.comb)
      if (other != check.a && beeps(check.a, other)) return true;
  for (const prove::PlugLook& look : sheet.looks) {
    const PlugFacts* const plug = lies_there.plug(look.plug);
    if (!plug || plug->housing != look.housing) return true;
    for (const std::string& number : look.empty) {
      const CavityFacts* const cavity = lies_there.cavity(look.plug + '.' + number);
      if (!cavity || cavity->state != State::empty) return true;
    }
  }
  (void)recorded;
  return false;
}

struct Loaded {
  std::string path;
  Family family;
};

void accuracy(const std::vector<Loaded>& all, size_t sessions) {
  for (const double factor : {1.0, 2.0}) {
    print_head(factor == 1 ? "recorded, errors as the model has them" : "recorded, errors twice as frequent");
    Tally whole;
    for (const Loaded& loaded : all) {
      const FamilyIndex index(loaded.family);
      for (Index place = 0; place < loaded.family.places.size(); ++place) {
        if (index.parts_in(place).empty()) continue;
        Identification identification(index, place, Rates{});
        if (identification.sheets().size() < 2 || identification.questions().empty()) continue;
        Tally tally;
        for (size_t variant = 0; variant < identification.sheets().size(); ++variant)
          for (size_t i = 0; i < sessions; ++i) {
            Dice dice(place * 1'000'003 + variant * 10'007 + i);
            World world(loaded.family, *identification.sheets()[variant], times(factor), {}, dice);
            session(identification, world, variant, tally);
          }
        print_row(fmt::format("{} {}, {} variants", loaded.family.text(loaded.family.id),
                              loaded.family.text(loaded.family.places[place].id), identification.sheets().size()),
                  tally);
        whole.add(tally);
      }
    }
    print_row("all", whole);
  }
  print_head("foreign: a part of another place or family");
  Tally whole;
  for (const Loaded& loaded : all) {
    const FamilyIndex index(loaded.family);
    for (Index place = 0; place < loaded.family.places.size(); ++place) {
      if (index.parts_in(place).empty()) continue;
      Identification identification(index, place, Rates{});
      if (identification.sheets().size() < 2 || identification.questions().empty()) continue;
      Tally tally;
      std::set<std::string> plugs;
      for (const Sheet* sheet : identification.sheets())
        for (const auto& [name, plug] : sheet->plugs()) plugs.insert(name);
      for (const Loaded& other : all) {
        const FamilyIndex other_index(other.family);
        for (Index part = 0; part < other.family.parts.size(); ++part) {
          if (&other == &loaded && other.family.parts[part].place == place) continue;
          if (other.family.parts[part].kind != loaded.family.parts[index.parts_in(place)[0]].kind) continue;
          const CellSet cells = other.family.set(other.family.parts[part].cells) & other.family.set(other.family.built);
          if (cells.empty()) continue;
          const Sheet sheet(other_index, {part, cells.lowest()});
          std::map<std::string, std::string> names;  // plug for plug, in their order; the rest are not there
          auto own = sheet.plugs().begin();
          for (const std::string& plug : plugs) names[plug] = own == sheet.plugs().end() ? " none" : (own++)->first;
          for (size_t i = 0; i < std::max<size_t>(sessions / 50, 1); ++i) {
            Dice dice(part * 7'919 + i);
            World world(other.family, sheet, Rates{}, names, dice);
            session(identification, world, none, tally);
          }
        }
      }
      print_row(fmt::format("{} {}", loaded.family.text(loaded.family.id),
                            loaded.family.text(loaded.family.places[place].id)),
                tally);
      whole.add(tally);
    }
  }
  print_row("all", whole);
}

// Siblings: a recorded loom in which two ends in one plug are exchanged, which nobody recorded.
void siblings(const std::vector<Loaded>& all, size_t sessions) {
  print_head("sibling, two ends of one plug exchanged");
  Tally whole;
  size_t made_in_all = 0, caught = 0;
  for (const Loaded& loaded : all) {
    const FamilyIndex index(loaded.family);
    for (Index place = 0; place < loaded.family.places.size(); ++place) {
      if (index.parts_in(place).empty() || loaded.family.parts[index.parts_in(place)[0]].kind != PartKind::loom)
        continue;
      Identification identification(index, place, Rates{});
      Tally tally;
      for (size_t variant = 0; variant < identification.sheets().size(); ++variant)
        for (size_t i = 0; i < std::max<size_t>(sessions / 10, 1); ++i) {
          Dice dice(place * 999'983 + variant * 101 + i);
          const Sheet& recorded = *identification.sheets()[variant];
          // Two wired cavities of one plug on different nets, neither of them firing.
          std::string a, b;
          for (size_t tries = 0; tries < 200 && b.empty(); ++tries) {
            const auto& plug =
                *std::next(recorded.plugs().begin(), static_cast<std::ptrdiff_t>(dice.below(recorded.plugs().size())));
            const auto pick = [&] {
              return plug.first + '.' +
                     std::next(plug.second.cavities.begin(),
                               static_cast<std::ptrdiff_t>(dice.below(plug.second.cavities.size())))
                         ->first;
            };
            a = pick();
            const std::string other = pick();
            const uint32_t x = recorded.vertex(a), y = recorded.vertex(other);
            if (x == Sheet::nowhere || y == Sheet::nowhere || recorded.net(x) == recorded.net(y)) continue;
            if (identification.off_limits().holds_end(a) || identification.off_limits().holds_end(other)) continue;
            b = other;
          }
          if (b.empty()) continue;
          const Loom loom = recorded.loom();
          std::vector<found::Edit> edits;
          found::Fault fault;
          for (const std::string& text : {"moved " + a + ' ' + b, "moved " + b + ' ' + a})
            edits.push_back(found::parse_edit(index, loom.part, loom.cell, text, fault));
          if (fault.any() || found::fault_of(index, loom.part, loom.cell, edits).any()) continue;
          Family altered = loaded.family;
          const Index part = found::add_as_found(altered, loom.part, loom.cell, edits);
          const FamilyIndex altered_index(altered);
          const Sheet sibling(altered_index, {part, loom.cell});
          World world(altered, sibling, Rates{}, {}, dice);
          session(identification, world, none, tally);
          const prove::Sheet sheet = prove::sheet_for(index, loom, identification.off_limits(), prove::Against::comb);
          ++made_in_all, caught += is_caught(sheet, recorded, sibling);
        }
      if (tally.sessions > 0)
        print_row(fmt::format("{} {}", loaded.family.text(loaded.family.id),
                              loaded.family.text(loaded.family.places[place].id)),
                  tally);
      whole.add(tally);
    }
  }
  print_row("all", whole);
  fmt::print("the verification sheet catches {} of {} such siblings\n", caught, made_in_all);
}

double milliseconds(const std::function<void()>& what) {
  const auto begun = std::chrono::steady_clock::now();
  what();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
}

TrialTable table_of(size_t candidates, size_t trials, uint64_t seed) {
  Dice dice(seed);
  TrialTable table;
  table.weight.assign(candidates, 1);
  table.other_hand = Costs{}.other_plug;
  for (size_t i = 0; i < trials; ++i) {
    Trial trial;
    trial.cost = 1 + static_cast<double>(dice.below(3));
    trial.outcomes = 2 + static_cast<uint32_t>(dice.below(2));
    trial.wrong = 0.03;
    trial.hands = {static_cast<uint32_t>(dice.below(30))};
    const size_t rare = 2 + dice.below(8);  // most answers are alike in most variants
    for (size_t c = 0; c < candidates; ++c)
      trial.outcome.push_back(static_cast<uint16_t>(dice.below(rare) ? 0 : 1 + dice.below(trial.outcomes - 1)));
    table.trials.push_back(std::move(trial));
  }
  return table;
}

void speed() {
  fmt::print("\nnext reading, ms by variants and readings (looking two ahead)\n{:>10}", "");
  for (const size_t trials : {1'250, 2'500, 5'000, 10'000}) fmt::print("{:>10}", trials);
  fmt::print("\n");
  for (const size_t candidates : {50, 100, 200, 400}) {
    fmt::print("{:>10}", candidates);
    for (const size_t trials : {1'250, 2'500, 5'000, 10'000}) {
      const TrialTable table = table_of(candidates, trials, candidates + trials);
      const std::vector<char> open(trials, 1);
      double best = 1e9;
      for (int run = 0; run < 3; ++run) best = std::min(best, milliseconds([&] { next_trial(table, open, {}); }));
      fmt::print("{:>10.1f}", best);
    }
    fmt::print("\n");
  }
  // Against the optimum: trials cost the same, so that expected cost is expected readings.
  double ours = 0, optimum = 0, bound = 0;
  size_t tables = 0;
  double worst = 1;
  for (uint64_t seed = 1; seed <= 300; ++seed) {
    TrialTable table = table_of(8, 14, seed);
    for (Trial& trial : table.trials) trial.cost = 1, trial.hands.clear();
    const Procedure exact = procedure(table);
    // The same table with its candidates twice over is beyond what is solved exactly.
    TrialTable twice = table;
    twice.weight.insert(twice.weight.end(), table.weight.begin(), table.weight.end());
    for (Trial& trial : twice.trials) {
      const std::vector<uint16_t> outcome = trial.outcome;
      trial.outcome.insert(trial.outcome.end(), outcome.begin(), outcome.end());
    }
    const Procedure played = procedure(twice);
    ours += played.expected, optimum += exact.expected, bound += exact.bound, ++tables;
    if (exact.expected > 0) worst = std::max(worst, played.expected / exact.expected);
  }
  fmt::print(
      "\nprocedures of {} small tables: {:.3f} readings expected, optimum {:.3f}, entropy bound {:.3f}; {:.1f} % above "
      "the optimum on the average, {:.1f} % at worst\n",
      tables, ours / static_cast<double>(tables), optimum / static_cast<double>(tables),
      bound / static_cast<double>(tables), 100 * (ours / optimum - 1), 100 * (worst - 1));
}

}  // namespace

int main(int argc, char** argv) {
  size_t sessions = 1'000;
  std::vector<Loaded> all;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--sessions" && i + 1 < argc) {
      sessions = static_cast<size_t>(std::atoi(argv[++i]));
      continue;
    }
    std::ifstream file(word, std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(file), {}};
    const pack::Opened opened = pack::Pack::open(bytes);
    if (!opened.pack) {
      fmt::print(stderr, "{}: no pack\n", word);
      return 2;
    }
    all.push_back({word, load(*opened.pack)});
  }
  speed();
  accuracy(all, sessions);
  siblings(all, sessions);
  return 0;
}
