// Eras follow each other in the order listed; they overlap only where a run-out says so.
#include "checks/all.h"

namespace loomproof::checks {

void era_order(const Judged& in, Report& report) {
  const Family& family = in.family;
  const auto name = [&](Index era) { return std::string(in.id(family.eras[era].id)); };
  const auto backward = [&](Index era) {
    const Era& row = family.eras[era];
    return row.from != not_given && row.to != not_given && row.from > row.to;
  };
  // Editions of a standard have no months: their order is the list's, and nothing can be said of it.
  const auto undated = [&](Index era) {
    return family.eras[era].from == not_given && family.eras[era].to == not_given;
  };
  for (Index i = 0; i < family.eras.size(); ++i) {
    report.judged(Rule::era_order);
    const Era& era = family.eras[i];
    const EraSpans& at = in.spans.eras[i];
    if (backward(i)) report.add<Rule::era_order>(at.built, "era `" + name(i) + "` ends before it begins");
    if (i == 0 || backward(i) || backward(i - 1) || undated(i) || undated(i - 1)) continue;
    const Era& before = family.eras[i - 1];
    const Span earlier = in.spans.eras[i - 1].built;
    if (era.run_out != not_given && era.from != not_given && era.run_out < era.from)
      report.add<Rule::era_order>(at.run_out, fmt::format("the run-out of `{}` ends in {}, before `{}` begins",
                                                          name(i - 1), month_text(era.run_out), name(i)));
    if (before.to == not_given) {
      report.add<Rule::era_order>(earlier, fmt::format("`{}` has no end, and `{}` follows it", name(i - 1), name(i)))
          .label(at.built, "the era after");
    } else if (era.from == not_given) {
      report
          .add<Rule::era_order>(at.built,
                                fmt::format("`{}` has no beginning, and `{}` goes before it", name(i), name(i - 1)))
          .label(earlier, "the era before");
    } else if (era.from <= before.to) {
      report
          .add<Rule::era_order>(at.built, fmt::format("era `{}` begins in {}, and `{}` ends in {}", name(i),
                                                      month_text(era.from), name(i - 1), month_text(before.to)))
          .label(earlier, "the era before")
          .help("where both kinds left the line for a time, keep the spans apart and say `run-out-of-previous`");
    } else if (era.from > before.to + 1) {
      report
          .add<Rule::era_order>(
              at.built, fmt::format("nothing was built between {} and {}", month_text(before.to), month_text(era.from)))
          .label(earlier, "the era before");
    }
  }
}

}  // namespace loomproof::checks
