#include "jobs.h"

#include <fmt/format.h>

#include "diag/render.h"
#include "job/file.h"

namespace loomproof::bench {

JobFile::JobFile(const std::string& path) {
  const FileId id = sources_.add(path, job::load(path));
  std::optional<job::Job> read = job::read(sources_.file(id), id, report_);
  stop_at_faults();
  job_ = std::move(*read);
}

void JobFile::stop_at_faults() {
  if (!report_.has_errors()) return;
  report_.sort();
  throw JobFaults(render_text(report_.findings(), sources_, {}) + '\n' + summary_line(report_.findings()) + '\n');
}

std::string family_of(const JobFile& file, const std::string& said) {
  const std::string& family = file.job().family.text;
  if (!said.empty() && said != family) throw UsageError(fmt::format("the job is about {}, not about {}", family, said));
  return family;
}

namespace {

std::string edit_of(const job::Bench& bench, const job::Text& edit) {
  return fmt::format("{}: {}", bench.place.text, edit.text);
}

}  // namespace

void add_job(const Family& family, JobFile& file, FitChoice& choice) {
  const FamilyIndex index(family);
  judge::Shelf shelf(index);
  for (const job::Text& part : file.job().known)
    file.told_at(part, [&] { candidates(shelf, {{part.text}, {}, {}, {}}); });
  file.stop_at_faults();
  for (const job::Text& part : file.job().known) choice.parts.push_back(part.text);
  for (const job::Bench& bench : file.job().bench) {
    file.told_at(bench.place, [&] { place_named(family, bench.place.text); });
    for (const job::Text& edit : bench.found)
      file.told_at(edit, [&] {
        FitChoice alone = choice;
        alone.found = {edit_of(bench, edit)};
        as_found(family, alone);
      });
  }
  file.stop_at_faults();
  for (const job::Bench& bench : file.job().bench)
    for (const job::Text& edit : bench.found) choice.found.push_back(edit_of(bench, edit));
}

void add_job(const Family& family, JobFile& file, RepinChoice& choice) {
  const job::Job& job = file.job();
  for (const job::Bench& bench : job.bench) file.told_at(bench.place, [&] { place_named(family, bench.place.text); });
  file.stop_at_faults();
  if (choice.place.empty()) {
    if (job.bench.size() != 1) throw UsageError("the job has several places on the bench: say which, as PLACE");
    choice.place = job.bench.front().place.text;
  }
  for (const job::Text& part : job.known)
    if (choice.from.empty() && part.text.starts_with(choice.place + ":"))
      choice.from = part.text.substr(choice.place.size() + 1);
  if (choice.from.empty())
    throw UsageError(
        fmt::format("say with --from which {} is in hand: the job does not know it for sure", choice.place));
  const FamilyIndex index(family);
  judge::Shelf shelf(index);
  FitChoice loom;
  loom.parts = {choice.place + ":" + choice.from};
  const bool is_one = candidates(shelf, loom)[place_named(family, choice.place)].size() == 1;
  for (const job::Bench& bench : job.bench)
    for (const job::Text& edit : bench.found) {
      if (bench.place.text != choice.place) continue;
      loom.found = {edit_of(bench, edit)};
      if (is_one) file.told_at(edit, [&] { as_found(family, loom); });
      choice.found.push_back(edit.text);
    }
  file.stop_at_faults();
}

}  // namespace loomproof::bench
