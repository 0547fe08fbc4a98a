#include "folder_watch.h"

#include <fmt/format.h>

#include "source/files.h"

#ifdef __linux__

#include <poll.h>
#include <sys/inotify.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>
#include <filesystem>
#include <vector>

namespace loomproof::tool {

namespace {

namespace fs = std::filesystem;
using Steady = std::chrono::steady_clock;

constexpr std::chrono::milliseconds quiet{80};      // an editor's save is several events within a few of these
constexpr std::chrono::milliseconds longest{2000};  // of a burst that does not end
constexpr uint32_t seen_below =
    IN_CLOSE_WRITE | IN_CREATE | IN_DELETE | IN_MOVED_FROM | IN_MOVED_TO | IN_ATTRIB | IN_DELETE_SELF | IN_MOVE_SELF;
constexpr uint32_t seen_above = IN_CREATE | IN_DELETE | IN_MOVED_FROM | IN_MOVED_TO;

sigset_t ending_signals() {
  sigset_t set;
  ::sigemptyset(&set);
  ::sigaddset(&set, SIGINT);
  ::sigaddset(&set, SIGTERM);
  return set;
}

int milliseconds_until(Steady::time_point time) {
  const auto left = std::chrono::ceil<std::chrono::milliseconds>(time - Steady::now()).count();
  return static_cast<int>(std::max<decltype(left)>(left, 0));
}

}  // namespace

FolderWatch::FolderWatch(std::string folder) : folder_(fs::absolute(folder).lexically_normal().string()) {
  while (folder_.size() > 1 && folder_.back() == '/') folder_.pop_back();
  events_ = ::inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
  if (events_ < 0) throw EnvironmentError(fmt::format("cannot watch files: {}", std::strerror(errno)));
  const sigset_t ending = ending_signals();
  ::sigprocmask(SIG_BLOCK, &ending, nullptr);
  signals_ = ::signalfd(-1, &ending, SFD_NONBLOCK | SFD_CLOEXEC);
  if (signals_ < 0) throw EnvironmentError(fmt::format("cannot watch files: {}", std::strerror(errno)));
}

FolderWatch::~FolderWatch() {
  // A signal that still waits would end the program as soon as it is let through.
  for (signalfd_siginfo taken; ::read(signals_, &taken, sizeof taken) > 0;) {
  }
  ::close(events_);
  ::close(signals_);
  const sigset_t ending = ending_signals();
  ::sigprocmask(SIG_UNBLOCK, &ending, nullptr);
}

void FolderWatch::add(const std::string& path, std::set<int>& seen) {
  const int watch = ::inotify_add_watch(events_, path.c_str(), seen_below | IN_ONLYDIR);
  if (watch >= 0) {
    seen.insert(watch);
    return;
  }
  if (errno == ENOSPC || errno == ENOMEM)
    throw EnvironmentError("the system allows no more folders to be watched; see fs.inotify.max_user_watches");
  // Gone by now, or not to be read: the check that follows says so where it matters.
}

void FolderWatch::follow() {
  std::set<int> seen;
  const std::string parent = fs::path(folder_).parent_path().string();
  above_ = ::inotify_add_watch(events_, parent.c_str(), seen_above | IN_ONLYDIR);
  std::vector<std::string> waiting{folder_};
  while (!waiting.empty()) {
    const std::string path = std::move(waiting.back());
    waiting.pop_back();
    add(path, seen);
    std::error_code error;
    for (fs::directory_iterator it(path, error), end; !error && it != end; it.increment(error)) {
      std::error_code ignored;
      const bool is_hidden = it->path().filename().native().starts_with('.');
      if (!is_hidden && !it->is_symlink(ignored) && it->is_directory(ignored)) waiting.push_back(it->path().string());
    }
  }
  for (const int watch : watches_)
    if (!seen.contains(watch)) ::inotify_rm_watch(events_, watch);
  watches_ = std::move(seen);
}

bool FolderWatch::read_events() {
  alignas(inotify_event) char buffer[1 << 14];
  bool matters = false;
  for (;;) {
    const ssize_t got = ::read(events_, buffer, sizeof buffer);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return matters;
    for (ssize_t at = 0; at < got;) {
      inotify_event event{};
      std::memcpy(&event, buffer + at, sizeof event);
      const std::string_view name = event.len > 0 ? buffer + at + sizeof event : "";
      at += static_cast<ssize_t>(sizeof event + event.len);
      if ((event.mask & IN_IGNORED) != 0) {
        watches_.erase(event.wd);
      } else if ((event.mask & IN_Q_OVERFLOW) != 0) {
        matters = true;
      } else if (watches_.contains(event.wd)) {
        matters |= !name.starts_with('.');
      } else if (event.wd == above_) {
        matters |= name == fs::path(folder_).filename().native();
      }
    }
  }
}

FolderWatch::Woken FolderWatch::wait() {
  bool changed = false;
  Steady::time_point begun, last;
  for (;;) {
    pollfd waiting[] = {{signals_, POLLIN, 0}, {events_, POLLIN, 0}};
    const int patience = changed ? milliseconds_until(std::min(last + quiet, begun + longest)) : -1;
    const int ready = ::poll(waiting, 2, patience);
    if (ready < 0 && errno != EINTR)
      throw EnvironmentError(fmt::format("cannot watch files: {}", std::strerror(errno)));
    if (ready > 0 && waiting[0].revents != 0) return Woken::ended;
    if (ready > 0 && waiting[1].revents != 0 && read_events()) {
      last = Steady::now();
      if (!changed) begun = last;
      changed = true;
    }
    if (changed && Steady::now() >= std::min(last + quiet, begun + longest)) return Woken::changed;
  }
}

}  // namespace loomproof::tool

#else

namespace loomproof::tool {

FolderWatch::FolderWatch(std::string) {
  throw EnvironmentError("this system has no inotify: files cannot be watched here");
}
FolderWatch::~FolderWatch() = default;
void FolderWatch::follow() {}
FolderWatch::Woken FolderWatch::wait() {
  return Woken::ended;
}

}  // namespace loomproof::tool

#endif
