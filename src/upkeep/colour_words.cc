#include "upkeep/colour_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "diag/render.h"
#include "diag/suggest.h"

namespace loomproof::upkeep {

namespace {

struct ColourWord {
  std::string_view word, code;
};

// Words of English and German; codes of IEC 60757:2021, table 1; German abbreviations as in DIN 47100 (withdrawn, from
// memory); three-letter English abbreviations are common practice, no source.
constexpr ColourWord known_words[] = {
    // English
    {"black", "BK"},
    {"brown", "BN"},
    {"red", "RD"},
    {"orange", "OG"},
    {"yellow", "YE"},
    {"green", "GN"},
    {"blue", "BU"},
    {"violet", "VT"},
    {"purple", "VT"},
    {"grey", "GY"},
    {"gray", "GY"},
    {"slate", "GY"},
    {"white", "WH"},
    {"pink", "PK"},
    {"gold", "GD"},
    {"turquoise", "TQ"},
    {"silver", "SR"},
    // German, folded
    {"schwarz", "BK"},
    {"braun", "BN"},
    {"rot", "RD"},
    {"gelb", "YE"},
    {"gruen", "GN"},
    {"blau", "BU"},
    {"violett", "VT"},
    {"grau", "GY"},
    {"weiss", "WH"},
    {"rosa", "PK"},
    {"tuerkis", "TQ"},
    {"silber", "SR"},
    // codes
    {"bk", "BK"},
    {"bn", "BN"},
    {"rd", "RD"},
    {"og", "OG"},
    {"ye", "YE"},
    {"gn", "GN"},
    {"bu", "BU"},
    {"vt", "VT"},
    {"gy", "GY"},
    {"wh", "WH"},
    {"pk", "PK"},
    {"gd", "GD"},
    {"tq", "TQ"},
    {"sr", "SR"},
    {"gnye", "GNYE"},
    // German abbreviations that no English table has for another colour
    {"sw", "BK"},
    {"br", "BN"},
    {"rt", "RD"},
    {"or", "OG"},
    {"ge", "YE"},
    {"vi", "VT"},
    {"ws", "WH"},
    {"rs", "PK"},
    // English abbreviations of three letters
    {"blk", "BK"},
    {"brn", "BN"},
    {"org", "OG"},
    {"orn", "OG"},
    {"yel", "YE"},
    {"grn", "GN"},
    {"blu", "BU"},
    {"vio", "VT"},
    {"gry", "GY"},
    {"wht", "WH"},
    {"pnk", "PK"}};

struct Doubtful {
  std::string_view word;
  std::string_view may_be;  // codes with blanks between; the likeliest says nothing: order of IEC 60757
};

// Written for one colour in some tables and for another in others, or for none that IEC 60757 has. Common practice, no
// source.
constexpr Doubtful doubtful_words[] = {
    {"bl", "BK BU"},   {"gr", "GN GY"},      {"ro", "RD PK"},       {"gl", "YE GD"},       {"go", "YE GD"},
    {"li", "VT PK"},   {"lila", "VT PK"},    {"pu", "VT"},          {"pur", "VT"},         {"ppl", "VT"},
    {"lil", "VT PK"},  {"si", "SR"},         {"sl", "GY SR"},       {"sil", "SR"},         {"wt", "WH"},
    {"tk", "TQ"},      {"tu", "TQ"},         {"gg", "GNYE"},        {"beige", "BN"},       {"tan", "BN"},
    {"cyan", "TQ BU"}, {"magenta", "PK VT"}, {"natural", "WH"},     {"natur", "WH"},       {"clear", "WH"},
    {"bare", "SR"},    {"blank", "SR"},      {"gelbgruen", "GNYE"}, {"gruengelb", "GNYE"}, {"gegn", "GNYE"},
    {"gnge", "GNYE"},  {"yegn", "GNYE"},     {"b", "BK BN BU"},     {"g", "YE GN GY"},     {"r", "RD PK"},
    {"o", "OG"},       {"y", "YE"},          {"v", "VT"},           {"w", "WH"},           {"p", "VT PK"},
    {"s", "BK GY SR"}, {"n", "BK BN"},       {"k", "BK PK"},        {"u", "BU"},           {"l", "BU"},
    {"t", "BN TQ"}};

constexpr std::string_view light_words[] = {"light", "hell"};
constexpr std::string_view dark_words[] = {"dark", "dunkel"};

bool is_one_of(std::string_view word, std::span<const std::string_view> words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

// "hellblau" -> "blau"
std::string_view without_shade(std::string_view word, Shade& shade) {
  const auto strip = [&](std::span<const std::string_view> words, Shade is) {
    for (const std::string_view each : words)
      if (word.size() > each.size() && word.starts_with(each)) {
        word.remove_prefix(each.size());
        shade = is;
        return;
      }
  };
  strip(light_words, Shade::light);
  if (shade == Shade::unset) strip(dark_words, Shade::dark);
  return word;
}

struct Token {
  std::string text;
  char before = 0;  // the separator in front of it; ' ' for a blank
};

std::vector<Token> tokens_of(std::string_view text) {
  std::vector<Token> tokens;
  Token token;
  for (const char c : text) {
    if (std::string_view(" /-+|_;,.()").find(c) == std::string_view::npos) {
      token.text += c;
      continue;
    }
    if (!token.text.empty()) {
      tokens.push_back(token);
      token = {{}, ' '};
    }
    if (c != ' ') token.before = c;
  }
  if (!token.text.empty()) tokens.push_back(token);
  return tokens;
}

struct ColourPart {
  std::string code;
  Shade shade{};
  char before = 0;
};

ColourRead refused(std::string problem, std::vector<std::string> may_be = {}) {
  ColourRead read;
  read.problem = std::move(problem);
  read.may_be = std::move(may_be);
  return read;
}

std::vector<std::string> split_words(std::string_view text) {
  std::vector<std::string> all;
  for (const Token& token : tokens_of(text)) all.push_back(token.text);
  return all;
}

// "grnwht", "gnws": two colours written together do not say where the first ends, nor which is the base.
std::vector<std::string> pairs_in(std::string_view word) {
  std::vector<std::string> pairs;
  for (size_t cut = 2; cut + 2 <= word.size(); ++cut) {
    const std::string a = colour_of_word(word.substr(0, cut)), b = colour_of_word(word.substr(cut));
    if (a.empty() || b.empty() || a == b) continue;
    pairs.push_back(a + "/" + b);
    pairs.push_back(b + "/" + a);
  }
  return pairs;
}

ColourRead refused_word(std::string_view word) {
  for (const Doubtful& each : doubtful_words)
    if (each.word == word)
      return refused(fmt::format("`{}` may mean more than one thing", word), split_words(each.may_be));
  if (std::vector<std::string> pairs = pairs_in(word); !pairs.empty())
    return refused(fmt::format("`{}` does not say which is the base and which the tracer", word), std::move(pairs));
  std::vector<std::string_view> words;
  for (const ColourWord& each : known_words) words.push_back(each.word);
  const std::string_view near = nearest(word, words);
  return refused(fmt::format("`{}` is no colour that is known here", printable(word)),
                 near.empty() ? std::vector<std::string>() : std::vector<std::string>{colour_of_word(near)});
}

}  // namespace

std::string folded(std::string_view text) {
  struct Fold {
    std::string_view from, to;
  };
  // ä ö ü Ä Ö Ü ß ẞ, then ¨ behind a letter, then a no-break space
  constexpr Fold folds[] = {{"\xC3\xA4", "ae"}, {"\xC3\xB6", "oe"}, {"\xC3\xBC", "ue"}, {"\xC3\x84", "ae"},
                            {"\xC3\x96", "oe"}, {"\xC3\x9C", "ue"}, {"\xC3\x9F", "ss"}, {"\xE1\xBA\x9E", "ss"},
                            {"\xCC\x88", "e"},  {"\xC2\xA0", " "}};
  std::string out;
  while (!text.empty()) {
    const auto fold =
        std::find_if(std::begin(folds), std::end(folds), [&](const Fold& each) { return text.starts_with(each.from); });
    if (fold != std::end(folds)) {
      out += fold->to;
      text.remove_prefix(fold->from.size());
      continue;
    }
    const char c = text.front();
    out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    text.remove_prefix(1);
  }
  return out;
}

std::string colour_of_word(std::string_view word) {
  for (const ColourWord& each : known_words)
    if (each.word == word) return std::string(each.code);
  return {};
}

ColourRead read_colour(std::string_view text, const ColourKey& key) {
  const std::string small = folded(text);
  if (small == "none" || small == "keine" || small == "kein") return {};
  std::vector<ColourPart> parts;
  Shade shade{};
  char before = 0;
  bool joined_by_words = false;
  for (const Token& token : tokens_of(small)) {
    if (before == 0 || token.before != ' ') before = token.before;
    if (is_one_of(token.text, light_words) || is_one_of(token.text, dark_words)) {
      if (shade != Shade::unset) return refused("light and dark are said twice");
      shade = is_one_of(token.text, light_words) ? Shade::light : Shade::dark;
      continue;
    }
    if (token.text == "with" || token.text == "mit") {
      if (parts.size() != 1) return refused(fmt::format("`{}` stands where no tracer can follow", token.text));
      joined_by_words = true;
      continue;
    }
    if ((token.text == "tracer" || token.text == "stripe" || token.text == "streifen") && joined_by_words) continue;
    std::string_view word = token.text;
    std::string code;
    if (const auto said = key.find(std::string(word)); said != key.end()) {
      code = said->second;
    } else {
      code = colour_of_word(word);
      if (code.empty()) {
        Shade own{};
        const std::string_view rest = without_shade(word, own);
        if (own != Shade::unset) {
          if (shade != Shade::unset) return refused("light and dark are said twice");
          shade = own;
          word = rest;
          code = colour_of_word(word);
        }
      }
    }
    if (code.empty()) return refused_word(word);
    parts.push_back({code, shade, parts.empty() ? '\0' : before});
    shade = Shade::unset;
    before = 0;
  }
  ColourRead read;
  if (parts.empty()) {
    if (small.find_first_not_of(' ') != small.npos || shade != Shade::unset)
      return refused(fmt::format("`{}` names no colour", printable(text)));
    return read;
  }
  if (shade != Shade::unset) return refused("light or dark stands behind its colour");
  if (parts.size() > 2) return refused("more than two colours: the corpus has a base and one tracer");
  read.base = parts[0].code;
  read.shade = parts[0].shade;
  if (parts.size() == 1) return read;
  if (parts[0].code == "GNYE" || parts[1].code == "GNYE")
    return refused("green-and-yellow is one colour, and has no tracer", {"GNYE"});
  if (parts[1].shade != Shade::unset) return refused("the corpus has light and dark for the base alone");
  if (parts[0].code == parts[1].code) return refused("base and tracer are the same colour", {parts[0].code});
  const std::string pair = parts[0].code + "/" + parts[1].code;
  const bool yellow_and_green =
      (parts[0].code == "GN" && parts[1].code == "YE") || (parts[0].code == "YE" && parts[1].code == "GN");
  if (yellow_and_green && parts[1].before != '/' && !joined_by_words)
    return refused("green and yellow may be the one colour of a protective earth, or base and tracer", {"GNYE", pair});
  read.tracer = parts[1].code;
  return read;
}

}  // namespace loomproof::upkeep
