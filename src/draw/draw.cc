#include "draw/draw.h"

#include <cairo-pdf.h>
#include <fmt/format.h>
#include <pango/pangocairo.h>

#include <algorithm>
#include <map>
#include <stdexcept>
#include <unordered_map>

namespace loomproof::draw {
namespace {

using layout::Box;
using layout::Display;
using layout::Page;
using layout::Shape;
using layout::Stroke;
using layout::TextRun;

constexpr const char* font_family = "DejaVu Sans";

template <auto destroy>
struct Destroy {
  template <typename T>
  void operator()(T* object) const {
    destroy(object);
  }
};
using Surface = std::unique_ptr<cairo_surface_t, Destroy<cairo_surface_destroy>>;
using Context = std::unique_ptr<cairo_t, Destroy<cairo_destroy>>;
using Layout = std::unique_ptr<PangoLayout, Destroy<g_object_unref>>;

// One line of text. Metrics without hints are the same at every resolution, so that measure and drawing agree.
class Writer {
 public:
  explicit Writer(cairo_t* context) : layout_(pango_cairo_create_layout(context)) {
    PangoContext* const pango = pango_layout_get_context(layout_.get());
    pango_cairo_context_set_resolution(pango, 72);
    pango_context_set_round_glyph_positions(pango, FALSE);
    cairo_font_options_t* const options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(pango, options);
    cairo_font_options_destroy(options);
    pango_layout_set_single_paragraph_mode(layout_.get(), TRUE);
    pango_layout_set_auto_dir(layout_.get(), FALSE);
  }

  // Pango takes another font where this one is missing, and says nothing.
  void require_font(bool bold) const {
    PangoFontDescription* const wanted = described(text_size_asked, bold);
    PangoContext* const context = pango_layout_get_context(layout_.get());
    PangoFont* const font = pango_context_load_font(context, wanted);
    pango_font_description_free(wanted);
    std::string got;
    bool is_bold = false;
    if (font) {
      PangoFontDescription* const loaded = pango_font_describe(font);
      if (const char* const family = pango_font_description_get_family(loaded)) got = family;
      is_bold = pango_font_description_get_weight(loaded) >= PANGO_WEIGHT_BOLD;
      pango_font_description_free(loaded);
      g_object_unref(font);
    }
    if (got == font_family && is_bold == bold) return;
    throw FontMissing(fmt::format(
        "the font {}{} is not installed ({}): sheets need it; tools/setup installs it", font_family,
        bold ? " Bold" : "", got.empty() ? "there is no font at all" : fmt::format("{} would stand in for it", got)));
  }

  PangoLayout* set(std::string_view text, double size, bool bold) const {
    PangoFontDescription* const font = described(size, bold);
    pango_layout_set_font_description(layout_.get(), font);
    pango_font_description_free(font);
    pango_layout_set_text(layout_.get(), text.data(), static_cast<int>(text.size()));
    return layout_.get();
  }

 private:
  static constexpr double text_size_asked = 8;
  static PangoFontDescription* described(double size, bool bold) {
    PangoFontDescription* const font = pango_font_description_new();
    pango_font_description_set_family_static(font, font_family);
    pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(font, size * PANGO_SCALE);
    return font;
  }
  Layout layout_;
};

class PangoMeasure : public layout::Measure {
 public:
  PangoMeasure()
      : surface_(cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, nullptr)),
        context_(cairo_create(surface_.get())),
        writer_(context_.get()) {
    for (const bool bold : {false, true}) writer_.require_font(bold);
  }
  // Sheets measure the same words again and again; shaping them is most of the work.
  double width(std::string_view text, double size, bool bold) const override {
    std::string key(text);
    key.push_back(bold ? '\1' : '\2');
    const auto [found, is_new] = known_[size].try_emplace(std::move(key), 0.0);
    if (is_new) {
      PangoRectangle logical;
      pango_layout_get_extents(writer_.set(text, size, bold), nullptr, &logical);
      found->second = static_cast<double>(logical.width) / PANGO_SCALE;
    }
    return found->second;
  }

