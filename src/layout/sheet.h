// A sheet: what is on it, block by block, and where that stands on pages of paper. Whatever the length of a text and
// the number of cavities, nothing is cut, overlaps, or is smaller than smallest_text.
#pragma once
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "family/family.h"
#include "layout/display.h"

namespace loomproof::layout {

enum class Paper { a4, a3, letter };
std::optional<Paper> paper_named(std::string_view word);

struct FaceCavity {
  std::string number;
  int32_t x = 0, y = 0;  // as in the housing
  State state{};
  std::string colour;  // "GN/WH"; of several wires "GN/WH +1"
  std::string link;    // "A": goes to, or comes from, the cavity of another face that has the same
};
// What keeps a plug from going in the wrong way, where the housing's words say where it is.
struct Key {
  enum class Form { words, ribs, bevel, flat, notch } form{};
  bool above = true;       // of ribs and a flat
  int count = 1;           // of ribs
  std::string at, and_at;  // cavities: of a bevel one; of a notch one, or two that it lies between
};
Key key_of(std::string_view words);

struct Face {
  std::vector<FaceCavity> cavities;  // in the order of their numbers
  View given{};                      // the side from which x and y are
  bool round = false;
  std::string words;  // key and latch
  Key key;
  std::string title;  // of a face among others: "CHASSIS-LOOM C7"
};

// What a sheet is made of, from top to bottom.
struct Heading {
  std::string text;
  bool section = false;  // repeated on top of the pages that follow
};
struct Paragraph {
  std::string text;
  bool bold = false;
};
struct Warning {  // within a thick frame, with what belongs to it below
  std::string text;
  std::vector<std::string> cautions;
};
struct FactList {
  std::vector<std::pair<std::string, std::string>> rows;
};
struct BothFaces {  // from the wire side and from the mating side
  Face face;
};
struct LinkedFaces {  // all from the wire side
  std::string heading;
  std::vector<Face> before, after;
};
struct Legend {};  // of the faces of the sheet: what occurs on them, and nothing else
struct Cell {
  enum class Look { plain, changed, uncertain } look{};
  std::string text;
  Cell(std::string words = {}) : text(std::move(words)) {}
  Cell(const char* words) : text(words) {}
  Cell(Look of, std::string words) : look(of), text(std::move(words)) {}
};
struct SheetTable {
  std::string heading;
  std::vector<std::string> heads;  // repeated where the table goes on
  std::vector<std::vector<Cell>> rows;
  std::vector<double> least = {};  // points that a column is wide at least, for what is written by hand; may be empty
  double least_height = 0;         // points that a row is high at least, likewise
};
using Block = std::variant<Heading, Paragraph, Warning, FactList, BothFaces, LinkedFaces, Legend, SheetTable>;

struct Sheet {
  std::string title, description;
  std::vector<Block> blocks;
  std::string foot;  // where it comes from
};

// Portrait, or landscape where that keeps more faces in one piece or takes fewer pages, or as many and a table is wider
// than portrait.
Display place(const Sheet& sheet, Paper paper, const Measure& measure);

// What the marks on these faces mean: of what occurs, and nothing else. Empty where there is no face.
std::string legend_words(const std::vector<const Face*>& faces);

// A picture of one view of a face, as large as it has to be.
Display picture(const Face& face, View view, const Measure& measure);

}  // namespace loomproof::layout
