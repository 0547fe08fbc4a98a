#include "identify/questions.h"

#include <algorithm>
#include <map>

#include "family/words.h"
#include "nets/components.h"
#include "nets/firing.h"

namespace loomproof::identify {
namespace {

constexpr size_t most_ends_in_pairs = 10;  // of a net; a larger one is asked along its ends

// The answers differ for good: both are on record.
bool differ(const std::optional<std::string>& a, const std::optional<std::string>& b) {
  return a && b && *a != *b;
}

bool tells(const std::vector<const Sheet*>& recorded, const Question& question) {
  std::optional<std::string> first;
  for (const Sheet* sheet : recorded) {
    const std::optional<std::string> answer = sheet->expected(question);
    if (differ(first, answer)) return true;
    if (!first) first = answer;
  }
  return false;
}

}  // namespace

OffLimits::OffLimits(const FamilyIndex& index, Index place) {
  const Family& family = index.family();
  const std::vector<bool> may_fire = connectors_that_may_fire(index);
  for (Index part : index.parts_in(place)) {
    const Part& row = family.parts[part];
    for (Index connector = row.connectors.first; connector < row.connectors.end(); ++connector)
      if (may_fire[connector]) plugs_.emplace(family.text(family.connectors[connector].designator));
    // Nets over all cells at once: more than in any one of them.
    std::vector<std::pair<Index, Index>> joins;
    const auto join = [&](Index a, Index b) { joins.emplace_back(a - row.points.first, b - row.points.first); };
    for (const Wire& wire : rows(family.wires, row.wires)) join(wire.from, wire.to);
    for (const Inside& inside : rows(family.insides, row.insides)) join(inside.a, inside.b);
    const std::vector<Index> net = components(row.points.count, joins);
    std::set<Index> firing;
    for (Index point = 0; point < row.points.count; ++point)
      if (carries_firing(index, row.points.first + point)) firing.insert(net[point]);
    for (Index point = 0; point < row.points.count; ++point)
      if (firing.contains(net[point])) ends_.insert(point_name(family, row.points.first + point));
    for (const Earth& earth : rows(family.earths, row.earths))
      if (is_firing(family, earth.circuit)) ends_.insert(point_name(family, earth.point));
    for (const Lead& lead : rows(family.leads, row.leads))
      if (is_firing(family, lead.circuit)) ends_.insert(point_name(family, lead.point));
  }
}

bool OffLimits::holds_end(std::string_view end) const {
  return ends_.contains(end) || plugs_.contains(plug_of(end));
}

bool OffLimits::holds(const Question& question) const {
  switch (question.look) {
    case Look::plug:
    case Look::housing:
    case Look::label:
      return false;  // seen from outside
    case Look::wires:
    case Look::thick:
    case Look::empty:
    case Look::coloured:
      return holds_plug(question.a);
    case Look::beeps:
      return holds_end(question.a) || holds_end(question.b);
    default:
      return holds_end(question.a);
  }
}

std::vector<Question> telling_questions(const std::vector<const Sheet*>& recorded, const OffLimits& off_limits) {
  std::set<Question> all;
  all.insert({Look::label, {}, {}, {}});
  for (const Sheet* sheet : recorded) {
    for (const auto& [name, plug] : sheet->plugs()) {
      for (const Look look : {Look::plug, Look::housing, Look::wires, Look::thick, Look::empty})
        all.insert({look, name, {}, {}});
      for (const auto& [number, cavity] : plug.cavities) {
        for (const std::string& colour : cavity.colours)
          all.insert({Look::coloured, name, {}, colour.substr(0, colour.find('/'))});
        for (const Look look : {Look::state, Look::colour, Look::mm2, Look::crimped})
          all.insert({look, name + '.' + number, {}, {}});
      }
    }
    for (const std::vector<uint32_t>& ends : sheet->ends_of_net())
      for (size_t i = 0; i < ends.size(); ++i)
        for (size_t j = i + 1; j < ends.size() && (ends.size() <= most_ends_in_pairs || j == i + 1); ++j) {
          std::string a = sheet->name(ends[i]), b = sheet->name(ends[j]);
          if (b < a) std::swap(a, b);
          all.insert({Look::beeps, a, b, {}});
        }
  }
  std::vector<Question> telling;
  for (const Question& question : all)
    if (!off_limits.holds(question) && tells(recorded, question)) telling.push_back(question);
  return telling;
}

std::vector<std::vector<size_t>> inseparable(const std::vector<const Sheet*>& recorded,
                                             const std::vector<Question>& questions) {
  const auto count = static_cast<uint32_t>(recorded.size());
  std::vector<std::vector<std::optional<std::string>>> answers(count);
  for (uint32_t i = 0; i < count; ++i)
    for (const Question& question : questions) answers[i].push_back(recorded[i]->expected(question));
  std::vector<std::pair<Index, Index>> alike;
  for (uint32_t i = 0; i < count; ++i)
    for (uint32_t j = i + 1; j < count; ++j) {
      bool separated = false;
      for (size_t q = 0; q < questions.size() && !separated; ++q) separated = differ(answers[i][q], answers[j][q]);
      if (!separated) alike.emplace_back(i, j);
    }
  const std::vector<Index> group = components(count, alike);
  std::map<Index, std::vector<size_t>> members;
  for (uint32_t i = 0; i < count; ++i) members[group[i]].push_back(i);
  std::vector<std::vector<size_t>> groups;
  for (auto& [number, list] : members)
    if (list.size() > 1) groups.push_back(std::move(list));
  return groups;
}

}  // namespace loomproof::identify
