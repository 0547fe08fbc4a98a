// Eras follow each other in the order listed; they overlap only where a run-out says so.
#include "checks/all.h"

namespace loomproof::checks {

void era_order(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index i = 0; i < family.eras.size(); ++i) {
    report.judged(Rule::era_order);
    const Era& era = family.eras[i];
    auto name = [&](const Era& of) { return std::string(in.id(of.id)); };
    if (era.from != not_given && era.to != not_given && era.from > era.to)
      report.add<Rule::era_order>(in.spans.eras[i], "era `" + name(era) + "` ends before it begins");
    if (i == 0) continue;
    const Era& before = family.eras[i - 1];
    if (before.to == not_given || era.from == not_given) {
      if (before.from != not_given && before.to == not_given)
        report.add<Rule::era_order>(in.spans.eras[i], fmt::format("era `{}` follows `{}`, which has no end", name(era), name(before)))
            .label(in.spans.eras[i - 1], "the era before");
      continue;
    }
    if (era.from <= before.to)
      report.add<Rule::era_order>(in.spans.eras[i], fmt::format("era `{}` begins in {}, and `{}` ends in {}", name(era),
                                                                month_text(era.from), name(before), month_text(before.to)))
          .label(in.spans.eras[i - 1], "the era before")
          .help("where both kinds left the line for a time, keep the spans apart and say `run-out-of-previous`");
    if (era.run_out != not_given && era.run_out < era.from)
      report.add<Rule::era_order>(in.spans.eras[i], fmt::format("the run-out of `{}` ends in {}, before `{}` begins",
                                                                name(before), month_text(era.run_out), name(era)));
    if (era.from > before.to + 1)
      report.add<Rule::era_order>(in.spans.eras[i], fmt::format("nothing was built between {} and {}", month_text(before.to),
                                                                month_text(era.from)))
          .label(in.spans.eras[i - 1], "the era before");
  }
}

}  // namespace loomproof::checks
