#include "select.h"

#include <fmt/format.h>

#include "diag/suggest.h"
#include "source/files.h"

namespace loomproof::tool {

void unknown_name(std::string_view kind, std::string_view name, const std::vector<std::string_view>& known) {
  std::string_view near = nearest(name, known);
  std::string line = fmt::format("no {} is named `{}`", kind, name);
  if (!near.empty()) line += fmt::format("; did you mean `{}`?", near);
  throw EnvironmentError(line);
}

void CellArguments::add_to(CLI::App& command) {
  command.add_option("--era", era, "Only this era");
  command.add_option("--with", with, "Only with this option, as option=value; may be repeated");
}

Side find_side(const Family& family, const std::string& text) {
  size_t equals = text.find('=');
  std::string_view name = std::string_view(text).substr(0, equals);
  std::string_view value = equals == text.npos ? name : std::string_view(text).substr(equals + 1);
  std::vector<std::string_view> known;
  if (equals == text.npos || name == "era") {
    for (Index era = 0; era < family.eras.size(); ++era) {
      if (family.text(family.eras[era].id) == value) return {0, era};
      known.push_back(family.text(family.eras[era].id));
    }
    unknown_name("era", value, known);
  }
  for (Index option = 0; option < family.options.size(); ++option) {
    known.push_back(family.text(family.options[option].id));
    if (family.text(family.options[option].id) != name) continue;
    known.clear();
    Range values = family.options[option].values;
    for (Index i = values.first; i < values.end(); ++i) {
      if (family.text(family.option_values[i].id) == value) return {option + 1, i - values.first};
      known.push_back(family.text(family.option_values[i].id));
    }
    unknown_name(fmt::format("value of option `{}`", name), value, known);
  }
  unknown_name("option", name, known);
}

CellSet CellArguments::select(const Family& family) const {
  std::vector<Side> sides;
  if (!era.empty()) sides.push_back(find_side(family, "era=" + era));
  for (const std::string& option : with) {
    if (option.find('=') == option.npos) throw EnvironmentError("--with takes option=value, as in --with supply=24V");
    sides.push_back(find_side(family, option));
  }
  CellSet cells;
  for (uint32_t cell : family.set(family.built).cells()) {
    bool wanted = true;
    for (const Side& side : sides) wanted &= family.coordinate(cell, side.axis) == side.value;
    if (wanted) cells.insert(cell);
  }
  if (cells.empty()) throw EnvironmentError("the factory built nothing with that era and those options");
  return cells;
}

const CompiledFamily& find_family(const Compiled& compiled, const std::string& id) {
  for (const CompiledFamily& each : compiled.families)
    if (each.family.text(each.family.id) == id) {
      for (const std::string& waiting : compiled.not_judged)
        if (waiting == id)
          throw EnvironmentError("family `" + id + "` has names that do not resolve; see `loomproof check`");
      return each;
    }
  throw EnvironmentError("family `" + id + "` cannot be read; see `loomproof check --family " + id + "`");
}

}  // namespace loomproof::tool
