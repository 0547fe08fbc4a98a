// Sheets as loombench writes them, opened with other programs: poppler for PDF, libxml2 for SVG.
#include <algorithm>

#include "run_bench.h"

using namespace loomproof::testing;
namespace fs = std::filesystem;

namespace {

class Folder {
 public:
  Folder() : path_(fs::temp_directory_path() / ("sheet_test." + std::to_string(::getpid()))) {
    fs::create_directories(path_);
  }
  ~Folder() { fs::remove_all(path_); }
  std::string file(const std::string& name) const { return (path_ / name).string(); }
  size_t files() const {
    return static_cast<size_t>(std::distance(fs::directory_iterator(path_), fs::directory_iterator()));
  }
  // What another program prints; it has to be there and to succeed.
  std::string shell(const std::string& command) const {
    INFO(command);
    const fs::path out = path_ / "shell.out";
    REQUIRE(std::system((command + " >" + out.string() + " 2>&1").c_str()) == 0);
    const std::string text = read_file(out);
    fs::remove(out);
    return text;
  }

 private:
  fs::path path_;
};

bool holds(const std::string& text, const std::string& what) {
  return text.find(what) != std::string::npos;
}

const std::string c1 = "sheet croft CHASSIS-LOOM.C1 --era c --with exhaust-brake=none --out ";

}  // namespace

TEST_CASE("a PDF: pages, fonts within it, text in reading order") {
  const Folder folder;
  const std::string file = folder.file("c1.pdf");
  const Run run = run_bench(c1 + file);
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.out.empty());
  const std::string info = folder.shell("pdfinfo " + file);
  CHECK(holds(info, "CHASSIS-LOOM C1"));
  CHECK_FALSE(holds(info, "CreationDate"));
  CHECK(holds(info, "(A4)"));
  const std::string fonts = folder.shell("pdffonts " + file);
  CHECK(holds(fonts, "DejaVuSans"));
  CHECK_FALSE(holds(fonts, " no  "));  // the first of the columns emb, sub, uni
  const std::string text = folder.shell("pdftotext -raw " + file + " -");
  CHECK(holds(text, "page 1 of"));
  size_t at = 0;
  for (const char* const words :
       {"CHASSIS-LOOM C1", "Family", "seen from the wire side", "seen from the mating side", "Far ends", "Cautions"}) {
    INFO(words);
    const size_t found = text.find(words, at);
    REQUIRE(found != std::string::npos);
    at = found;
  }
}

// Every connector of the loom, in the order of its contents, each with both views and its table; heads on every page.
TEST_CASE("a loom sheet: all its connectors, text that can be marked, in reading order") {
  const Folder folder;
  const std::string file = folder.file("loom.pdf");
  const Run run =
      run_bench("sheet croft CHASSIS-LOOM --era c --with exhaust-brake=none --with supply=24V --out " + file);
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK_FALSE(holds(folder.shell("pdffonts " + file), " no  "));
  const std::string text = folder.shell("pdftotext -raw " + file + " -");
  size_t at = text.find("Read the cautions");
  for (const char* const words :
       {"On the faces", "Connectors", "\nC1\n", "seen from the wire side", "seen from the mating side", "RACK-POS",
        "\nC8\n", "\nC30\n", "\nC44\n", "Splices", "Earth points", "Sources", "Cautions"}) {
    INFO(words);
    const size_t found = text.find(words, at);
    REQUIRE(found != std::string::npos);
    at = found;
  }
  const std::string pages = folder.shell("pdfinfo " + file + " | sed -n 's/^Pages: *//p'");
  const size_t count = std::stoul(pages);
  REQUIRE(count > 4);
  for (size_t page = 1; page <= count; ++page) {
    const std::string number = std::to_string(page);
    const std::string one = folder.shell("pdftotext -raw -f " + number + " -l " + number + " " + file + " -");
    CHECK(holds(one, "page " + number + " of " + std::to_string(count)));
    CHECK(holds(one, "CHASSIS-LOOM: Chassis loom"));
    CHECK(holds(one, "pack "));
  }
}

TEST_CASE("a loom with a firing circuit says so before all else, and at its plugs") {
  const Folder folder;
  const std::string file = folder.file("belt.pdf");
  REQUIRE(run_bench("sheet croft BELT-LOOM --era c --out " + file).status == 0);
  const std::string text = folder.shell("pdftotext -raw " + file + " -");
  CHECK(text.find("CONNECTORS WITH A FIRING CIRCUIT") < text.find("Family"));
  CHECK(text.find("Family") < text.find("FIRING CIRCUIT. Never put a probe"));
}

