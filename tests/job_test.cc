// The job file: what is read from it, what is found wrong in it and where, and that adding a reading changes nothing
// else.
#include "job/job.h"

#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

#include "diag/render.h"
#include "job/file.h"
#include "source/files.h"

using namespace loomproof;
namespace fs = std::filesystem;

namespace {

const std::string whole =
    "# Bought at the yard, no label\n"
    "family: croft\n"
    "title: 'loom no. 3'\n"
    "built: 2001-01\n"
    "known: [PUMP-UNIT:unit-24-c]\n"
    "bench:\n"
    "  CHASSIS-LOOM:\n"
    "    found: [moved C1.12 C1.28]   # seen at once\n"
    "    plugged: [C23]\n"
    "  TAIL-LOOM: {}\n"
    "rates: {break: 0.02, slip: 0.01}\n"
    "costs: {probe: 1.5, other-plug: 10}\n"
    "readings:\n"
    "  - {meter: proved, ohm: 0.3}\n"
    "  - {plug: C7, is: absent, place: CHASSIS-LOOM, on: 2026-03-01}\n"
    "  - {plug: C1, count: BN, is: 2, place: CHASSIS-LOOM}   # hard to see\n"
    "\n"
    "  # by daylight\n"
    "  - cavity: C1.12\n"
    "    colour: GN/WH\n"
    "    place: CHASSIS-LOOM\n"
    "  - {between: [C1.4, E2], beeps: yes, place: CHASSIS-LOOM, plugged: [C20]}\n"
    "  - {label: 'TB-7731: A', place: CHASSIS-LOOM, mistaken: true}\n"
    "  - {plug: T1, cavity-1: sure, place: TAIL-LOOM}\n"
    "  - {cavity: C1.3, is: unsure, place: CHASSIS-LOOM}\n"
    "# the end\n";

struct Reader {
  explicit Reader(const std::string& text) {
    sources.add("a.yaml", text);
    job = job::read(sources.file(0), 0, report);
    report.sort();
  }
  std::string told() const { return render_text(report.findings(), sources, {}); }
  Sources sources;
  Report report;
  std::optional<job::Job> job;
};

job::Reading cavity_reading() {
  job::Reading reading;
  reading.ask = job::Ask::colour;
  reading.ends = {{"C1.3", {}}};
  reading.answer = {"RD/YE", {}};
  reading.on = "2026-03-02";
  reading.remark = "dirty: it's # or so";
  return reading;
}

bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != text.npos;
}

}  // namespace

TEST_CASE("what a job says") {
  const Reader reader(whole);
  INFO(reader.told());
  REQUIRE(reader.job);
  const job::Job& job = *reader.job;
  CHECK(job.family.text == "croft");
  CHECK(job.built.text == "2001-01");
  REQUIRE(job.known.size() == 1);
  REQUIRE(job.bench.size() == 2);
  CHECK(job.bench[0].place.text == "CHASSIS-LOOM");
  CHECK(job.bench[0].found.at(0).text == "moved C1.12 C1.28");
  CHECK(job.bench[0].plugged.at(0).text == "C23");
  CHECK(job.rates[static_cast<size_t>(job::Rate::break_)] == 0.02);
  CHECK_FALSE(job.rates[static_cast<size_t>(job::Rate::faded)]);
  CHECK(job.costs[static_cast<size_t>(job::Cost::probe)] == 1.5);
  CHECK(job.costs[static_cast<size_t>(job::Cost::other_plug)] == 10);
  CHECK_FALSE(job.costs[static_cast<size_t>(job::Cost::unplug)]);
  REQUIRE(job.readings.size() == 8);
  CHECK(job.readings[1].ask == job::Ask::plug);
  CHECK(job.readings[1].on == "2026-03-01");
  CHECK(job.readings[2].ask == job::Ask::count);
  CHECK(job.readings[2].of.text == "BN");
  CHECK(job.readings[3].ask == job::Ask::colour);
  CHECK(job.readings[3].answer.text == "GN/WH");
  CHECK(job.readings[4].ends.at(1).text == "E2");
  CHECK(job.readings[4].plugged.at(0).text == "C20");
  CHECK_FALSE(job.readings[5].counts);
  CHECK(job.readings[6].ask == job::Ask::cavity_one);
  CHECK_FALSE(job.readings[7].has_answer());
}

