#include "review/rename.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "family/words.h"

namespace loomproof::review {
namespace {

struct Match {
  double likeness = 0;
  Named was, becomes;
};

// The most alike first, each name once; names that both revisions have are none of our affair.
std::vector<Match> matches(const Names& base, const Names& head) {
  std::vector<Match> all, chosen;
  for (const auto& [was, uses] : base) {
    if (head.count(was)) continue;
    for (const auto& [becomes, others] : head)
      if (was.scope == becomes.scope && !base.count(becomes))
        if (const double alike = likeness(uses, others); alike >= 0.5) all.push_back({alike, was, becomes});
  }
  std::stable_sort(all.begin(), all.end(), [](const Match& a, const Match& b) { return a.likeness > b.likeness; });
  std::set<Named> gone, come;
  for (const Match& match : all)
    if (!gone.count(match.was) && !come.count(match.becomes)) {
      gone.insert(match.was), come.insert(match.becomes);
      chosen.push_back(match);
    }
  std::sort(chosen.begin(), chosen.end(), [](const Match& a, const Match& b) { return a.was < b.was; });
  return chosen;
}

// Of "PUMP-LOOM/pump" the part.
std::string part_of(const std::string& scope) {
  const size_t slash = scope.find('/');
  return slash == std::string::npos ? scope : scope.substr(slash + 1);
}

// An edit with a name in place of another, alone ("S3") or before a dot ("C1.6").
std::string with_name(const std::string& text, const std::string& was, const std::string& becomes) {
  std::string out;
  for (size_t at = 0; at < text.size();) {
    const size_t end = std::min(text.find_first_of(" .", at), text.size());
    const std::string piece = text.substr(at, end - at);
    out += piece == was && (at == 0 || text[at - 1] == ' ') ? becomes : piece;
    if (end < text.size()) out += text[end];
    at = end + 1;
  }
  return out;
}

class Renamer {
 public:
  Renamer(Family& base, const Family& head) : base_(base), head_(head) {}

  std::vector<Rename> run() {
    for (uint32_t i = 0; i < name_kind_count; ++i) {
      const auto kind = static_cast<NameKind>(i);
      // Of a cavity that has another number everything else is told: it is looked for by that number alone.
      if (kind == NameKind::cavity) continue;
      for (const Match& match : matches(uses_of(base_, kind), uses_of(head_, kind))) {
        was_ = &match.was, becomes_ = match.becomes.name;
        name_ = intern(becomes_);
        tell(kind, apply(kind));
      }
    }
    return std::move(told_);
  }

 private:
  // Each text once: whoever looks for a name compares its number.
  Str intern(const std::string& text) {
    const auto known = std::find(base_.strings.begin(), base_.strings.end(), text);
    const auto str = static_cast<Str>(known - base_.strings.begin());
    if (known == base_.strings.end()) base_.strings.push_back(text);
    return str;
  }
  bool is_it(Str str) const { return base_.text(str) == was_->name; }
  bool is_within(Index part) const { return scope_of(base_, part) == was_->scope; }

  // A title that was left out is the id.
  template <typename Row>
  void name_row(Row& row) {
    if (row.title == row.id) row.title = name_;
    row.id = name_;
  }
  template <typename Row>
  void name_rows(std::vector<Row>& rows) {
    for (Row& row : rows)
      if (is_it(row.id)) name_row(row);
  }

