// End to end, from text to findings: whatever changes in one era alone is found, and whatever of the declared changes
// is taken out or altered is found. The oracle is the edit itself: the corpus was clean before it.
#include <catch2/catch.hpp>
#include <set>

#include "era_edits.h"

using namespace loomproof;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;

namespace {

const fs::path reference = fs::path(LOOMPROOF_SOURCE_DIR) / "reference";

std::unique_ptr<Compiled> with(const lt::Subject& subject, const std::string& file, const std::string* text) {
  lt::FixtureFiles files = subject.files;
  if (text)
    files.files["./" + file] = *text;
  else
    files.files.erase("./" + file);
  return lt::compile_files(files, {.family = subject.family_id, .threads = 1});
}

std::string path_of(const Compiled& compiled, const Finding& finding) {
  return finding.span.known() ? compiled.sources.file(finding.span.file).path() : std::string();
}

// The files that findings point into, with their related places.
std::set<std::string> paths_of(const Compiled& compiled) {
  std::set<std::string> paths;
  for (const Finding& finding : compiled.report.findings()) {
    paths.insert(path_of(compiled, finding));
    for (const Label& label : finding.related) paths.insert(compiled.sources.file(label.span.file).path());
  }
  return paths;
}

bool is_changes_file(const std::string& path) {
  return path.find("/changes/") != std::string::npos;
}

// What was tried, and what came of it.
struct Tally {
  int tried = 0, found = 0;
  size_t findings = 0, most = 0;
  std::string loudest;  // what gave the most findings
  std::vector<std::string> survivors;
  std::map<std::string, std::pair<int, size_t>> by_kind;  // how many, findings

  void add(const std::string& kind, const std::string& what, bool is_found, size_t count) {
    ++tried;
    found += is_found;
    findings += count;
    if (count > most) most = count, loudest = kind + ": " + what;
    ++by_kind[kind].first;
    by_kind[kind].second += count;
    if (!is_found) survivors.push_back(kind + ": " + what);
  }
  std::string words(const std::string& of) const {
    std::string text = of + ": " + std::to_string(found) + " of " + std::to_string(tried) + " found, " +
                       std::to_string(static_cast<double>(findings) / tried).substr(0, 4) + " findings a fault, " +
                       std::to_string(most) + " at most (" + loudest + ")\n";
    for (const auto& [kind, counts] : by_kind)
      text += "  " + kind + ": " + std::to_string(counts.first) + ", " +
              std::to_string(static_cast<double>(counts.second) / counts.first).substr(0, 4) + " findings each\n";
    for (const std::string& survivor : survivors) text += "  SURVIVED " + survivor + "\n";
    return text;
  }
};

// --- edits of one era ------------------------------------------------------------------------------

void check_edits(const lt::Subject& subject, uint32_t seed, int count) {
  lt::EraEdits edits(subject, seed);
  Tally tally;
  for (int i = 0; i < lt::tries(count); ++i) {
    const lt::Edit edit = edits.next();
    const std::unique_ptr<Compiled> compiled = with(subject, edit.file, &edit.after);
    bool is_found = false;
    for (const std::string& path : paths_of(*compiled)) is_found |= path == edit.file || is_changes_file(path);
    tally.add(edit.kind, edit.file + ": " + edit.what, is_found, compiled->report.findings().size());
  }
  CHECK(tally.survivors.empty());
  WARN(tally.words(subject.family_id));
}

// --- declared changes ------------------------------------------------------------------------------

// A step of a changes file, as text.
struct Step {
  std::string file;
  size_t change = 0, step = 0;  // where it stands
  lt::Yaml row;
};

std::vector<Step> steps_of(const lt::Subject& subject) {
  std::vector<Step> steps;
  for (const auto& [path, text] : subject.files.files) {
    if (path.find("/" + subject.family_id + "/changes/") == std::string::npos) continue;
    const lt::Yaml root = lt::editable(text);
    const auto& changes = root.find("changes")->entries;
    for (size_t i = 0; i < changes.size(); ++i) {
      const auto& rows = changes[i].second.find("changed")->entries;
      for (size_t j = 0; j < rows.size(); ++j) steps.push_back({path.substr(2), i, j, rows[j].second});
    }
  }
  return steps;
}

std::string shown(const lt::Yaml& row) {
  if (row.kind == yaml::Kind::scalar) return row.text;
  std::string text;
  for (const auto& [key, value] : row.entries)
    text += (text.empty() ? "" : ", ") + (key.empty() ? shown(value) : key + ": " + shown(value));
  return "{" + text + "}";
}

std::optional<std::string> without(const lt::Subject& subject, const Step& step) {
  lt::Yaml root = lt::editable(subject.files.files.at("./" + step.file));
  auto& changes = root.find("changes")->entries;
  auto& rows = changes[step.change].second.find("changed")->entries;
  rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(step.step));
  if (rows.empty()) changes.erase(changes.begin() + static_cast<std::ptrdiff_t>(step.change));
  if (changes.empty()) return std::nullopt;  // the file goes with its last change
  return lt::written(root);
}

