// loombench verify as it is run, on the compiled packs of the corpus. UPDATE_EXPECTED=1 rewrites
// tests/fixtures/verify/.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "run_bench.h"

using namespace loomproof::testing;

namespace {

const std::string tail_job = std::string(LOOMPROOF_SOURCE_DIR) + "/tests/fixtures/verify/tail.yaml";

// A job in which every check that the sheet asks for was done, as a sound loom would have it.
std::string whole_job(const nlohmann::json& sheet) {
  std::string job = "family: croft\nknown: [TAIL-LOOM:era=c]\nbench: {TAIL-LOOM: {}}\nreadings:\n";
  for (const auto& look : sheet.at("looks")) {
    const std::string plug = look.at("plug");
    job += "  - {plug: " + plug + ", housing: " + look.at("housing").get<std::string>() + "}\n";
    for (const char* state : {"empty", "sealed"})
      for (const std::string number : look.at(state))
        job += "  - {cavity: " + plug + "." + number + ", is: " + state + "}\n";
  }
  for (const auto& check : sheet.at("opens"))
    job += "  - {between: [" + check.at("from").get<std::string>() + ", " + check.at("to").get<std::string>() +
           "], beeps: yes}\n";
  for (const auto& check : sheet.at("bridges"))
    job += "  - {comb: " + check.at("from").get<std::string>() + ", beeps: no}\n";
  return job;
}

}  // namespace

TEST_CASE("what the verification sheet prints") {
  const Run run = run_bench("verify croft TAIL-LOOM --from era=c");
  CHECK(run.err.empty());
  CHECK(run.status == 0);
  hold_against("verify/sheet.txt", run.out);
  hold_against("verify/sheet.md", run_bench("verify croft TAIL-LOOM --from era=c --format markdown").out);
  hold_against("verify/sheet.csv", run_bench("verify croft TAIL-LOOM --from era=c --format csv").out);
  hold_against("verify/neighbours.txt", run_bench("verify croft TAIL-LOOM --from era=c --against neighbours").out);
}

TEST_CASE("what readings make of it") {
  const Run run = run_bench("verify --job " + tail_job);
  CHECK(run.status == 1);
  hold_against("verify/entered.txt", run.out);
}

TEST_CASE("a loom is said to be one only where everything was proven") {
  const auto sheet = nlohmann::json::parse(run_bench("verify croft TAIL-LOOM --from era=c --format json").out);
  const std::string job = whole_job(sheet);
  const std::filesystem::path path =
      std::filesystem::temp_directory_path() / ("whole." + std::to_string(::getpid()) + ".yaml");
  std::ofstream(path) << job;
  const Run whole = run_bench("verify --job " + path.string());
  CHECK(whole.status == 0);
  CHECK(whole.out.find("is tail, as built in all, as recorded: every circuit is proven") != std::string::npos);
  // Any one row less, and it is not said.
  size_t rows = 0;
  for (size_t at = job.find("  - "); at != job.npos; at = job.find("  - ", at + 1)) {
    std::ofstream(path) << job.substr(0, at) + job.substr(job.find('\n', at) + 1);
    const Run run = run_bench("verify --job " + path.string());
    INFO(job.substr(at, job.find('\n', at) - at));
    CHECK(run.status == 1);
    CHECK(run.out.find("as recorded: every circuit is proven") == std::string::npos);
    ++rows;
  }
  CHECK(rows > 20);
  std::filesystem::remove(path);
}

TEST_CASE("with cavities that nobody recorded, nothing makes it one") {
  const auto sheet = nlohmann::json::parse(
      run_bench("verify croft CHASSIS-LOOM --from era=b,supply=24V,exhaust-brake=none --format json").out);
  CHECK_FALSE(sheet.at("unproven").empty());
}

TEST_CASE("nobody is told to unplug, open or touch what may fire") {
  const Run run = run_bench("verify croft BELT-LOOM --from era=c");
  CHECK(run.status == 0);
  hold_against("verify/firing.txt", run.out);
  CHECK(run.out.find("STOP") != std::string::npos);
  CHECK(run.out.find("everything unplugged") == std::string::npos);
  CHECK(run.out.find("[ ]") != std::string::npos);  // its housings may be looked at
  const std::filesystem::path path =
      std::filesystem::temp_directory_path() / ("firing." + std::to_string(::getpid()) + ".yaml");
  std::ofstream(path) << "family: croft\nknown: [BELT-LOOM:era=c]\nbench: {BELT-LOOM: {}}\nreadings:\n"
                         "  - {plug: Y1, is: present}\n";
  const Run entered = run_bench("verify --job " + path.string());
  CHECK(entered.status == 1);
  CHECK(entered.out.find("is proven") == std::string::npos);
  std::filesystem::remove(path);
}

TEST_CASE("what cannot be verified is told in a line") {
  const std::pair<const char*, const char*> cases[] = {
      {"croft TAIL-LOOM", "say which loom is to be proven"},
      {"croft TAIL-LOM --from era=c", "did you mean TAIL-LOOM?"},
      {"croft PUMP-UNIT --from era=c,supply=24V", "PUMP-UNIT holds a component"},
      {"croft CHASSIS-LOOM --from era=c", "say which: "},
      {"croft TAIL-LOOM --from era=q", "era"},
      {"croft TAIL-LOOM --from era=c --against all", "--against takes comb or neighbours"},
      {"croft TAIL-LOOM --from era=c --found 'cut T1.99'", "T1"},
      {"--job /nowhere.yaml", "/nowhere.yaml"}};
  for (const auto& [arguments, line] : cases) {
    const Run run = run_bench(std::string("verify ") + arguments);
    INFO(arguments << '\n' << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find(line) != std::string::npos);
    CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 1);
  }
}
