#include "compile/compile.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <map>
#include <numeric>
#include <thread>

#include "checks/check.h"
#include "diag/suggest.h"

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

// The order in which tasks of these sizes are begun: a long one that is begun last would leave the other threads idle.
std::vector<size_t> longest_first(const std::vector<size_t>& sizes) {
  std::vector<size_t> order(sizes.size());
  std::iota(order.begin(), order.end(), size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) { return sizes[a] > sizes[b]; });
  return order;
}

// Runs task(i) for each size i on some threads. Tasks share nothing, so that their order does not show.
template <typename Task>
void in_parallel(const std::vector<size_t>& sizes, const CompileOptions& options, std::string_view phase, Task&& task) {
  const std::vector<size_t> order = longest_first(sizes);
  const size_t count = order.size();
  unsigned threads = options.threads ? options.threads : std::max(1u, std::thread::hardware_concurrency());
  threads = static_cast<unsigned>(std::min<size_t>(threads, count));
  std::atomic<size_t> next{0}, done{0};
  std::exception_ptr failure;
  std::mutex mutex;
  auto work = [&] {
    try {
      for (size_t i; (i = next++) < count;) {
        task(order[i]);
        size_t finished = ++done;
        if (options.progress) {
          std::lock_guard lock(mutex);
          options.progress(phase, finished, count);
        }
      }
    } catch (...) {
      std::lock_guard lock(mutex);
      failure = std::current_exception();
      next = count;
    }
  };
  std::vector<std::thread> helpers;
  for (unsigned i = 1; i < threads; ++i) helpers.emplace_back(work);
  work();
  for (std::thread& helper : helpers) helper.join();
  if (failure) std::rethrow_exception(failure);
}

struct Pending {
  FileId file = no_file;
  FilePlace place;
  uint64_t size = 0;
};

bool is_wanted(const FilePlace& place, const CompileOptions& options) {
  return options.family.empty() || is_shared(place.kind) || place.family == options.family;
}

// Whose files are missing where a folder of a corpus cannot be read: one family's, or those that all share.
std::optional<FilePlace> place_of_folder(std::string_view path) {
  const size_t stroke = std::min(path.find('/'), path.size());
  const std::string_view top = path.substr(0, stroke);
  if (top != "families" && top != "housings" && top != "vocabulary" && top != "rules") return std::nullopt;
  if (top != "families" || stroke == path.size()) return FilePlace{FileKind::housings, {}};
  path.remove_prefix(stroke + 1);
  return FilePlace{FileKind::loom, std::string(path.substr(0, path.find('/')))};
}

std::string_view why_no_file(const FileEntry& entry) {
  const std::string_view path = entry.path;
  switch (entry.kind) {
    case FileEntry::Kind::broken:
      return "it is a link that leads nowhere";
    case FileEntry::Kind::locked:
      return "no permission to list this folder";
    case FileEntry::Kind::directory:
      return path.size() > 5 && path.substr(path.size() - 5) == ".yaml"
                 ? "it is a folder"
                 : "it is a link to a folder, and these are not followed";
    default:
      return "it is no regular file";
  }
}