std::string with_row(const lt::Subject& subject, const Step& step, const lt::Yaml& row) {
  lt::Yaml root = lt::editable(subject.files.files.at("./" + step.file));
  root.find("changes")->entries[step.change].second.find("changed")->entries[step.step].second = row;
  return lt::written(root);
}

bool contains(const std::string& text, const std::string& word) {
  return !word.empty() && text.find(word) != std::string::npos;
}

// The words by which a step is known: its circuits, cavities, parts; else the property it is about.
void names_in(const lt::Yaml& node, std::string_view key, std::set<std::string>& names) {
  static const std::set<std::string_view> telling = {"circuit", "circuits", "connector", "id", "at",
                                                     "what",    "place",    "replugged", "of"};
  for (const auto& [name, value] : node.entries) {
    const std::string_view own = name.empty() ? key : std::string_view(name);
    if (key == "replugged") names.insert(name);
    if (value.kind == yaml::Kind::scalar && telling.count(own)) names.insert(value.text);
    names_in(value, own, names);
  }
}

// An undeclared difference that is what the step had declared.
bool names_difference(const Finding& finding, const lt::Yaml& row) {
  if (finding.rule != Rule::undeclared_difference) return false;
  std::set<std::string> names;
  names_in(row, {}, names);
  return std::any_of(names.begin(), names.end(),
                     [&](const std::string& name) { return contains(finding.message, name); });
}

// --- altering a step: one value becomes another that could be meant

class Alterations {
 public:
  Alterations(const lt::Subject& subject, uint32_t seed) : s_(subject), random_(seed) {}

  // Every value of the step in turn; false where nothing was to be altered.
  std::vector<std::pair<std::string, lt::Yaml>> of(const lt::Yaml& row) {
    std::vector<std::pair<std::string, lt::Yaml>> all;
    const size_t count = leaves(row);
    for (size_t leaf = 0; leaf < count; ++leaf) {
      lt::Yaml altered = row;
      size_t at = leaf;
      std::string what;
      if (alter(altered, {}, at, what)) all.emplace_back(what, altered);
    }
    return all;
  }

 private:
  static size_t leaves(const lt::Yaml& node) {
    size_t count = 0;
    for (const auto& [key, value] : node.entries) count += value.kind == yaml::Kind::scalar ? 1 : leaves(value);
    return count;
  }

  bool alter(lt::Yaml& node, std::string_view key, size_t& at, std::string& what) {
    for (auto& [name, value] : node.entries) {
      const std::string own = name.empty() ? std::string(key) : name;
      if (value.kind != yaml::Kind::scalar) {
        const size_t inner = leaves(value);
        if (at < inner) return alter(value, own, at, what);
        at -= inner;
        continue;
      }
      if (at-- > 0) continue;
      const std::string was = value.text;
      value.text = another(key == "replugged" ? "to" : own, was);
      what = own + ": " + was + " -> " + value.text;
      return value.text != was;
    }
    return false;
  }

  std::string another(const std::string& key, const std::string& was) {
    const Family& family = s_.family();
    std::vector<std::string> words;
    auto add = [&](const auto& table) {
      for (const auto& each : table) words.push_back(s_.text(each.id));
    };
    if (key == "loom" || key == "component")
      add(family.parts);
    else if (key == "place")
      add(family.places);
    else if (key == "circuit" || key == "circuits")
      add(family.circuits);
    else if (key == "mm2")
      words = {"0.5", "0.75", "1", "1.5", "2.5", "4", "6"};
    else if (key == "colour")
      words = colours();
    else if (key == "shade")
      words = {"light", "dark"};
    else if (key == "role")
      words = {"passes", "open", "takes-feed"};
    else if (key == "from" || key == "to" || key == "at" || key == "connector" || key == "what")
      words = like(was);
    else if (key == "was" || key == "now")
      words = value_like(was);
    else if (key == "of")
      words = {"max-a", "volts", "a", "ohm"};
    else if (key == "id")
      add_inside(words);
    else if (key == "eras")
      add(family.eras);
    else
      add(family.option_values);
    std::erase(words, was);
    if (words.empty()) return was;
    return words[std::uniform_int_distribution<size_t>(0, words.size() - 1)(random_)];
  }

