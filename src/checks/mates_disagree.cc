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
        report.add<Rule::mates_disagree>(in.spans.housings[i], fmt::format("`{}` mates `{}`, which does not name it", a, b))
            .label(in.spans.housings[mate], "the other housing")
            .help("put `" + a + "` among the mates of `" + b + "`");
        continue;
      }
      if (i > mate) continue;  // each pair once
      for (const HousingCavity& cavity : rows(family.housing_cavities, housing.cavities)) {
        const HousingCavity* partner = cavity_of(family, other, cavity.number);
        size_t index = static_cast<size_t>(&cavity - family.housing_cavities.data());
        if (!partner) {
          report.add<Rule::mates_disagree>(in.spans.housing_cavities[index],
                                           fmt::format("`{}` has a cavity {} and its mate `{}` has none", a,
                                                       in.id(cavity.number), b))
              .label(in.spans.housings[mate], "the mate");
        } else if (cavity.contact == partner->contact && cavity.contact != Contact::none_) {
          report.add<Rule::mates_disagree>(in.spans.housing_cavities[index],
                                           fmt::format("cavity {} holds a {} in `{}` and in its mate `{}`",
                                                       in.id(cavity.number), word(cavity.contact), a, b))
              .label(in.spans.housings[mate], "the mate");
          break;  // one wrong word makes all contacts alike
        }
      }
      for (const HousingCavity& cavity : rows(family.housing_cavities, other.cavities))
        if (!cavity_of(family, housing, cavity.number))
          report.add<Rule::mates_disagree>(
                    in.spans.housing_cavities[static_cast<size_t>(&cavity - family.housing_cavities.data())],
                    fmt::format("`{}` has a cavity {} and its mate `{}` has none", b, in.id(cavity.number), a))
              .label(in.spans.housings[i], "the mate");
    }
  }
}

}  // namespace loomproof::checks
