// Housings that the family uses: cavities, faces, mates, shorting bars.
#include <algorithm>

#include "expand/expander.h"

namespace loomproof {

namespace {

struct Spot {
  std::string_view number;
  int32_t x, y;
  Span span;
};

// 0.35..1.5 as two texts.
std::pair<std::string_view, std::string_view> bounds(std::string_view range) {
  size_t dots = range.find("..");
  if (dots == range.npos) return {};
  return {range.substr(0, dots), range.substr(dots + 2)};
}

Quantity thousandths(std::string_view text) {
  int64_t value = 0;
  int decimals = -1;
  for (char c : text) {
    if (c == '.')
      decimals = 0;
    else if (decimals < 3) {
      value = value * 10 + (c - '0');
      if (decimals >= 0) ++decimals;
    }
  }
  for (int i = std::max(decimals, 0); i < 3; ++i) value *= 10;
  return static_cast<Quantity>(std::min<int64_t>(value, 1'000'000'000));
}

// "1 2 . 3" as numbers with their columns.
void add_row(yaml::Node row, int32_t y, int32_t pitch, std::vector<Spot>& spots) {
  std::string_view text = row.text();
  int32_t column = 0;
  for (size_t at = 0; at < text.size();) {
    size_t end = std::min(text.find(' ', at), text.size());
    std::string_view number = text.substr(at, end - at);
    if (!number.empty()) {
      uint32_t quote = row.quoted() ? 1 : 0;
      uint32_t begin = row.span().begin + quote + static_cast<uint32_t>(at);
      if (number != ".")
        spots.push_back(
            {number, column * pitch, y, {row.span().file, begin, begin + static_cast<uint32_t>(number.size())}});
      ++column;
    }
    at = end + 1;
  }
}

}  // namespace

Index Expander::housing(yaml::Node id) {
  if (!id) return none;
  report_->judged(Rule::unknown_name);
  out_.used.housings.emplace(id.text());
  auto known = housings_.find(id.text());
  if (known != housings_.end()) return known->second;
  auto found = shared_.housings.find(id.text());
  if (found == shared_.housings.end()) {
    std::vector<std::string_view> names;
    for (const auto& entry : shared_.housings) names.push_back(entry.first);
    unknown("housing", id.text(), id.span(), names);
    return none;
  }
  return read_housing(found->first, found->second);
}

Index Expander::read_housing(std::string_view id, yaml::Node row) {
  Index index = static_cast<Index>(f_.housings.size());
  housings_[id] = index;
  auto file_source = shared_.file_source.find(row.span().file);
  Scope scope{{}, file_source == shared_.file_source.end() ? yaml::Node() : file_source->second, {}};
  f_.housings.emplace_back();
  s_.housings.push_back(row.key_span());
  Housing housing;
  housing.id = str(id);
  housing.title = str(row["title"].text());
  housing.view = word_of<View>(row["seen-from"]);
  housing.round = row["round"].text() == "true";
  housing.colour = str(row["colour"].text());
  housing.key = str(row["key"].text());
  housing.latch = str(row["latch"].text());
  housing.cite = cite(row, scope);
  f_.housings[index] = housing;
  read_cavities(index, row);
  allow(row, span_of_row(row));
  return index;
}

void Expander::read_cavities(Index index, yaml::Node row) {
  int32_t pitch = row["pitch-mm"] ? quantity(row["pitch-mm"]) / 10 : 500;
  std::vector<Spot> spots;
  int32_t y = 0;
  for (yaml::Node line : row["rows"]) {
    add_row(line, y, pitch, spots);
    y += pitch;
  }
  for (yaml::Node entry : row["positions"]) {
    auto at = entry.begin();
    int32_t x = quantity(*at) / 10;
    spots.push_back({entry.key(), x, quantity(*++at) / 10, entry.key_span()});
  }
  std::stable_sort(spots.begin(), spots.end(),
                   [](const Spot& a, const Spot& b) { return natural_less(a.number, b.number); });

  report_->judged(Rule::cavities_incomplete);
  Span ways_span = row["ways"] ? row["ways"].span() : row.key_span();
  bool sound = true;
  for (size_t i = 1; i < spots.size(); ++i)
    if (spots[i].number == spots[i - 1].number) {
      report_
          ->add<Rule::cavities_incomplete>(spots[i].span,
                                           "cavity `" + std::string(spots[i].number) + "` is drawn twice")
          .label(spots[i - 1].span, "here as well");
      sound = false;
      unresolved_ = true;
    }
  size_t ways = static_cast<size_t>(std::stoul(std::string(row["ways"].text())));
  if (sound && spots.size() != ways)
    report_
        ->add<Rule::cavities_incomplete>(ways_span,
                                         fmt::format("{} ways, and {} cavities are drawn", ways, spots.size()))
        .help("every cavity stands once in `rows` or `positions`");

  int64_t width = row["cavity-mm"] ? quantity(row["cavity-mm"]) / 10 : 200;
  for (size_t i = 0; i < spots.size() && sound; ++i)
    for (size_t j = i + 1; j < spots.size(); ++j) {
      report_->judged(Rule::face_overlap);
      int64_t dx = spots[i].x - spots[j].x, dy = spots[i].y - spots[j].y;
      if (dx * dx + dy * dy >= width * width) continue;
      int64_t square = dx * dx + dy * dy, apart = 0;
      while ((apart + 1) * (apart + 1) <= square) ++apart;
      report_
          ->add<Rule::face_overlap>(spots[j].span, spots[i].number, spots[j].number,
                                    milli(static_cast<Quantity>(apart) * 10) + " mm")
          .label(spots[i].span, "the other")
          .help(fmt::format("a cavity is {} mm wide here (`cavity-mm`)", milli(static_cast<Quantity>(width) * 10)));
      break;
    }

  Contact contact = word_of<Contact>(row["contacts"]);
  auto [takes_min, takes_max] = bounds(row["takes"].text());
  Range range{static_cast<Index>(f_.housing_cavities.size()), static_cast<Index>(spots.size())};
  for (const Spot& spot : spots) {
    HousingCavity cavity;
    cavity.housing = index;
    cavity.number = str(spot.number);
    cavity.contact = contact;
    cavity.x = spot.x;
    cavity.y = spot.y;
    if (!takes_min.empty()) cavity.mm2_min = thousandths(takes_min), cavity.mm2_max = thousandths(takes_max);
    cavity.amps = quantity(row["max-a"]);
    if (yaml::Node own = row["cavities"][spot.number]) {
      if (own["contact"]) cavity.contact = word_of<Contact>(own["contact"]);
      if (auto [low, high] = bounds(own["takes"].text()); !low.empty())
        cavity.mm2_min = thousandths(low), cavity.mm2_max = thousandths(high);
      if (own["max-a"]) cavity.amps = quantity(own["max-a"]);
      cavity.moulded = str(own["moulded"].text());
      for (yaml::Node there : own["in-manual"]) {
        f_.in_manuals.push_back(
            {static_cast<Index>(f_.housing_cavities.size()), str(there["number"].text()), cite(there, {})});
        s_.in_manuals.push_back(there.span());
      }
    }
    f_.housing_cavities.push_back(cavity);
    s_.housing_cavities.push_back(spot.span);
  }
  f_.housings[index].cavities = range;

  auto cavity_of = [&](std::string_view number, Span span) {
    for (Index i = range.first; i < range.end(); ++i)
      if (f_.text(f_.housing_cavities[i].number) == number) return i;
    std::vector<std::string_view> known;
    for (const Spot& spot : spots) known.push_back(spot.number);
    unknown("cavity of this housing", number, span, known);
    return none;
  };
  for (yaml::Node own : row["cavities"]) cavity_of(own.key(), own.key_span());
  Range closes{static_cast<Index>(f_.closes.size()), 0};
  for (yaml::Node pair : row["closes-when-unplugged"]) {
    auto at = pair.begin();
    yaml::Node first = *at, second = *++at;
    Index a = cavity_of(first.text(), first.span()), b = cavity_of(second.text(), second.span());
    if (a == none || b == none) continue;
    f_.closes.push_back({index, a, b});
    s_.closes.push_back(pair.span());
    ++closes.count;
  }
  f_.housings[index].closes = closes;
}

// Mates that the family does not use itself are read too, so that a pack can tell what fits.
void Expander::link_mates() {
  for (size_t i = 0; i < f_.housings.size(); ++i) {
    yaml::Node row = shared_.housings.find(f_.text(f_.housings[i].id))->second;
    std::vector<Index> mates;
    for (yaml::Node mate : by_content(row["mates"]))
      if (Index index = housing(mate); index != none) mates.push_back(index);
    f_.housings[i].mates = {static_cast<Index>(f_.housing_refs.size()), static_cast<Index>(mates.size())};
    f_.housing_refs.insert(f_.housing_refs.end(), mates.begin(), mates.end());
  }
}

}  // namespace loomproof
