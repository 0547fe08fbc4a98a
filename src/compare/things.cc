#include "compare/things.h"

#include "nets/cavities.h"

namespace loomproof::compare {
namespace {

bool is_known(const std::string& state) {
  return state != "unknown" && state != "disputed";
}

// Things that come or go with strands that end there are told by those.
bool implied_by_strands(const Side& there, const Side& not_there, const ThingKey& key) {
  switch (key.kind) {
    case ThingKind::connector:
      return there.has_strand_in(key.id) && !not_there.has_strand_in(key.id);
    case ThingKind::joint:
      return there.has_strand(key.id) && !not_there.has_strand(key.id);
    default:
      return false;
  }
}

// How a thing that comes or goes is declared: which of its traits stands for it, and what is said of it.
struct Whole {
  std::string_view of;
  ChangeKind kind{};
  std::string text;
};
Whole whole(const ThingKey& key, const Thing& thing) {
  const Trait& first = thing.traits.front();
  if (key.kind == ThingKind::inside) return {"", ChangeKind::inside_changed, "present"};
  if (first.kind == ChangeKind::relocated && first.text == "none") return {first.of, first.kind, "present"};
  return {first.of, first.kind, first.text};
}

class Comparer {
 public:
  Comparer(const Side& left, const Side& right, const PointMap& moves) : left_(left), right_(right), moves_(moves) {}
  void compare(const ThingKey& key);
  std::vector<ThingDifference> take() { return std::move(found_); }

 private:
  void comes_or_goes(const ThingKey& key, const Thing& thing, bool comes);
  void compare_state(const ThingKey& key, const Thing& left, const Thing& right);
  bool rest_counts(Index connector) const;
  bool told_by_rest(const ThingKey& key, const Thing& left, const std::string& becomes) const;
  void put(const ThingKey& key, std::string_view of, ChangeKind kind, std::string was, std::string becomes,
           const Thing* left, const Thing* right) {
    ThingDifference difference{key, std::string(of), kind, std::move(was), std::move(becomes), {}, {}};
    if (left) difference.left.push_back(left->row);
    if (right) difference.right.push_back(right->row);
    found_.push_back(std::move(difference));
  }

  const Side &left_, &right_;
  const PointMap& moves_;
  std::vector<ThingDifference> found_;
};

void Comparer::compare(const ThingKey& key) {
  const std::optional<Thing> left = left_.thing(key, moves_), right = right_.thing(key);
  if (!left && !right) return;
  if (key.kind == ThingKind::cavity) {
    if (left && right) compare_state(key, *left, *right);  // else its connector comes or goes, or has another housing
    return;
  }
  if (!left || !right) return comes_or_goes(key, left ? *left : *right, !left);
  for (size_t i = 0; i < left->traits.size(); ++i) {
    const Trait &was = left->traits[i], &becomes = right->traits[i];
    if (was.of == "rest" && was.text != becomes.text && !rest_counts(key.id)) continue;
    if (was.text != becomes.text) put(key, was.of, was.kind, was.text, becomes.text, &*left, &*right);
  }
}

void Comparer::comes_or_goes(const ThingKey& key, const Thing& thing, bool comes) {
  if (comes ? implied_by_strands(right_, left_, key) : implied_by_strands(left_, right_, key)) return;
  const Whole it = whole(key, thing);
  put(key, it.of, it.kind, comes ? "none" : it.text, comes ? it.text : "none", comes ? nullptr : &thing,
      comes ? &thing : nullptr);
}

void Comparer::compare_state(const ThingKey& key, const Thing& left, const Thing& right) {
  const std::string &was = left.traits.front().text, &becomes = right.traits.front().text;
  if (was == becomes || was == "wired" || becomes == "wired" || told_by_rest(key, left, becomes)) return;
  put(key, "", state_change(was, becomes), was, becomes, &left, &right);
}

// Whether some cavity is what the rest says on both sides. If none is, the rest says nothing of the metal.
bool Comparer::rest_counts(Index connector) const {
  const Index left = left_.own_connector(connector), right = right_.own_connector(connector);
  const auto is_rest = [](const Cavity& cavity) {
    return cavity.wires.empty() && cavity.pin == none && cavity.cavity_row == none;
  };
  std::set<Str> resting;
  for (const Cavity& cavity : cavities(left_.index(), left_.cell(), left))
    if (is_rest(cavity)) resting.insert(cavity.number);
  for (const Cavity& cavity : cavities(right_.index(), right_.cell(), right))
    if (is_rest(cavity) && resting.count(cavity.number)) return true;
  return false;
}

// A cavity that no row names on the left is whatever its connector's rest says; where the rest changes, and the cavity
// becomes what the new rest says, the change of the rest tells it.
bool Comparer::told_by_rest(const ThingKey& key, const Thing& left, const std::string& becomes) const {
  if (left.row.table != Table::connector_rows) return false;
  const Index connector = left_.shared_connector(left_.own_connector(left_.family().points[key.id].connector));
  const ThingKey owner{ThingKind::connector, connector};
  const std::string before = trait_text(left_, owner, "rest", ChangeKind::re_rated);
  const std::string after = trait_text(right_, owner, "rest", ChangeKind::re_rated);
  return before != after && after == becomes && rest_counts(connector);
}

}  // namespace

std::vector<ThingDifference> thing_differences(const Side& left, const Side& right, const PointMap& moves,
                                               const std::set<ThingKey>& keys) {
  Comparer comparer(left, right, moves);
  for (const ThingKey& key : keys) comparer.compare(key);
  return comparer.take();
}

std::string trait_text(const Side& side, const ThingKey& key, std::string_view of, ChangeKind kind,
                       const PointMap& moves) {
  const std::optional<Thing> thing = side.thing(key, moves);
  if (!thing) return "none";
  if (key.kind == ThingKind::inside && of.empty()) return "present";
  for (const Trait& trait : thing->traits)
    if (trait.of == of && (trait.kind == kind || key.kind == ThingKind::cavity)) return trait.text;
  return "none";
}

ChangeKind state_change(const std::string& was, const std::string& becomes) {
  if (is_known(was) == is_known(becomes)) return ChangeKind::restated;
  return is_known(was) ? ChangeKind::no_longer_known : ChangeKind::now_known;
}

}  // namespace loomproof::compare
