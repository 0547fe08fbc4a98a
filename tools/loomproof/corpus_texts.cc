#include "corpus_texts.h"

#include <fmt/format.h>
#include <git2.h>

#include <vector>

#include "command.h"
#include "diag/render.h"
#include "model/corpus.h"
#include "rewrite.h"

namespace loomproof::tool {

MemoryFiles read_texts(const std::string& corpus) {
  want_corpus(corpus);
  MemoryFiles texts;
  const RealFiles files;
  for (const FileEntry& entry : files.list(corpus)) {
    if (entry.kind != FileEntry::Kind::regular || !place_of(entry.path)) continue;
    std::string problem;
    std::string bytes = files.read(corpus + "/" + entry.path, problem);
    if (!problem.empty())
      throw EnvironmentError(fmt::format("cannot read `{}/{}`: {}", corpus, printable(entry.path), problem));
    texts.files["./" + entry.path] = std::move(bytes);
  }
  if (texts.files.empty()) throw EnvironmentError(fmt::format("no corpus at `{}`", printable(corpus)));
  return texts;
}

void write_texts(const std::string& corpus, const MemoryFiles& before, const MemoryFiles& after) {
  std::vector<Rewrite> changed;
  for (const auto& [path, text] : after.files)
    if (before.files.at(path) != text) changed.push_back({path.substr(2), before.files.at(path), text});
  rewrite(corpus, changed);
}

std::string text_diff(const std::string& path, const std::string& before, const std::string& after) {
  if (before == after) return {};
  git_libgit2_init();
  git_diff_options options = GIT_DIFF_OPTIONS_INIT;
  options.flags = GIT_DIFF_FORCE_TEXT;
  git_patch* patch = nullptr;
  git_buf buffer = GIT_BUF_INIT;
  std::string text;
  if (git_patch_from_buffers(&patch, before.data(), before.size(), nullptr, after.data(), after.size(), nullptr,
                             &options) == 0 &&
      git_patch_to_buf(&buffer, patch) == 0) {
    text.assign(buffer.ptr, buffer.size);
    // The library's heads name blobs that nobody has.
    const size_t body = text.find("\n@@");
    text = fmt::format("--- {0}\n+++ {0}{1}", path, body == text.npos ? "\n" : text.substr(body));
  }
  git_buf_dispose(&buffer);
  git_patch_free(patch);
  git_libgit2_shutdown();
  return text;
}

}  // namespace loomproof::tool
