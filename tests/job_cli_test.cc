// fit and repin with a job file: as with the same words on the command line, and what is wrong in the file told with
// line and column.
#include "run_bench.h"

using namespace loomproof::testing;

namespace {

const std::string job =
    "family: croft\n"
    "known: [TAIL-LOOM:era=c]\n"
    "bench:\n"
    "  TAIL-LOOM:\n"
    "    found: [moved T1.1 T1.2, moved T1.2 T1.1]\n";
const std::string found = " --found 'TAIL-LOOM: moved T1.1 T1.2' --found 'TAIL-LOOM: moved T1.2 T1.1'";

// A folder with a job in it.
class Bench {
 public:
  Bench() {
    std::string pattern = (std::filesystem::temp_directory_path() / "job_cli_test-XXXXXX").string();
    folder_ = ::mkdtemp(pattern.data());
  }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;
  ~Bench() { std::filesystem::remove_all(folder_); }
  void write(const std::string& text) const { std::ofstream(folder_ / "job.yaml", std::ios::binary) << text; }
  // JOB stands for the file.
  Run operator()(std::string arguments) const {
    for (size_t at = arguments.find("JOB"); at != arguments.npos; at = arguments.find("JOB"))
      arguments.replace(at, 3, (folder_ / "job.yaml").string());
    return run_bench(arguments);
  }

 private:
  std::filesystem::path folder_;
};

std::string without(std::string text, const std::string& piece) {
  const size_t at = text.find(piece);
  REQUIRE(at != text.npos);
  return text.erase(at, piece.size());
}
bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != text.npos;
}

}  // namespace

TEST_CASE("a job says what the command line would") {
  const Bench bench;
  bench.write(job);
  const std::string others = " --others era=c,exhaust-brake=none,supply=24V";
  const Run fit = bench("fit --job JOB" + others);
  CHECK(fit.err.empty());
  CHECK(has(fit.out, "T1.2"));
  CHECK(fit.out == bench("fit croft TAIL-LOOM:era=c" + others + found).out);
  CHECK(fit.out == bench("fit croft --job JOB" + others).out);
  const Run repin = bench("repin --job JOB --to era=c");
  CHECK(repin.err.empty());
  CHECK(has(repin.out, "T1.2"));
  CHECK(repin.out == bench("repin croft TAIL-LOOM --from era=c --to era=c --found 'moved T1.1 T1.2' --found 'moved "
                           "T1.2 T1.1'")
                         .out);
}

TEST_CASE("what is wrong in a job is told where it stands") {
  const Bench bench;
  struct Wrong {
    std::string was, becomes, arguments, told;
  };
  const Wrong all[] = {
      {"era=c", "era=x", "fit --job JOB", "job.yaml:2:9: error[bad-form]: `TAIL-LOOM:era=x` cannot be: no era"},
      {"T1.2 T1.1", "T1.2 T9.1", "fit --job JOB", "job.yaml:5:30: error[bad-form]: `moved T1.2 T9.1` cannot be"},
      {"T1.2 T1.1", "T1.2 T9.1", "repin --job JOB --to era=c", "job.yaml:5:30: error[bad-form]"},
      {"  TAIL-LOOM:\n", "  TAIL-LOM:\n", "fit --job JOB", "did you mean TAIL-LOOM?"},
      {"bench", "bensh", "fit --job JOB", "job.yaml:3:1: error[unknown-key]"},
      {"croft", "coft", "fit --job JOB", "did you mean croft?"},
      {"croft", "croft", "fit trailer-12v --job JOB", "the job is about croft, not about trailer-12v"},
      {"known: [TAIL-LOOM:era=c]\n", "", "repin --job JOB --to era=c", "say with --from"},
      {"croft", "croft", "fit --job none.yaml", "none.yaml: "},
      {"croft", "croft", "fit", "say which family"},
      {"croft", "croft", "repin croft --to era=c", "say which loom is in hand"},
  };
  for (const Wrong& wrong : all) {
    std::string text = job;
    text.replace(text.find(wrong.was), wrong.was.size(), wrong.becomes);
    bench.write(text);
    const Run run = bench(wrong.arguments);
    INFO(wrong.arguments << '\n' << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(has(run.err, wrong.told));
  }
  bench.write(without(job, "bench:\n  TAIL-LOOM:\n    found: [moved T1.1 T1.2, moved T1.2 T1.1]\n"));
  CHECK(has(bench("fit --job JOB").err, "missing-key"));
}
