// loomproof review: what changes by meaning between two revisions of a corpus.
#include "review/review.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <map>

#include "command.h"
#include "compile/compile.h"
#include "diag/render.h"
#include "pack/pack.h"
#include "review/render.h"
#include "review_text.h"
#include "revision.h"
#include "terminal.h"

namespace loomproof::tool {

namespace {

struct ReviewArguments {
  std::string base, head, corpus = "reference", format = "text", family;
  size_t limit = review::CommentOptions().limit;
  unsigned threads = 0;
  bool timings = false;
};

double seconds_of_review() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

struct OpenedRevision {
  Revision revision;
  std::unique_ptr<Compiled> compiled;
};

OpenedRevision compile_revision(const ReviewArguments& arguments, const std::string& text, std::string_view which) {
  OpenedRevision opened{open_revision(text, arguments.corpus), nullptr};
  Progress progress;
  CompileOptions options;
  options.threads = arguments.threads;
  options.progress = [&](std::string_view phase, size_t done, size_t total) {
    progress.show(fmt::format("{}: {}", which, phase), done, total);
  };
  opened.compiled = compile(*opened.revision.files, opened.revision.corpus, options);
  return opened;
}

// The format of the pack that stands beside the corpus, in generated/; empty where none does that can be read.
std::string format_of_readers(const Revision& revision, const std::string& id) {
  const std::filesystem::path beside = std::filesystem::path(revision.corpus).parent_path() / "generated" / "packs";
  std::string problem;
  const std::string bytes =
      revision.files->read((beside / (id + std::string(pack::file_extension))).generic_string(), problem);
  const pack::Opened opened = pack::Pack::open(bytes);
  return opened.pack ? fmt::format("{}.{}", opened.pack->major(), opened.pack->minor()) : std::string();
}

std::vector<review::FamilyInput> inputs(const Compiled& compiled, const std::string& only) {
  std::vector<review::FamilyInput> all;
  for (const CompiledFamily& each : compiled.families) {
    if (!each.judged) continue;
    const std::string id(each.family.text(each.family.id));
    if (only.empty() || only == id) all.push_back({id, &each.family, pack::write(each.family)});
  }
  for (const std::string& id : compiled.not_judged)
    if (only.empty() || only == id) all.push_back({id, nullptr, {}});
  return all;
}

const CompiledFamily* family_of(const Compiled& compiled, const std::string& id) {
  for (const CompiledFamily& each : compiled.families)
    if (each.family.text(each.family.id) == id) return &each;
  return nullptr;
}

Span span_of(const Spans& spans, const RowRef& ref) {
  const Index row = ref.row;
  const auto in = [&](const std::vector<Span>& table) { return row < table.size() ? table[row] : Span{}; };
  switch (ref.table) {
    case Table::wires:
      return spans.wires[row].row;
    case Table::pins:
      return spans.pins[row].row;
    case Table::connector_rows:
      return spans.connector_rows[row].row;
    case Table::eras:
      return spans.eras[row].row;
    case Table::plugs:
      return spans.plugs[row].a;
    case Table::combinations:
      return spans.combinations[row].id;
    case Table::options:
      return in(spans.options);
    case Table::option_values:
      return in(spans.option_values);
    case Table::sources:
      return in(spans.sources);
    case Table::circuits:
      return in(spans.circuits);
    case Table::aparts:
      return in(spans.aparts);
    case Table::housings:
      return in(spans.housings);
    case Table::housing_cavities:
      return in(spans.housing_cavities);
    case Table::closes:
      return in(spans.closes);
    case Table::places:
      return in(spans.places);
    case Table::place_where:
      return in(spans.place_where);
    case Table::builds:
      return in(spans.builds);
    case Table::parts:
      return in(spans.parts);
    case Table::numbers:
      return in(spans.numbers);
    case Table::splices:
      return in(spans.splices);
    case Table::earths:
      return in(spans.earths);
    case Table::leads:
      return in(spans.leads);
    case Table::cavity_rows:
      return in(spans.cavity_rows);
    case Table::says:
      return in(spans.says);
    case Table::insides:
      return in(spans.insides);
    case Table::positions:
      return in(spans.positions);
    case Table::branches:
      return in(spans.branches);
    case Table::changes:
      return in(spans.changes);
    case Table::change_items:
      return in(spans.change_items);
    case Table::combination_parts:
      return in(spans.combination_parts);
    case Table::combination_edits:
      return in(spans.combination_edits);
    default:
      return {};
  }
}

std::optional<review::Where> where_of(const Sources& sources, Span span, bool is_base) {
  if (!span.known()) return {};
  const SourceFile& file = sources.file(span.file);
  const LineColumn at = file.at(span.begin);
  return review::Where{is_base, file.path(), at.line, at.column};
}

// How the paths of its files begin.
std::string top_of(const Revision& revision) {
  std::string folder = revision.corpus;
  while (folder.ends_with('/')) folder.pop_back();
  return folder == "." ? "" : folder + "/";
}

// The path in the head of a file of the base; empty where the head has no such file.
std::string path_in_head(const std::string& path, const OpenedRevision& base, const OpenedRevision& head) {
  std::string there = path;
  if (const std::string top = top_of(base.revision); there.starts_with(top))
    there = top_of(head.revision) + there.substr(top.size());
  const Sources& sources = head.compiled->sources;
  for (FileId id = 0; id < sources.size(); ++id)
    if (sources.file(id).path() == there) return there;
  return {};
}

void place_changes(review::Review& review, const OpenedRevision& opened_base, const OpenedRevision& opened_head) {
  const Compiled &base = *opened_base.compiled, &head = *opened_head.compiled;
  std::map<std::string, std::string> in_head;  // by path in the base
  for (review::FamilyReview& family : review.families) {
    const CompiledFamily *was = family_of(base, family.was.empty() ? family.id : family.was),
                         *is = family_of(head, family.id);
    for (review::Change& change : family.changes) {
      for (const RowRef& row : change.head)
        if (is && !change.where) change.where = where_of(head.sources, span_of(is->spans, row), false);
      for (const RowRef& row : change.base)
        if (was && !change.where) change.where = where_of(base.sources, span_of(was->spans, row), true);
      if (!change.where || !change.where->is_base) continue;
      const auto [entry, is_new] = in_head.try_emplace(change.where->path);
      if (is_new) entry->second = path_in_head(change.where->path, opened_base, opened_head);
      change.where->in_head = entry->second;
    }
  }
}

// Whether a finding is about one family where only that is asked for: files of others are not, shared ones are.
bool is_asked_for(const loomproof::Finding& finding, const OpenedRevision& side, const std::string& family) {
  if (family.empty() || !finding.span.known()) return true;
  const std::string& path = side.compiled->sources.file(finding.span.file).path();
  const std::string families = top_of(side.revision) + "families/";
  return !path.starts_with(families) || path.starts_with(families + family + "/");
}

// A finding is old where the base says the same of the same text, wherever that stands by now.
// Returns the new ones in full, in the order of `review.findings`.
std::vector<loomproof::Finding> compare_findings(review::Review& review, const OpenedRevision& opened_base,
                                                 const OpenedRevision& opened_head, const std::string& family) {
  const Compiled &base = *opened_base.compiled, &head = *opened_head.compiled;
  std::vector<loomproof::Finding> fresh;
  const auto key = [](const Compiled& compiled, const loomproof::Finding& finding) {
    std::string text;
    if (finding.span.known()) {
      const SourceFile& file = compiled.sources.file(finding.span.file);
      for (const char c : file.line(file.at(finding.span.begin).line))
        if (c != ' ' && c != '\t' && c != '\r') text += c;
    }
    return fmt::format("{}\n{}\n{}", rule_info(finding.rule).id, finding.message, text);
  };
  std::map<std::string, size_t> old;
  for (const loomproof::Finding& finding : base.report.findings())
    if (is_asked_for(finding, opened_base, family)) ++old[key(base, finding)];
  for (const loomproof::Finding& finding : head.report.findings()) {
    if (!is_asked_for(finding, opened_head, family)) continue;
    const auto known = old.find(key(head, finding));
    if (known != old.end() && known->second > 0) {
      --known->second;
      ++review.old_findings;
      continue;
    }
    fresh.push_back(finding);
    review.findings.push_back({std::string(rule_info(finding.rule).id), std::string(severity_word(finding.severity)),
                               finding.message, where_of(head.sources, finding.span, false)});
  }
  for (const auto& [text, count] : old) review.mended_findings += count;
  return fresh;
}

// What shows the whole of it.
std::string command_of(const ReviewArguments& arguments) {
  std::string text = "loomproof review " + arguments.base;
  if (!arguments.head.empty()) text += " " + arguments.head;
  if (arguments.corpus != ReviewArguments().corpus) text += " --corpus " + arguments.corpus;
  if (!arguments.family.empty()) text += " --family " + arguments.family;
  return text;
}

std::string rendered(const review::Review& review, const ReviewArguments& arguments,
                     const std::vector<loomproof::Finding>& fresh, const Sources& sources) {
  if (arguments.format == "json") return review::render_json(review);
  if (arguments.format == "markdown")
    return review::render_markdown(
        review, {arguments.family.empty() ? arguments.corpus : arguments.corpus + "/families/" + arguments.family,
                 command_of(arguments), arguments.limit});
  if (arguments.format == "sarif") return review::render_sarif(review, fresh, sources, LOOMPROOF_VERSION);
  if (arguments.format == "annotations") return review::render_annotations(review);
  return review_text(review, static_cast<size_t>(terminal_width(STDOUT_FILENO)));
}

int run(const ReviewArguments& arguments) {
  const OpenedRevision base = compile_revision(arguments, arguments.base, "base"),
                       head = compile_revision(arguments, arguments.head, "head");
  const double start = seconds_of_review();
  std::vector<review::FamilyInput> was = inputs(*base.compiled, arguments.family),
                                   is = inputs(*head.compiled, arguments.family);
  for (review::FamilyInput& each : was) each.format = format_of_readers(base.revision, each.id);
  for (review::FamilyInput& each : is) each.format = fmt::format("{}.{}", pack::format_major, pack::format_minor);
  review::Review review = review::review(was, is);
  review.base = base.revision.name;
  review.head = head.revision.name;
  if (!arguments.family.empty() && review.families.empty())
    throw EnvironmentError(fmt::format("neither side has a family `{}`", arguments.family));
  place_changes(review, base, head);
  const std::vector<loomproof::Finding> fresh = compare_findings(review, base, head, arguments.family);
  if (arguments.timings) fmt::print(stderr, "{:<8}{:>9.1f} ms\n", "review", (seconds_of_review() - start) * 1000);
  fmt::print("{}", rendered(review, arguments, fresh, head.compiled->sources));
  return review.findings.empty() && review.is_complete() ? clean : findings;
}

}  // namespace

void add_review(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<ReviewArguments>();
  CLI::App* command = app.add_subcommand("review", "Say what changes by meaning between two revisions of a corpus");
  // An unset variable of a script must not pass for the corpus on disk, which differs from itself in nothing.
  const CLI::Validator named([](const std::string& text) { return text.empty() ? "names nothing" : ""; }, "");
  command->add_option("BASE", arguments->base, "A revision of git, or a folder")->required()->check(named);
  command->add_option("HEAD", arguments->head, "The other; left out: the corpus as it is on disk")->check(named);
  command->add_option("--corpus", arguments->corpus, "The corpus folder, in revisions too")->capture_default_str();
  command->add_option("--family", arguments->family, "Only this family");
  command
      ->add_option("--format", arguments->format,
                   "text, json, markdown (one comment in a pull request), sarif, or annotations (workflow commands)")
      ->check(CLI::IsMember({"text", "json", "markdown", "sarif", "annotations"}))
      ->capture_default_str();
  command->add_option("--limit", arguments->limit, "Most bytes of Markdown; what matters least is left out")
      ->check(CLI::Range(review::least_comment, size_t{1} << 30))
      ->capture_default_str();
  command->add_option("--threads", arguments->threads, "Threads to use; 0 takes what the machine has")
      ->capture_default_str();
  command->add_flag("--timings", arguments->timings, "Say on stderr how long the comparison took");
  command->footer(
      "Examples:\n  loomproof review main\n  loomproof review main work --format json\n"
      "  loomproof review origin/main --format markdown > review.md\n"
      "  loomproof review ../before/reference reference\n\n"
      "Exit status: 0 nothing new is found, whatever changed; 1 new findings, or a family that does not compile.");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
