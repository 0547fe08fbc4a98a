#include "compile/compile.h"

#include <algorithm>
#include <chrono>
#include <map>
#include <optional>

#include "checks/check.h"
#include "compile/family_result.h"
#include "compile/parallel.h"
#include "compile/read.h"

namespace loomproof {

namespace {

using Clock = std::chrono::steady_clock;

class Watch {
 public:
  explicit Watch(std::vector<Timing>& timings) : timings_(timings), start_(Clock::now()) {}
  void lap(Phase phase) {
    Clock::time_point now = Clock::now();
    timings_.push_back({phase_words[static_cast<size_t>(phase)], std::chrono::duration<double>(now - start_).count()});
    start_ = now;
  }

 private:
  std::vector<Timing>& timings_;
  Clock::time_point start_;
};

// The nodes of all its files.
size_t size_of(const FamilyFiles& family) {
  size_t nodes = family.family->tree.node_count() + family.circuits->tree.node_count();
  if (family.combinations) nodes += family.combinations->tree.node_count();
  for (const auto* documents : {&family.looms, &family.components, &family.changes})
    for (const Document* document : *documents) nodes += document->tree.node_count();
  return nodes;
}

// A rule relaxed at a place drops the findings whose text lies inside that place. What drops none has outlived its
// reason.
void apply_allowances(const std::vector<AllowSpan>& allows, Report& report) {
  struct Allowance {
    AllowSpan allow;
    bool used = false;
  };
  std::map<std::tuple<FileId, uint32_t, std::string_view>, Allowance> all;
  for (const AllowSpan& allow : allows)
    all.try_emplace({allow.scope.file, allow.rule_text.begin, allow.rule}, Allowance{allow});
  std::vector<Finding> kept;
  for (Finding& finding : report.findings()) {
    bool allowed = false;
    for (auto& [key, entry] : all) {
      const Span& scope = entry.allow.scope;
      if (entry.allow.rule != rule_info(finding.rule).id || finding.span.file != scope.file ||
          finding.span.begin < scope.begin || finding.span.end > scope.end)
        continue;
      entry.used = allowed = true;
    }
    if (!allowed) kept.push_back(std::move(finding));
  }
  report.findings() = std::move(kept);
  for (const auto& [key, entry] : all) {
    report.judged(Rule::allowance_unused);
    if (!entry.used) report.add<Rule::allowance_unused>(entry.allow.rule_text, entry.allow.rule);
  }
}

}  // namespace

bool parse_phase(std::string_view text, Phase& phase) {
  for (size_t i = 0; i < std::size(phase_words); ++i)
    if (phase_words[i] == text) {
      phase = static_cast<Phase>(i);
      return true;
    }
  return false;
}

std::unique_ptr<Compiled> compile(const Files& files, const std::string& corpus_folder, const CompileOptions& options) {
  auto result = std::make_unique<Compiled>();
  Compiled& out = *result;
  Watch watch(out.timings);

  // Every file has a place and its bytes are at hand: from here on nothing is read from disk.
  const std::vector<Pending> pending = read_files(files, corpus_folder, options, out);
  watch.lap(Phase::files);

  // What is known of families whose bytes are as they were needs not be found again.
  FamilyResults results;
  std::optional<Recall> recall;
  if (options.cache != nullptr && options.until == Phase::rules) recall.emplace(pending, options, out);
  const std::vector<Pending> unread = recall ? recall->find(results) : pending;

  std::map<std::string, Report> of_family;  // by folder; none: of what all share
  if (options.until >= Phase::trees) {
    // Every usable document is plain data of its schema's shape: from here on keys and words need no checking.
    std::vector<Report> reports = read_trees(unread, options, out);
    for (size_t i = 0; i < unread.size(); ++i) of_family[unread[i].place.family].merge(std::move(reports[i]));
    watch.lap(Phase::trees);
  }
  if (options.until >= Phase::names) {
    // Documents are sorted into families, and what they share is known by name.
    out.corpus.has_others = !results.empty();
    arrange(out.corpus, of_family);
    std::shared_ptr<const SharedNames> shared = read_shared_names(out.corpus, of_family[""]);
    for (const Document* document : out.corpus.of_kind[static_cast<size_t>(FileKind::corpus)])
      if (document->usable) out.title = document->root()["title"].text();
    watch.lap(Phase::names);

    if (options.until >= Phase::tables) {
      // Families become tables. A family with faults in its text or shape is left alone: judging it would only echo
      // them.
      std::vector<const FamilyFiles*> usable;
      std::vector<size_t> sizes;
      for (const FamilyFiles& family : out.corpus.families)
        if (out.corpus.is_usable(family))
          usable.push_back(&family), sizes.push_back(size_of(family));
        else
          results[family.folder].waits = true;
      std::vector<Expansion> expansions(usable.size());
      std::vector<Report> reports(usable.size());
      in_parallel(sizes, options, "expanding",
                  [&](size_t i) { expansions[i] = expand_family(out.corpus, *usable[i], *shared, reports[i]); });
      watch.lap(Phase::tables);

      if (options.until >= Phase::rules) {
        // Families whose names all resolved are judged, each on its own.
        in_parallel(sizes, options, "judging", [&](size_t i) {
          if (expansions[i].resolved) run_checks(expansions[i].family, expansions[i].spans, reports[i]);
        });
      }
      for (size_t i = 0; i < usable.size(); ++i) {
        const bool judged = expansions[i].resolved && options.until >= Phase::rules;
        FamilyResult& known = results[usable[i]->folder];
        known.waits = !expansions[i].resolved;
        known.used = std::move(expansions[i].used);
        if (judged) known.allows = expansions[i].spans.allows;
        of_family[usable[i]->folder].merge(std::move(reports[i]));
        out.families.push_back({std::move(expansions[i].family), std::move(expansions[i].spans), judged});
      }
      for (const FamilyFiles& family : out.corpus.families)
        results[family.folder].report = std::move(of_family[family.folder]), of_family.erase(family.folder);
      if (recall) recall->keep(results);

      // What is to be said of each family is known. What follows is about all of them.
      out.report.merge(std::move(of_family[""]));
      of_family.clear();
      std::vector<SharedUse> used;
      std::vector<AllowSpan> allows;
      for (auto& [folder, known] : results) {
        out.report.merge(std::move(known.report));
        used.push_back(std::move(known.used));
        allows.insert(allows.end(), known.allows.begin(), known.allows.end());
        if (known.waits) out.not_judged.push_back(folder);
      }
      if (options.family.empty() && out.not_judged.empty()) report_unused_shared(*shared, used, out.report);
      if (options.until >= Phase::rules) {
        apply_allowances(allows, out.report);
        watch.lap(Phase::rules);
      }
    }
  }
  for (auto& [folder, report] : of_family) out.report.merge(std::move(report));
  std::sort(out.not_judged.begin(), out.not_judged.end());
  out.report.sort();
  return result;
}

}  // namespace loomproof
