#include "answer.h"

#include <algorithm>

#include "describe.h"

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

void add_firing_cautions(Answer& answer, const Family& family) {
  answer.json["cautions"] = nlohmann::ordered_json::array();
  for (const std::string& text : firing_cautions(family)) {
    answer.page.emplace_back(CautionText{text});
    answer.json["cautions"].push_back(text);
  }
}

void add_cautions(Answer& answer, const Family& family, const std::vector<std::string_view>& when) {
  answer.json["cautions"] = nlohmann::ordered_json::array();
  for (const Caution& caution : family.cautions) {
    const auto words = rows(family.string_refs, caution.when);
    if (std::none_of(words.begin(), words.end(),
                     [&](Str word) { return std::find(when.begin(), when.end(), family.text(word)) != when.end(); }))
      continue;
    answer.page.emplace_back(CautionText{std::string(family.text(caution.text))});
    answer.json["cautions"].push_back(family.text(caution.text));
  }
}

}  // namespace loomproof::bench
