#include "review/patterns.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <map>
#include <set>
#include <string>

#include "family/words.h"
#include "known/known.h"
#include "nets/index.h"
#include "review/facts.h"

namespace loomproof::review {
namespace {

struct Spot {
  size_t order = 0;
  int32_t x = 0, y = 0;
};
using Face = std::map<std::string, Spot>;

// The faces of a connector by its cavity numbers, one for each housing that it has in any cell.
std::vector<Face> faces_of(const Family& family, const std::string& place, const std::string& designator) {
  std::map<Index, Face> faces;
  for (const ConnectorRow& row : family.connector_rows) {
    const Connector& connector = family.connectors[row.connector];
    const Index at = family.parts[connector.part].place;
    if (at == none || row.housing == none || family.text(connector.designator) != designator ||
        family.text(family.places[at].id) != place)
      continue;
    Face& face = faces[row.housing];
    size_t order = 0;
    for (const HousingCavity& cavity : rows(family.housing_cavities, family.housings[row.housing].cavities))
      face[std::string(family.text(cavity.number))] = {order++, cavity.x, cavity.y};
  }
  std::vector<Face> all;
  for (auto& [housing, face] : faces) all.push_back(std::move(face));
  return all;
}

// Which readings of the face turn `from` into `to`, as bits.
constexpr std::string_view reading_words[] = {"mirrored reading", "turned reading",    "exchange of its rows",
                                              "shift by one up",  "shift by one down", "count from the other end"};

uint32_t readings(const Face& face, const std::string& from, const std::string& to) {
  const auto a = face.find(from), b = face.find(to);
  if (a == face.end() || b == face.end()) return 0;
  int32_t left = INT32_MAX, right = INT32_MIN, top = INT32_MAX, bottom = INT32_MIN;
  for (const auto& [number, spot] : face) {
    left = std::min(left, spot.x), right = std::max(right, spot.x);
    top = std::min(top, spot.y), bottom = std::max(bottom, spot.y);
  }
  const Spot &was = a->second, &is = b->second;
  const bool across = is.x == left + right - was.x, down = is.y == top + bottom - was.y;
  uint32_t bits = 0;
  if (across && is.y == was.y) bits |= 1;
  if (across && down && top != bottom) bits |= 2;
  if (down && is.x == was.x && top != bottom) bits |= 4;
  if (is.order == was.order + 1) bits |= 8;
  if (is.order + 1 == was.order) bits |= 16;
  if (is.order + was.order + 1 == face.size() && is.order != was.order) bits |= 32;
  return bits;
}

// Of one connector: each way that an end went, with the changes that say so.
using Ways = std::map<std::pair<std::string, std::string>, std::set<size_t>>;

// The ends that a reading explains. Of a circuit in several cavities nothing says which of them went where: it counts
// as a whole.
std::vector<const std::set<size_t>*> explained(const Face& face, size_t reading, const Ways& ways,
                                               const std::vector<Change>& changes) {
  std::map<std::string, std::vector<const std::string*>> went_to;  // by circuit that moved and did nothing else
  const auto circuit_of = [&](const std::set<size_t>& saying) {
    const Change& change = changes[*saying.begin()];
    return change.kind == word(ChangeKind::moved) ? change.circuit : std::string();
  };
  for (const auto& [way, saying] : ways) went_to[circuit_of(saying)].push_back(&way.second);
  went_to.erase("");
  std::vector<const std::set<size_t>*> found;
  for (const auto& [way, saying] : ways) {
    const auto leads_to = [&, &from = way.first](const std::string& to) {
      return (readings(face, from, to) >> reading & 1) != 0;
    };
    const auto others = went_to.find(circuit_of(saying));
    if (leads_to(way.second) ||
        (others != went_to.end() && std::any_of(others->second.begin(), others->second.end(),
                                                [&](const std::string* to) { return leads_to(*to); })))
      found.push_back(&saying);
  }
  return found;
}

// "GLOW-4" -> "GLOW-"; empty where the id has no number at its end.
std::string stem_of(std::string_view id) {
  size_t end = id.size();
  while (end > 0 && std::isdigit(static_cast<unsigned char>(id[end - 1]))) --end;
  return end == id.size() ? std::string() : std::string(id.substr(0, end));
}

}  // namespace

std::vector<Cause> find_causes(const Family& head, const std::vector<Change>& changes) {
  // In other eras the same way is no other.
  std::map<std::pair<std::string, std::string>, Ways> by_connector;
  for (size_t i = 0; i < changes.size(); ++i)
    for (const End& end : changes[i].ends)
      by_connector[{changes[i].place.substr(0, changes[i].place.find(',')), end.designator}][{end.from, end.to}].insert(
          i);
  std::vector<Cause> causes;
  for (const auto& [connector, ways] : by_connector) {
    std::vector<const std::set<size_t>*> best;  // of each end that the best reading explains, the changes that say it
    size_t best_reading = 0;
    for (const Face& face : faces_of(head, connector.first, connector.second))
      for (size_t i = 0; i < std::size(reading_words); ++i)
        if (std::vector<const std::set<size_t>*> found = explained(face, i, ways, changes); found.size() > best.size())
          best = std::move(found), best_reading = i;
    if (best.size() < 3 || best.size() * 5 < ways.size() * 4) continue;
    std::set<size_t> all;
    for (const std::set<size_t>* saying : best) all.insert(saying->begin(), saying->end());
    Cause cause;
    cause.changes.assign(all.begin(), all.end());
    cause.words =
        fmt::format("{} ends moved by {} change{} in {} of {} are one {}", best.size(), all.size(),
                    all.size() == 1 ? "" : "s", connector.second, connector.first, reading_words[best_reading]);
    causes.push_back(std::move(cause));
  }
  return causes;
}

std::vector<std::string> find_siblings(const Family& head, const std::vector<Change>& changes) {
  std::map<std::string, std::set<std::string>> families;
  for (const Circuit& circuit : head.circuits)
    if (const std::string stem = stem_of(head.text(circuit.id)); !stem.empty())
      families[stem].insert(std::string(head.text(circuit.id)));
  // By circuit: the kinds of what changed, so that one that changed otherwise shows.
  std::map<std::string, std::set<std::string>> kinds;
  for (const Change& change : changes)
    if (change.nature == Nature::metal && !change.circuit.empty()) kinds[change.circuit].insert(change.kind);
  std::vector<std::string> told;
  for (const auto& [stem, members] : families) {
    std::vector<std::string> changed, still;
    for (const std::string& member : members) (kinds.count(member) ? changed : still).push_back(member);
    if (members.size() < 3 || changed.size() < 2) continue;
    if (!still.empty()) {
      told.push_back(fmt::format("{} of the {} {} circuits changed, {} did not", changed.size(), members.size(),
                                 stem.back() == '-' ? stem.substr(0, stem.size() - 1) : stem, fmt::join(still, ", ")));
      continue;
    }
    std::map<std::set<std::string>, std::vector<std::string>> by_kinds;
    for (const std::string& member : changed) by_kinds[kinds[member]].push_back(member);
    if (by_kinds.size() == 2)
      for (const auto& [each, which] : by_kinds)
        if (which.size() == 1)
          told.push_back(fmt::format("{} changed otherwise than its {} siblings", which[0], members.size() - 1));
  }
  return told;
}

std::vector<VerdictChange> find_verdicts(const Family& base, const Family& head,
                                         const std::vector<std::pair<uint32_t, uint32_t>>& pairs) {
  const FamilyIndex index_base(base), index_head(head);
  judge::Shelf shelf_base(index_base), shelf_head(index_head);
  std::vector<VerdictChange> changes;
  const auto judged = [](judge::Shelf& shelf, uint32_t cell) {
    known::Stands stands;
    for (const judge::VariantId variant : shelf.build(cell).at) stands.push_back({variant, {}});
    return known::judge_stands(shelf, stands);
  };
  const auto because = [](const known::Found& found) { return found.first ? found.first->what : std::string(); };
  // Builds that change alike are told together.
  std::map<std::tuple<std::string, std::string, std::string>, CellSet> builds;
  CellSet universe;
  for (const auto& [was_cell, is_cell] : pairs) {
    universe.insert(is_cell);
    const known::Found was = judged(shelf_base, was_cell), is = judged(shelf_head, is_cell);
    if (was.best == is.best && was.worst == is.worst && was.outcome == is.outcome) continue;
    const auto words = [](const known::Found& found) {
      return fmt::format("{} ({})", known::verdict_words(found.best, found.worst), word(found.outcome));
    };
    builds[{words(was), words(is), because(is)}].insert(is_cell);
  }
  for (const auto& [key, cells] : builds)
    changes.push_back({fmt::format("factory builds, {}", cells_text(head, cells, universe)), std::get<0>(key),
                       std::get<1>(key), std::get<2>(key)});
  // So are combinations.
  std::map<std::tuple<std::string, std::string, std::string>, std::vector<std::string>> combinations;
  for (const Combination& was : base.combinations)
    for (const Combination& is : head.combinations) {
      if (base.text(was.id) != head.text(is.id)) continue;
      std::vector<known::Fault> faults_base, faults_head;
      const known::Stands of_base = known::put_together(shelf_base, was, faults_base),
                          of_head = known::put_together(shelf_head, is, faults_head);
      const std::string what(head.text(is.id));
      if (!faults_base.empty()) continue;
      const known::Found before = known::judge_stands(shelf_base, of_base);
      const std::string was_words = known::verdict_words(before.best, before.worst);
      if (!faults_head.empty()) {
        combinations[{was_words, "cannot be put together any more", ""}].push_back(what);
        continue;
      }
      const known::Found after = known::judge_stands(shelf_head, of_head);
      if (before.best == after.best && before.worst == after.worst && before.outcome == after.outcome) continue;
      combinations[{fmt::format("{} ({})", was_words, word(before.outcome)),
                    fmt::format("{} ({})", known::verdict_words(after.best, after.worst), word(after.outcome)),
                    because(after)}]
          .push_back(what);
    }
  for (auto& [key, ids] : combinations) {
    std::sort(ids.begin(), ids.end());
    changes.push_back({fmt::format("combination{} {}", ids.size() == 1 ? "" : "s", fmt::join(ids, ", ")),
                       std::get<0>(key), std::get<1>(key), std::get<2>(key)});
  }
  return changes;
}

}  // namespace loomproof::review
