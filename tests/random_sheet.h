// Generated sheets, and a measure that needs no font.
#pragma once
#include <algorithm>
#include <random>
#include <string>

#include "layout/sheet.h"

namespace loomproof::testing {

using namespace loomproof::layout;

// Every character as wide as the widest common one of a sans serif, more where it is bold.
class Fixed : public Measure {
 public:
  double width(std::string_view text, double size, bool bold) const override {
    const auto characters = std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; });
    return static_cast<double>(characters) * size * (bold ? 0.7 : 0.62);
  }
};

class Maker {
 public:
  explicit Maker(uint32_t seed) : random_(seed) {}
  size_t below(size_t count) { return random_() % count; }
  std::string name(size_t longest) {
    std::string text;
    for (size_t left = 1 + below(longest); left > 0; --left) text += below(9) == 0 ? ' ' : "aiMWgö"[below(5)];
    return text;
  }
  Face face(size_t ways) {
    Face made;
    made.title = name(40);
    made.round = below(3) == 0;
    const size_t rows = 1 + below(4);
    static const char* const colours[] = {"GN/WH", "BU", "light BU/YE", "GNYE", "", "BK +1"};
    for (size_t way = 0; way < ways; ++way) {
      FaceCavity cavity{
          below(9) ? std::to_string(way + 1) : name(8), 0, 0, static_cast<State>(below(5)), colours[below(6)], {}};
      cavity.x = static_cast<int32_t>(way / rows * 400 + (way % rows) * below(2) * 100);
      cavity.y = static_cast<int32_t>(way % rows * 350);
      if (made.round) cavity.x = static_cast<int32_t>(way % 7 * 510 + way), cavity.y = static_cast<int32_t>(way * 97);
      made.cavities.push_back(cavity);
    }
    static const char* const keys[] = {"one rib above",
                                       "two ribs below",
                                       "a flat above",
                                       "a flat below",
                                       "bevelled corner at cavity 1",
                                       "a notch beside cavity 2",
                                       "a notch between cavities 1 and 2",
                                       "as it comes"};
    made.words = keys[below(8)];
    made.key = key_of(made.words);
    return made;
  }
  Sheet sheet(size_t ways, size_t longest) {
    Sheet made;
    made.title = name(longest), made.description = "generated", made.foot = name(2 * longest);
    FactList facts;
    for (size_t fact = 0; fact < 6; ++fact) facts.rows.emplace_back(below(4) ? "Fact" : name(longest), name(longest));
    Warning warning{below(2) ? "FIRING CIRCUIT. " + name(100) : name(longest), {}};
    for (size_t caution = 0; caution < 5; ++caution) warning.cautions.push_back(name(600));
    if (below(2)) made.blocks.push_back(warning);
    made.blocks.push_back(facts);
    if (below(2)) made.blocks.push_back(Heading{name(longest), true});
    made.blocks.push_back(BothFaces{face(ways)});
    made.blocks.push_back(Legend{});
    SheetTable table{below(2) ? name(longest) : "",
                     {"Cavity", "State", "Circuit", "Function", "Colour", "mm²", "Far ends", "Source", "Note"},
                     {}};
    for (size_t way = 0; way < ways; ++way) {
      table.rows.emplace_back();
      for (size_t cell = 0; cell < 9; ++cell)
        table.rows.back().emplace_back(static_cast<Cell::Look>(below(3)), below(4) ? name(12) : name(longest));
    }
    if (below(2)) table.least = {0, 0, 0, 0, 0, 0, 0, 80, 90};
    made.blocks.push_back(table);
    made.blocks.push_back(Heading{name(longest), below(2) == 0});
    made.blocks.push_back(Paragraph{name(3 * longest), below(2) == 0});
    return made;
  }
  // Cavities of some faces that stand somewhere else afterwards.
  Sheet linked(size_t ways) {
    Sheet made;
    made.title = name(40), made.description = "generated", made.foot = name(40);
    LinkedFaces faces;
    faces.heading = name(200);
    for (size_t count = 1 + below(3); count > 0; --count) faces.before.push_back(face(ways));
    for (size_t count = 1 + below(3); count > 0; --count) faces.after.push_back(face(2 + below(ways)));
    for (size_t link = 0; link < ways / 2; ++link)
      for (std::vector<Face>* side : {&faces.before, &faces.after}) {
        Face& one = (*side)[below(side->size())];
        one.cavities[below(one.cavities.size())].link = std::string(1 + link / 26, static_cast<char>('A' + link % 26));
      }
    made.blocks.push_back(Heading{"From a to b", true});
    made.blocks.push_back(faces);
    made.blocks.push_back(Legend{});
    return made;
  }

 private:
  std::mt19937 random_;
};

}  // namespace loomproof::testing
