#include "watch.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>

#include "command.h"
#include "diag/render.h"
#include "folder_watch.h"
#include "model/corpus.h"

namespace loomproof::tool {

namespace {

constexpr size_t most_paths = 3;    // that are named as changed
constexpr size_t most_listed = 20;  // findings as they were before, in a line each

// What has to be in order before a rule can be asked at all.
enum class Stage : uint8_t { text, shape, names, rules };

Stage stage_of(const Finding& finding) {
  const RuleInfo& info = rule_info(finding.rule);
  if (info.group == "text") return Stage::text;
  if (info.group == "shape") return Stage::shape;
  // What is used nowhere is known once all names are.
  return info.group == "names" && finding.severity == Severity::error ? Stage::names : Stage::rules;
}

// What a finding is, wherever it moved to within its file.
struct Told {
  Rule rule{};
  Severity severity{};
  Stage stage{};
  std::string path, family, message, text;  // text: its line, without the blanks around it
  uint32_t line = 0;
  std::string in_one_line;
  bool is_hidden = false;  // was found, and may be there still behind others that were found later

  bool is_alike(const Told& other) const {
    return rule == other.rule && path == other.path && message == other.message;
  }
};

Told told(const Finding& finding, const Compiled& compiled) {
  Told out{finding.rule, finding.severity, stage_of(finding), "", "", finding.message, "", 0, "", false};
  std::string place;
  if (finding.span.known()) {
    const SourceFile& file = compiled.sources.file(finding.span.file);
    const LineColumn at = file.at(finding.span.begin);
    out.path = file.path();
    out.line = at.line;
    out.text = file.line(at.line);
    out.text.erase(0, out.text.find_first_not_of(" \t"));
    if (const auto stands = place_of(out.path.substr(compiled.shown_folder.size()))) out.family = stands->family;
    place = fmt::format("{}:{}:{}: ", printable(out.path), at.line, at.column);
  }
  out.in_one_line = fmt::format("  {}{}[{}]: {}\n", place, severity_word(finding.severity), rule_info(finding.rule).id,
                                printable(finding.message));
  return out;
}

std::vector<Told> all_told(const Compiled& compiled) {
  std::vector<Told> out;
  for (const Finding& finding : compiled.report.findings()) out.push_back(told(finding, compiled));
  return out;
}

// Whether `other` can be why `finding` is not found: a family is judged further when what comes first is in order.
bool may_hide(const Told& other, const Told& finding) {
  if (!other.family.empty() && !finding.family.empty() && other.family != finding.family) return false;
  if (other.severity != Severity::error) return false;
  if (other.stage == finding.stage)
    return other.stage == Stage::rules || (other.stage == Stage::text && other.path == finding.path);
  return other.stage < finding.stage;
}

// Which findings of `a` have a twin in `b`, one to one: on a line of the same text, else on the line of the same
// number. `twins` gets those of `b`.
std::vector<bool> with_twin(const std::vector<Told>& a, const std::vector<Told>& b, std::vector<bool>& twins) {
  std::vector<bool> matched(a.size());
  twins.assign(b.size(), false);
  for (const bool by_text : {true, false})
    for (size_t i = 0; i < a.size(); ++i)
      for (size_t j = 0; j < b.size() && !matched[i]; ++j)
        if (!twins[j] && a[i].is_alike(b[j]) && (by_text ? a[i].text == b[j].text : a[i].line == b[j].line))
          matched[i] = twins[j] = true;
  return matched;
}

std::map<std::string, std::string_view> texts(const Compiled& compiled) {
  std::map<std::string, std::string_view> out;
  for (FileId id = 0; id < compiled.sources.size(); ++id)
    out.emplace(compiled.sources.file(id).path(), compiled.sources.file(id).bytes());
  return out;
}

// "a.yaml changed", "b.yaml is new", "c.yaml is gone", a line each; nothing where no byte differs.
std::vector<std::string> what_changed(const Compiled& before, const Compiled& after) {
  const auto was = texts(before), now = texts(after);
  std::vector<std::string> lines;
  for (const auto& [path, bytes] : now) {
    const auto old = was.find(path);
    if (old == was.end()) lines.push_back(printable(path) + " is new");
    if (old != was.end() && old->second != bytes) lines.push_back(printable(path) + " changed");
  }
  for (const auto& [path, bytes] : was)
    if (!now.contains(path)) lines.push_back(printable(path) + " is gone");
  return lines;
}

class Session {
 public:
  Session(const std::string& corpus, const std::function<std::unique_ptr<Compiled>()>& check)
      : check_(check), on_terminal_(is_terminal(STDOUT_FILENO)), folder_(corpus), corpus_(corpus) {}

