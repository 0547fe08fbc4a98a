#include "emit/emit.h"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

#include "emit/folder.h"
#include "emit/manifest.h"
#include "source/files.h"

namespace loomproof::emit {
namespace {

const std::string manifest_path(manifest_name);

// What has to be done so that a folder is as planned.
struct Work {
  std::vector<const std::pair<const std::string, std::string>*> write;
  std::vector<std::string> remove, kept;
  size_t unchanged = 0;
  Manifest during, after;  // during: what may be there, as it was and as it becomes
  bool new_list = false;   // the list itself has to be written
};

void require_safe(const Plan& plan) {
  for (const auto& [path, bytes] : plan.files)
    if (!is_safe_path(path) || !plan.covers(path)) throw std::logic_error("a plan leads out of its folder: " + path);
}

void plan_files(const Plan& plan, const Folder& folder, const Manifest& before, const std::string& shown, Work& work) {
  for (const auto& entry : plan.files) {
    const auto& [path, bytes] = entry;
    const std::string sum = checksum(bytes);
    work.during.add(path, sum);
    work.after.drop(path);
    work.after.add(path, sum);
    const std::optional<std::string> there = folder.read(path);
    if (there == bytes) {
      ++work.unchanged;
      continue;
    }
    if (there && !before.lists(path))
      throw EnvironmentError(fmt::format(
          "`{}/{}` was not written by this program and would be overwritten; move it away or name another folder",
          shown, path));
    work.write.push_back(&entry);
  }
}

void plan_removals(const Plan& plan, const Folder& folder, const Manifest& before, Work& work) {
  for (const auto& [path, sums] : before.files()) {
    if (!plan.covers(path) || plan.files.contains(path)) continue;
    work.after.drop(path);
    const std::optional<std::string> there = folder.read(path);
    if (!there) continue;
    (before.wrote(path, checksum(*there)) ? work.remove : work.kept).push_back(path);
  }
}

Work work_for(const Plan& plan, const Folder& folder, const std::string& shown) {
  const std::optional<std::string> list = folder.read(manifest_path);
  const Manifest before = Manifest::parse(list.value_or(""));
  Work work;
  work.during = work.after = before;
  plan_files(plan, folder, before, shown, work);
  plan_removals(plan, folder, before, work);
  work.new_list = list != work.after.text();
  return work;
}

// Lists first what may come, so that a run that is stopped leaves nothing unlisted.
void carry_out(const Work& work, Folder& folder) {
  constexpr size_t list_during = 0, list_after = 1, first_file = 2;
  for (const auto* file : work.write) folder.make_folders_for(file->first);
  folder.stage(list_during, work.during.text());
  folder.stage(list_after, work.after.text());
  for (size_t i = 0; i < work.write.size(); ++i) folder.stage(first_file + i, work.write[i]->second);

  // Everything is on the disk: from here on only names change.
  folder.rename_staged(list_during, manifest_path);
  for (size_t i = 0; i < work.write.size(); ++i) folder.rename_staged(first_file + i, work.write[i]->first);
  for (const std::string& path : work.remove) folder.remove(path);
  folder.rename_staged(list_after, manifest_path);
  folder.clear_staged();
}

std::string without_slash(std::string path) {
  while (path.size() > 1 && path.back() == '/') path.pop_back();
  return path;
}

}  // namespace

Written write(const Plan& plan, const std::string& folder_path, std::chrono::milliseconds wait) {
  require_safe(plan);
  Folder folder = Folder::open_or_make(folder_path);
  folder.lock(true, wait);
  const Work work = work_for(plan, folder, without_slash(folder_path));
  if (!work.write.empty() || !work.remove.empty() || work.new_list) {
    try {
      carry_out(work, folder);
    } catch (...) {
      folder.clear_staged(true);
      throw;
    }
  } else {
    folder.clear_staged(true);  // of a run that was stopped before it changed anything
  }
  return {work.write.size(), work.unchanged, work.remove.size(), work.kept};
}

Outdated verify(const Plan& plan, const std::string& folder_path, std::chrono::milliseconds wait) {
  require_safe(plan);
  Outdated found;
  std::optional<Folder> folder = Folder::open(folder_path);
  if (folder) folder->lock(false, wait);
  const std::optional<std::string> list = folder ? folder->read(manifest_path) : std::nullopt;
  const Manifest before = Manifest::parse(list.value_or(""));
  Manifest after = before;
  for (const auto& [path, bytes] : plan.files) {
    after.drop(path);
    after.add(path, checksum(bytes));
    const std::optional<std::string> there = folder ? folder->read(path) : std::nullopt;
    if (!there)
      found.missing.push_back(path);
    else if (*there != bytes)
      found.differs.push_back(path);
  }
  for (const auto& [path, sums] : before.files()) {
    if (!plan.covers(path) || plan.files.contains(path)) continue;
    after.drop(path);
    if (folder->read(path)) found.stale.push_back(path);
  }
  if (!list)
    found.missing.insert(found.missing.begin(), manifest_path);
  else if (*list != after.text() && found.is_clean())
    found.differs.push_back(manifest_path);
  return found;
}

}  // namespace loomproof::emit
