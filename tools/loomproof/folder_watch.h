// Waits for changes below a folder (Linux: inotify), and for the user to end it.
#pragma once
#include <set>
#include <string>

namespace loomproof::tool {

// SIGINT and SIGTERM are taken from the program while this lives, and end wait() instead: work that is under way is
// finished first.
class FolderWatch {
 public:
  // Throws EnvironmentError where the system cannot watch.
  explicit FolderWatch(std::string folder);
  FolderWatch(const FolderWatch&) = delete;
  FolderWatch& operator=(const FolderWatch&) = delete;
  ~FolderWatch();

  // Watches what folders there are now, and no others. Called before the folder is read, nothing is missed: what is
  // made before a folder is watched will be read, what is made later wakes wait(). The folder itself may come and go.
  void follow();

  enum class Woken { changed, ended };
  // Sleeps until something changed and then all was quiet for a moment (or would not be for some seconds). Dot files do
  // not count: a corpus has none, and editors and `tidy` put theirs there. Events that the system lost count as a
  // change.
  Woken wait();

 private:
  void add(const std::string& path, std::set<int>& seen);
  bool read_events();  // whether one of them matters

  std::string folder_;  // absolute
  int events_ = -1, signals_ = -1;
  int above_ = -1;  // the watch of the folder that holds it
  std::set<int> watches_;
};

}  // namespace loomproof::tool
