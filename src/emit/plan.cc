#include "emit/plan.h"

#include <fmt/format.h>
#include <xxhash.h>

#include <nlohmann/json.hpp>

#include "pack/pack.h"
#include "reports/reports.h"

namespace loomproof::emit {
namespace {

using Json = nlohmann::ordered_json;

std::string pack_name(const Family& family) {
  return family_folder(family) + std::string(pack::file_extension);
}

// Adds the files of a family; tells what the pages that list all families have to know.
FamilySummary add_family(const Family& family, Plan& plan, Json& packs) {
  std::vector<ReportFile> reports = family_reports(family);
  FamilySummary summary = family_summary(family, reports);
  for (ReportFile& file : reports) plan.files.emplace(std::move(file.path), std::move(file.bytes));
  std::string bytes = pack::write(family);
  const pack::Opened opened = pack::Pack::open(bytes);
  if (!opened.pack) throw std::logic_error("a pack just written is refused: " + opened.refusal);
  summary.pack = "packs/" + pack_name(family);
  summary.pack_bytes = bytes.size();
  packs.push_back({{"family", family.text(family.id)},
                   {"title", family.text(family.title)},
                   {"file", pack_name(family)},
                   {"bytes", bytes.size()},
                   {"checksum", opened.pack->checksum()},
                   {"xxh3", checksum(bytes)}});
  plan.files.emplace(summary.pack, std::move(bytes));
  return summary;
}

}  // namespace

bool Plan::covers(std::string_view path) const {
  if (scope.empty()) return true;
  for (const std::string& prefix : scope)
    if (path.starts_with(prefix)) return true;
  return false;
}

Plan plan_corpus(std::string_view title, const std::vector<const Family*>& families) {
  Plan plan;
  std::vector<FamilySummary> summaries;
  Json packs = Json::array();
  for (const Family* family : families) summaries.push_back(add_family(*family, plan, packs));
  const Json index = {{"title", title},
                      {"format", {{"major", pack::format_major}, {"minor", pack::format_minor}}},
                      {"packs", std::move(packs)}};
  plan.files.emplace("packs/index.json", index.dump(2, ' ', false, Json::error_handler_t::replace) + "\n");
  ReportFile contents = corpus_index(title, summaries);
  plan.files.emplace(std::move(contents.path), std::move(contents.bytes));
  return plan;
}

Plan plan_family(const Family& family) {
  Plan plan;
  Json unused = Json::array();
  add_family(family, plan, unused);
  plan.scope = {family_folder(family) + "/", "packs/" + pack_name(family)};
  return plan;
}

std::string checksum(std::string_view bytes) {
  const XXH128_hash_t hash = XXH3_128bits(bytes.data(), bytes.size());
  return fmt::format("{:016x}{:016x}", hash.high64, hash.low64);
}

}  // namespace loomproof::emit