// The declared changes of the croft, as its changes/*.yaml has them.
TEST_CASE("a chart of eras: symbols, reasons, sources, and faces before and after") {
  const Folder folder;
  const std::string file = folder.file("chart.pdf");
  REQUIRE(run_bench("sheet croft CHASSIS-LOOM --between eras --out " + file).status == 0);
  const std::string text = folder.shell("pdftotext -raw " + file + " -");
  for (const char* const words : {"▲", "From b: Series B to c: Series C", "Because", "croft-manual-c",
                                  "Cavities that moved", "the same letter before and after"}) {
    INFO(words);
    CHECK(holds(text, words));
  }
}

// fontconfig is told of a folder in which the font is not.
TEST_CASE("without its font nothing is drawn, and the font is named") {
  const Folder folder;
  const std::string config = folder.file("fonts.conf");
  std::ofstream(config) << "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\"><fontconfig><dir>"
                        << folder.file("fonts") << "</dir><cachedir>" << folder.file("cache")
                        << "</cachedir></fontconfig>\n";
  fs::create_directories(folder.file("fonts"));
  for (const bool other : {false, true}) {
    if (other) fs::copy("/usr/share/fonts/truetype/dejavu/DejaVuSansMono.ttf", folder.file("fonts"));
    ::setenv("FONTCONFIG_FILE", config.c_str(), 1);
    const Run run = run_bench(c1 + folder.file("a.pdf"));
    ::unsetenv("FONTCONFIG_FILE");
    INFO(run.err);
    CHECK(run.status == 2);
    CHECK(holds(run.err, "the font DejaVu Sans is not installed"));
    CHECK(holds(run.err, "tools/setup"));
    CHECK_FALSE(fs::exists(folder.file("a.pdf")));
  }
}

TEST_CASE("a re-pin plan to tick off: every step with a box, cautions first") {
  const Folder folder;
  const std::string file = folder.file("plan.pdf");
  const Run run = run_bench(
      "repin croft TAIL-LOOM --from era=c --to era=c --found 'moved T1.1 T1.2' --found 'moved T1.2 T1.1' --sheet " +
      file);
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(holds(run.out, "Steps, reversible ones first"));  // and as ever on the terminal
  const std::string text = folder.shell("pdftotext -raw " + file + " -");
  size_t boxes = 0;
  for (size_t at = text.find("☐"); at != std::string::npos; at = text.find("☐", at + 1)) ++boxes;
  CHECK(boxes == 3);  // one terminal out for a while, two moves, as README.md has it
  for (const char* const words : {"Re-pinning croft TAIL-LOOM", "Reading", "continuity", "pack ", "page 1 of"}) {
    INFO(words);
    CHECK(holds(text, words));
  }
  CHECK(run_bench("repin croft TAIL-LOOM --from era=c --to era=c --sheet " + folder.file("plan.txt")).status == 2);
}

TEST_CASE("verification sheet, decision sheet and card for buying, with boxes") {
  const Folder folder;
  const std::string job = std::string(LOOMPROOF_SOURCE_DIR) + "/tests/fixtures/identify/chassis.yaml";
  const auto boxes_of = [&](const std::string& arguments) {
    const std::string file = folder.file("sheet.pdf");
    const Run run = run_bench(arguments + " --sheet " + file);
    INFO(arguments << '\n' << run.err);
    CHECK(run.status == 0);
    const std::string text = folder.shell("pdftotext -raw " + file + " -");
    CHECK(holds(text, "page 1 of"));
    CHECK(holds(text, "manual"));  // the cautions
    size_t boxes = 0;
    for (size_t at = text.find("☐"); at != std::string::npos; at = text.find("☐", at + 1)) ++boxes;
    return boxes;
  };
  CHECK(boxes_of("verify croft TAIL-LOOM --from era=c") == 4 + 16 + 6);  // plugs, opens, bridges
  CHECK(boxes_of("identify " + job + " --plan") == 0);                   // steps lead on by their answers
  CHECK(boxes_of("identify " + job + " --looks-only") > 20);
  CHECK(run_bench("verify croft TAIL-LOOM --from era=c --sheet " + folder.file("a.txt")).status == 2);
}