// Pass 1. Every file has a place and its bytes are at hand, or the finding that says why not.
std::vector<Pending> read_files(const Files& files, std::string folder, const CompileOptions& options, Compiled& out) {
  while (folder.size() > 1 && folder.back() == '/') folder.pop_back();
  const std::string shown = folder == "." ? "" : folder + "/";  // as a reader at this folder would open it
  std::vector<Pending> pending;
  std::vector<std::string> families;
  for (const FileEntry& entry : files.list(folder)) {
    std::optional<FilePlace> place = place_of(entry.path);
    const bool is_file = entry.kind == FileEntry::Kind::regular;
    if (!place && !is_file) place = place_of_folder(entry.path);
    if (place && !place->family.empty() && (families.empty() || families.back() != place->family))
      families.push_back(place->family);
    if (place && !is_wanted(*place, options)) continue;
    if (place && !is_file) {
      FileId id = out.sources.add(shown + entry.path, {});
      out.report.add<Rule::unreadable_file>(Span{id, 0, 0}, why_no_file(entry));
      pending.push_back({no_file, *place, 0});
      continue;
    }
    out.report.judged(Rule::stray_file);
    if (!place) {
      if (!options.family.empty()) continue;
      FileId id = out.sources.add(shown + entry.path, {});
      out.report.add<Rule::stray_file>(Span{id, 0, 0}, entry.path)
          .help("see `loomproof explain stray-file` for the folders of a corpus");
      continue;
    }
    out.report.judged(Rule::unreadable_file);
    out.report.judged(Rule::too_large);
    if (entry.size > options.limits.file_bytes) {
      FileId id = out.sources.add(shown + entry.path, {});
      out.report.add<Rule::too_large>(Span{id, 0, 0}, fmt::format("this file of {} bytes", entry.size),
                                      fmt::format("{} bytes", options.limits.file_bytes));
      pending.push_back({no_file, *place, 0});
      continue;
    }
    std::string problem;
    std::string bytes = files.read(folder + "/" + entry.path, problem);
    out.bytes += bytes.size();
    FileId id = out.sources.add(shown + entry.path, std::move(bytes));
    if (!problem.empty()) out.report.add<Rule::unreadable_file>(Span{id, 0, 0}, problem);
    pending.push_back({problem.empty() ? id : no_file, *place, entry.size});
  }
  if (std::none_of(pending.begin(), pending.end(),
                   [](const Pending& file) { return file.place.kind == FileKind::corpus; }))
    throw EnvironmentError("`" + folder + "` is no corpus: there is no corpus.yaml in it");
  if (!options.family.empty() && std::find(families.begin(), families.end(), options.family) == families.end()) {
    std::vector<std::string_view> known(families.begin(), families.end());
    std::string_view near = nearest(options.family, known);
    throw EnvironmentError("no family `" + options.family + "` in " + folder +
                           (near.empty() ? "" : "; did you mean `" + std::string(near) + "`?"));
  }
  return pending;
}

// Pass 2. Every file is a tree of the shape that its kind asks for, or unusable and reported.
void read_trees(const std::vector<Pending>& pending, const CompileOptions& options, Compiled& out) {
  const schema::SchemaSet& schemas = schema::SchemaSet::built_in();
  std::vector<Report> reports(pending.size());
  out.corpus.documents.resize(pending.size());
  std::vector<size_t> sizes;
  for (const Pending& file : pending) sizes.push_back(file.size);
  in_parallel(sizes, options, "reading", [&](size_t i) {
    Document& document = out.corpus.documents[i];
    document.kind = pending[i].place.kind;
    document.family = pending[i].place.family;
    if (pending[i].file == no_file) return;
    document = read_document(out.sources.file(pending[i].file), pending[i].file, pending[i].place, schemas,
                             options.limits, reports[i]);
  });
  for (Report& report : reports) out.report.merge(std::move(report));
}

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
void apply_allowances(const std::vector<const Spans*>& families, Report& report) {
  struct Allowance {
    AllowSpan allow;
    bool used = false;
  };
  std::map<std::tuple<FileId, uint32_t, std::string_view>, Allowance> all;
  for (const Spans* spans : families)
    for (const AllowSpan& allow : spans->allows)
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
  std::vector<Pending> pending = read_files(files, corpus_folder, options, out);
  watch.lap(Phase::files);

  if (options.until >= Phase::trees) {
    // Every usable document is plain data of its schema's shape: from here on keys and words need no checking.
    read_trees(pending, options, out);
    watch.lap(Phase::trees);
  }
  if (options.until >= Phase::names) {
    // Documents are sorted into families, and what they share is known by name.
    arrange(out.corpus, out.report);
    std::shared_ptr<const SharedNames> shared = read_shared_names(out.corpus, out.report);
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
          out.not_judged.push_back(family.folder);
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
      std::vector<SharedUse> used;
      for (size_t i = 0; i < usable.size(); ++i) {
        out.report.merge(std::move(reports[i]));
        used.push_back(std::move(expansions[i].used));
        bool judged = expansions[i].resolved && options.until >= Phase::rules;
        if (!expansions[i].resolved) out.not_judged.push_back(usable[i]->folder);
        out.families.push_back({std::move(expansions[i].family), std::move(expansions[i].spans), judged});
      }
      if (options.family.empty() && out.not_judged.empty()) report_unused_shared(*shared, used, out.report);
      if (options.until >= Phase::rules) {
        std::vector<const Spans*> spans;
        for (const CompiledFamily& family : out.families)
          if (family.judged) spans.push_back(&family.spans);
        apply_allowances(spans, out.report);
        watch.lap(Phase::rules);
      }
    }
  }
  std::sort(out.not_judged.begin(), out.not_judged.end());
  out.report.sort();
  return result;
}

}  // namespace loomproof
