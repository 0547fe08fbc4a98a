#include "review/breaks.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"

namespace loomproof::review {
namespace {

bool is_asked_for(NameKind kind) {
  return kind != NameKind::source && kind != NameKind::node;
}

// How the kind reads before an id: that of a point is its own.
std::string called_in(const Family& family, NameKind kind, const Named& name) {
  if (kind == NameKind::part) return name.scope;  // "loom", "component"
  if (kind == NameKind::joint)
    for (const Point& point : family.points)
      if (point.connector == none && family.text(point.name) == name.name && scope_of(family, point.part) == name.scope)
        return std::string(word(point.kind));
  return std::string(word(kind));
}

class Breaker {
 public:
  Breaker(const Family& base, const Family& head, const std::vector<Rename>& renames)
      : base_(base), head_(head), renames_(renames) {}

  std::vector<Break> run() {
    for (const Index part : parts_gone()) scopes_gone_.insert(scope_of(base_, part));
    for (const Connector& connector : head_.connectors)
      ends_.insert(fmt::format("{}.{}", id_of_place(head_, connector.part), head_.text(connector.designator)));
    for (Index point = 0; point < head_.points.size(); ++point)
      if (head_.points[point].connector == none)
        ends_.insert(fmt::format("{} {}", id_of_place(head_, head_.points[point].part), point_name(head_, point)));
    for (uint32_t i = 0; i < name_kind_count; ++i) {
      kind_ = static_cast<NameKind>(i);
      if (!is_asked_for(kind_)) continue;
      const Names was = meanings_of(base_, kind_), is = meanings_of(head_, kind_);
      find_work();
      for (const auto& [name, meaning] : was) {
        const auto other = is.find(name);
        if (other == is.end()) {
          tell_gone(name);
          continue;
        }
        const double kept = share_kept(still_there(meaning), other->second);
        const bool is_other = kind_ == NameKind::part ? kept == 0 : kept < 0.5;  // a component may leave some places
        if (is_other || taken_by(name)) tell_reused(name, meaning, other->second);
      }
      tell_cavities();
      for (const Rename& rename : renames_)
        if (rename.kind == kind_) tell(BreakKind::renamed, rename_words(rename));
    }
    return std::move(told_);
  }

 private:
  // A circuit that lost a plug to a part that is gone means nothing else for it.
  Uses still_there(const Uses& meaning) const {
    if (kind_ != NameKind::circuit) return meaning;
    Uses rest;
    for (const std::string& use : meaning)
      if (ends_.count(use)) rest.push_back(use);
    return rest;
  }

  static std::string in(const std::string& within) { return within.empty() ? "" : " in " + within; }

  // Parts whose id is gone from every place: what is in them goes with them.
  std::vector<Index> parts_gone() const {
    std::set<std::pair<PartKind, std::string_view>> known;
    for (const Part& part : head_.parts) known.insert({part.kind, head_.text(part.id)});
    std::vector<Index> gone;
    for (Index part = 0; part < base_.parts.size(); ++part)
      if (!known.count({base_.parts[part].kind, base_.text(base_.parts[part].id)})) gone.push_back(part);
    return gone;
  }
  // A component is there in other places as well, or its place is gone: that is told of the component, or of the place.
  bool goes_with_owner(const Named& name) const {
    switch (kind_) {
      case NameKind::option_value:
        return !has(head_.options, name.scope);
      case NameKind::cavity:
        return true;  // told by tell_cavities()
      case NameKind::part:
        return std::all_of(base_.parts.begin(), base_.parts.end(), [&](const Part& part) {
          return base_.text(part.id) != name.name || word(part.kind) != name.scope ||
                 (part.place != none && !has(head_.places, base_.text(base_.places[part.place].id)));
        });
      case NameKind::connector:
      case NameKind::joint:
      case NameKind::inside:
      case NameKind::switch_:
        return scopes_gone_.count(name.scope) || !has_scope(name.scope);
      default:
        return false;
    }
  }
  template <typename Row>
  bool has(const std::vector<Row>& rows, std::string_view id) const {
    return std::any_of(rows.begin(), rows.end(), [&](const Row& row) { return head_.text(row.id) == id; });
  }
  bool has_scope(const std::string& scope) const {
    for (Index part = 0; part < head_.parts.size(); ++part)
      if (scope_of(head_, part) == scope) return true;
    return false;
  }

  // The owner as people call it.
  std::string within(const Named& name) const {
    if (kind_ == NameKind::part) return {};
    const size_t slash = name.scope.find('/');
    return slash == std::string::npos ? name.scope : name.scope.substr(slash + 1);
  }

  void tell_gone(const Named& name) {
    if (goes_with_owner(name)) return;
    std::string words = fmt::format("{} {}{} is gone", called_in(base_, kind_, name), name.name, in(within(name)));
    if (kind_ == NameKind::place) words += what_goes_with_place(name.name);
    tell(BreakKind::gone, std::move(words));
  }
  std::string what_goes_with_place(const std::string& place) const {
    std::set<std::string> parts;
    for (const Index part : parts_gone())
      if (id_of_place(base_, part) == place)
        parts.insert(fmt::format("{} {}", word(base_.parts[part].kind), base_.text(base_.parts[part].id)));
    return parts.empty() ? "" : fmt::format(", and with it {}", fmt::join(parts, ", "));
  }

