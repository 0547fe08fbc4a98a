#include "reports/cautions.h"

#include <fmt/format.h>

#include <algorithm>

#include "reports/escape.h"

namespace loomproof::reports {
namespace {

const std::vector<std::string_view> firing_words{"always", "battery", "firing", "sheath", "high-voltage"};

std::vector<std::string> texts(const FamilyView& view, const std::vector<std::string_view>& when) {
  const Family& family = view.family();
  std::vector<std::string> found;
  for (const Caution& caution : family.cautions)
    for (Str word : rows(family.string_refs, caution.when)) {
      if (std::find(when.begin(), when.end(), family.text(word)) == when.end()) continue;
      found.emplace_back(family.text(caution.text));
      break;
    }
  return found;
}

std::string bullets(const std::vector<std::string>& items, std::string_view prefix) {
  std::string text;
  for (const std::string& item : items) text += fmt::format("{}- {}\n", prefix, markdown_line(item));
  return text;
}

std::string firing_block(const FamilyView& view, std::string_view mark) {
  const std::string items = bullets(texts(view, firing_words), "> ");
  return fmt::format("> **{}**\n{}{}\n", mark, items.empty() ? "" : ">\n", items);
}

}  // namespace

std::string_view firing_mark(Danger danger) {
  return danger == Danger::firing
             ? "FIRING CIRCUIT. Never put a probe, meter or test lamp on any cavity of this connector."
             : "MAY CARRY A FIRING CIRCUIT. Cavities of this connector are unknown or disputed, and its housing "
               "carries a firing circuit elsewhere: never put a probe, meter or test lamp on any of them.";
}

std::string cautions_above(const FamilyView& view, Danger danger) {
  if (danger == Danger::ordinary)
    return "Read the cautions below the table before a hand or a probe goes near the plug.\n\n";
  return firing_block(view, firing_mark(danger));
}

std::string cautions_above_marked_rows(const FamilyView& view) {
  return firing_block(
      view,
      "FIRING CIRCUITS. Never put a probe, meter or test lamp on anything in a row marked FIRING, nor on "
      "any other cavity of the same connector.");
}

std::vector<std::string> caution_texts(const FamilyView& view, Danger danger) {
  if (danger != Danger::ordinary) return texts(view, firing_words);
  std::vector<std::string_view> when{"always", "sheath", "high-voltage", "probe", "load"};
  if (view.any_firing()) when.insert(when.end(), {"battery", "firing"});
  return texts(view, when);
}

std::vector<std::string> cautions_to_look(const FamilyView& view, Danger danger) {
  if (danger != Danger::ordinary || view.any_firing()) return texts(view, firing_words);
  return texts(view, {"always", "sheath", "high-voltage"});
}

std::string cautions_below(const FamilyView& view, Danger danger) {
  if (danger != Danger::ordinary) return {};
  const std::string items = bullets(caution_texts(view, danger), "");
  return items.empty() ? items : "## Cautions\n\n" + items + "\n";
}

std::string cautions_always(const FamilyView& view) {
  const std::string items = bullets(texts(view, {"always"}), "");
  return items.empty() ? items : items + "\n";
}

}  // namespace loomproof::reports
