#include "reports/contents.h"

#include <fmt/format.h>

#include "family/words.h"
#include "reports/cautions.h"
#include "reports/escape.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

class Contents {
 public:
  Contents(const FamilyView& view, const PinoutPages& pages, const std::vector<DifferencePage>& differences,
           const std::vector<SheetLink>& sheets, std::string_view page)
      : view_(view), family_(view.family()), pages_(pages), differences_(differences), sheets_(sheets), page_(page) {}
  std::string text() const;

 private:
  std::string eras() const;
  std::string options() const;
  std::string built() const;
  std::string reports() const;
  std::string sheets() const;
  std::string pinouts() const;
  std::string without_tables() const;

  const FamilyView& view_;
  const Family& family_;
  const PinoutPages& pages_;
  const std::vector<DifferencePage>& differences_;
  const std::vector<SheetLink>& sheets_;
  std::string_view page_;
};

std::string Contents::eras() const {
  MarkdownTable table({{"Era"}, {"Title"}, {"Built"}, {"From number", true}, {"Also the one before, until"}});
  for (const Era& era : family_.eras)
    table.add({markdown_text(family_.text(era.id)), markdown_text(family_.text(era.title)), span_words(era),
               era.number_from == not_given ? "" : std::to_string(era.number_from), month_text(era.run_out)});
  return "## Eras\n\n" + table.text();
}

std::string Contents::options() const {
  MarkdownTable table({{"Option"}, {"Value"}, {"Title"}, {"Supply"}});
  for (const Option& option : family_.options)
    for (const OptionValue& value : rows(family_.option_values, option.values))
      table.add({markdown_text(family_.text(option.title == 0 ? option.id : option.title)),
                 markdown_text(family_.text(value.id)), markdown_text(family_.text(value.title)),
                 volts_text(value.supply)});
  return table.empty() ? "" : "## Options\n\n" + table.text();
}

std::string Contents::built() const {
  std::string text = "## What was built\n\n";
  for (Cells build : family_.builds)
    text += fmt::format("- {}\n",
                        markdown_line(cells_text(family_, family_.set(build), CellSet::first(family_.cell_count()))));
  return text + "\n";
}

std::string Contents::reports() const {
  std::string text = "## Reports\n\n";
  for (const DifferencePage& page : differences_)
    text += fmt::format(
        "- [{}](differences/{}.md): {} and {}; CSV: [matrix](differences/{}.csv), "
        "[changes](differences/{}.changes.csv)\n",
        markdown_text(page.title), page.name, count_words(page.rows, "row that differs", "rows that differ"),
        count_words(page.changes, "declared step", "declared steps"), page.name, page.name);
  return text + "- [What is known, and what it rests on](coverage.md); [CSV](coverage.csv)\n\n";
}

std::string Contents::sheets() const {
  std::string text, what;
  for (const SheetLink& sheet : sheets_) {
    if (sheet.what != what) text += fmt::format("{}{}:\n\n", what.empty() ? "" : "\n", markdown_line(sheet.what));
    what = sheet.what;
    text += fmt::format("- [{}]({})\n", markdown_text(sheet.title), sheet.path);
  }
  return text.empty() ? text : "## On paper\n\n" + text + "\n";
}

std::string Contents::pinouts() const {
  MarkdownTable table({{"Place"}, {"Title"}, {"Part"}, {"Connector"}, {"Where"}, {"Tables"}});
  for (size_t first = 0; first < pages_.all().size();) {
    const Index connector_index = pages_.all()[first].connector;
    const Connector& connector = family_.connectors[connector_index];
    const Part& part = family_.parts[connector.part];
    std::string links;
    bool dangerous = false;
    for (; first < pages_.all().size() && pages_.all()[first].connector == connector_index; ++first) {
      const PinoutPage& page = pages_.all()[first];
      append(links,
             fmt::format("[{}](pinouts/{}.md) ([CSV](pinouts/{}.csv))",
                         markdown_text(view_.cells_words(page.pinout.cells)), page.name, page.name),
             "; ");
      dangerous = dangerous || is_dangerous(view_, page);
    }
    const ConnectorRow& row = family_.connector_rows[connector.rows.first];
    table.add({markdown_text(view_.place_id(connector.part)), markdown_text(family_.text(part.title)),
               markdown_code(family_.text(part.id)),
               markdown_text(family_.text(connector.designator)) + (dangerous ? " **FIRING**" : ""),
               markdown_text(family_.text(row.where)), links});
  }
  return "## Pinout tables\n\n" + table.text();
}

// Places that no table is about, so that nobody takes them for forgotten.
std::string Contents::without_tables() const {
  std::string text;
  for (Index place = 0; place < family_.places.size(); ++place) {
    bool held = false;
    for (uint32_t cell : view_.cells()) held = held || view_.index().part_in(place, cell) != none;
    if (held) continue;
    const Place& row = family_.places[place];
    std::string words =
        fmt::format("- {}: {}", markdown_line(family_.text(row.id)), markdown_text(family_.text(row.title)));
    if (row.undocumented) words += " (undocumented: nothing is recorded of what is in it)";
    text += words + "\n";
  }
  return text.empty() ? text : "Places without a table:\n\n" + text + "\n";
}

std::string Contents::text() const {
  std::string text = fmt::format("# {}\n\n[All families](../index.md)\n\n", markdown_text(family_.text(family_.title)));
  if (!page_.empty())
    text += fmt::format("[All of it on one page for a browser]({}), which needs nothing beside it.\n\n", page_);
  if (view_.any_firing())
    text +=
        "**This family has firing circuits (airbag, belt tensioner). Never probe a connector that is marked "
        "FIRING.**\n\n";
  return text + cautions_always(view_) + eras() + options() + built() + reports() + sheets() + pinouts() +
         without_tables();
}

}  // namespace

std::string span_words(const Era& era) {
  const std::string from = month_text(era.from), to = month_text(era.to);
  if (from.empty()) return to.empty() ? "" : "until " + to;
  return to.empty() ? "from " + from : from + " to " + to;
}

std::string family_markdown(const FamilyView& view, const PinoutPages& pages,
                            const std::vector<DifferencePage>& differences, const std::vector<SheetLink>& sheets,
                            std::string_view page) {
  return Contents(view, pages, differences, sheets, page).text();
}

}  // namespace loomproof::reports