TEST_CASE("every kind of reading is written as it is read") {
  for (const char* row :
       {"{plug: C7, is: cut-off, place: TAIL-LOOM}", "{plug: C1, count: BN, is: 2}", "{plug: C1, housing: flat-2-plug}",
        "{plug: C1, cavity-1: sure}", "{cavity: C1.3, is: sealed}", "{cavity: C1.3, colour: GN/WH, remark: dirty}",
        "{cavity: C1.3, mm2: 0.75}", "{cavity: C1.3, wires: 2}", "{between: [C1.3, E1], beeps: yes, plugged: [C2]}",
        "{comb: C1.3, beeps: no, on: 2026-03-01}", "{label: TB-7731, mistaken: true}", "{meter: proved, ohm: 0.3}"}) {
    const Reader reader("family: croft\nbench: {TAIL-LOOM: {}}\nreadings:\n  - " + std::string(row) + "\n");
    INFO(reader.told());
    REQUIRE(reader.job);
    CHECK(job::row_text(reader.job->readings.at(0)) == row);
  }
}

TEST_CASE("bad lines are told with their line and column, all of them") {
  const Reader reader(
      "family: croft\n"
      "bench: {CHASSIS-LOOM: {}}\n"
      "readings:\n"
      "  - {cavity: C1.12, colour: green}\n"
      "  - {plug: C7}\n"
      "  - {plug: C7, count: wires}\n"
      "  - {plug: C7, is: 3}\n"
      "  - {cavity: C1.12, colour: GN, is: empty}\n"
      "  - {between: [C1.1, C1.1], beeps: yes}\n"
      "  - {between: [C1.1, C1.2], beeps: maybe}\n"
      "  - {cavity: C1.12, color: GN}\n"
      "  - {plug: C7, is: present, on: 2026-13-01}\n");
  CHECK_FALSE(reader.job);
  for (const char* place : {"a.yaml:4:29:", "a.yaml:10:36:", "a.yaml:11:21:", "a.yaml:12:33:"}) {
    INFO(place << '\n' << reader.told());
    CHECK(has(reader.told(), place));
  }
  const Reader later(
      "family: croft\n"
      "bench: {CHASSIS-LOOM: {}}\n"
      "readings:\n"
      "  - {plug: C7}\n"
      "  - {plug: C7, count: wires}\n"
      "  - {plug: C7, is: 3}\n"
      "  - {cavity: C1.12, colour: GN, is: empty}\n"
      "  - {between: [C1.1, C1.1], beeps: yes}\n");
  CHECK_FALSE(later.job);
  CHECK(later.report.findings().size() == 5);
  for (const char* place : {"a.yaml:4:5:", "a.yaml:5:16:", "a.yaml:6:20:", "a.yaml:7:5:", "a.yaml:8:22:"}) {
    INFO(place << '\n' << later.told());
    CHECK(has(later.told(), place));
  }
}

TEST_CASE("a job without its family, or with an empty bench, is none") {
  CHECK_FALSE(Reader("bench: {CHASSIS-LOOM: {}}\n").job);
  CHECK_FALSE(Reader("family: croft\nbench: {}\n").job);
  CHECK_FALSE(Reader("").job);
}

