#include "upkeep/mend.h"

#include <algorithm>

namespace loomproof::upkeep {

namespace {

constexpr int most_rounds = 20;  // what one edit uncovers the next mends; more than a few in a row is a circle

// A corpus with some files as they would be.
class EditedFiles : public Files {
 public:
  EditedFiles(const Files& real, bool is_here, const std::map<std::string, std::string>& edited)
      : files_(real), is_here_(is_here), edited_(edited) {}

  std::vector<FileEntry> list(const std::string& folder) const override {
    std::vector<FileEntry> entries = files_.list(folder);
    for (FileEntry& entry : entries)
      if (const auto found = edited_.find(shown(folder + "/" + entry.path)); found != edited_.end())
        entry.size = found->second.size();
    return entries;
  }
  std::string read(const std::string& path, std::string& problem) const override {
    const auto found = edited_.find(shown(path));
    if (found == edited_.end()) return files_.read(path, problem);
    problem.clear();
    return found->second;
  }

 private:
  std::string shown(const std::string& path) const { return is_here_ ? path.substr(2) : path; }

  const Files& files_;
  bool is_here_;  // in ".", which findings leave out
  const std::map<std::string, std::string>& edited_;
};

const Fix* certain_fix(const Finding& finding) {
  for (const Fix& fix : finding.fixes)
    if (fix.certain && fix.span.known()) return &fix;
  return nullptr;
}

bool overlap(const Span& a, const Span& b) {
  const bool same_point = a.begin == b.begin && (a.begin == a.end || b.begin == b.end);
  return a.file == b.file && (same_point || (a.begin < b.end && b.begin < a.end));
}

std::map<std::string, size_t> repeated_keys(const Compiled& compiled) {
  std::map<std::string, size_t> count;
  for (const Finding& finding : compiled.report.findings())
    if (finding.rule == Rule::duplicate_key) ++count[compiled.sources.file(finding.span.file).path()];
  return count;
}

}  // namespace

Edits certain_edits(const std::vector<Finding>& findings, const Sources& sources,
                    const std::map<std::string, bool>& left_alone) {
  struct Chosen {
    const Fix* fix;
    Rule rule;
  };
  std::vector<Chosen> chosen;
  for (const Finding& finding : findings) {
    const Fix* fix = certain_fix(finding);
    if (fix == nullptr || left_alone.contains(sources.file(fix->span.file).path())) continue;
    const bool is_taken = std::any_of(chosen.begin(), chosen.end(),
                                      [&](const Chosen& other) { return overlap(other.fix->span, fix->span); });
    if (!is_taken) chosen.push_back({fix, finding.rule});
  }
  std::sort(chosen.begin(), chosen.end(), [](const Chosen& a, const Chosen& b) {
    return std::pair(a.fix->span.file, a.fix->span.begin) < std::pair(b.fix->span.file, b.fix->span.begin);
  });
  Edits edits;
  for (const auto& [fix, rule] : chosen) {
    const SourceFile& file = sources.file(fix->span.file);
    const std::string was(file.bytes().substr(fix->span.begin, fix->span.end - fix->span.begin));
    edits.made.push_back({rule, file.path(), file.at(fix->span.begin), file.at(fix->span.end), was, fix->text});
  }
  // From the end, so that what stands before keeps its place.
  for (auto each = chosen.rbegin(); each != chosen.rend(); ++each) {
    const Span& span = each->fix->span;
    const SourceFile& file = sources.file(span.file);
    const auto text = edits.texts.try_emplace(file.path(), file.bytes()).first;
    text->second.replace(span.begin, span.end - span.begin, each->fix->text);
  }
  return edits;
}

Mended mend(const Files& files, const std::string& corpus_folder, const CompileOptions& options) {
  Mended out;
  std::map<std::string, bool> left_alone;
  out.compiled = compile(files, corpus_folder, options);
  const EditedFiles edited(files, out.compiled->shown_folder.empty(), out.after);
  for (int round = 0; round < most_rounds; ++round) {
    Edits edits = certain_edits(out.compiled->report.findings(), out.compiled->sources, left_alone);
    if (edits.made.empty()) break;
    const std::map<std::string, std::string> earlier = out.after;
    for (FileId id = 0; id < out.compiled->sources.size(); ++id) {
      const SourceFile& file = out.compiled->sources.file(id);
      if (edits.texts.contains(file.path())) out.before.try_emplace(file.path(), file.bytes());
    }
    for (const auto& [path, text] : edits.texts) out.after[path] = text;
    std::unique_ptr<Compiled> next = compile(edited, corpus_folder, options);
    std::map<std::string, size_t> was = repeated_keys(*out.compiled), now = repeated_keys(*next);
    bool undone = false;
    for (const auto& [path, text] : edits.texts) {
      if (now[path] <= was[path]) continue;
      undone = left_alone[path] = true;
      if (const auto before = earlier.find(path); before != earlier.end())
        out.after[path] = before->second;
      else
        out.after.erase(path), out.before.erase(path);
    }
    for (AppliedFix& edit : edits.made)
      if (!left_alone.contains(edit.path)) out.made.push_back(std::move(edit));
    out.compiled = undone ? compile(edited, corpus_folder, options) : std::move(next);
  }
  return out;
}

}  // namespace loomproof::upkeep