TEST_CASE("a plug-check sheet: boxes, cautions first, and none to tick on what fires") {
  const Folder folder;
  const auto text_of = [&](const std::string& what) {
    const std::string file = folder.file("check.pdf");
    const Run run = run_bench("sheet croft " + what + " --era c --plug-check --out " + file);
    INFO(run.err);
    REQUIRE(run.status == 0);
    return folder.shell("pdftotext -raw " + file + " -");
  };
  const auto boxes_in = [](const std::string& text) {
    size_t boxes = 0;
    for (size_t at = text.find("☐"); at != std::string::npos; at = text.find("☐", at + 1)) ++boxes;
    return boxes;
  };
  const std::string plug = text_of("TAIL-LOOM.T1");
  CHECK(plug.find("Cautions") < plug.find("By eye alone"));
  CHECK(plug.find("By eye alone") < plug.find("seen from the wire side"));
  CHECK(boxes_in(plug) == 7 + 10);  // of the plug, whose key is not recorded; its cavities
  const std::string loom = text_of("TAIL-LOOM");
  CHECK(boxes_in(loom) > boxes_in(plug));
  for (const char* const words : {"\nT1\n", "Terminals", "sealed: closed by a plug", "GY/BK grey with black tracer"})
    CHECK(holds(loom, words));
  const std::string firing = text_of("BELT-LOOM.Y1");
  CHECK(firing.find("FIRING CIRCUIT") < firing.find("Family"));
  CHECK_FALSE(holds(firing, "Terminals"));
  CHECK(boxes_in(firing) == 5);  // what is outside; no cavity
  CHECK(run_bench("sheet croft TAIL-LOOM --between eras --plug-check --out " + folder.file("a.pdf")).status == 2);
}

// What the two say, letter by letter; spaces and line ends are for each to set.
TEST_CASE("SVG and PDF say the same in the same order") {
  const Folder folder;
  const auto letters_of = [&](const std::string& command) {
    std::string text = folder.shell(command);
    text.erase(std::remove_if(text.begin(), text.end(), [](unsigned char c) { return c <= ' '; }), text.end());
    return text;
  };
  for (const std::string what : {"croft CHASSIS-LOOM.C1 --era c --with exhaust-brake=none", "croft TAIL-LOOM --era c",
                                 "croft BELT-LOOM --era c --plug-check", "croft CHASSIS-LOOM --between eras"}) {
    INFO(what);
    const std::string pdf = folder.file("a.pdf"), svg = folder.file("a.svg");
    REQUIRE(run_bench("sheet " + what + " --out " + pdf).status == 0);
    REQUIRE(run_bench("sheet " + what + " --out " + svg).status == 0);
    const std::string drawn = letters_of("pdftotext -raw " + pdf + " -");
    const std::string marked = letters_of("xmllint --xpath '//*[local-name()=\"text\"]/text()' " + svg +
                                          " | sed 's/&lt;/</g; s/&gt;/>/g; s/&amp;/\\&/g'");
    CHECK(drawn.size() > 1000);
    CHECK(drawn == marked);
  }
}

TEST_CASE("papers") {
  const Folder folder;
  const std::string file = folder.file("c1.pdf");
  REQUIRE(run_bench(c1 + file + " --paper A3").status == 0);
  CHECK(holds(folder.shell("pdfinfo " + file), "(A3)"));
  REQUIRE(run_bench(c1 + file + " --paper Letter").status == 0);
  CHECK(holds(folder.shell("pdfinfo " + file), "(letter)"));
}

TEST_CASE("an SVG parses and says in words what it shows; two runs give the same bytes") {
  const Folder folder;
  for (const std::string name : {"c1.svg", "c1.pdf"}) {
    const std::string file = folder.file(name);
    REQUIRE(run_bench(c1 + file).status == 0);
    const std::string first = read_file(file);
    REQUIRE(run_bench(c1 + file).status == 0);
    CHECK(!first.empty());
    CHECK((first == read_file(file)));
  }
  const std::string svg = folder.file("c1.svg");
  CHECK(folder.shell("xmllint --noout " + svg).empty());
  CHECK(holds(folder.shell("xmllint --xpath 'string(/*/*[local-name()=\"title\"])' " + svg), "CHASSIS-LOOM C1"));
  CHECK(holds(folder.shell("xmllint --xpath 'string(/*/*[local-name()=\"desc\"])' " + svg), "Pinout sheet of"));
  CHECK(folder.files() == 2);  // nothing is left beside them
}

TEST_CASE("what cannot be written is one line, and no file") {
  const Folder folder;
  const std::pair<std::string, std::string> wrong[] = {
      {"sheet croft CHASSIS-LOOM.C1 --out " + folder.file("a.pdf"), "variants there, choose by --era and --with"},
      {"sheet croft CHASSIS-LOOM.C99 --out " + folder.file("a.pdf"), "C99"},
      {"sheet croft CHASSIS-LOOM --out " + folder.file("a.pdf"), "variants there, choose by --era and --with"},
      {c1 + folder.file("a.png"), ".svg or .pdf"},
      {c1 + folder.file("a.pdf") + " --paper B5", "A4, A3, Letter"},
      {c1 + folder.file("none/a.pdf"), "cannot write"},
      {"sheet croft CHASSIS-LOOM.C1 --era c", "--out"},
  };
  for (const auto& [arguments, words] : wrong) {
    const Run run = run_bench(arguments);
    INFO(arguments << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(holds(run.err, words));
    CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 1);
  }
  CHECK(folder.files() == 0);
}
