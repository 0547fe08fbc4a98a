#include "revision.h"

#include <fmt/format.h>
#include <git2.h>

#include <algorithm>
#include <filesystem>

namespace loomproof::tool {

namespace {

namespace fs = std::filesystem;

// Whatever libgit2 hands out, given back at the end.
template <typename Thing, void (*give_back)(Thing*)>
class Owned {
 public:
  Owned() = default;
  Owned(Owned&& other) noexcept : thing_(std::exchange(other.thing_, nullptr)) {}
  Owned& operator=(Owned&& other) noexcept {
    std::swap(thing_, other.thing_);
    return *this;
  }
  ~Owned() {
    if (thing_) give_back(thing_);
  }
  Thing** out() { return &thing_; }
  Thing* get() const { return thing_; }

 private:
  Thing* thing_ = nullptr;
};
using Repository = Owned<git_repository, git_repository_free>;
using Object = Owned<git_object, git_object_free>;
using Tree = Owned<git_tree, git_tree_free>;
using Entry = Owned<git_tree_entry, git_tree_entry_free>;
using Blob = Owned<git_blob, git_blob_free>;

struct Library {
  Library() { git_libgit2_init(); }
  ~Library() { git_libgit2_shutdown(); }
};

// The last line that libgit2 left; one line always.
std::string last_words() {
  const git_error* error = git_error_last();
  std::string text = error && error->message ? error->message : "no reason is given";
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

// The files of one commit. Links are taken as git keeps them: one that leads to a file within the commit is read as
// that file is not, since the corpus has none; it counts as broken and is reported as such.
class CommitFiles : public Files {
 public:
  CommitFiles(std::shared_ptr<Repository> repository, Tree tree)
      : repository_(std::move(repository)), tree_(std::move(tree)) {}

  std::vector<FileEntry> list(const std::string& folder) const override {
    Tree below = folder_of(folder);
    if (!below.get()) throw EnvironmentError("`" + folder + "` is no folder of that revision");
    std::vector<FileEntry> entries;
    list_below(below.get(), "", entries);
    std::sort(entries.begin(), entries.end(), [](const FileEntry& a, const FileEntry& b) { return a.path < b.path; });
    return entries;
  }

  std::string read(const std::string& path, std::string& problem) const override {
    problem.clear();
    Entry entry;
    if (git_tree_entry_bypath(entry.out(), tree_.get(), path.c_str()) != 0) {
      problem = "there is no such file";
      return {};
    }
    if (git_tree_entry_type(entry.get()) == GIT_OBJECT_COMMIT) {
      problem = "it is a submodule, whose files are not in this repository";
      return {};
    }
    Blob blob;
    if (git_blob_lookup(blob.out(), repository_->get(), git_tree_entry_id(entry.get())) != 0) {
      problem = "git cannot read it: " + last_words();
      return {};
    }
    return {static_cast<const char*>(git_blob_rawcontent(blob.get())),
            static_cast<size_t>(git_blob_rawsize(blob.get()))};
  }

  bool has_folder(const std::string& folder) const { return folder_of(folder).get() != nullptr; }
  // "a submodule" where the folder is one; else empty.
  bool is_submodule(const std::string& folder) const {
    // The folder itself, or one above it.
    for (fs::path path(folder); !path.empty() && path != "."; path = path.parent_path()) {
      Entry entry;
      if (git_tree_entry_bypath(entry.out(), tree_.get(), path.generic_string().c_str()) == 0)
        return git_tree_entry_type(entry.get()) == GIT_OBJECT_COMMIT;
    }
    return false;
  }
  // Folders that hold a corpus.yaml, sorted: where the corpus may have moved.
  std::vector<std::string> corpora() const {
    std::vector<FileEntry> entries;
    list_below(tree_.get(), "", entries);
    std::vector<std::string> found;
    for (const FileEntry& entry : entries) {
      const fs::path path(entry.path);
      if (path.filename() == "corpus.yaml")
        found.push_back(path.parent_path().empty() ? "." : path.parent_path().generic_string());
    }
    std::sort(found.begin(), found.end());
    return found;
  }

 private:
  Tree folder_of(const std::string& folder) const {
    Tree found;
    if (folder.empty() || folder == ".") {
      git_tree_lookup(found.out(), repository_->get(), git_tree_id(tree_.get()));
      return found;
    }
    Entry entry;
    if (git_tree_entry_bypath(entry.out(), tree_.get(), folder.c_str()) == 0 &&
        git_tree_entry_type(entry.get()) == GIT_OBJECT_TREE)
      git_tree_lookup(found.out(), repository_->get(), git_tree_entry_id(entry.get()));
    return found;
  }

  void list_below(const git_tree* tree, const std::string& prefix, std::vector<FileEntry>& entries) const {
    for (size_t i = 0; i < git_tree_entrycount(tree); ++i) {
      const git_tree_entry* entry = git_tree_entry_byindex(tree, i);
      const std::string name = git_tree_entry_name(entry), path = prefix.empty() ? name : prefix + "/" + name;
      if (name.starts_with('.')) continue;
      const git_object_t type = git_tree_entry_type(entry);
      if (type == GIT_OBJECT_TREE) {
        Tree below;
        if (git_tree_lookup(below.out(), repository_->get(), git_tree_entry_id(entry)) != 0)
          throw EnvironmentError(fmt::format("git cannot read folder `{}` of that revision: {}", path, last_words()));
        if (path.ends_with(".yaml")) entries.push_back({path, 0, FileEntry::Kind::directory});
        list_below(below.get(), path, entries);
      } else if (type == GIT_OBJECT_COMMIT) {
        throw EnvironmentError(fmt::format("`{}` is a submodule, and its files are not in this repository", path));
      } else if (git_tree_entry_filemode(entry) == GIT_FILEMODE_LINK) {
        entries.push_back({path, 0, FileEntry::Kind::broken});
      } else {
        entries.push_back({path, size_of(git_tree_entry_id(entry), path), FileEntry::Kind::regular});
      }
    }
  }

  // A file that is listed and not there is no fault of the corpus: the clone lacks it, or is damaged.
  uint64_t size_of(const git_oid* id, const std::string& path) const {
    git_odb* store = nullptr;
    size_t size = 0;
    git_object_t type{};
    if (git_repository_odb(&store, repository_->get()) != 0) return 0;
    const int code = git_odb_read_header(&size, &type, store, id);
    git_odb_free(store);
    if (code != 0) throw EnvironmentError(fmt::format("git cannot read `{}` of that revision: {}", path, last_words()));
    return size;
  }

  std::shared_ptr<Repository> repository_;
  Tree tree_;
};

// A link within a commit, or a folder above: libgit2 wants plain relative paths.
std::string within_repository(const Repository& repository, const std::string& corpus) {
  const char* top = git_repository_workdir(repository.get());
  std::error_code error;
  const fs::path absolute = fs::weakly_canonical(fs::absolute(corpus), error);
  if (!top) return fs::path(corpus).lexically_normal().generic_string();
  const fs::path relative = absolute.lexically_relative(fs::weakly_canonical(top, error));
  if (relative.empty() || *relative.begin() == "..")
    throw EnvironmentError(fmt::format("the corpus `{}` lies outside the repository `{}`", corpus, top));
  return relative.generic_string();
}

Revision open_commit(const std::string& text, const std::string& corpus) {
  static const Library library;
  auto repository = std::make_shared<Repository>();
  if (const int code = git_repository_open_ext(repository->out(), ".", 0, nullptr); code != 0) {
    if (code != GIT_ENOTFOUND)  // it belongs to somebody else, or is damaged
      throw EnvironmentError(fmt::format("git cannot open the repository here: {}", last_words()));
    throw EnvironmentError(
        fmt::format("`{}` is no folder, and there is no git repository here in which it could be a revision", text));
  }
  Object object, commit;
  if (git_revparse_single(object.out(), repository->get(), text.c_str()) != 0) {
    if (const size_t dots = text.find(".."); dots != std::string::npos && dots > 0) {
      const size_t second = text.find_first_not_of('.', dots);
      throw EnvironmentError(fmt::format("`{}` is a range; give its two ends instead: `{} {}`", text,
                                         text.substr(0, dots),
                                         second == std::string::npos ? "HEAD" : text.substr(second)));
    }
    if (git_repository_head_unborn(repository->get()) == 1)
      throw EnvironmentError(fmt::format("`{}` names nothing: this repository has no commit yet", text));
    const bool is_shallow = git_repository_is_shallow(repository->get()) == 1;
    throw EnvironmentError(fmt::format(
        "`{}` is neither a folder nor a revision of this repository{}", text,
        is_shallow ? "; it is a shallow clone, which may lack it: `git fetch --unshallow` gets the rest" : ""));
  }
  if (git_object_peel(commit.out(), object.get(), GIT_OBJECT_TREE) != 0)
    throw EnvironmentError(fmt::format("`{}` names something in this repository that is no commit", text));
  Tree tree;
  if (git_tree_lookup(tree.out(), repository->get(), git_object_id(commit.get())) != 0)
    throw EnvironmentError(fmt::format("git cannot read `{}`: {}", text, last_words()));
  auto files = std::make_unique<CommitFiles>(repository, std::move(tree));
  std::string folder = within_repository(*repository, corpus);
  if (!files->has_folder(folder)) {
    if (files->is_submodule(folder))
      throw EnvironmentError(fmt::format(
          "in `{}` the corpus `{}` is a submodule; run the command in that repository instead", text, folder));
    const std::vector<std::string> others = files->corpora();
    if (others.size() != 1)
      throw EnvironmentError(
          fmt::format("`{}` has no corpus at `{}`{}", text, folder,
                      others.empty() ? " nor anywhere else" : fmt::format("; there are {}", fmt::join(others, ", "))));
    folder = others.front();  // it has moved since, or had not moved yet
  }
  return {std::move(files), folder, text};
}

}  // namespace

Revision open_revision(const std::string& text, const std::string& corpus) {
  std::error_code error;
  const std::string folder = text.empty() ? corpus : text;
  if (text.empty() || fs::is_directory(folder, error)) return {std::make_unique<RealFiles>(), folder, folder};
  return open_commit(text, corpus);
}

}  // namespace loomproof::tool
