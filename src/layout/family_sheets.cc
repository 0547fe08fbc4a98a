#include "layout/family_sheets.h"

#include <fmt/format.h>

#include "family/words.h"
#include "layout/sheets.h"
#include "nets/variants.h"
#include "reports/file_names.h"
#include "reports/pinout.h"

namespace loomproof::layout {

std::vector<FamilySheet> family_sheets(const Family& family, std::string_view source) {
  const reports::FamilyView view(family);
  reports::FileNames names;
  std::vector<FamilySheet> all;
  const auto add = [&](std::string what, std::string title, const std::string& name, Sheet sheet) {
    if (!sheet.blocks.empty())
      all.push_back({{std::move(what), std::move(title), "sheets/" + names.claim(name)}, std::move(sheet)});
  };
  for (const Index part : reports::parts_by_place(family)) {
    if (family.parts[part].kind != PartKind::loom) continue;
    CellSet cells;
    for (const Variant& variant : variants(family, part)) cells = cells | variant.cells;
    if (cells.empty()) continue;
    const std::string place = view.place_id(part), words = view.cells_words(cells);
    add("Looms", words == "all" ? place : fmt::format("{} in {}", place, words),
        fmt::format("{}--{}", reports::file_word(place), cells_slug(family, cells, view.built())),
        part_sheet(view, part, cells, source));
  }
  for (Index place = 0; place < family.places.size() && family.eras.size() > 1; ++place) {
    const std::string_view id = family.text(family.places[place].id);
    add("What differs between eras", std::string(id), reports::file_word(id) + "--between-eras",
        difference_chart(view, place, 0, source));
  }
  return all;
}

}  // namespace loomproof::layout