  // Two ids that were exchanged are one fact.
  void tell_reused(const Named& name, const Uses& was, const Uses& is) {
    std::string words =
        fmt::format("{} {}{} means something else now", called_in(base_, kind_, name), name.name, in(within(name)));
    if (kind_ == NameKind::part) {
      words = fmt::format("{} {} moved from {} to {}", name.scope, name.name, places_of(was), places_of(is));
    } else if (kind_ == NameKind::option_value) {
      words = fmt::format("option value {}{} meant {}, means {}", name.name, in(within(name)), fmt::join(was, ", "),
                          fmt::join(is, ", "));
    } else if (kind_ == NameKind::era) {
      words = fmt::format("era {} was {}, is {}", name.name, fmt::join(was, " "), fmt::join(is, " "));
    } else if (const Named* other = taken_by(name)) {
      const Named* back = taken_by(*other);
      const bool is_exchange = back && back->name == name.name;
      if (is_exchange && *other < name) return;
      words = is_exchange ? fmt::format("{}s {} and {}{} exchanged their names", called_in(base_, kind_, name),
                                        name.name, other->name, in(within(name)))
                          : words + fmt::format("; what it meant is called {}", other->name);
    }
    tell(BreakKind::reused, std::move(words));
  }
  static std::string places_of(const Uses& meaning) {
    std::vector<std::string> places;
    for (const std::string& use : meaning) places.push_back(use.substr(3));  // "in GLOW-1"
    return fmt::format("{}", fmt::join(places, ", "));
  }
  // What every id of the kind is used for, and by whom: of those kinds whose uses tell one from another.
  void find_work() {
    work_was_.clear(), work_is_.clear(), by_use_.clear();
    if (kind_ != NameKind::place && kind_ != NameKind::connector && kind_ != NameKind::circuit &&
        kind_ != NameKind::housing && kind_ != NameKind::joint && kind_ != NameKind::inside)
      return;
    work_was_ = uses_of(base_, kind_), work_is_ = uses_of(head_, kind_);
    for (const auto& [name, uses] : work_is_)
      for (const std::string& use : uses) by_use_[name.scope + "\n" + use].insert(&name);
  }
  // The id of the head that does more than half of the work of one of the base, which itself does less; else nullptr.
  const Named* taken_by(const Named& name) const {
    const auto was = work_was_.find(name), is = work_is_.find(name);
    if (was == work_was_.end() || (is != work_is_.end() && likeness(was->second, is->second) >= 0.5)) return nullptr;
    std::map<std::string_view, const Named*> candidates;  // by name, so that the order is that of ids
    for (const std::string& use : was->second)
      if (const auto found = by_use_.find(name.scope + "\n" + use); found != by_use_.end())
        for (const Named* other : found->second) candidates.emplace(other->name, other);
    const Named* best = nullptr;
    double most = 0.5;
    for (const auto& [id, other] : candidates)
      if (const double alike = likeness(was->second, work_is_.at(*other)); id != name.name && alike > most)
        most = alike, best = other;
    return best;
  }

  // Those of one housing together.
  void tell_cavities() {
    if (kind_ != NameKind::cavity) return;
    std::set<std::pair<std::string_view, std::string_view>> known;
    for (const Housing& housing : head_.housings)
      for (const HousingCavity& cavity : rows(head_.housing_cavities, housing.cavities))
        known.insert({head_.text(housing.id), head_.text(cavity.number)});
    for (const Housing& housing : base_.housings) {
      const std::string_view id = base_.text(housing.id);
      if (!has(head_.housings, id)) continue;
      std::vector<std::string_view> gone;
      for (const HousingCavity& cavity : rows(base_.housing_cavities, housing.cavities))
        if (!known.count({id, base_.text(cavity.number)})) gone.push_back(base_.text(cavity.number));
      if (gone.empty()) continue;
      tell(BreakKind::gone, fmt::format("cavit{} {} of housing {} {} gone", gone.size() == 1 ? "y" : "ies",
                                        fmt::join(gone, ", "), id, gone.size() == 1 ? "is" : "are"));
    }
  }

  void tell(BreakKind kind, std::string words) {
    if (words_.insert(words).second) told_.push_back({kind, std::move(words)});
  }

  const Family &base_, &head_;
  const std::vector<Rename>& renames_;
  NameKind kind_{};
  Names work_was_, work_is_;
  std::map<std::string, std::set<const Named*>> by_use_;  // by scope and use; of the head
  std::set<std::string> scopes_gone_, words_;
  std::set<std::string> ends_;  // of the head, as meanings_of() has those of circuits
  std::vector<Break> told_;
};

}  // namespace

std::vector<Break> find_breaks(const Family& base, const Family& head, const std::vector<Rename>& renames) {
  return Breaker(base, head, renames).run();
}

}  // namespace loomproof::review