  int run() {
    folder_.follow();
    last_ = check_();
    print_findings(*last_);
    fmt::print("{}\n", summary_words(*last_));
    fmt::print("watching {}; Ctrl-C ends\n", printable(corpus_));
    std::fflush(stdout);
    known_ = all_told(*last_);
    int status = status_of(*last_);
    while (folder_.wait() == FolderWatch::Woken::changed) {
      folder_.follow();
      try {
        std::unique_ptr<Compiled> next = check_();
        tell(*next, status == usage);
        status = status_of(*next);
        last_ = std::move(next);
      } catch (const EnvironmentError& error) {
        fmt::print(stderr, "loomproof: {}\n", printable(error.what()));
        status = usage;
      }
      std::fflush(stdout);
    }
    return status;
  }

 private:
  static int status_of(const Compiled& compiled) { return compiled.report.empty() ? clean : findings; }

  void tell(const Compiled& next, bool was_stopped) {
    const std::vector<std::string> changed = what_changed(*last_, next);
    std::vector<Told> now = all_told(next);
    std::vector<bool> stayed;
    const std::vector<bool> standing = with_twin(now, known_, stayed);
    std::vector<Told> mended, hidden;
    for (size_t i = 0; i < known_.size(); ++i) {
      if (stayed[i]) continue;
      bool is_hidden = false;
      for (size_t j = 0; j < now.size() && !is_hidden; ++j)
        is_hidden = (known_[i].is_hidden || !standing[j]) && may_hide(now[j], known_[i]);
      (is_hidden ? hidden : mended).push_back(known_[i]);
    }
    // A fault of the file system (a right taken away) is a change without a changed byte.
    const bool is_same =
        mended.empty() && std::all_of(standing.begin(), standing.end(), [](bool twin) { return twin; });
    if (changed.empty() && is_same && !was_stopped) return;
    fmt::print("{}", on_terminal_ ? "\x1b[H\x1b[2J" : "\n");
    for (size_t i = 0; i < std::min(changed.size(), most_paths); ++i) fmt::print("{}\n", changed[i]);
    if (changed.size() > most_paths) fmt::print("and {} files more\n", changed.size() - most_paths);
    tell_findings(next, now, standing, mended, hidden);
    fmt::print("{}\n", summary_words(next));
    known_ = std::move(now);
    for (Told& each : hidden) {
      each.is_hidden = true;
      known_.push_back(std::move(each));
    }
  }

  static void list(std::string_view heading, const std::vector<Told>& findings) {
    if (findings.empty()) return;
    fmt::print("\n{}:\n", heading);
    for (size_t i = 0; i < std::min(findings.size(), most_listed); ++i) fmt::print("{}", findings[i].in_one_line);
    if (findings.size() > most_listed) fmt::print("  and {} more\n", findings.size() - most_listed);
  }

  void tell_findings(const Compiled& next, const std::vector<Told>& now, const std::vector<bool>& standing,
                     const std::vector<Told>& mended, const std::vector<Told>& hidden) const {
    std::vector<Finding> fresh;
    std::vector<Told> old;
    for (size_t i = 0; i < now.size(); ++i)
      if (standing[i])
        old.push_back(now[i]);
      else
        fresh.push_back(next.report.findings()[i]);
    if (!fresh.empty()) {
      const TextStyle style{wants_colour(STDOUT_FILENO), terminal_width(STDOUT_FILENO)};
      fmt::print("\nnew:\n{}", render_text(fresh, next.sources, style));
    }
    list("mended", mended);
    list("not seen behind what comes first", hidden);
    if (on_terminal_) list("as before", old);  // it stands above in a log, and has gone from a screen
    fmt::print("\n{} new, {} mended, {} as before", fresh.size(), mended.size(), old.size());
    fmt::print("{}\n", hidden.empty() ? "" : fmt::format(", {} not seen", hidden.size()));
  }

  const std::function<std::unique_ptr<Compiled>()>& check_;
  bool on_terminal_;
  FolderWatch folder_;
  std::string corpus_;
  std::unique_ptr<Compiled> last_;
  std::vector<Told> known_;  // its findings, and earlier ones that may be hidden
};

}  // namespace

int watch(const std::string& corpus, const std::function<std::unique_ptr<Compiled>()>& check) {
  return Session(corpus, check).run();
}

}  // namespace loomproof::tool
