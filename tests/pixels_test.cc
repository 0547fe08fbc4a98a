// Pages as they look: PDFs made pixels by poppler, against kept pictures of them. UPDATE_EXPECTED=1 rewrites those.
#include <cairo.h>

#include <algorithm>
#include <memory>

#include "draw/draw.h"
#include "layout/sheets.h"
#include "nets/variants.h"
#include "packed.h"
#include "run_bench.h"

using namespace loomproof;
using namespace loomproof::testing;
namespace fs = std::filesystem;

namespace {

constexpr int dots_per_inch = 60;

struct Picture {
  int width = 0, height = 0;
  std::vector<uint8_t> grey;
};

struct Destroy {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, Destroy>;

Picture read_picture(const fs::path& path) {
  const Surface surface(cairo_image_surface_create_from_png(path.c_str()));
  INFO(path.string());
  REQUIRE(cairo_surface_status(surface.get()) == CAIRO_STATUS_SUCCESS);
  REQUIRE(cairo_image_surface_get_format(surface.get()) == CAIRO_FORMAT_RGB24);
  Picture picture{cairo_image_surface_get_width(surface.get()), cairo_image_surface_get_height(surface.get()), {}};
  for (int y = 0; y < picture.height; ++y) {
    const unsigned char* const row =
        cairo_image_surface_get_data(surface.get()) + y * cairo_image_surface_get_stride(surface.get());
    for (int x = 0; x < picture.width; ++x) picture.grey.push_back(row[4 * x]);
  }
  return picture;
}

// Page `number` of a PDF, in greys.
Picture page_of(const fs::path& pdf, int number, const fs::path& png) {
  const std::string page = std::to_string(number);
  const std::string command = "pdftoppm -gray -png -singlefile -r " + std::to_string(dots_per_inch) + " -f " + page +
                              " -l " + page + " " + pdf.string() + " " + fs::path(png).replace_extension().string();
  INFO(command);
  REQUIRE(std::system(command.c_str()) == 0);
  return read_picture(png);
}

// Without the lines at the foot, which change with every change of the corpus: the pack's hash stands there.
Picture without_foot(Picture picture) {
  picture.height -= 52 * dots_per_inch / 72;
  picture.grey.resize(static_cast<size_t>(picture.width * picture.height));
  return picture;
}

// Where two pictures differ: windows in which more than a few pixels are of clearly another grey. So the edges of
// letters may be smoothed in another way, and a frame that moved is seen however large the page is. Our own bounds.
struct Window {
  int x, y;
  long pixels;
};
constexpr int window = 32, clearly = 72, few = 6;

std::vector<Window> differences(const Picture& a, const Picture& b) {
  if (a.width != b.width || a.height != b.height) return {{0, 0, -1}};
  std::vector<Window> found;
  for (int y = 0; y < a.height; y += window / 2)
    for (int x = 0; x < a.width; x += window / 2) {
      long pixels = 0;
      for (int row = y; row < std::min(y + window, a.height); ++row)
        for (int column = x; column < std::min(x + window, a.width); ++column) {
          const auto at = static_cast<size_t>(row * a.width + column);
          pixels += std::abs(static_cast<int>(a.grey[at]) - static_cast<int>(b.grey[at])) > clearly;
        }
      if (pixels > few) found.push_back({x, y, pixels});
    }
  return found;
}

// What was expected, what came, and frames around where they differ, beside each other.
void write_difference(const Picture& expected, const Picture& got, const std::vector<Window>& where,
                      const fs::path& path) {
  const int width = expected.width + got.width, height = std::max(expected.height, got.height);
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
  unsigned char* const data = cairo_image_surface_get_data(surface.get());
  const int stride = cairo_image_surface_get_stride(surface.get());
  const auto paint = [&](const Picture& picture, int right) {
    for (int y = 0; y < picture.height; ++y)
      for (int x = 0; x < picture.width; ++x) {
        unsigned char* const pixel = data + y * stride + 4 * (x + right);
        pixel[0] = pixel[1] = pixel[2] = picture.grey[static_cast<size_t>(y * picture.width + x)];
      }
  };
  paint(expected, 0), paint(got, expected.width);
  cairo_surface_mark_dirty(surface.get());
  cairo_t* const cairo = cairo_create(surface.get());
  cairo_set_source_rgb(cairo, 1, 0, 0);
  for (const Window& one : where)
    for (const int right : {0, expected.width}) {
      cairo_rectangle(cairo, one.x + right + 0.5, one.y + 0.5, window, window);
      cairo_stroke(cairo);
    }
  cairo_destroy(cairo);
  cairo_surface_write_to_png(surface.get(), path.c_str());
}

class Folder {
 public:
  Folder() : path_(fs::temp_directory_path() / ("pixels_test." + std::to_string(::getpid()))) {
    fs::create_directories(path_);
  }
  ~Folder() { fs::remove_all(path_); }
  fs::path operator/(const std::string& name) const { return path_ / name; }

