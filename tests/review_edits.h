// The reference corpus in memory, edited as a pull request would, and what a review says of it.
#pragma once
#include <catch2/catch.hpp>
#include <map>
#include <regex>
#include <string>
#include <vector>

#include "fixture_harness.h"
#include "pack/pack.h"
#include "review/review.h"

namespace loomproof::testing {

inline const FixtureFiles& reference() {
  static const FixtureFiles files = corpus_in_memory(fs::path(LOOMPROOF_SOURCE_DIR) / "reference");
  return files;
}
// What the croft stands on, and nothing else.
inline const FixtureFiles& croft_alone() {
  static const FixtureFiles files = [] {
    FixtureFiles all = reference();
    std::erase_if(all.files, [](const auto& file) {
      return file.first.find("/families/") != std::string::npos &&
             file.first.find("/families/croft/") == std::string::npos;
    });
    return all;
  }();
  return files;
}

// The text of "./families/croft/looms/pump.yaml".
inline std::string& file_of(FixtureFiles& files, const std::string& path) {
  for (auto& [key, bytes] : files.files)
    if (key.ends_with(path.substr(1))) return bytes;
  throw std::runtime_error("no file " + path);
}

inline size_t replace_all(std::string& text, const std::string& was, const std::string& becomes) {
  size_t count = 0;
  for (size_t at = text.find(was); at != std::string::npos; at = text.find(was, at + becomes.size()), ++count)
    text.replace(at, was.size(), becomes);
  return count;
}
// A text that stands there exactly once.
inline void replace_once(std::string& text, const std::string& was, const std::string& becomes) {
  INFO("looking for " << was);
  const size_t at = text.find(was);
  REQUIRE(at != std::string::npos);
  REQUIRE(text.find(was, at + 1) == std::string::npos);
  text.replace(at, was.size(), becomes);
}
// A word wherever it stands alone, in every file of the croft: how an id is renamed.
inline size_t rename_word(std::string& text, const std::string& was, const std::string& becomes) {
  size_t count = 0;
  const auto is_part = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) || c == '-' || c == '_'; };
  for (size_t at = text.find(was); at != std::string::npos; at = text.find(was, at)) {
    const size_t end = at + was.size();
    if ((at > 0 && is_part(text[at - 1])) || (end < text.size() && is_part(text[end]))) {
      at = end;
      continue;
    }
    text.replace(at, was.size(), becomes);
    at += becomes.size();
    ++count;
  }
  return count;
}
// Cavities of one connector, each read as another: "C1.12" -> "C1.1". Those that the map does not have stay.
inline void read_otherwise(std::string& text, const std::string& designator,
                           const std::map<std::string, std::string>& cavities) {
  const std::regex cavity("\\b" + designator + R"(\.([0-9A-Za-z]+))");
  std::string out;
  auto from = text.cbegin();
  for (std::sregex_iterator it(text.cbegin(), text.cend(), cavity), end; it != end; ++it) {
    out.append(from, (*it)[0].first);
    const auto other = cavities.find((*it)[1]);
    out += designator + "." + (other == cavities.end() ? (*it)[1].str() : other->second);
    from = (*it)[0].second;
  }
  out.append(from, text.cend());
  text = std::move(out);
}

inline std::vector<review::FamilyInput> inputs(const Compiled& compiled) {
  std::vector<review::FamilyInput> all;
  for (const CompiledFamily& each : compiled.families)
    all.push_back({std::string(each.family.text(each.family.id)), each.judged ? &each.family : nullptr,
                   each.judged ? pack::write(each.family) : std::string(), ""});
  for (const std::string& id : compiled.not_judged) all.push_back({id, nullptr, {}, {}});
  return all;
}

// The croft in two corpora.
inline review::FamilyReview croft_between(const Compiled& base, const Compiled& head) {
  for (const review::FamilyReview& family : review::review(inputs(base), inputs(head)).families)
    if (family.id == "croft") return family;
  throw std::runtime_error("no croft");
}
inline const Compiled& croft_base() {
  static const std::unique_ptr<Compiled> compiled = compile_files(croft_alone());
  return *compiled;
}
inline review::FamilyReview croft_after(const FixtureFiles& files) {
  return croft_between(croft_base(), *compile_files(files));
}
// With one text of a file put in place of another.
inline review::FamilyReview croft_with(const std::string& path, const std::string& was, const std::string& becomes) {
  FixtureFiles files = croft_alone();
  replace_once(file_of(files, path), was, becomes);
  return croft_after(files);
}

// What was written, and what follows from it.
inline std::vector<std::string> words_of(const review::FamilyReview& family, bool follows = false) {
  std::vector<std::string> words;
  for (const review::Change& change : family.changes)
    if ((change.nature == review::Nature::consequence) == follows) words.push_back(change.words);
  return words;
}
inline std::vector<std::string> breaks_of(const review::FamilyReview& family) {
  std::vector<std::string> words;
  for (const review::Break& each : family.breaks)
    words.push_back(std::string(review::word(each.kind)) + ": " + each.words);
  return words;
}

}  // namespace loomproof::testing
