#include "rewrite.h"

#include <fmt/format.h>

#include "diag/render.h"
#include "emit/folder.h"
#include "source/files.h"

namespace loomproof::tool {

void rewrite(const std::string& corpus, const std::vector<Rewrite>& files) {
  constexpr std::chrono::seconds patience{30};
  std::optional<emit::Folder> folder = emit::Folder::open(corpus);
  if (!folder) throw EnvironmentError(fmt::format("`{}` is gone; nothing is written", printable(corpus)));
  folder->lock(true, patience);
  try {
    for (size_t i = 0; i < files.size(); ++i) folder->stage(i, files[i].now);
    for (const Rewrite& file : files)
      if (folder->read(file.path) != file.was)
        throw EnvironmentError(
            fmt::format("`{}/{}` changed meanwhile; nothing is written", printable(corpus), printable(file.path)));
    for (size_t i = 0; i < files.size(); ++i) folder->rename_staged(i, files[i].path);
  } catch (...) {
    folder->clear_staged();
    throw;
  }
  folder->clear_staged();
}

}  // namespace loomproof::tool
