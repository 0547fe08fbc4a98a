#include "compare/words.h"

#include <fmt/format.h>

#include "family/words.h"

namespace loomproof {
namespace {

class Wording {
 public:
  Wording(const Family& family, const Difference& difference)
      : family_(family), difference_(difference), item_(difference.item) {}
  std::string words() const;

 private:
  std::string point(Index point) const { return point == none ? "?" : point_name(family_, point); }
  std::string circuit(Index circuit) const {
    return circuit == none ? "a pin without circuit" : std::string(family_.text(family_.circuits[circuit].id));
  }
  std::string place() const {
    return item_.place == none ? "its place" : std::string(family_.text(family_.places[item_.place].id));
  }
  std::string connector() const { return std::string(family_.text(family_.connectors[item_.connector].designator)); }
  std::string thing() const;
  std::string replugged() const;
  std::string respliced() const;
  std::string looks(const ChangeItem& item) const;
  std::string pin(const ChangeItem& item) const;
  std::string came_or_went(std::string_view verb) const;
  std::string inside_changed() const;

  const Family& family_;
  const Difference& difference_;
  const ChangeItem& item_;
};

// The connector, or the point, or else the place that a change is about.
std::string Wording::thing() const {
  if (item_.connector != none) return connector();
  return item_.from != none ? point(item_.from) : place();
}

std::string Wording::replugged() const {
  if (difference_.steps.size() < 2) return fmt::format("{} replugged to {}", point(item_.from), point(item_.to));
  const Index plug = family_.points[item_.from].connector;
  std::string text = fmt::format("{} replugged: ", family_.text(family_.connectors[plug].designator));
  for (size_t i = 0; i < difference_.steps.size(); ++i)
    text += fmt::format("{}{} to {}", i ? ", " : "", point(difference_.steps[i].from), point(difference_.steps[i].to));
  return text;
}

std::string Wording::respliced() const {
  std::vector<ChangeItem> steps = difference_.steps;
  if (steps.empty()) steps.push_back(item_);
  std::string goes, comes;
  for (const ChangeItem& step : steps) {
    std::string& list = step.step == 0 ? goes : comes;
    if (!list.empty()) list += ", ";
    list += fmt::format("{} to {}", point(step.from), point(step.to));
  }
  std::string text = circuit(item_.circuit) + " respliced: ";
  if (!goes.empty()) text += "without " + goes;
  if (!comes.empty()) text += (goes.empty() ? "with " : ", with ") + comes;
  return text;
}

std::string Wording::looks(const ChangeItem& item) const {
  Wire wire;
  wire.base = item.base, wire.tracer = item.tracer, wire.shade = item.shade;
  std::string text = colour_code(family_, wire);
  if (item.mm2 != not_given) text += (text.empty() ? "" : ", ") + milli(item.mm2) + " mm²";
  return text.empty() ? text : " (" + text + ")";
}

std::string Wording::pin(const ChangeItem& item) const {
  std::string text = item.circuit == none ? "" : circuit(item.circuit);
  if (item.role != Role::unset) text.append(text.empty() ? "" : ", ").append(word(item.role));
  return fmt::format("pin {}{}", point(item.from), text.empty() ? text : " (" + text + ")");
}

std::string Wording::came_or_went(std::string_view verb) const {
  if (item_.to == none) return fmt::format("{} {}", pin(item_), verb);
  return fmt::format("{} {} between {} and {}{}", circuit(item_.circuit), verb, point(item_.from), point(item_.to),
                     looks(item_));
}

std::string Wording::inside_changed() const {
  const Difference& d = difference_;
  if (!d.of.empty()) return fmt::format("inside, {} of {} changed from {} to {}", d.of, d.what, d.was, d.becomes);
  return fmt::format("inside, {} {}", d.what, d.was == "none" ? "added" : "removed");
}

std::string Wording::words() const {
  const std::string &was = difference_.was, &becomes = difference_.becomes;
  switch (item_.kind) {
    case ChangeKind::moved:
      return fmt::format("{} moved from {} to {}", circuit(item_.circuit), point(item_.from), point(item_.to));
    case ChangeKind::swapped:
      return fmt::format("{} and {} exchanged {} and {}", circuit(item_.circuit), circuit(item_.circuit_b),
                         point(item_.from), point(item_.to));
    case ChangeKind::replugged:
      return replugged();
    case ChangeKind::added:
      return came_or_went("added");
    case ChangeKind::removed:
      return came_or_went("removed");
    case ChangeKind::recoloured:
      return fmt::format("{} recoloured from {} to {} at {}", circuit(item_.circuit), was, becomes, point(item_.from));
    case ChangeKind::resized:
      return fmt::format("{} resized from {} to {} mm² at {}", circuit(item_.circuit), was, becomes, point(item_.from));
    case ChangeKind::rehoused:
      if (was == "none") return fmt::format("{} comes, in housing {}", thing(), becomes);
      if (becomes == "none") return fmt::format("{} goes, which was in housing {}", thing(), was);
      return fmt::format("{} rehoused from {} to {}", thing(), was, becomes);
    case ChangeKind::respliced:
      return respliced();
    case ChangeKind::re_roled:
      return fmt::format("pin {} re-roled from {} to {}", point(item_.from), was, becomes);
    case ChangeKind::re_rated:
      return fmt::format("{} of {}{} changed from {} to {}", difference_.of,
                         item_.circuit == none ? "" : circuit(item_.circuit) + " at ", thing(), was, becomes);
    case ChangeKind::relocated:
      return fmt::format("{} relocated from {} to {}", thing(), was, becomes);
    case ChangeKind::replaced:
      if (was == "none") return fmt::format("{} comes into {}", becomes, place());
      if (becomes == "none") return fmt::format("{} goes from {}", was, place());
      return fmt::format("{} replaced by {} in {}", was, becomes, place());
    case ChangeKind::inside_changed:
      return inside_changed();
    case ChangeKind::now_known:
      return fmt::format("{} now known: was {}, is {}", thing(), was, becomes);
    case ChangeKind::no_longer_known:
      return fmt::format("{} no longer known: was {}, is {}", thing(), was, becomes);
    case ChangeKind::restated:
      return fmt::format("{} restated from {} to {}", thing(), was, becomes);
  }
  return {};
}

}  // namespace

std::string difference_words(const Family& family, const Difference& difference) {
  std::string words = Wording(family, difference).words();
  if (!difference.note.empty()) words += " (" + difference.note + ")";
  return words;
}

Difference claim_of(const Family& family, const ChangeItem& item) {
  Difference claim;
  claim.item = item;
  claim.what = family.text(item.what);
  claim.of = family.text(item.of);
  claim.was = family.text(item.was);
  claim.becomes = family.text(item.becomes);
  return claim;
}

std::string change_words(const Family& family, const ChangeItem& item) {
  return difference_words(family, claim_of(family, item));
}

}  // namespace loomproof
