// The folder that is written to, and nothing outside it: every step below it is taken from an open folder, and no
// symbolic link below it is followed (the folder itself may be one). Files are made whole in `.new` and then renamed,
// so that nothing half written is ever seen under its name, whenever the program is stopped; what a stopped run left in
// `.new` the next one clears.
//
// Faults throw EnvironmentError, one line each.
#pragma once
#include <chrono>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace loomproof::emit {

// An open file descriptor; -1 is none.
class Descriptor {
 public:
  explicit Descriptor(int fd = -1) : fd_(fd) {}
  Descriptor(Descriptor&& other) noexcept : fd_(other.fd_) { other.fd_ = -1; }
  Descriptor& operator=(Descriptor&& other) noexcept {
    std::swap(fd_, other.fd_);
    return *this;
  }
  ~Descriptor();
  int get() const { return fd_; }
  bool is_open() const { return fd_ >= 0; }
  bool close();  // false where the system reports a fault only now

 private:
  int fd_;
};

class Folder {
 public:
  // Opens the folder; where it is missing, makes it (with what is above it) or gives nothing.
  static Folder open_or_make(const std::string& path);
  static std::optional<Folder> open(const std::string& path);

  // Keeps other writers (exclusive) or all writers (shared) out until the Folder is closed; waits this long for them.
  void lock(bool exclusive, std::chrono::milliseconds wait);

  // The bytes of a file; nothing where it is missing. A folder, a link or a device in its place is a fault.
  std::optional<std::string> read(std::string_view path) const;

  // Makes the folders that a file needs.
  void make_folders_for(std::string_view path);
  // Writes bytes aside; `rename_staged` puts them in place. Numbers are the caller's.
  void stage(size_t number, std::string_view bytes);
  void rename_staged(size_t number, std::string_view path);
  // Removes what is left aside and, where asked, the folders made by this object that are empty.
  void clear_staged(bool with_folders = false) noexcept;

  // Removes a file, and the folders above it that it leaves empty.
  void remove(std::string_view path);

 private:
  Folder(std::string path, Descriptor fd) : path_(std::move(path)), fd_(std::move(fd)) {}
  // The open folder that holds the last name of a path; closed where it is missing and not made.
  Descriptor parent_of(std::string_view path, bool make);
  Descriptor parent_of(std::string_view path) const;
  Descriptor step_into(int folder, const std::string& name, std::string_view shown) const;
  std::string shown(std::string_view path) const;
  void open_stage();

  std::string path_;  // as the caller named it
  Descriptor fd_, stage_;
  std::vector<std::string> made_;  // folders below it, in the order of their making
};

}  // namespace loomproof::emit
