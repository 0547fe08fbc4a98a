#include "reports/reports.h"

#include <fmt/format.h>

#include <algorithm>

#include "reports/contents.h"
#include "reports/coverage.h"
#include "reports/difference_pages.h"
#include "reports/escape.h"
#include "reports/file_names.h"
#include "reports/pinout.h"
#include "reports/table.h"

namespace loomproof {

using namespace reports;

std::string family_folder(const Family& family) {
  return folder_name(family.text(family.id));
}

std::vector<ReportFile> family_reports(const Family& family, const std::vector<SheetLink>& sheets,
                                       std::string_view page_name) {
  const FamilyView view(family);
  const PinoutPages pinouts(view);
  const std::vector<DifferencePage> differences = difference_pages(view);
  const std::string folder = family_folder(family) + "/";
  std::vector<ReportFile> files;
  files.push_back({folder + "index.md", family_markdown(view, pinouts, differences, sheets, page_name)});
  for (const PinoutPage& page : pinouts.all()) {
    files.push_back({folder + "pinouts/" + page.name + ".md", pinout_markdown(view, pinouts, page)});
    files.push_back({folder + "pinouts/" + page.name + ".csv", pinout_csv(view, page)});
  }
  for (const DifferencePage& page : differences) {
    files.push_back({folder + "differences/" + page.name + ".md", page.markdown});
    files.push_back({folder + "differences/" + page.name + ".csv", page.matrix});
    files.push_back({folder + "differences/" + page.name + ".changes.csv", page.list});
  }
  files.push_back({folder + "coverage.md", coverage_markdown(view, pinouts)});
  files.push_back({folder + "coverage.csv", coverage_csv(view, pinouts)});
  return files;
}

FamilySummary family_summary(const Family& family, const std::vector<ReportFile>& reports) {
  FamilySummary summary;
  summary.folder = family_folder(family);
  summary.title = family.text(family.title);
  for (const Era& era : family.eras) append(summary.eras, family.text(era.id), ", ");
  summary.parts = family.parts.size();
  summary.cells = family.set(family.built).count();
  const std::string pinouts = summary.folder + "/pinouts/";
  for (const ReportFile& file : reports)
    if (file.path.substr(0, pinouts.size()) == pinouts && file.path.substr(file.path.size() - 3) == ".md")
      ++summary.tables;
  return summary;
}

ReportFile corpus_index(std::string_view title, const std::vector<FamilySummary>& families) {
  std::string text = fmt::format(
      "# {}\n\nWritten by `loomproof build` from the corpus: change the corpus, not these files, and build again.\n\n",
      title.empty() ? "Wiring looms" : markdown_text(title));
  MarkdownTable table({{"Family"},
                       {"Eras"},
                       {"Combinations built", true},
                       {"Parts", true},
                       {"Pinout tables", true},
                       {"For a browser"},
                       {"Pack"},
                       {"Bytes", true}});
  for (const FamilySummary& family : families)
    table.add({fmt::format("[{}]({}/index.md)", markdown_text(family.title), family.folder), markdown_text(family.eras),
               std::to_string(family.cells), std::to_string(family.parts), std::to_string(family.tables),
               family.page.empty() ? "" : fmt::format("[{}]({})", family.page, family.page),
               family.pack.empty() ? "" : fmt::format("[{}]({})", family.pack, family.pack),
               std::to_string(family.pack_bytes)});
  return {"index.md", text + table.text()};
}

}  // namespace loomproof