  // The kind in the words of the corpus.
  std::string apply(NameKind kind) {
    std::string called(word(kind));
    switch (kind) {
      case NameKind::era:
        name_rows(base_.eras);
        break;
      case NameKind::option:
        name_rows(base_.options);
        break;
      case NameKind::option_value:
        for (OptionValue& value : base_.option_values)
          if (base_.text(base_.options[value.option].id) == was_->scope && is_it(value.id)) name_row(value);
        break;
      case NameKind::place:
        name_rows(base_.places);
        break;
      case NameKind::part:
        for (Index part = 0; part < base_.parts.size(); ++part)
          if (id_of_place(base_, part) == was_->scope && is_it(base_.parts[part].id)) name_row(base_.parts[part]);
        restate(ChangeKind::replaced);
        break;
      case NameKind::connector:
        name_connector();
        break;
      case NameKind::circuit:
        name_rows(base_.circuits);
        name_edits("");
        break;
      case NameKind::housing:
        name_rows(base_.housings);
        restate(ChangeKind::rehoused);
        break;
      case NameKind::source:
        name_rows(base_.sources);
        break;
      case NameKind::joint:
      case NameKind::node:
        for (Point& point : base_.points)
          if (point.connector == none && is_within(point.part) && is_it(point.name)) {
            point.name = name_;
            if (kind == NameKind::joint) called = word(point.kind);
          }
        name_edits(was_->scope.substr(0, was_->scope.find('/')));
        break;
      case NameKind::inside:
        for (Inside& row : base_.insides) {
          if (!is_within(row.part)) continue;
          if (is_it(row.id)) row.id = name_;
          if (is_it(row.coil)) row.coil = name_;
        }
        for (const Position& row : base_.positions)
          if (is_within(row.part)) name_refs(row.closes);
        restate_what();
        break;
      case NameKind::switch_:
        for (Position& row : base_.positions)
          if (is_within(row.part) && is_it(row.switch_id)) row.switch_id = name_;
        restate_what();
        break;
      case NameKind::combination:
        name_rows(base_.combinations);
        break;
      case NameKind::cavity:
        break;
    }
    return called;
  }

  void name_refs(Range range) {
    for (Index row = range.first; row < range.end(); ++row)
      if (is_it(base_.string_refs[row])) base_.string_refs[row] = name_;
  }

  // The designator, and wherever it is written as text. Plugs name places, whose other parts may keep the old name.
  void name_connector() {
    std::string place;
    for (Connector& connector : base_.connectors) {
      if (!is_within(connector.part) || !is_it(connector.designator)) continue;
      connector.designator = name_;
      place = id_of_place(base_, connector.part);
    }
    for (const Branch& branch : base_.branches)
      if (is_within(branch.part)) name_refs(branch.connectors);
    const auto still_plugs = [&](Index of_place, Str designator) {
      return head_.text(head_.places[of_place].id) == place && head_.text(designator) == was_->name;
    };
    if (std::none_of(head_.plugs.begin(), head_.plugs.end(), [&](const PlugPair& plug) {
          return still_plugs(plug.place_a, plug.a) || still_plugs(plug.place_b, plug.b);
        }))
      for (PlugPair& plug : base_.plugs) {
        if (base_.text(base_.places[plug.place_a].id) == place && is_it(plug.a)) plug.a = name_;
        if (base_.text(base_.places[plug.place_b].id) == place && is_it(plug.b)) plug.b = name_;
      }
    name_edits(place);
  }

  void name_edits(const std::string& place) {
    for (CombinationEdit& edit : base_.combination_edits)
      if (place.empty() || base_.text(base_.places[edit.place].id) == place)
        edit.text = intern(with_name(std::string(base_.text(edit.text)), was_->name, becomes_));
  }

  // Declared changes name parts, housings and what is inside by their text.
  void restate(ChangeKind kind) {
    for (ChangeItem& item : base_.change_items) {
      if (item.kind != kind) continue;
      if (is_it(item.was)) item.was = name_;
      if (is_it(item.becomes)) item.becomes = name_;
    }
  }
  void restate_what() {
    for (ChangeItem& item : base_.change_items)
      if (item.kind == ChangeKind::inside_changed && item.part != none && is_within(item.part) && is_it(item.what))
        item.what = name_;
  }

  void tell(NameKind kind, std::string called) {
    Rename rename{kind, std::move(called), was_->name, becomes_, kind == NameKind::part ? "" : part_of(was_->scope)};
    const bool is_told = std::any_of(told_.begin(), told_.end(), [&](const Rename& other) {
      return other.kind == rename.kind && other.was == rename.was && other.becomes == rename.becomes &&
             other.within == rename.within;
    });
    if (!is_told) told_.push_back(std::move(rename));  // a component in four places is one
  }

  Family& base_;
  const Family& head_;
  const Named* was_ = nullptr;
  std::string becomes_;
  Str name_ = 0;
  std::vector<Rename> told_;
};

}  // namespace

std::vector<Rename> apply_renames(Family& base, const Family& head) {
  return Renamer(base, head).run();
}

std::string rename_words(const Rename& rename) {
  return fmt::format("{} {} renamed {}{}", rename.called, rename.was, rename.becomes,
                     rename.within.empty() ? "" : " in " + rename.within);
}

}  // namespace loomproof::review
