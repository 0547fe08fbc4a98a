// Housings that mate say so of each other, have the same cavities, and face pin to receptacle.
#include <algorithm>

#include "checks/all.h"

namespace loomproof::checks {

namespace {

const HousingCavity* cavity_of(const Family& family, const Housing& housing, Str number) {
  for (const HousingCavity& cavity : rows(family.housing_cavities, housing.cavities))
    if (cavity.number == number) return &cavity;
  return nullptr;
}

bool names_mate(const Family& family, const Housing& housing, Index mate) {
  Rows<Index> mates = rows(family.housing_refs, housing.mates);
  return std::find(mates.begin(), mates.end(), mate) != mates.end();
}

// Cavities of a housing that its mate lacks.
std::vector<Index> lacking(const Family& family, const Housing& housing, const Housing& mate) {
  std::vector<Index> found;
  for (Index cavity = housing.cavities.first; cavity < housing.cavities.end(); ++cavity)
    if (!cavity_of(family, mate, family.housing_cavities[cavity].number)) found.push_back(cavity);
  return found;
}

// Cavities whose contact does not go with the mate's.
std::vector<Index> alike_contacts(const Family& family, const Housing& housing, const Housing& mate) {
  std::vector<Index> found;
  for (Index cavity = housing.cavities.first; cavity < housing.cavities.end(); ++cavity) {
    const HousingCavity& row = family.housing_cavities[cavity];
    const HousingCavity* partner = cavity_of(family, mate, row.number);
    if (partner && partner->contact == row.contact && row.contact != Contact::none_) found.push_back(cavity);
  }
  return found;
}

// "cavity 7", "cavities 1, 2 and 3"
std::string cavity_words(const Judged& in, const std::vector<Index>& cavities) {
  std::string words = cavities.size() == 1 ? "cavity " : "cavities ";
  for (size_t i = 0; i < cavities.size(); ++i) {
    if (i > 0) words += i + 1 == cavities.size() ? " and " : ", ";
    words += in.id(in.family.housing_cavities[cavities[i]].number);
  }
  return words;
}

std::string lack_words(const Judged& in, const std::string& housing, const std::vector<Index>& cavities,
                       const std::string& mate) {
  return fmt::format("`{}` has {}, which its mate `{}` lacks", housing, cavity_words(in, cavities), mate);
}

}  // namespace

void mates_disagree(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index i = 0; i < family.housings.size(); ++i) {
    const Housing& housing = family.housings[i];
    for (Index mate : rows(family.housing_refs, housing.mates)) {
      report.judged(Rule::mates_disagree);
      const Housing& other = family.housings[mate];
      std::string a(in.id(housing.id)), b(in.id(other.id));
      if (!names_mate(family, other, i)) {
        report
            .add<Rule::mates_disagree>(in.spans.housings[i],
                                       fmt::format("`{}` mates `{}`, which does not name it", a, b))
            .label(in.spans.housings[mate], "the other housing")
            .help("put `" + a + "` among the mates of `" + b + "`");
        continue;
      }
      if (i > mate) continue;  // each pair once
      const std::vector<Index> more_here = lacking(family, housing, other),
                               more_there = lacking(family, other, housing);
      if (!more_here.empty()) {
        auto finding = report.add<Rule::mates_disagree>(in.spans.housing_cavities[more_here.front()],
                                                        lack_words(in, a, more_here, b));
        finding.label(in.spans.housings[mate], "the mate");
        if (!more_there.empty()) finding.help("and " + lack_words(in, b, more_there, a));
      } else if (!more_there.empty()) {
        report
            .add<Rule::mates_disagree>(in.spans.housing_cavities[more_there.front()], lack_words(in, b, more_there, a))
            .label(in.spans.housings[i], "the mate");
      }
      const std::vector<Index> alike = alike_contacts(family, housing, other);
      if (alike.empty()) continue;
      const HousingCavity& first = family.housing_cavities[alike.front()];
      if (alike.size() == housing.cavities.count && alike.size() > 1) {
        report
            .add<Rule::mates_disagree>(in.spans.housings[i],
                                       fmt::format("`{}` and its mate `{}` both hold {}s", a, b, word(first.contact)))
            .label(in.spans.housings[mate], "the mate");
      } else {
        report
            .add<Rule::mates_disagree>(in.spans.housing_cavities[alike.front()],
                                       fmt::format("{} {} a {} in `{}` and in its mate `{}`", cavity_words(in, alike),
                                                   alike.size() == 1 ? "holds" : "hold", word(first.contact), a, b))
            .label(in.spans.housings[mate], "the mate");
      }
    }
  }
}

}  // namespace loomproof::checks
