#include "diag/report.h"

#include <algorithm>
#include <iterator>
#include <tuple>

namespace loomproof {
namespace {

// What the corpus as a whole lacks (no file) comes last, after all that points at text.
auto order_of(const Finding& finding) {
  return std::tie(finding.span.file, finding.span.begin, finding.rule, finding.span.end, finding.message);
}

bool same_label(const Label& a, const Label& b) {
  return a.span == b.span && a.text == b.text;
}

bool same_finding(const Finding& a, const Finding& b) {
  return order_of(a) == order_of(b) && a.severity == b.severity && a.label == b.label && a.help == b.help &&
         std::equal(a.related.begin(), a.related.end(), b.related.begin(), b.related.end(), same_label);
}

}  // namespace

void Report::merge(Report&& other) {
  findings_.insert(findings_.end(), std::make_move_iterator(other.findings_.begin()),
                   std::make_move_iterator(other.findings_.end()));
  other.findings_.clear();
  for (size_t i = 0; i < judged_.size(); ++i) judged_[i] += other.judged_[i];
  other.judged_.fill(0);
}

void Report::sort() {
  std::stable_sort(findings_.begin(), findings_.end(),
                   [](const Finding& a, const Finding& b) { return order_of(a) < order_of(b); });
  findings_.erase(std::unique(findings_.begin(), findings_.end(), same_finding), findings_.end());
}

bool Report::has_errors() const {
  return std::any_of(findings_.begin(), findings_.end(),
                     [](const Finding& finding) { return finding.severity == Severity::error; });
}

}  // namespace loomproof