 private:
  Surface surface_;
  Context context_;
  Writer writer_;
  mutable std::map<double, std::unordered_map<std::string, double>> known_;
};

// The corners of a box of which one is cut off.
void trace_bevelled(cairo_t* cairo, const Shape& shape) {
  using layout::Corner;
  const Box& box = shape.box;
  const auto cut = [&](Corner corner) { return shape.bevel == corner ? layout::bevel_size : 0.0; };
  const double right = box.x + box.w, low = box.y + box.h;
  cairo_move_to(cairo, box.x + cut(Corner::top_left), box.y);
  cairo_line_to(cairo, right - cut(Corner::top_right), box.y);
  cairo_line_to(cairo, right, box.y + cut(Corner::top_right));
  cairo_line_to(cairo, right, low - cut(Corner::low_right));
  cairo_line_to(cairo, right - cut(Corner::low_right), low);
  cairo_line_to(cairo, box.x + cut(Corner::low_left), low);
  cairo_line_to(cairo, box.x, low - cut(Corner::low_left));
  cairo_line_to(cairo, box.x, box.y + cut(Corner::top_left));
  cairo_close_path(cairo);
}

void trace(cairo_t* cairo, const Shape& shape) {
  const Box& box = shape.box;
  if (shape.line) {
    cairo_move_to(cairo, box.x, box.y);
    cairo_line_to(cairo, box.x + box.w, box.y + box.h);
    return;
  }
  if (shape.bevel != layout::Corner::none) {
    trace_bevelled(cairo, shape);
    return;
  }
  const double r = std::min(shape.radius, std::min(box.w, box.h) / 2), quarter = 1.5707963267948966;
  if (r <= 0) {
    cairo_rectangle(cairo, box.x, box.y, box.w, box.h);
    return;
  }
  cairo_new_sub_path(cairo);
  cairo_arc(cairo, box.x + box.w - r, box.y + r, r, -quarter, 0);
  cairo_arc(cairo, box.x + box.w - r, box.y + box.h - r, r, 0, quarter);
  cairo_arc(cairo, box.x + r, box.y + box.h - r, r, quarter, 2 * quarter);
  cairo_arc(cairo, box.x + r, box.y + r, r, 2 * quarter, 3 * quarter);
  cairo_close_path(cairo);
}

void draw_shape(cairo_t* cairo, const Shape& shape) {
  if (shape.fill != Shape::no_fill) {
    trace(cairo, shape);
    cairo_set_source_rgb(cairo, (shape.fill >> 16 & 255) / 255.0, (shape.fill >> 8 & 255) / 255.0,
                         (shape.fill & 255) / 255.0);
    cairo_fill(cairo);
  }
  if (shape.stroke == Stroke::none) return;
  trace(cairo, shape);
  const double dash[] = {2.5, 2};
  cairo_set_dash(cairo, dash, shape.stroke == Stroke::dashed ? 2 : 0, 0);
  cairo_set_line_width(cairo, shape.stroke == Stroke::thick ? 1.8 : 0.6);
  cairo_set_source_rgb(cairo, 0, 0, 0);
  cairo_stroke(cairo);
}

void draw_page(cairo_t* cairo, const Writer& writer, const Page& page) {
  for (const Shape& shape : page.shapes) draw_shape(cairo, shape);
  cairo_set_source_rgb(cairo, 0, 0, 0);
  for (const TextRun& run : page.texts) {
    PangoLayout* const text = writer.set(run.text, run.size, run.bold);
    cairo_move_to(cairo, run.box.x,
                  run.box.y + run.size - static_cast<double>(pango_layout_get_baseline(text)) / PANGO_SCALE);
    pango_cairo_show_layout(cairo, text);
  }
}

cairo_status_t take(void* bytes, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void finish(cairo_t* cairo, cairo_surface_t* surface) {
  const cairo_status_t drawn = cairo_status(cairo);
  cairo_surface_finish(surface);
  for (const cairo_status_t status : {drawn, cairo_surface_status(surface)})
    if (status != CAIRO_STATUS_SUCCESS) throw std::runtime_error(cairo_status_to_string(status));
}

}  // namespace

std::unique_ptr<layout::Measure> make_measure() {
  return std::make_unique<PangoMeasure>();
}

std::string to_pdf(const Display& display) {
  std::string bytes;
  const Surface surface(cairo_pdf_surface_create_for_stream(take, &bytes, display.width, display.height));
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, display.title.c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_SUBJECT, display.description.c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "");
  const Context cairo(cairo_create(surface.get()));
  const Writer writer(cairo.get());
  for (const Page& page : display.pages) {
    draw_page(cairo.get(), writer, page);
    cairo_show_page(cairo.get());
  }
  finish(cairo.get(), surface.get());
  return bytes;
}

}  // namespace loomproof::draw
