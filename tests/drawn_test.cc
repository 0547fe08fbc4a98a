// Sheets in their real font, opened with poppler: every word stands within the room that was measured for it.
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <vector>

#include "draw/draw.h"
#include "random_sheet.h"

using namespace loomproof;
using namespace loomproof::testing;
namespace fs = std::filesystem;

namespace {

struct Word {
  size_t page;
  Box box;
  std::string text;
};

// The words of a PDF with their boxes, as `pdftotext -bbox` writes them: one a line.
std::vector<Word> words_of(const std::string& pdf) {
  const fs::path folder = fs::temp_directory_path() / ("drawn_test." + std::to_string(::getpid()));
  fs::create_directories(folder);
  std::ofstream(folder / "a.pdf", std::ios::binary) << pdf;
  const std::string command = "pdftotext -bbox " + (folder / "a.pdf").string() + " " + (folder / "a.html").string();
  REQUIRE(std::system(command.c_str()) == 0);
  std::ifstream in(folder / "a.html");
  std::vector<Word> words;
  size_t page = 0;
  for (std::string line; std::getline(in, line);) {
    if (line.find("<page ") != std::string::npos) ++page;
    double left, top, right, low;
    if (std::sscanf(line.c_str(), " <word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &left, &top, &right,
                    &low) != 4)
      continue;
    const size_t from = line.find('>') + 1;
    words.push_back({page - 1, {left, top, right - left, low - top}, line.substr(from, line.rfind('<') - from)});
  }
  fs::remove_all(folder);
  return words;
}

bool stands_in(const Word& word, const TextRun& run) {
  constexpr double rounding = 0.5;
  const Box &a = word.box, &b = run.box;
  return a.x > b.x - rounding && a.y > b.y - rounding && a.x + a.w < b.x + b.w + rounding &&
         a.y + a.h < b.y + b.h + rounding && run.text.find(word.text) != std::string::npos;
}

size_t letters(const std::string& text) {
  return static_cast<size_t>(std::count_if(text.begin(), text.end(), [](char c) { return c != ' '; }));
}

}  // namespace

// 400 characters is the longest text that the schema takes (common.schema.json); 120 ways.
TEST_CASE("every word is drawn where it was measured, from 2 to 120 ways and names of any length") {
  const auto measure = draw::make_measure();
  size_t seen = 0;
  for (uint32_t seed = 0; seed < 8; ++seed) {
    Maker maker(seed);
    const size_t ways = seed == 0 ? 2 : seed == 1 ? 120 : 2 + maker.below(119);
    const Display display = place(maker.sheet(ways, seed % 2 ? 400 : 48), Paper::a4, *measure);
    size_t placed = 0, drawn = 0;
    for (const Page& page : display.pages)
      for (const TextRun& run : page.texts) placed += letters(run.text);
    for (const Word& word : words_of(draw::to_pdf(display))) {
      drawn += letters(word.text);
      const auto& runs = display.pages.at(word.page).texts;
      INFO("seed " << seed << ", page " << word.page + 1 << ": " << word.text << " at " << word.box.x << ", "
                   << word.box.y);
      CHECK(std::any_of(runs.begin(), runs.end(), [&](const TextRun& run) { return stands_in(word, run); }));
      ++seen;
    }
    INFO("seed " << seed);
    CHECK(drawn == placed);
  }
  CHECK(seen > 5000);
}

TEST_CASE("what is drawn is the same to the byte each time, and its measure with it") {
  Maker one(3), other(3);
  const auto first = draw::make_measure(), second = draw::make_measure();
  CHECK(draw::to_pdf(place(one.sheet(40, 60), Paper::a3, *first)) ==
        draw::to_pdf(place(other.sheet(40, 60), Paper::a3, *second)));
}
