// Lines, UTF-8 and files. Oracles: a naive count of lines; a decoder written from RFC 3629's table of well-formed
// bytes; the operating system for what can be read.
#include "source/source.h"

#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <random>
#include <thread>

#include "source/files.h"
#include "source/utf8.h"

using namespace loomproof;
namespace fs = std::filesystem;

namespace {

struct Folder {
  Folder() {
    std::string name = (fs::temp_directory_path() / "loomproof-XXXXXX").string();
    path = ::mkdtemp(name.data());
  }
  ~Folder() { fs::remove_all(path); }
  std::string at(const std::string& name) const { return (path / name).string(); }
  void write(const std::string& name, const std::string& text) const {
    fs::create_directories((path / name).parent_path());
    std::ofstream(path / name, std::ios::binary) << text;
  }
  fs::path path;
};

std::vector<std::string> paths(const std::vector<FileEntry>& entries) {
  std::vector<std::string> out;
  for (const FileEntry& entry : entries) out.push_back(entry.path);
  return out;
}

std::string problem_of(const Files& files, const std::string& path) {
  std::string problem;
  CHECK(files.read(path, problem).empty());
  return problem;
}

// RFC 3629, section 4: the ABNF of UTF8-octets, alternative by alternative.
size_t well_formed_length(const std::string& s, size_t i) {
  const auto in = [&](size_t at, int low, int high) {
    return at < s.size() && static_cast<unsigned char>(s[at]) >= low && static_cast<unsigned char>(s[at]) <= high;
  };
  const auto tail = [&](size_t at) { return in(at, 0x80, 0xBF); };
  if (in(i, 0x00, 0x7F)) return 1;
  if (in(i, 0xC2, 0xDF) && tail(i + 1)) return 2;
  if (in(i, 0xE0, 0xE0) && in(i + 1, 0xA0, 0xBF) && tail(i + 2)) return 3;
  if (in(i, 0xE1, 0xEC) && tail(i + 1) && tail(i + 2)) return 3;
  if (in(i, 0xED, 0xED) && in(i + 1, 0x80, 0x9F) && tail(i + 2)) return 3;
  if (in(i, 0xEE, 0xEF) && tail(i + 1) && tail(i + 2)) return 3;
  if (in(i, 0xF0, 0xF0) && in(i + 1, 0x90, 0xBF) && tail(i + 2) && tail(i + 3)) return 4;
  if (in(i, 0xF1, 0xF3) && tail(i + 1) && tail(i + 2) && tail(i + 3)) return 4;
  if (in(i, 0xF4, 0xF4) && in(i + 1, 0x80, 0x8F) && tail(i + 2) && tail(i + 3)) return 4;
  return 0;
}

}  // namespace

TEST_CASE("places in a file are lines and byte columns from 1") {
  const SourceFile file("a.yaml", "ab\n\ncd\r\nlast");
  CHECK(file.at(0).line == 1);
  CHECK(file.at(1).column == 2);
  CHECK(file.at(2).column == 3);  // the line end belongs to its line
  CHECK(file.at(3).line == 2);
  CHECK(file.at(4).line == 3);
  CHECK(file.at(12).line == 4);
  CHECK(file.at(99).column == 5);  // beyond the end: the end
  CHECK(file.line(1) == "ab");
  CHECK(file.line(2).empty());
  CHECK(file.line(3) == "cd");
  CHECK(file.line(4) == "last");
  CHECK(file.line(0).empty());
  CHECK(file.line(5).empty());
  CHECK(SourceFile("e", "").at(0).line == 1);
}

TEST_CASE("a byte order mark belongs to no line") {
  const SourceFile file("a.yaml", "\xEF\xBB\xBFkey: 1\n");
  CHECK(file.at(3).column == 1);
  CHECK(file.at(0).column == 1);
  CHECK(file.line(1) == "key: 1");
}

TEST_CASE("the line table equals a count of line ends, also when threads ask first at once") {
  std::mt19937 random(7);
  std::string bytes;
  for (int i = 0; i < 5000; ++i) bytes += "ab\n"[random() % 3];
  const SourceFile file("r", bytes);
  std::vector<std::thread> threads;
  for (int t = 0; t < 4; ++t) threads.emplace_back([&] { file.at(10); });
  for (std::thread& thread : threads) thread.join();
  uint32_t line = 1, column = 1, wrong = 0;
  for (uint32_t offset = 0; offset < bytes.size(); ++offset) {
    const LineColumn at = file.at(offset);
    wrong += at.line != line || at.column != column;
    if (bytes[offset] == '\n') {
      ++line, column = 1;
    } else {
      ++column;
    }
  }
  CHECK(wrong == 0);
}

TEST_CASE("UTF-8 is judged as RFC 3629 judges it") {
  // Every lead byte with every second byte, and tails that are good or bad.
  uint32_t wrong = 0;
  for (int first = 0; first < 256; ++first) {
    for (int second = 0; second < 256; ++second) {
      for (const char* const tail : {"", "\x80", "\x80\x80", "\xBF\xBF", "\x80x", "a"}) {
        const std::string text = std::string{static_cast<char>(first), static_cast<char>(second)} + tail;
        const Utf8Char character = utf8_at(text, 0);
        const size_t expected = well_formed_length(text, 0);
        wrong += character.good != (expected != 0) || character.length != std::max<size_t>(expected, 1);
      }
    }
  }
  CHECK(wrong == 0);
  std::mt19937 random(11);
  for (int i = 0; i < 20000; ++i) {
    std::string text;
    for (int k = 0; k < 6; ++k) text += static_cast<char>(random() % 3 == 0 ? random() : 0x80 + random() % 0x80);
    wrong += utf8_at(text, 0).good != (well_formed_length(text, 0) != 0);
  }
  CHECK(wrong == 0);
}

