// rules/joins.yaml: what happens when two pin roles share a net. Read once for all families, and held to be whole: a
// table with a hole in it would pass over the pair that nobody thought of.
#include <algorithm>
#include <tuple>

#include "expand/expander.h"

namespace loomproof {

namespace {

using Pair = std::pair<Role, Role>;
constexpr Role first_role = Role::gives_feed;  // the one before it is `unset`

Pair pair_of(const Join& join) {
  return {join.a, join.b};
}

template <typename Enum>
Enum word_in(yaml::Node node) {  // the schema has checked the word; the first value where there is none for it
  Enum value{};
  if (node) parse_word(node.text(), value);
  return value;
}

// Of the two that meet, the other one.
Suffers turned(Suffers suffers) {
  if (suffers == Suffers::first) return Suffers::second;
  return suffers == Suffers::second ? Suffers::first : suffers;
}

std::vector<Role> roles_of(yaml::Node row) {
  std::vector<Role> roles;
  for (yaml::Node role : row["meets"]) roles.push_back(word_in<Role>(role));
  return roles;
}

// One row of the file: what always holds, then what holds under each condition.
std::vector<JoinRow> conditions_of(yaml::Node row, Report& report) {
  const std::vector<Role> roles = roles_of(row);
  const bool turn = roles[1] < roles[0];
  std::vector<JoinRow> all;
  const auto add = [&](yaml::Node said, JoinWhen when) {
    const Suffers suffers = word_in<Suffers>(said["suffers"]);
    all.push_back({{.a = std::min(roles[0], roles[1]),
                    .b = std::max(roles[0], roles[1]),
                    .when = when,
                    .outcome = word_in<Outcome>(said["outcome"]),  // `not-proven` has no word: unset
                    .suffers = turn ? turned(suffers) : suffers},
                   row,
                   said});
  };
  add(row, JoinWhen::always);
  std::map<std::string_view, Span> first;
  for (yaml::Node said : row["but"]) {
    report.judged(Rule::duplicate_id);
    const yaml::Node when = said["when"];
    if (const auto [known, fresh] = first.try_emplace(when.text(), when.span()); fresh)
      add(said, word_in<JoinWhen>(when));
    else
      report.add<Rule::duplicate_id>(when.span(), "condition", when.text()).label(known->second, "declared first here");
  }
  return all;
}

// One finding for each role that has holes; what a role lacks towards an earlier one is said there.
bool report_missing(yaml::Node root, const std::map<Pair, Span>& given, Report& report) {
  const auto end = static_cast<uint32_t>(word_count<Role>);
  bool whole = true;
  for (auto a = static_cast<uint32_t>(first_role); a < end; ++a) {
    std::string missing;
    for (uint32_t b = a; b < end; ++b) {
      report.judged(Rule::join_missing);
      if (given.count({Role{a}, Role{b}})) continue;
      missing += fmt::format("{}`{}`", missing.empty() ? "" : ", ", word(Role{b}));
    }
    if (missing.empty()) continue;
    whole = false;
    report.add<Rule::join_missing>(root["joins"].key_span(), word(Role{a}), missing)
        .help("where nobody can say what happens, write a row with `outcome: not-proven`");
  }
  return whole;
}

}  // namespace

std::vector<JoinRow> read_join_rows(yaml::Node root, Report& report) {
  std::vector<JoinRow> all;
  std::map<Pair, Span> given;
  bool unique = true;
  for (yaml::Node row : root["joins"]) {
    report.judged(Rule::join_twice);
    std::vector<JoinRow> rows = conditions_of(row, report);
    const yaml::Node meets = row["meets"];
    const auto [known, fresh] = given.try_emplace(pair_of(rows.front().join), meets.span());
    if (fresh) {
      all.insert(all.end(), rows.begin(), rows.end());
      continue;
    }
    unique = false;
    const std::vector<Role> roles = roles_of(row);
    report.add<Rule::join_twice>(meets.span(), word(roles[0]), word(roles[1])).label(known->second, "first row here");
  }
  if (!report_missing(root, given, report) || !unique) return {};
  const auto key = [](const JoinRow& one) { return std::tuple(one.join.a, one.join.b, one.join.when); };
  std::sort(all.begin(), all.end(), [&](const JoinRow& x, const JoinRow& y) { return key(x) < key(y); });
  return all;
}

void Expander::read_joins() {
  for (const JoinRow& one : shared_.joins) {
    const auto source = shared_.file_source.find(one.pair.span().file);
    const Scope scope{{}, source == shared_.file_source.end() ? yaml::Node() : source->second, {}};
    Join join = one.join;
    join.because = str(one.said["because"].text());
    join.cite = cite(one.pair, scope);
    f_.joins.push_back(join);
  }
}

}  // namespace loomproof