TEST_CASE("a reading is added behind the last, and nothing else changes") {
  const std::string row = job::row_text(cavity_reading());
  CHECK(row == "{cavity: C1.3, colour: RD/YE, on: 2026-03-02, remark: 'dirty: it''s # or so'}");
  const std::string end = "# the end\n";
  const std::string made = job::with_row(whole, row);
  CHECK(made == whole.substr(0, whole.size() - end.size()) + "  - " + row + "\n" + end);
  const Reader again(made);
  REQUIRE(again.job);
  CHECK(again.job->readings.back().remark == "dirty: it's # or so");

  const std::string head = "family: croft\nbench: {CHASSIS-LOOM: {}}\n", line = "  - " + row + "\n";
  CHECK(job::with_row(head, row) == head + "readings:\n" + line);
  CHECK(job::with_row(head.substr(0, head.size() - 1), row) == head + "readings:\n" + line);
  CHECK(job::with_row(head + "readings:\n", row) == head + "readings:\n" + line);
  CHECK(job::with_row(head + "readings: []\n# end\n", row) == head + "readings:\n" + line + "# end\n");
  CHECK(job::with_row("readings:\n- {plug: C1, is: present}   # near\ntitle: x\n" + head, row) ==
        "readings:\n- {plug: C1, is: present}   # near\n- " + row + "\ntitle: x\n" + head);
  CHECK(job::with_row("family: croft\r\nbench: {CHASSIS-LOOM: {}}\r\n", row) ==
        "family: croft\r\nbench: {CHASSIS-LOOM: {}}\r\nreadings:\r\n  - " + row + "\r\n");
  CHECK_THROWS_AS(job::with_row(head + "readings: [{plug: C1, is: present}]\n", row), std::logic_error);
  CHECK_THROWS_AS(job::with_row(head, "{plug: C1}"), std::logic_error);
}

TEST_CASE("a reading that was a mistake stays and counts no more") {
  std::string text = whole;
  for (int left = 7; left > 1; --left) {  // one is taken back already; the meter's is none of the loom
    const std::string next = job::without_last(text);
    INFO(next);
    CHECK(next.size() > text.size());
    const Reader reader(next);
    REQUIRE(reader.job);
    REQUIRE(reader.job->readings.size() == 8);
    text = next;
  }
  const Reader reader(text);
  for (const job::Reading& reading : reader.job->readings) CHECK(reading.counts == (reading.ask == job::Ask::meter));
  CHECK(job::without_last(text) == text);
  CHECK(has(text, "  - mistaken: true\n    cavity: C1.12\n"));
  CHECK(has(text, "is: 2, place: CHASSIS-LOOM, mistaken: true}   # hard to see\n"));
}

// Whatever bytes stand there, reading ends with a job or a finding, and a row is added or refused.
TEST_CASE("damaged files are told, not believed") {
  std::mt19937 random(7);
  const std::string row = job::row_text(cavity_reading());
  int jobs = 0, refused = 0;
  for (int run = 0; run < 400; ++run) {
    std::string text = whole;
    for (uint32_t edits = 1 + random() % 3; edits > 0; --edits) {
      const size_t at = random() % text.size();
      if (random() % 2) {
        text[at] = static_cast<char>(random() % 256);
      } else {
        text.erase(at, 1 + random() % 9);
      }
    }
    const Reader reader(text);
    CHECK(reader.job.has_value() != reader.report.has_errors());
    ++(reader.job ? jobs : refused);
    if (!reader.job) continue;
    try {
      const std::string made = job::with_row(text, row);
      const Reader again(made);
      REQUIRE(again.job);
      CHECK(again.job->readings.size() == reader.job->readings.size() + 1);
    } catch (const std::logic_error&) {
    }
  }
  CHECK(jobs > 20);
  CHECK(refused > 50);
}

TEST_CASE("the file keeps its link and its permissions") {
  std::string pattern = (fs::temp_directory_path() / "loomproof-job-XXXXXX").string();
  const fs::path folder = ::mkdtemp(pattern.data());
  std::ofstream(folder / "a.yaml") << whole;
  fs::permissions(folder / "a.yaml", fs::perms::owner_read | fs::perms::owner_write | fs::perms::group_read);
  fs::create_symlink("a.yaml", folder / "link.yaml");
  job::append((folder / "link.yaml").string(), job::row_text(cavity_reading()));
  CHECK(fs::is_symlink(folder / "link.yaml"));
  CHECK(job::load((folder / "a.yaml").string()) == job::with_row(whole, job::row_text(cavity_reading())));
  CHECK((fs::status(folder / "a.yaml").permissions() & fs::perms::all) ==
        (fs::perms::owner_read | fs::perms::owner_write | fs::perms::group_read));
  CHECK_FALSE(fs::exists(folder / "a.yaml.new"));
  CHECK(job::take_back_last((folder / "a.yaml").string()));
  CHECK_THROWS_AS(job::load((folder / "none.yaml").string()), EnvironmentError);
  CHECK_THROWS_AS(job::append((folder / "none.yaml").string(), "{meter: proved}"), EnvironmentError);
  fs::remove_all(folder);
}
