#include "answer.h"

#include <algorithm>

namespace loomproof::bench {

std::string render(const Answer& answer, Format format, size_t width) {
  switch (format) {
    case Format::text:
      return render_text(answer.page, width);
    case Format::markdown:
      return render_markdown(answer.page);
    case Format::json:
      break;
  }
  return answer.json.dump(2) + '\n';
}

namespace {

// What no pack can leave out, whatever its own cautions say of it.
constexpr std::string_view floor_text =
    "The maker's manual, local codes and licensed practice come before this sheet. Battery disconnected before work. "
    "No "
    "meter, test lamp or other tester on a firing circuit (airbag, belt tensioner).";

}  // namespace

bool has_firing_circuits(const Family& family) {
  return std::any_of(family.circuits.begin(), family.circuits.end(),
                     [](const Circuit& row) { return row.kind == CircuitClass::firing; });
}

void add_cautions(Answer& answer, const Family& family, const std::vector<std::string_view>& when) {
  nlohmann::ordered_json& texts = answer.json["cautions"] = nlohmann::ordered_json::array();
  const auto add = [&](std::string_view text) {
    answer.page.emplace_back(CautionText{std::string(text)});
    texts.push_back(text);
  };
  for (const Caution& caution : family.cautions) {
    const auto words = rows(family.string_refs, caution.when);
    if (std::any_of(words.begin(), words.end(),
                    [&](Str word) { return std::find(when.begin(), when.end(), family.text(word)) != when.end(); }))
      add(family.text(caution.text));
  }
  if (texts.empty()) add(floor_text);
}

}  // namespace loomproof::bench
