#include "upkeep/tags.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "diag/render.h"
#include "diag/suggest.h"

namespace loomproof::upkeep {

namespace {

std::vector<std::string> list_items(const std::string& text) {
  std::vector<std::string> items;
  for (size_t begin = 0; begin <= text.size();) {
    const size_t end = std::min(text.find(',', begin), text.size());
    std::string item = text.substr(begin, end - begin);
    while (item.starts_with(' ')) item.erase(0, 1);
    while (item.ends_with(' ')) item.pop_back();
    items.push_back(item);
    begin = end + 1;
  }
  return items;
}

std::string list_text(const std::vector<std::string>& items) {
  if (items.size() == 1) return items.front();
  std::string text;
  for (const std::string& item : items) text += (text.empty() ? "" : ", ") + item;
  return "[" + text + "]";
}

std::string unknown_word(std::string_view kind, std::string_view name, const std::vector<std::string_view>& known) {
  const std::string_view near = nearest(name, known);
  return fmt::format("no {} is named `{}`{}", kind, printable(name),
                     near.empty() ? "" : fmt::format("; did you mean `{}`?", near));
}

class TagsReader {
 public:
  explicit TagsReader(const Family& family) : family_(family) { out_.cells = CellSet::first(family.cell_count()); }

  TagsRead read(const std::string& eras, const std::vector<std::string>& with) {
    if (!eras.empty()) read_eras(eras);
    std::string options;
    for (const std::string& option : with) read_option(option, options);
    if (!options.empty()) out_.text += fmt::format("{}with: {{{}}}", out_.text.empty() ? "" : ", ", options);
    return std::move(out_);
  }

 private:
  void fail(std::string problem) {
    if (out_.problem.empty()) out_.problem = std::move(problem);
  }

  void keep(uint32_t axis, const std::vector<bool>& values) {
    for (const uint32_t cell : out_.cells.cells())
      if (!values[family_.coordinate(cell, axis)]) out_.cells.erase(cell);
  }

  std::optional<Index> era(const std::string& id, Index open) {
    if (id.empty()) return open;
    std::vector<std::string_view> known;
    for (Index i = 0; i < family_.eras.size(); ++i) {
      known.push_back(family_.text(family_.eras[i].id));
      if (known.back() == id) return i;
    }
    fail(unknown_word("era", id, known));
    return std::nullopt;
  }

  void read_eras(const std::string& text) {
    std::vector<bool> any(family_.eras.size(), false);
    const std::vector<std::string> ranges = list_items(text);
    for (const std::string& range : ranges) {
      const size_t dots = range.find("..");
      if (range.empty()) return fail("--eras takes an era or a range, as in --eras c..");
      const auto from = era(range.substr(0, dots), 0);
      const auto to =
          dots == range.npos ? from : era(range.substr(dots + 2), static_cast<Index>(family_.eras.size()) - 1);
      if (!from || !to) return;
      if (*from > *to) return fail(fmt::format("the range of eras `{}` runs backward", range));
      for (Index i = *from; i <= *to; ++i) any[i] = true;
    }
    keep(0, any);
    out_.text = "eras: " + list_text(ranges);
  }

  void read_option(const std::string& text, std::string& options) {
    const size_t equals = text.find('=');
    if (equals == text.npos) return fail("--with takes option=value, as in --with supply=24V");
    std::vector<std::string_view> known;
    for (Index i = 0; i < family_.options.size(); ++i) {
      const Option& option = family_.options[i];
      known.push_back(family_.text(option.id));
      if (known.back() != text.substr(0, equals)) continue;
      std::vector<bool> any(option.values.count, false);
      const std::vector<std::string> values = list_items(text.substr(equals + 1));
      for (const std::string& value : values) {
        std::vector<std::string_view> known_values;
        for (const OptionValue& each : rows(family_.option_values, option.values)) {
          known_values.push_back(family_.text(each.id));
          if (known_values.back() == value) any[known_values.size() - 1] = true;
        }
        if (std::find(known_values.begin(), known_values.end(), value) == known_values.end())
          return fail(unknown_word(fmt::format("value of option `{}`", family_.text(option.id)), value, known_values));
      }
      keep(i + 1, any);
      options += fmt::format("{}{}: {}", options.empty() ? "" : ", ", family_.text(option.id), list_text(values));
      return;
    }
    fail(unknown_word("option", text.substr(0, equals), known));
  }

  const Family& family_;
  TagsRead out_;
};

}  // namespace

TagsRead read_tags(const Family& family, const std::string& eras, const std::vector<std::string>& with) {
  return TagsReader(family).read(eras, with);
}

}  // namespace loomproof::upkeep