TEST_CASE("every code point is written and read back") {
  uint32_t wrong = 0;
  for (uint32_t code = 0; code <= 0x10FFFF; ++code) {
    if (code >= 0xD800 && code <= 0xDFFF) continue;
    std::string text;
    append_utf8(text, code);
    const Utf8Char character = utf8_at(text, 0);
    wrong += !character.good || character.code != code || character.length != text.size();
  }
  CHECK(wrong == 0);
}

TEST_CASE("control characters are the C0 and C1 sets, and what turns the direction of text") {
  for (const uint32_t code : {0x00u, 0x07u, 0x1Bu, 0x7Fu, 0x85u, 0x9Fu, 0x202Au, 0x202Eu, 0x2066u, 0x2069u, 0xFEFFu}) {
    CHECK(is_invisible_control(code));
    CHECK(is_unseen(code));
  }
  for (const uint32_t code : {0x09u, 0x0Au, 0x0Du, 0x20u, 0x7Eu, 0xA0u, 0xE9u, 0x2026u, 0x1F600u}) {
    CHECK_FALSE(is_invisible_control(code));
  }
  CHECK(is_unseen(0x200B));
  CHECK_FALSE(is_unseen(0xE9));
}

TEST_CASE("files are listed by path, without dot files, and links to folders are not followed") {
  const Folder folder;
  folder.write("b.yaml", "b");
  folder.write("a/z.yaml", "zz");
  folder.write("a/deep/y.yaml", "");
  folder.write(".hidden/x.yaml", "");
  folder.write("a/.x.yaml", "");
  fs::create_directory_symlink(folder.path, folder.path / "a" / "circle");
  fs::create_symlink(folder.path / "b.yaml", folder.path / "link.yaml");
  fs::create_symlink(folder.path / "nowhere", folder.path / "broken.yaml");
  ::mkfifo(folder.at("pipe.yaml").c_str(), 0600);

  const auto entries = RealFiles().list(folder.path.string());
  CHECK(paths(entries) == std::vector<std::string>{"a/circle", "a/deep/y.yaml", "a/z.yaml", "b.yaml", "broken.yaml",
                                                   "link.yaml", "pipe.yaml"});
  using Kind = FileEntry::Kind;
  CHECK(entries[0].kind == Kind::directory);
  CHECK(entries[2].kind == Kind::regular);
  CHECK(entries[2].size == 2);
  CHECK(entries[4].kind == Kind::broken);
  CHECK(entries[5].kind == Kind::regular);
  CHECK(entries[6].kind == Kind::other);
}

TEST_CASE("a corpus folder that is not there is a fault of the environment") {
  CHECK_THROWS_AS(RealFiles().list("/nowhere/at/all"), EnvironmentError);
  const Folder folder;
  folder.write("file", "");
  CHECK_THROWS_AS(RealFiles().list(folder.at("file")), EnvironmentError);
}

TEST_CASE("what cannot be read says why, at once") {
  const Folder folder;
  folder.write("good.yaml", std::string("a\0b", 3));
  ::mkfifo(folder.at("pipe").c_str(), 0600);
  fs::create_symlink(folder.path / "circle", folder.path / "circle");
  const int listener = ::socket(AF_UNIX, SOCK_STREAM, 0);
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  folder.at("socket").copy(address.sun_path, sizeof(address.sun_path) - 1);
  REQUIRE(::bind(listener, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) == 0);

  const RealFiles files;
  std::string problem = "left over";
  CHECK(files.read(folder.at("good.yaml"), problem) == std::string("a\0b", 3));
  CHECK(problem.empty());
  CHECK(problem_of(files, folder.path.string()) == "it is a folder");
  CHECK(problem_of(files, folder.at("pipe")) == "it is no regular file");
  CHECK(problem_of(files, folder.at("socket")) == "it is no regular file");
  CHECK(problem_of(files, "/dev/zero") == "it is no regular file");
  CHECK(problem_of(files, folder.at("circle")) == "its links lead in a circle");
  CHECK(problem_of(files, folder.at("none")) == "there is no such file");
  CHECK(problem_of(files, folder.at("good.yaml/x")) == "a part of its path is no folder");
  ::close(listener);
  if (::geteuid() != 0) {  // root reads everything
    fs::permissions(folder.path / "good.yaml", fs::perms::none);
    CHECK(problem_of(files, folder.at("good.yaml")) == "no permission to read it");
  }
}

TEST_CASE("files in memory behave as files on disk do") {
  MemoryFiles files;
  files.files = {{"ref/b.yaml", "b"}, {"ref/a/z.yaml", "zz"}, {"ref/.x", ""}, {"ref/a/.y/q", ""}, {"other", ""}};
  CHECK(paths(files.list("ref")) == std::vector<std::string>{"a/z.yaml", "b.yaml"});
  CHECK(files.list("ref")[0].size == 2);
  std::string problem;
  CHECK(files.read("ref/b.yaml", problem) == "b");
  CHECK(problem_of(files, "ref/none") == "there is no such file");
}
