// loombench list: what packs hold.
#include <fmt/format.h>

#include <algorithm>

#include "answer.h"
#include "family/words.h"

namespace loomproof::bench {
namespace {

using Json = nlohmann::ordered_json;

std::string span_text(const Era& era) {
  const std::string from = month_text(era.from), to = month_text(era.to);
  if (from.empty() && to.empty()) return {};
  return fmt::format("{} to {}", from.empty() ? "the beginning" : from, to.empty() ? "now" : to);
}

std::string era_text(const Family& family, const Era& era) {
  std::string text(family.text(era.id));
  if (era.title != 0) text += fmt::format(" ({})", family.text(era.title));
  if (const std::string span = span_text(era); !span.empty()) text += ": " + span;
  if (era.number_from != not_given) text += fmt::format(", from number {}", era.number_from);
  if (era.run_out != not_given) text += fmt::format(", the one before built until {}", month_text(era.run_out));
  return text;
}

std::string option_text(const Family& family, const Option& option) {
  std::string text = fmt::format("{}: ", family.text(option.id));
  const char* separator = "";
  for (const OptionValue& value : rows(family.option_values, option.values)) {
    text.append(separator).append(family.text(value.id));
    separator = ", ";
  }
  return text;
}

template <typename Row>
std::string id_list(const Family& family, const std::vector<Row>& table) {
  std::vector<std::string_view> ids;
  for (const Row& row : table) ids.push_back(family.text(row.id));
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  return fmt::format("{}: {}", ids.size(), fmt::join(ids, ", "));
}

using Counts = std::vector<std::pair<const char*, size_t>>;

Counts counts(const Family& family) {
  const auto parts = [&](PartKind kind) {
    return static_cast<size_t>(
        std::count_if(family.parts.begin(), family.parts.end(), [&](const Part& part) { return part.kind == kind; }));
  };
  return {{"looms", parts(PartKind::loom)},
          {"components", parts(PartKind::component)},
          {"connectors", family.connectors.size()},
          {"housings", family.housings.size()},
          {"circuits", family.circuits.size()},
          {"wires", family.wires.size()},
          {"pins", family.pins.size()},
          {"changes", family.change_items.size()},
          {"combinations", family.combinations.size()},
          {"sources", family.sources.size()}};
}

void add_family(Answer& answer, const PackFile& file) {
  const pack::Pack& pack = *file.opened.pack;
  const Family family = load(pack);
  answer.page.emplace_back(Heading{fmt::format("{}: {}", family.text(family.id), family.text(family.title)), 2});
  Facts facts;
  Json eras = Json::array(), options = Json::object(), count = Json::object();
  for (const Era& era : family.eras) {
    facts.add(eras.empty() ? "eras" : "", era_text(family, era));
    eras.push_back({{"id", family.text(era.id)},
                    {"title", family.text(era.title)},
                    {"from", month_text(era.from)},
                    {"to", month_text(era.to)}});
  }
  for (const Option& option : family.options) {
    facts.add(options.empty() ? "options" : "", option_text(family, option));
    Json values = Json::array();
    for (const OptionValue& value : rows(family.option_values, option.values)) values.push_back(family.text(value.id));
    options[std::string(family.text(option.id))] = values;
  }
  facts.add("built", fmt::format("{} of {} cells", family.set(family.built).count(), family.cell_count()));
  facts.add("places", id_list(family, family.places));
  facts.add("parts", id_list(family, family.parts));
  std::string counted;
  for (const auto& [what, number] : counts(family)) {
    counted += fmt::format("{}{} {}", counted.empty() ? "" : ", ", number, what);
    count[what] = number;
  }
  facts.add("holds", counted);
  facts.add("pack", fmt::format("{}, {} bytes, format {}.{}, checksum {}", file.path, pack.size(), pack.major(),
                                pack.minor(), pack.checksum()));
  answer.page.emplace_back(std::move(facts));

  Json places = Json::array(), parts = Json::array();
  for (const Place& place : family.places) places.push_back(family.text(place.id));
  for (const Part& part : family.parts)
    parts.push_back({{"id", family.text(part.id)},
                     {"kind", word(part.kind)},
                     {"place", part.place == none ? std::string_view() : family.text(family.places[part.place].id)}});
  answer.json["families"].push_back({{"id", family.text(family.id)},
                                     {"title", family.text(family.title)},
                                     {"eras", eras},
                                     {"options", options},
                                     {"places", places},
                                     {"parts", parts},
                                     {"counts", count},
                                     {"pack", file.path},
                                     {"bytes", pack.size()},
                                     {"format", fmt::format("{}.{}", pack.major(), pack.minor())},
                                     {"checksum", pack.checksum()}});
}

}  // namespace

Answer list_packs(const std::vector<PackFile>& packs) {
  Answer answer;
  answer.json["families"] = Json::array();
  answer.json["refused"] = Json::array();
  for (const PackFile& file : packs) {
    if (file.opened.pack) {
      add_family(answer, file);
      continue;
    }
    answer.page.emplace_back(Heading{fmt::format("{}: refused", file.path), 2});
    answer.page.emplace_back(Facts{{{"why", file.opened.refusal}}});
    answer.json["refused"].push_back({{"pack", file.path}, {"why", file.opened.refusal}});
  }
  return answer;
}

}  // namespace loomproof::bench
