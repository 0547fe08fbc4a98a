#include "repin/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"

namespace loomproof::repin {
namespace {

std::string wire_words(const Family& family, const Wire& wire) {
  std::string text(family.text(family.circuits[wire.circuit].id));
  if (const std::string colour = colour_code(family, wire); !colour.empty()) text += ", " + colour;
  if (wire.mm2 != not_given) text += ", " + milli(wire.mm2) + " mm²";
  return text;
}

// A title within a sentence: "base of a relay". Abbreviations keep their capitals.
std::string in_sentence(std::string_view title) {
  std::string text(title);
  const auto is = [&](size_t at, char low, char high) {
    return text.size() > at && text[at] >= low && text[at] <= high;
  };
  if (is(0, 'A', 'Z') && is(1, 'a', 'z')) text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

std::string housing_words(const Family& family, Index connector_row) {
  const Housing& housing = family.housings[family.connector_rows[connector_row].housing];
  return in_sentence(family.text(housing.title != 0 ? housing.title : housing.id));
}

std::string terminal_words(const Job& job, uint32_t spot, Quantity mm2) {
  const HousingCavity* const cavity = job.cavity(spot);
  if (cavity == nullptr) return "terminal";
  const Housing& housing = job.family().housings[cavity->housing];
  const std::string_view contact = cavity->contact == Contact::pin ? "pin" : "receptacle";
  std::string text = fmt::format("{} for the {}", contact,
                                 in_sentence(job.family().text(housing.title != 0 ? housing.title : housing.id)));
  if (mm2 != not_given) text += fmt::format(", wire {} mm²", milli(mm2));
  return text;
}

std::string ring_words(const Job& job, uint32_t spot) {
  const Family& family = job.family();
  std::string size;
  for (const bool right : {true, false}) {
    const Part& part = family.parts[(right ? job.to() : job.from()).part];
    const uint32_t cell = (right ? job.to() : job.from()).cell;
    const Index point = right ? job.places[spot].right : job.places[spot].left;
    for (const Earth& row : rows(family.earths, part.earths))
      if (row.point == point && family.holds(row.cells, cell) && size.empty()) size = family.text(row.ring);
  }
  return size.empty() ? "ring terminal" : "ring terminal " + size;
}

std::string where_words(const Job& job, uint32_t spot) {
  const Family& family = job.family();
  const auto of = [&](const auto& table, Range range, Index point, uint32_t cell) {
    for (const auto& row : rows(table, range))
      if (row.point == point && family.holds(row.cells, cell)) return std::string(family.text(row.where));
    return std::string();
  };
  const Part &to = family.parts[job.to().part], &from = family.parts[job.from().part];
  const Place& place = job.places[spot];
  std::string where;
  if (place.kind == PointKind::splice) {
    where = of(family.splices, to.splices, place.right, job.to().cell);
    if (where.empty()) where = of(family.splices, from.splices, place.left, job.from().cell);
  } else if (place.kind == PointKind::earth) {
    where = of(family.earths, to.earths, place.right, job.to().cell);
  }
  return where.empty() ? job.name(spot) : fmt::format("{} ({})", job.name(spot), where);
}

class Teller {
 public:
  Teller(const Job& job, const Work& work, const Task& task, Step& step)
      : job_(job), work_(work), task_(task), step_(step), family_(job.family()) {}
  void tell();

 private:
  std::string wires_of_move() const {
    std::string text;
    for (const auto& [h, end] : work_.ends_of(task_.move))
      text += (text.empty() ? "" : " and ") + wire_words(family_, job_.pieces[h].wire);
    return text;
  }
  void how(std::string line) { step_.how.push_back(std::move(line)); }
  void move();
  void add();
  void remove();
  void swap();
  void arrives_at(uint32_t spot, Quantity mm2);

  const Job& job_;
  const Work& work_;
  const Task& task_;
  Step& step_;
  const Family& family_;
};

// What to do at an end that needs something new.
void Teller::arrives_at(uint32_t spot, Quantity mm2) {
  const Place& place = job_.places[spot];
  switch (place.kind) {
    case PointKind::cavity:
      return how(fmt::format("Crimp a new terminal: {}", terminal_words(job_, spot, mm2)));
    case PointKind::earth:
      return how(fmt::format("Crimp a {} at {}", ring_words(job_, spot), where_words(job_, spot)));
    case PointKind::splice:
      return how(fmt::format("Lay the bare end at {}: a later step joins it", where_words(job_, spot)));
    default:
      return how(fmt::format("Join it to {}", place.name));
  }
}

void Teller::move() {
  const auto& [from, to] = task_.move;
  const auto ends = work_.ends_of(task_.move);
  const Place &was = job_.places[from], &becomes = job_.places[to];
  const std::string start = task_.was_parked ? "the parked end of " + was.name : was.name;
  step_.words = fmt::format("Move {} from {} to {}", wires_of_move(), start, becomes.name);
  if (becomes.kind == PointKind::cavity && becomes.left_state == State::sealed)
    how(fmt::format("Take the seal or empty terminal out of {} first", becomes.name));
  const bool apart = work_.stays_crimped_to_others(task_.move) && was.kind == PointKind::cavity;
  if (apart) how("It is crimped together with another wire that stays: cut the two apart");
  const Quantity mm2 = ends.empty() ? not_given : job_.pieces[ends.front().first].wire.mm2;
  const int fits = becomes.kind == PointKind::cavity ? job_.terminal_fits(from, to) : 0;
  if (work_.joins_others(task_.move) && becomes.kind == PointKind::cavity) {
    how(fmt::format("{} holds several wires: crimp them into one new terminal: {}", becomes.name,
                    terminal_words(job_, to, mm2)));
  } else if (fits == 0 || apart) {
    if (was.kind == PointKind::cavity && !apart) how("Cut its terminal off as close to it as you can");
    arrives_at(to, mm2);
  } else if (fits == 1) {
    how("De-pin it. Its terminal should suit the other housing; if it does not latch there, crimp one that does");
  } else {
    how("De-pin it and push the same terminal in until it latches");
  }
  if (was.plug != becomes.plug) how("See that the wire reaches without strain");
}

void Teller::add() {
  const Wire& wire = job_.wanted[task_.wire];
  const Line& line = job_.want[task_.wire];
  step_.words = fmt::format("Add {}, from {} to {}", wire_words(family_, wire), job_.name(line.a), job_.name(line.b));
  if (wire.length_mm != not_given) step_.words += fmt::format(", {} mm long", wire.length_mm);
  for (uint32_t end : {line.a, line.b}) {
    const Place& place = job_.places[end];
    if (place.kind == PointKind::cavity && place.left_state == State::sealed)
      how(fmt::format("Take the seal, empty terminal or stub out of {} first", place.name));
    arrives_at(end, wire.mm2);
  }
}

void Teller::remove() {
  const Line& line = job_.have[task_.wire];
  step_.words = fmt::format("Take {} out of {} and {}", wire_words(family_, job_.pieces[task_.wire].wire),
                            job_.name(line.a), job_.name(line.b));
  if (task_.cuts)
    how("Where it is crimped or spliced together with others, cut it off beside the joint and insulate the joint");
  how("Insulate both of its ends, each on its own, and tie the wire back");
  if (step_.checks.empty()) step_.look = "both ends are insulated and nothing else has moved";
}

void Teller::swap() {
  const Plug& plug = job_.plugs[task_.plug];
  if (plug.right_row == none) {
    step_.look = "no wire is left in it";
    step_.words = fmt::format("Take the {} off {}", housing_words(family_, plug.left_row), plug.designator);
    return;
  }
  if (step_.checks.empty()) step_.look = "it is the housing named, and mates its partner";
  if (plug.left_row == none) {
    step_.words = fmt::format("Fit a {} as {}", housing_words(family_, plug.right_row), plug.designator);
    return;
  }
  step_.words = fmt::format("Swap the housing of {}: {} off, {} on", plug.designator,
                            housing_words(family_, plug.left_row), housing_words(family_, plug.right_row));
  std::set<std::string> ways;
  bool other_terminals = false;
  for (size_t h = 0; h < job_.have.size(); ++h)
    for (int end : {0, 1}) {
      const uint32_t from = end == 0 ? job_.have[h].a : job_.have[h].b, to = work_.destination(h, end);
      if (to == nothing || job_.places[from].plug != task_.plug || job_.places[to].plug != task_.plug) continue;
      if (from != to) ways.insert(fmt::format("what was in {} goes into {}", job_.name(from), job_.name(to)));
      other_terminals = other_terminals || job_.terminal_fits(from, to) == 0;
    }
  how("Note which wire sits where, then take all terminals out");
  for (const std::string& way : ways) how(way);
  if (ways.empty()) how("Every wire goes into the cavity of the number that it had");
  how(other_terminals ? "Its terminals do not suit: cut them off and crimp new ones"
                      : "Its terminals should suit; where one does not latch, crimp one that does");
}

void Teller::tell() {
  switch (task_.kind) {
    case StepKind::unseal:
      step_.words = fmt::format("Take the seal or empty terminal out of {}", job_.name(task_.spot));
      step_.look = "the cavity is empty";
      return;
    case StepKind::remove:
      return remove();
    case StepKind::move:
      return move();
    case StepKind::park:
      step_.words = fmt::format("Take {} out of {} for a while", wires_of_move(), job_.name(task_.move.first));
      how("Insulate the terminal and let it hang: the cavity is wanted before its own is free");
      return;
    case StepKind::swap_housing:
      return swap();
    case StepKind::add:
      return add();
    case StepKind::link:
      step_.words = fmt::format("Join the ends laid at {}", where_words(job_, task_.spot));
      how(job_.places[task_.spot].left_there ? "Open the splice, join all its wires anew, and seal it"
                                             : "Crimp or solder the wires together, and seal the splice");
      return;
    case StepKind::renew:
      step_.words = fmt::format("Make the contact at {} good", job_.name(task_.spot));
      how("Clean it, or crimp a new terminal or ring");
      step_.look = "clean metal; a voltage-drop test under load tells, a continuity check does not";
      return;
    case StepKind::fasten:
      step_.words = fmt::format("Bolt {} to clean metal", where_words(job_, task_.spot));
      step_.checks.push_back({job_.name(task_.spot), "the metal that it is bolted to", true});
      return;
    case StepKind::seal:
      step_.words = fmt::format("Seal {}", job_.name(task_.spot));
      step_.look = "the seal sits flush";
      return;
  }
}

class Lister {
 public:
  Lister(const Job& job, const Work& work, Plan& plan) : job_(job), work_(work), plan_(plan), family_(job.family()) {}
  void list();

 private:
  void put(std::map<std::string, uint32_t>& list, std::string what, uint32_t count = 1) {
    list[std::move(what)] += count;
  }
  static std::vector<Item> items(const std::map<std::string, uint32_t>& list) {
    std::vector<Item> all;
    for (const auto& [what, count] : list) all.push_back({what, count});
    return all;
  }
  void arrival(uint32_t spot, Quantity mm2);
  void task(const Task& one);
  void move(const Task& one);
  void swap(const Task& one);
  void tools();

  const Job& job_;
  const Work& work_;
  Plan& plan_;
  const Family& family_;
  std::map<std::string, uint32_t> wires_, terminals_, joints_, plugs_, seals_, insulation_, tools_;
};

void Lister::arrival(uint32_t spot, Quantity mm2) {
  if (job_.places[spot].kind == PointKind::cavity) put(terminals_, terminal_words(job_, spot, mm2));
  if (job_.places[spot].kind == PointKind::earth) put(terminals_, ring_words(job_, spot));
}

void Lister::move(const Task& one) {
  const auto ends = work_.ends_of(one.move);
  const Quantity mm2 = ends.empty() ? not_given : job_.pieces[ends.front().first].wire.mm2;
  const int fits = job_.terminal_fits(one.move.first, one.move.second);
  if (one.cuts)
    arrival(one.move.second, mm2);
  else if (fits == 1)
    put(terminals_, terminal_words(job_, one.move.second, mm2) + " (only if the old one does not latch)");
}

void Lister::swap(const Task& one) {
  const Plug& plug = job_.plugs[one.plug];
  if (plug.right_row == none) return;
  put(plugs_, housing_words(family_, plug.right_row));
  for (uint32_t spot = 0; spot < job_.places.size(); ++spot) {
    const Place& place = job_.places[spot];
    if (place.plug == one.plug && place.right_there && place.right_state == State::sealed && !work_.ends_there(spot))
      put(seals_, fmt::format("seal for the {}", housing_words(family_, plug.right_row)));
  }
  for (size_t h = 0; h < job_.have.size(); ++h)
    for (int end : {0, 1}) {
      const uint32_t from = end == 0 ? job_.have[h].a : job_.have[h].b, to = work_.destination(h, end);
      if (to == nothing || job_.places[from].plug != one.plug || job_.places[to].plug != one.plug) continue;
      const int fits = job_.terminal_fits(from, to);
      if (fits < 2)
        put(terminals_, terminal_words(job_, to, job_.pieces[h].wire.mm2) +
                            (fits == 1 ? " (only if the old one does not latch)" : ""));
    }
}

void Lister::task(const Task& one) {
  switch (one.kind) {
    case StepKind::add: {
      const Wire& wire = job_.wanted[one.wire];
      std::string what = colour_code(family_, wire);
      if (wire.mm2 != not_given) what += (what.empty() ? "" : ", ") + milli(wire.mm2) + " mm²";
      if (what.empty()) what = "colour and cross-section not recorded";
      what += wire.length_mm == not_given ? ", length to be measured" : fmt::format(", {} mm", wire.length_mm);
      put(wires_, what);
      arrival(job_.want[one.wire].a, wire.mm2);
      arrival(job_.want[one.wire].b, wire.mm2);
      return;
    }
    case StepKind::move:
      return move(one);
    case StepKind::swap_housing:
      return swap(one);
    case StepKind::link:
      return put(joints_, "splice with a sealing sleeve");
    case StepKind::remove:
      return put(insulation_, "insulating cap or heat-shrink end", 2);
    case StepKind::park:
      return put(insulation_, "insulation for a parked terminal, for a while");
    case StepKind::seal: {
      const Plug& plug = job_.plugs[job_.places[one.spot].plug];
      return put(seals_, fmt::format("seal for the {}", housing_words(family_, plug.right_row)));
    }
    case StepKind::renew:
      return arrival(one.spot, not_given);
    case StepKind::unseal:
    case StepKind::fasten:
      return;
  }
}

void Lister::tools() {
  if (work_.tasks().empty()) return;
  put(tools_, "multimeter, proved on a known short before and after");
  bool depin = false, crimp = false;
  for (const Task& one : work_.tasks()) {
    depin = depin || one.kind == StepKind::move || one.kind == StepKind::park || one.kind == StepKind::remove ||
            one.kind == StepKind::swap_housing;
    crimp = crimp || one.cuts;
  }
  if (depin) put(tools_, "terminal extractors for the plugs named");
  if (crimp || !terminals_.empty()) put(tools_, "crimp tool with the dies for these terminals, cutter and stripper");
  if (!joints_.empty() || !insulation_.empty()) put(tools_, "hot-air gun for sleeves");
  put(tools_, "labels for wires");
}

void Lister::list() {
  for (const Task& one : work_.tasks()) task(one);
  tools();
  plan_.wires = items(wires_), plan_.terminals = items(terminals_), plan_.joints = items(joints_);
  plan_.plugs = items(plugs_), plan_.seals = items(seals_), plan_.insulation = items(insulation_);
  for (const auto& [what, count] : tools_) plan_.tools.push_back({what, 1});
}

}  // namespace

void tell(const Job& job, const Work& work, const Task& task, Step& step) {
  Teller(job, work, task, step).tell();
  if (step.checks.empty() && step.look.empty())
    step.look = "each end is where the step puts it: a meter has nothing to show";
}

void list_material(const Job& job, const Work& work, Plan& plan) {
  Lister(job, work, plan).list();
}

}  // namespace loomproof::repin