  // The same kind of name with another number in it.
  std::vector<std::string> like(const std::string& was) const {
    std::vector<std::string> words;
    const Family& family = s_.family();
    for (const Connector& connector : family.connectors) {
      const std::string designator = s_.text(connector.designator);
      if (was.find('.') == std::string::npos) {
        words.push_back(designator);
      } else if (was.starts_with(designator + ".")) {
        for (const ConnectorRow& row : rows(family.connector_rows, connector.rows))
          for (const HousingCavity& cavity : rows(family.housing_cavities, family.housings[row.housing].cavities))
            words.push_back(designator + "." + s_.text(cavity.number));
      }
    }
    return words;
  }

  std::vector<std::string> value_like(const std::string& was) const {
    const Family& family = s_.family();
    for (const auto& known : {std::vector<std::string>{"empty", "sealed", "unknown", "disputed"},
                              std::vector<std::string>{"takes-low", "senses-low", "takes-feed", "passes"}})
      if (std::find(known.begin(), known.end(), was) != known.end()) return known;
    std::vector<std::string> parts, housings;
    for (const Part& part : family.parts) parts.push_back(s_.text(part.id));
    for (const Housing& housing : family.housings) housings.push_back(s_.text(housing.id));

    for (const auto& known : {parts, housings, colours()})
      if (std::find(known.begin(), known.end(), was) != known.end()) return known;
    if (was == "none") return parts;
    return {was + "1"};
  }

  std::vector<std::string> colours() const {
    std::vector<std::string> codes;
    for (const Colour& colour : s_.family().colours) codes.push_back(s_.text(colour.code));
    return codes;
  }

  void add_inside(std::vector<std::string>& words) const {
    for (const Inside& inside : s_.family().insides) words.push_back(s_.text(inside.id));
  }

  const lt::Subject& s_;
  std::mt19937 random_;
};

void check_removals(const lt::Subject& subject) {
  Tally tally;
  for (const Step& step : steps_of(subject)) {
    const std::optional<std::string> text = without(subject, step);
    const std::unique_ptr<Compiled> compiled = with(subject, step.file, text ? &*text : nullptr);
    bool is_found = false;
    for (const Finding& finding : compiled->report.findings()) is_found |= names_difference(finding, step.row);
    tally.add("step removed", step.file + ": " + shown(step.row) + "\n" + (is_found ? "" : lt::rendered(*compiled)),
              is_found, compiled->report.findings().size());
  }
  CHECK(tally.survivors.empty());
  WARN(tally.words(subject.family_id));
}

// `each`: so many of the values of a step, drawn by chance; 0: all.
void check_alterations(const lt::Subject& subject, uint32_t seed, size_t each) {
  Tally tally;
  Alterations alterations(subject, seed);
  std::mt19937 random(seed);
  for (const Step& step : steps_of(subject)) {
    auto all = alterations.of(step.row);
    std::shuffle(all.begin(), all.end(), random);
    const size_t limit = static_cast<size_t>(lt::tries(static_cast<int>(each)));
    if (each > 0 && all.size() > limit) all.resize(limit);
    for (const auto& [what, row] : all) {
      const std::string text = with_row(subject, step, row);
      const std::unique_ptr<Compiled> compiled = with(subject, step.file, &text);
      bool is_found = false;
      for (const Finding& finding : compiled->report.findings())
        is_found |= path_of(*compiled, finding) == step.file || names_difference(finding, step.row);
      tally.add("value altered", step.file + ": " + what + " in " + shown(step.row), is_found,
                compiled->report.findings().size());
    }
  }
  CHECK(tally.survivors.empty());
  WARN(tally.words(subject.family_id));
}

lt::Subject base() {
  return lt::make_subject(lt::base_corpus(), "quill");
}
lt::Subject of_reference(const std::string& family) {
  return lt::make_subject(lt::corpus_in_memory(reference), family);
}

}  // namespace

TEST_CASE("whatever changes in one era alone is found: base corpus") {
  check_edits(base(), 3, 600);
}
TEST_CASE("whatever changes in one era alone is found: trailer couplings") {
  check_edits(of_reference("trailer-12v"), 5, 60);
}
TEST_CASE("whatever changes in one era alone is found: the Croft") {
  check_edits(of_reference("croft"), 1, 120);
}

TEST_CASE("every declared change that is taken out is found as the difference that it declared") {
  check_removals(base());
  check_removals(of_reference("trailer-12v"));
  check_removals(of_reference("croft"));
}

TEST_CASE("every declared change that is altered is found where it stands, or as the difference that it declared") {
  check_alterations(base(), 1, 0);
  check_alterations(of_reference("trailer-12v"), 2, 0);
  check_alterations(of_reference("croft"), 3, 2);
}
