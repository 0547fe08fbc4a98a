// Placing the blocks of a sheet on pages, from top to bottom. Internal to the layout.
#pragma once
#include <map>
#include <string>
#include <vector>

#include "layout/sheet.h"

namespace loomproof::layout {

inline constexpr double margin = 34, text_size = 8, head_size = 10, title_size = 14, pad = 2.5;

// One view of a face, scaled; in pieces that each have room on a page, one as a rule.
struct FaceDrawing {
  const Face* face = nullptr;
  std::string words;
  double cell_w = 0;
  std::vector<double> xs, ys;               // of each cavity's cell, its top left corner
  std::vector<std::vector<size_t>> pieces;  // cavities
};
struct FacePiece {
  Box body;
  double radius = 0;
  double above = 0, below = 0;  // room for ribs
  double height() const { return above + body.h + below; }
};

struct TableRow {
  std::vector<std::vector<std::string>> cells;  // their lines
  size_t lines = 1;
  double height = 0;
};

class Placer {
 public:
  // `close`: with smaller gaps.
  Placer(const Sheet& sheet, double width, double height, const Measure& measure, bool close = false);
  Display place();
  // The width that tables would have without wrapping.
  double natural_width() const;
  size_t parted() const { return parted_; }  // faces that had no room in one piece
  size_t sparse() const;                     // pages of which less than a third is used

  void operator()(const Heading& heading);
  void operator()(const Paragraph& paragraph);
  void operator()(const Warning& warning);
  void operator()(const FactList& facts);
  void operator()(const BothFaces& faces);
  void operator()(const LinkedFaces& faces);
  void operator()(const Legend& legend);
  void operator()(const SheetTable& table);

 private:
  friend Display picture(const Face& face, View view, const Measure& measure);
  struct Linked {
    size_t page = 0;
    Box cell;
  };
  using Links = std::multimap<std::string, Linked>;

  struct Mark {  // how far the placing has come
    size_t pages, shapes, texts;
    double y, head_bottom;
    std::string section;
    size_t parted;
  };
  Mark mark() const;
  void back_to(const Mark& mark);
  size_t place_together(size_t at);
  Page& page() { return display_.pages.back(); }
  void new_page();
  void end_page();
  std::string page_head(const std::string& section) const;
  double top() const { return head_bottom_; }  // where a page's own matter begins
  // A new page where that much has no room any more.
  void need(double height);
  void text(double x, double y, const std::string& what, double size, bool bold);
  void centred(double x, double y, double w, const std::string& what, double size, bool bold);
  double start_of(const std::string& what, double size, bool bold) const;
  void lines(const std::string& what, double size, bool bold, double indent = 0);
  double heading_height(const std::string& what) const;
  void heading(const std::string& what, double with);

  double cell_width(const Face& face) const;
  FaceDrawing drawing_of(const Face& face, View view, double scale) const;
  FacePiece piece_of(const FaceDrawing& drawing, size_t number) const;
  void draw(const FaceDrawing& drawing, size_t number, double x, double y, Links* links = nullptr);
  void draw_key(const FaceDrawing& drawing, const FacePiece& piece, double x, double y);
  void cavity(const FaceDrawing& drawing, const FaceCavity& cavity, double x, double y);
  void pieces(const FaceDrawing& drawing);
  void linked_row(const std::vector<FaceDrawing>& drawings, bool titles_below, Links& links);

  std::vector<double> natural_columns(const SheetTable& table) const;
  std::vector<double> columns(const SheetTable& table) const;
  double row_height(size_t lines) const { return static_cast<double>(lines) * line_height(text_size) + 2 * row_pad_; }
  TableRow wrapped(const SheetTable& table, const std::vector<double>& widths, size_t number) const;
  TableRow wrapped_head(const SheetTable& table, const std::vector<double>& widths) const;
  double fresh_room(double head_room) const;
  double start_of(const SheetTable& table, const std::vector<double>& widths) const;
  void head(const SheetTable& table, const std::vector<double>& widths);
  void feet();

  const Sheet& sheet_;
  const Measure& measure_;
  Display display_;
  double row_pad_, gap_, width_ = 0, y_ = 0, bottom_ = 0, head_bottom_ = margin, title_bottom_ = 0;
  double sure_room_ = 0;  // below a page's head, its title and a section's heading
  std::string section_;
  size_t parted_ = 0;
  std::vector<std::string> foot_;
  std::vector<double> filled_;  // of each page that was left, 0 to 1
};

}  // namespace loomproof::layout
