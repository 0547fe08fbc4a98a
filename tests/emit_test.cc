// Writing the generated folder. Oracles: the bytes on the disk, read here with the standard library; the kernel's own
// limits (permission bits, file size limits, a tiny file system); `kill -9`.
#include <fcntl.h>
#include <grp.h>
#include <sched.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <thread>

#include "emit/emit.h"
#include "emit/manifest.h"
#include "family_builder.h"
#include "pack/pack.h"
#include "source/files.h"

using namespace loomproof;
using namespace loomproof::emit;
namespace fs = std::filesystem;

namespace {

using Tree = std::map<std::string, std::string>;

class TempFolder {
 public:
  TempFolder() {
    std::string pattern = (fs::temp_directory_path() / "loomproof-emit-XXXXXX").string();
    path_ = ::mkdtemp(pattern.data());
    fs::permissions(path_, fs::perms(0755));
  }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  ~TempFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  fs::path operator/(const std::string& name) const { return path_ / name; }
  std::string str() const { return path_.string(); }

 private:
  fs::path path_;
};

std::string contents(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

void put(const fs::path& path, std::string_view bytes) {
  fs::create_directories(path.parent_path());
  std::ofstream(path, std::ios::binary) << bytes;
}

// Every file below a folder, hidden ones too, but for the manifest.
Tree tree(const fs::path& folder) {
  Tree files;
  if (!fs::exists(folder)) return files;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (!entry.is_directory() && entry.path().filename() != ".manifest")
      files[fs::relative(entry.path(), folder).string()] = contents(entry.path());
  return files;
}

size_t folders_below(const fs::path& folder) {
  size_t count = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) count += entry.is_directory();
  return count;
}

Plan plan(Tree files) {
  return {std::move(files), {}};
}

std::string failure(const std::function<void()>& act) {
  try {
    act();
  } catch (const EnvironmentError& error) {
    return error.what();
  }
  return "";
}

// Runs `act` in a process of its own; what it returns is the exit status, 100 for an EnvironmentError that is one line.
int in_child(const std::function<int()>& act) {
  const pid_t child = ::fork();
  if (child == 0) {
    int status = 101;
    try {
      status = act();
    } catch (const EnvironmentError& error) {
      status = std::string_view(error.what()).find('\n') == std::string_view::npos ? 100 : 102;
    } catch (...) {
      status = 103;
    }
    ::_exit(status);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

// Permission bits do not hold root back.
bool become_nobody() {
  if (::getuid() != 0) return true;
  return ::setgroups(0, nullptr) == 0 && ::setgid(65534) == 0 && ::setuid(65534) == 0;
}

const Tree two_files{{"index.md", "# one\n"}, {"croft/pinouts/c1--a.md", "| a |\n"}};

}  // namespace

TEST_CASE("what is planned is written, and verified") {
  const TempFolder top;
  const std::string out = (top / "deep/generated").string();
  CHECK(verify(plan(two_files), out).missing ==
        std::vector<std::string>{".manifest", "croft/pinouts/c1--a.md", "index.md"});
  CHECK_FALSE(fs::exists(out));

  Written first = write(plan(two_files), out);
  CHECK(first.written == 2);
  CHECK(first.removed == 0);
  CHECK(tree(out) == two_files);
  CHECK(verify(plan(two_files), out).is_clean());

  const auto time = fs::last_write_time(fs::path(out) / "index.md");
  const auto list_time = fs::last_write_time(fs::path(out) / ".manifest");
  const ino_t inode = [&] {
    struct stat status {};
    ::stat((fs::path(out) / "index.md").c_str(), &status);
    return status.st_ino;
  }();
  Written second = write(plan(two_files), out);
  CHECK(second.written == 0);
  CHECK(second.unchanged == 2);
  CHECK(fs::last_write_time(fs::path(out) / "index.md") == time);
  CHECK(fs::last_write_time(fs::path(out) / ".manifest") == list_time);
  struct stat status {};
  ::stat((fs::path(out) / "index.md").c_str(), &status);
  CHECK(status.st_ino == inode);

  Tree other = two_files;
  other["index.md"] = "# two\n";
  CHECK(verify(plan(other), out).differs == std::vector<std::string>{"index.md"});
  Written third = write(plan(other), out);
  CHECK(third.written == 1);
  CHECK(third.unchanged == 1);
  CHECK(tree(out) == other);
}

TEST_CASE("every byte is written, also none and many") {
  const TempFolder top;
  std::string all;
  for (int i = 0; i < 300'000; ++i) all += static_cast<char>(i % 256);
  const Tree files{{"packs/big.loompack", all}, {"empty.csv", ""}};
  write(plan(files), top.str());
  CHECK(tree(top.str()) == files);
  CHECK(verify(plan(files), top.str()).is_clean());
}

TEST_CASE("only what this program wrote is removed, and only as it wrote it") {
  const TempFolder top;
  write(plan({{"a/x.md", "x"}, {"a/y.md", "y"}, {"b/c/z.md", "z"}, {"index.md", "i"}}), top.str());
  put(top / "a/notes.txt", "somebody's own");
  put(top / "b/c/z.md", "changed by hand");
  put(top / "own.md", "somebody's own");

  const Plan less = plan({{"index.md", "i"}});
  CHECK(verify(less, top.str()).stale == std::vector<std::string>{"a/x.md", "a/y.md", "b/c/z.md"});
  const Written written = write(less, top.str());
  CHECK(written.removed == 2);
  CHECK(written.kept == std::vector<std::string>{"b/c/z.md"});
  CHECK(tree(top.str()) == Tree{{"a/notes.txt", "somebody's own"},
                                {"b/c/z.md", "changed by hand"},
                                {"index.md", "i"},
                                {"own.md", "somebody's own"}});
  CHECK(verify(less, top.str()).is_clean());  // what is kept is somebody's from now on
  CHECK(write(less, top.str()).kept.empty());
}

TEST_CASE("folders that become empty go with their files") {
  const TempFolder top;
  write(plan({{"a/b/x.md", "x"}, {"index.md", "i"}}), top.str());
  write(plan({{"index.md", "i"}}), top.str());
  CHECK(folders_below(top.str()) == 0);
}

TEST_CASE("a file of somebody else's is never overwritten") {
  const TempFolder top;
  put(top / "index.md", "somebody's own");
  const std::string why = failure([&] { write(plan(two_files), top.str()); });
  CHECK(why.find("index.md` was not written by this program") != std::string::npos);
  CHECK(tree(top.str()) == Tree{{"index.md", "somebody's own"}});
  CHECK(folders_below(top.str()) == 0);

  put(top / "index.md", two_files.at("index.md"));  // the same bytes may as well be ours
  write(plan(two_files), top.str());
  CHECK(tree(top.str()) == two_files);
}

TEST_CASE("a listed file that somebody changed is renewed") {
  const TempFolder top;
  write(plan(two_files), top.str());
  put(top / "index.md", "changed by hand");
  CHECK(write(plan(two_files), top.str()).written == 1);
  CHECK(tree(top.str()) == two_files);
}

TEST_CASE("a plan about one family leaves the others alone") {
  const TempFolder top;
  write(plan({{"a/x.md", "x"},
              {"a/old.md", "o"},
              {"b/x.md", "x"},
              {"packs/a.loompack", "p"},
              {"packs/b.loompack", "p"},
              {"index.md", "i"}}),
        top.str());
  const Plan one{{{"a/x.md", "new"}, {"packs/a.loompack", "p"}}, {"a/", "packs/a.loompack"}};
  const Outdated before = verify(one, top.str());
  CHECK(before.differs == std::vector<std::string>{"a/x.md"});
  CHECK(before.stale == std::vector<std::string>{"a/old.md"});
  const Written written = write(one, top.str());
  CHECK(written.written == 1);
  CHECK(written.removed == 1);
  CHECK(verify(one, top.str()).is_clean());
  CHECK(
      tree(top.str()) ==
      Tree{
          {"a/x.md", "new"}, {"b/x.md", "x"}, {"index.md", "i"}, {"packs/a.loompack", "p"}, {"packs/b.loompack", "p"}});
  // The whole is still known: what is then no longer wanted is removed.
  CHECK(write(plan({{"index.md", "i"}}), top.str()).removed == 4);
  CHECK(tree(top.str()) == Tree{{"index.md", "i"}});
}

TEST_CASE("verify writes nothing and sees a list that does not fit") {
  const TempFolder top;
  write(plan(two_files), top.str());
  const std::string list = contents(top / ".manifest");
  put(top / ".manifest", "");
  CHECK(verify(plan(two_files), top.str()).differs == std::vector<std::string>{".manifest"});
  CHECK(contents(top / ".manifest").empty());
  fs::remove(top / ".manifest");
  CHECK(verify(plan(two_files), top.str()).missing == std::vector<std::string>{".manifest"});
  write(plan(two_files), top.str());
  CHECK(contents(top / ".manifest") == list);
}

TEST_CASE("symbolic links below the folder are refused, whatever they lead to") {
  const TempFolder top, elsewhere;
  put(elsewhere / "index.md", "outside");
  fs::create_directories(elsewhere / "pinouts");
  const std::string out = (top / "generated").string();
  fs::create_directories(out);
  const Tree before = tree(elsewhere.str());

  SECTION("a folder on the way") {
    fs::create_directory_symlink(elsewhere.str(), out + "/croft");
  }
  SECTION("a folder within") {
    fs::create_directories(out + "/croft");
    fs::create_directory_symlink(elsewhere / "pinouts", out + "/croft/pinouts");
  }
  SECTION("a file") {
    fs::create_symlink(elsewhere / "index.md", out + "/index.md");
  }
  SECTION("a file that leads nowhere") {
    fs::create_symlink(elsewhere / "none.md", out + "/index.md");
  }
  SECTION("the list") {
    fs::create_symlink(elsewhere / "list", out + "/.manifest");
  }
  const std::string why = failure([&] { write(plan(two_files), out); });
  CHECK(why.find("is a symbolic link") != std::string::npos);
  CHECK(failure([&] { verify(plan(two_files), out); }).find("is a symbolic link") != std::string::npos);
  CHECK(tree(elsewhere.str()) == before);
}

TEST_CASE("a link in the place of the folder for what is half written is not followed") {
  const TempFolder top, elsewhere;
  put(elsewhere / "0", "outside");
  fs::create_directory_symlink(elsewhere.str(), top / ".new");
  CHECK_FALSE(failure([&] { write(plan(two_files), top.str()); }).empty());
  CHECK(tree(elsewhere.str()) == Tree{{"0", "outside"}});
}

TEST_CASE("the folder itself may be reached through a link") {
  const TempFolder top;
  fs::create_directories(top / "real");
  fs::create_directory_symlink(top / "real", top / "link");
  write(plan(two_files), (top / "link/").string());
  CHECK(tree(top / "real") == two_files);
}

TEST_CASE("a list cannot have anything outside the folder removed") {
  const TempFolder top;
  const std::string out = (top / "generated").string();
  put(top / "precious.txt", "p");
  put(top / "generated/.hidden", "p");
  const std::string sum = checksum("p");
  std::string list;
  for (const std::string path :
       {"../precious.txt", "a/../../precious.txt", "/etc/hostname", ".hidden", "./.hidden", ""})
    list += sum + "  " + path + "\n";
  list += sum + "  " + (top / "precious.txt").string() + "\n";
  put(top / "generated/.manifest", list);
  CHECK(write(plan(two_files), out).removed == 0);
  CHECK(contents(top / "precious.txt") == "p");
  CHECK(contents(top / "generated/.hidden") == "p");
}

TEST_CASE("a plan that leads out of its folder is a bug, and nothing is written") {
  const TempFolder top;
  const std::string out = (top / "generated").string();
  const std::vector<std::string> paths{
      "../x.md", "/x.md",   "a/../x.md",          "a//x.md", ".x", "a/.x", "A.md", "a b.md", "", "a/",
      "a/..",    "a\\b.md", std::string(200, 'a')};
  for (const std::string& path : paths) {
    INFO(path);
    CHECK_THROWS_AS(write(plan({{path, "x"}}), out), std::logic_error);
    CHECK_THROWS_AS(verify(plan({{path, "x"}}), out), std::logic_error);
  }
  CHECK_THROWS_AS(write(Plan{{{"b/x.md", "x"}}, {"a/"}}, out), std::logic_error);
  CHECK_FALSE(fs::exists(out));
}

TEST_CASE("a list that somebody merged badly lists what its good lines say") {
  const std::string sum = checksum("x");
  const Manifest merged =
      Manifest::parse("<<<<<<< HEAD\n" + sum + "  a.md\n=======\n" + checksum("y") +
                      "  a.md\n>>>>>>> other\nnot a line\n" + sum + " b.md\n" + sum.substr(1) + "  c.md");
  CHECK(merged.files().size() == 1);
  CHECK(merged.wrote("a.md", sum));
  CHECK(merged.wrote("a.md", checksum("y")));
  CHECK_FALSE(merged.wrote("a.md", checksum("z")));
  CHECK(Manifest::parse(merged.text()).files() == merged.files());
}

TEST_CASE("the wrong kind of thing in the way is said in one line") {
  const TempFolder top;
  SECTION("a folder for a file") {
    fs::create_directories(top / "index.md");
    CHECK(failure([&] { write(plan(two_files), top.str()); }).find("is no regular file") != std::string::npos);
  }
  SECTION("a file for a folder") {
    put(top / "croft", "somebody's own");
    CHECK(failure([&] { write(plan(two_files), top.str()); }).find("a file stands where a folder") !=
          std::string::npos);
  }
  SECTION("a pipe for a file") {
    REQUIRE(::mkfifo((top / "index.md").c_str(), 0644) == 0);
    CHECK(failure([&] { write(plan(two_files), top.str()); }).find("is no regular file") != std::string::npos);
  }
  SECTION("a file for the whole") {
    put(top / "out", "somebody's own");
    CHECK(failure([&] { write(plan(two_files), (top / "out").string()); }).find("cannot make folder") == 0);
    CHECK(failure([&] { verify(plan(two_files), (top / "out").string()); }).find("cannot open folder") == 0);
  }
  CHECK_FALSE(fs::exists(top / ".new"));
}

TEST_CASE("a folder that cannot be written leaves all as it was") {
  const TempFolder top;
  const std::string out = (top / "generated").string();
  write(plan({{"index.md", "old"}}), out);
  const std::string list = contents(out + "/.manifest");
  fs::permissions(out, fs::perms(0555));
  CHECK(in_child([&] {
          if (!become_nobody()) return 1;
          if (verify(plan({{"index.md", "old"}}), out).is_clean() == false) return 2;
          if (write(plan({{"index.md", "old"}}), out).unchanged != 1) return 3;  // nothing to do needs no permission
          const std::string why = failure([&] { write(plan(two_files), out); });
          return why.find("no permission") != std::string::npos && why.find('\n') == std::string::npos ? 0 : 4;
        }) == 0);
  fs::permissions(out, fs::perms(0755));
  CHECK(tree(out) == Tree{{"index.md", "old"}});
  CHECK(contents(out + "/.manifest") == list);
  CHECK_FALSE(fs::exists(out + "/.new"));
}

TEST_CASE("a folder that cannot be made is said in one line") {
  const TempFolder top;
  fs::permissions(top.str(), fs::perms(0555));
  CHECK(in_child([&] {
          if (!become_nobody()) return 1;
          write(plan(two_files), (top / "generated").string());
          return 2;
        }) == 100);
  fs::permissions(top.str(), fs::perms(0755));
}

TEST_CASE("a file that cannot be read stops the run") {
  const TempFolder top;
  write(plan(two_files), top.str());
  fs::permissions(top / "index.md", fs::perms(0000));
  CHECK(in_child([&] {
          if (!become_nobody()) return 1;
          verify(plan(two_files), top.str());
          return 2;
        }) == 100);
}

TEST_CASE("a limit on the size of files leaves all as it was and nothing aside") {
  const TempFolder top;
  write(plan({{"index.md", "old"}, {"gone.md", "g"}}), top.str());
  const Tree before = tree(top.str());
  const std::string list = contents(top / ".manifest");
  Tree after{{"index.md", "new"}, {"new/deep/small.md", "s"}, {"packs/big.loompack", std::string(100'000, 'x')}};
  CHECK(in_child([&] {
          ::signal(SIGXFSZ, SIG_IGN);
          const rlimit limit{50'000, 50'000};
          if (::setrlimit(RLIMIT_FSIZE, &limit) != 0) return 1;
          const std::string why = failure([&] { write(plan(after), top.str()); });
          return why.find("larger than is permitted") != std::string::npos ? 0 : 2;
        }) == 0);
  CHECK(tree(top.str()) == before);
  CHECK(contents(top / ".manifest") == list);
  CHECK(folders_below(top.str()) == 0);
}

TEST_CASE("a full disk leaves all as it was and nothing aside") {
  const TempFolder top;
  const int status = in_child([&] {
    // A file system of our own in a name space of our own; where the system forbids it, the test says so.
    if (::unshare(CLONE_NEWNS) != 0 && ::unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return 77;
    ::mount(nullptr, "/", nullptr, MS_REC | MS_PRIVATE, nullptr);
    if (::mount("tmpfs", top.str().c_str(), "tmpfs", 0, "size=128k") != 0) return 77;
    write(plan({{"index.md", "old"}}), top.str());
    const std::string list = contents(top / ".manifest");
    Tree after{{"index.md", "new"}};
    for (int i = 0; i < 100; ++i) after["croft/" + std::to_string(i) + ".md"] = std::string(8'000, 'x');
    const std::string why = failure([&] { write(plan(after), top.str()); });
    if (why.find("the disk is full") == std::string::npos) return 1;
    if (tree(top.str()) != Tree{{"index.md", "old"}}) return 2;
    if (contents(top / ".manifest") != list) return 3;
    if (folders_below(top.str()) != 0) return 4;
    return verify(plan({{"index.md", "old"}}), top.str()).is_clean() ? 0 : 5;
  });
  if (status == 77)
    WARN("no file system can be mounted here: the full disk was not tried");
  else
    CHECK(status == 0);
}

TEST_CASE("a second writer waits for the first, or says that it is there") {
  const TempFolder top;
  const int fd = ::open(top.str().c_str(), O_RDONLY | O_DIRECTORY);
  REQUIRE(::flock(fd, LOCK_EX) == 0);
  CHECK(failure([&] {
          write(plan(two_files), top.str(), std::chrono::milliseconds(50));
        }).find("another build is writing") == 0);
  CHECK(failure([&] { verify(plan(two_files), top.str(), std::chrono::milliseconds(50)); }).find("another build") == 0);
  CHECK(tree(top.str()).empty());
  std::thread release([&] {
    std::this_thread::sleep_for(std::chrono::milliseconds(60));
    ::close(fd);
  });
  write(plan(two_files), top.str());
  release.join();
  CHECK(tree(top.str()) == two_files);
}

TEST_CASE("several writers at once leave the folder as one of them wanted it") {
  const TempFolder top;
  std::vector<Plan> plans;
  for (int writer = 0; writer < 4; ++writer) {
    Tree files;
    for (int i = 0; i < 40; ++i)
      files["f" + std::to_string((i * (writer + 1)) % 60) + ".md"] =
          std::string(5'000, static_cast<char>('a' + writer));
    plans.push_back(plan(files));
  }
  std::vector<pid_t> children;
  for (const Plan& one : plans) {
    const pid_t child = ::fork();
    if (child == 0) {
      int status = 0;
      try {
        for (int round = 0; round < 5; ++round) write(one, top.str());
      } catch (...) {
        status = 1;
      }
      ::_exit(status);
    }
    children.push_back(child);
  }
  for (pid_t child : children) {
    int status = 0;
    ::waitpid(child, &status, 0);
    CHECK(status == 0);
  }
  const Tree left = tree(top.str());
  CHECK(std::count_if(plans.begin(), plans.end(), [&](const Plan& one) { return one.files == left; }) == 1);
  CHECK(std::count_if(plans.begin(), plans.end(), [&](const Plan& one) { return verify(one, top.str()).is_clean(); }) ==
        1);
}

TEST_CASE("what somebody put among the half-written files stays") {
  const TempFolder top;
  put(top / ".new/7", "left by a stopped run");
  put(top / ".new/mine.txt", "somebody's own");
  CHECK_FALSE(failure([&] { write(plan(two_files), top.str()); }).empty());
  CHECK(tree(top.str()) == Tree{{".new/mine.txt", "somebody's own"}});
}

TEST_CASE("the checksum is XXH3, 128 bits") {
  // The published test vector for empty input with seed 0 (xxHash, tests/sanity_test_vectors.h).
  CHECK(checksum("") == "99aa06d3014798d86001c324468d497f");
}

namespace {

Family small_family(std::string_view id) {
  testing::FamilyBuilder b;
  b.era("a");
  b.family.id = b.text(id);
  b.family.title = b.text("Family " + std::string(id));
  b.family.built = b.everywhere();
  const Index housing = b.housing("duo", 2);
  const Index place = b.place("LOOM");
  const CellSet all = CellSet::first(1);
  const Index circuit = b.circuit("SIG", "Signal", CircuitClass::signal);
  const Index source = b.source("manual", SourceKind::invented);
  const CiteId cite = b.cite({source});
  b.begin_part("loom", PartKind::loom, place, all);
  const Index c1 = b.connector("C1", housing, Rest::unknown, all), c2 = b.connector("C2", housing, Rest::unknown, all);
  const Index from = b.cavity(c1, "1"), to = b.cavity(c2, "1");
  b.wire(circuit, from, to, none, none, 500, all, cite);
  b.end_part();
  return b.family;
}

}  // namespace

TEST_CASE("a corpus gives reports, packs and pages that list them") {
  const Family one = small_family("one"), two = small_family("two");
  const Plan whole = plan_corpus("Two families", {&one, &two});
  for (const char* const path : {"index.md", "one/index.md", "two/coverage.csv", "packs/one.loompack",
                                 "packs/index.json", "one/pinouts/loom-c1--all.md"})
    CHECK(whole.files.contains(path));
  const auto index = nlohmann::json::parse(whole.files.at("packs/index.json"));
  CHECK(index.at("title") == "Two families");
  CHECK(index.at("format").at("major") == pack::format_major);
  REQUIRE(index.at("packs").size() == 2);
  for (const auto& entry : index.at("packs")) {
    const std::string& bytes = whole.files.at("packs/" + entry.at("file").get<std::string>());
    const pack::Opened opened = pack::Pack::open(bytes);
    REQUIRE(opened.pack);
    CHECK(entry.at("bytes") == bytes.size());
    CHECK(entry.at("checksum") == opened.pack->checksum());
    CHECK(entry.at("xxh3") == checksum(bytes));
    CHECK(entry.at("family") == opened.pack->id());
    CHECK(entry.at("title") == opened.pack->title());
  }
  for (unsigned threads : {1u, 2u, 5u}) CHECK(plan_corpus("Two families", {&one, &two}, threads).files == whole.files);
  const TempFolder top;
  write(whole, top.str());
  const Plan part = plan_family("Two families", two);
  CHECK(verify(part, top.str()).is_clean());  // a family alone gives the very same files
  for (const auto& [path, bytes] : part.files) CHECK(whole.files.at(path) == bytes);
}

TEST_CASE("ids cannot lead out of the folder, nor one family into another's") {
  std::set<std::string> folders;
  const std::vector<std::string> ids{
      "../up", "..", ".", "", "/abs", "a/b", "a-b", "A-b", "packs", "index.md", "con\n", "x|y", std::string(500, 'z')};
  for (const std::string& id : ids) {
    const Family family = small_family(id);
    const Plan one = plan_family("x", family);
    for (const auto& [path, bytes] : one.files) {
      INFO(path);
      CHECK(is_safe_path(path));
      CHECK(one.covers(path));
    }
    CHECK(folders.insert(one.scope.front()).second);
    CHECK(one.scope.front() != "packs/");
    const TempFolder top;
    write(plan_corpus("x", {&family}), top.str());
    CHECK(verify(plan_corpus("x", {&family}), top.str()).is_clean());
  }
}
