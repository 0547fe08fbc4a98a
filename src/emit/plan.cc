#include "emit/plan.h"

#include <fmt/format.h>
#include <xxhash.h>

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <thread>

#include "draw/draw.h"
#include "layout/family_sheets.h"
#include "pack/pack.h"
#include "page/page.h"
#include "reports/reports.h"

namespace loomproof::emit {
namespace {

using Json = nlohmann::ordered_json;

std::string pack_name(const Family& family) {
  return family_folder(family) + std::string(pack::file_extension);
}

// The files of a family, and what the pages that list all families have to know of it.
struct FamilyFiles {
  std::vector<ReportFile> files;
  FamilySummary summary;
  Json pack;
};

// What is on the sheets comes from the same tables that the pack holds, so that loombench draws the same.
std::vector<SheetLink> add_sheets(const Family& family, const std::string& source, const layout::Measure& measure,
                                  bool with_pdf, std::vector<ReportFile>& files) {
  std::vector<SheetLink> links;
  const std::string folder = family_folder(family) + "/";
  for (layout::FamilySheet& one : layout::family_sheets(family, source)) {
    const layout::Display display = layout::place(one.sheet, layout::Paper::a4, measure);
    if (with_pdf) files.push_back({folder + one.link.path + ".pdf", draw::to_pdf(display)});
    one.link.path += ".svg";
    files.push_back({folder + one.link.path, layout::to_svg(display)});
    links.push_back(std::move(one.link));
  }
  return links;
}

FamilyFiles files_of(std::string_view title, const Family& family, bool with_pdf) {
  FamilyFiles made;
  std::string bytes = pack::write(family);
  const pack::Opened opened = pack::Pack::open(bytes);
  if (!opened.pack) throw std::logic_error("a pack just written is refused: " + opened.refusal);
  const auto measure = draw::make_measure();
  const std::string source = fmt::format("pack {}", opened.pack->checksum());
  std::vector<ReportFile> sheets;
  const std::vector<SheetLink> links = add_sheets(family, source, *measure, with_pdf, sheets);
  made.files = family_reports(family, links, page::file_name);
  made.summary = family_summary(family, made.files);
  for (ReportFile& sheet : sheets) made.files.push_back(std::move(sheet));
  made.summary.page = fmt::format("{}/{}", made.summary.folder, page::file_name);
  made.files.push_back({made.summary.page, page::family_page(family, title, source, *measure)});
  made.summary.pack = "packs/" + pack_name(family);
  made.summary.pack_bytes = bytes.size();
  made.pack = {{"family", family.text(family.id)},    {"title", family.text(family.title)},
               {"file", pack_name(family)},           {"bytes", bytes.size()},
               {"checksum", opened.pack->checksum()}, {"xxh3", checksum(bytes)}};
  made.files.push_back({made.summary.pack, std::move(bytes)});
  return made;
}

// Families share nothing, so that their order does not show.
std::vector<FamilyFiles> all_files(std::string_view title, const std::vector<const Family*>& families, unsigned threads,
                                   bool with_pdf) {
  std::vector<FamilyFiles> made(families.size());
  std::atomic<size_t> next{0};
  std::mutex mutex;
  std::exception_ptr failure;
  const auto work = [&] {
    try {
      for (size_t i; (i = next++) < families.size();) made[i] = files_of(title, *families[i], with_pdf);
    } catch (...) {
      const std::lock_guard lock(mutex);
      failure = std::current_exception();
      next = families.size();
    }
  };
  std::vector<std::thread> helpers;
  for (unsigned i = 1; i < std::min<size_t>(threads, families.size()); ++i) helpers.emplace_back(work);
  work();
  for (std::thread& helper : helpers) helper.join();
  if (failure) std::rethrow_exception(failure);
  return made;
}

void add(std::vector<ReportFile>&& files, Plan& plan) {
  for (ReportFile& file : files) plan.files.emplace(std::move(file.path), std::move(file.bytes));
}

}  // namespace

bool Plan::covers(std::string_view path) const {
  if (scope.empty()) return true;
  for (const std::string& prefix : scope)
    if (path.starts_with(prefix)) return true;
  return false;
}

Plan plan_corpus(std::string_view title, const std::vector<const Family*>& families, unsigned threads, bool with_pdf) {
  if (threads == 0) threads = std::max(1u, std::thread::hardware_concurrency());
  Plan plan;
  std::vector<FamilySummary> summaries;
  Json packs = Json::array();
  for (FamilyFiles& made : all_files(title, families, threads, with_pdf)) {
    summaries.push_back(std::move(made.summary));
    packs.push_back(std::move(made.pack));
    add(std::move(made.files), plan);
  }
  const Json index = {{"title", title},
                      {"format", {{"major", pack::format_major}, {"minor", pack::format_minor}}},
                      {"packs", std::move(packs)}};
  plan.files.emplace("packs/index.json", index.dump(2, ' ', false, Json::error_handler_t::replace) + "\n");
  ReportFile contents = corpus_index(title, summaries);
  plan.files.emplace(std::move(contents.path), std::move(contents.bytes));
  return plan;
}

Plan plan_family(std::string_view title, const Family& family, bool with_pdf) {
  Plan plan;
  add(files_of(title, family, with_pdf).files, plan);
  plan.scope = {family_folder(family) + "/", "packs/" + pack_name(family)};
  return plan;
}

std::string checksum(std::string_view bytes) {
  const XXH128_hash_t hash = XXH3_128bits(bytes.data(), bytes.size());
  return fmt::format("{:016x}{:016x}", hash.high64, hash.low64);
}

}  // namespace loomproof::emit