 private:
  fs::path path_;
};

struct Kept {
  const char* name;
  std::string arguments;
  int page = 1;
};
const std::string job = std::string(LOOMPROOF_SOURCE_DIR) + "/tests/fixtures/identify/chassis.yaml";

}  // namespace

TEST_CASE("pages look as they did") {
  const Kept all[] = {
      {"connector", "sheet croft CHASSIS-LOOM.C1 --era c --with exhaust-brake=none --out "},
      {"loom", "sheet croft TAIL-LOOM --era c --out "},
      {"firing", "sheet croft BELT-LOOM --era c --out "},
      {"chart", "sheet croft CHASSIS-LOOM --between eras --out ", 2},
      {"round", "sheet trailer-12v TRAILER.C1 --era ed2012 --with coupling=13-way --out "},
      {"plug-check", "sheet croft TAIL-LOOM.T1 --era c --plug-check --out "},
      {"plan",
       "repin croft TAIL-LOOM --from era=c --to era=c --found 'moved T1.1 T1.2' --found 'moved T1.2 T1.1' "
       "--sheet "},
      {"verification", "verify croft TAIL-LOOM --from era=c --sheet "},
      {"buying", "identify " + job + " --looks-only --sheet "},
  };
  const Folder folder;
  for (const Kept& one : all) {
    const fs::path pdf = folder / "page.pdf", png = folder / "page.png";
    const Run run = run_bench(one.arguments + pdf.string());
    INFO(one.arguments << '\n' << run.err);
    REQUIRE(run.status < 2);
    const Picture got = without_foot(page_of(pdf, one.page, png));
    const fs::path kept = fs::path(LOOMPROOF_SOURCE_DIR) / "tests/fixtures/pixels" / (std::string(one.name) + ".png");
    if (std::getenv("UPDATE_EXPECTED")) {
      fs::create_directories(kept.parent_path());
      if (!fs::exists(kept) || !differences(without_foot(read_picture(kept)), got).empty())
        fs::copy_file(png, kept, fs::copy_options::overwrite_existing);
    }
    const Picture expected = without_foot(read_picture(kept));
    const std::vector<Window> where = differences(expected, got);
    if (where.empty()) continue;
    const fs::path shown = fs::current_path() / ("pixels_" + std::string(one.name) + ".png");
    write_difference(expected, got, where, shown);
    constexpr double points = 72.0 / dots_per_inch;
    FAIL_CHECK(one.name << " looks different in " << where.size() << " windows, the first " << where[0].x * points
                        << ", " << where[0].y * points << " pt from the top left corner, by " << where[0].pixels
                        << " pixels; see " << shown.string());
  }
}

// Each frame and each text of a page, one after the other, 3 pt aside: it is seen. A tenth of a point is not.
TEST_CASE("whatever moves by three points is seen") {
  const Family family = packed("croft");
  const reports::FamilyView view(family);
  Index part = 0;
  while (view.place_id(part) != "TAIL-LOOM") ++part;
  const layout::Display display =
      layout::place(layout::part_sheet(view, part, variants(family, part).at(0).cells, "pack"), layout::Paper::a4,
                    *draw::make_measure());
  const Folder folder;
  const auto picture_of = [&](const layout::Page& page) {
    layout::Display one{display.title, display.description, display.width, display.height, {page}};
    const fs::path pdf = folder / "moved.pdf";
    std::ofstream(pdf, std::ios::binary) << draw::to_pdf(one);
    return page_of(pdf, 1, folder / "moved.png");
  };
  const layout::Page& page = display.pages.at(0);
  const Picture still = picture_of(page);
  CHECK(differences(still, still).empty());
  size_t moved = 0;
  for (size_t at = 0; at < page.shapes.size(); at += 7) {
    if (page.shapes[at].stroke == layout::Stroke::none) continue;  // a tracer within its swatch
    layout::Page other = page;
    (at % 2 ? other.shapes[at].box.x : other.shapes[at].box.y) += 3;
    INFO("shape " << at);
    CHECK_FALSE(differences(still, picture_of(other)).empty());
    ++moved;
  }
  for (size_t at = 0; at < page.texts.size(); at += 9) {
    layout::Page other = page;
    (at % 2 ? other.texts[at].box.x : other.texts[at].box.y) += 3;
    INFO("\"" << page.texts[at].text << "\"");
    CHECK_FALSE(differences(still, picture_of(other)).empty());
    ++moved;
  }
  CHECK(moved > 15);
  layout::Page nudged = page;
  for (layout::TextRun& run : nudged.texts) run.box.x += 0.1;
  CHECK(differences(still, picture_of(nudged)).empty());
}
