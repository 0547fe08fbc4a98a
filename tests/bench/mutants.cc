// What the rules find: the reference corpus with one realistic fault each time, thousands of them, seeded. For each
// kind of fault how many are found, whether a finding stands at the changed line, and how many findings one fault
// makes. Not a test: figures, printed, with every survivor by name.
//
//   mutants REFERENCE [--each N] [--family ID] [--together]
//
// --together: also which findings one fault made, where it made several.
#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <functional>
#include <map>
#include <random>
#include <set>

#include "compile/compile.h"

using namespace loomproof;

namespace {

class Dice {
 public:
  explicit Dice(uint64_t seed) : engine_(seed) {}
  size_t below(size_t limit) { return limit < 2 ? 0 : static_cast<size_t>(engine_() % limit); }

 private:
  std::mt19937_64 engine_;
};

using Lines = std::vector<std::string>;

Lines lines_of(const std::string& text) {
  Lines lines;
  for (size_t begin = 0; begin < text.size();) {
    const size_t end = std::min(text.find('\n', begin), text.size());
    lines.push_back(text.substr(begin, end - begin));
    begin = end + 1;
  }
  return lines;
}

std::string text_of(const Lines& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + '\n';
  return text;
}

// The value of a key in a row, and where it stands.
struct Value {
  size_t begin = std::string::npos, size = 0;
  std::string text;
  bool given() const { return begin != std::string::npos; }
};
Value value_of(const std::string& line, const std::string& key) {
  for (size_t at = line.find(key + ": "); at != line.npos; at = line.find(key + ": ", at + 1)) {
    if (at > 0 && line[at - 1] != ' ' && line[at - 1] != '{') continue;
    size_t begin = at + key.size() + 2;
    while (begin < line.size() && line[begin] == ' ') ++begin;
    const size_t end = std::min(line.find_first_of(",}", begin), line.size());
    return {begin, end - begin, line.substr(begin, end - begin)};
  }
  return {};
}
bool set_value(std::string& line, const std::string& key, const std::string& to) {
  const Value value = value_of(line, key);
  if (!value.given() || value.text == to) return false;
  line.replace(value.begin, value.size, to);
  return true;
}
bool remove_key(std::string& line, const std::string& key) {
  const Value value = value_of(line, key);
  if (!value.given()) return false;
  size_t begin = line.rfind(key + ": ", value.begin), end = value.begin + value.size;
  if (end < line.size() && line[end] == ',') {
    ++end;
    while (end < line.size() && line[end] == ' ') ++end;
  } else {  // the last of its row
    begin = line.rfind(',', begin);
    if (begin == line.npos) return false;
  }
  line.erase(begin, end - begin);
  return true;
}

// What was changed: lines of one file after the change, and words that were in what is gone.
struct Mutant {
  std::set<uint32_t> lines;
  bool of_whole_file = false;  // what is gone stood for all its rows: any of them shows it
  std::vector<std::string> words;
  std::string what;
};

struct File {
  std::string path;
  Lines lines;
};

struct Kind {
  const char* name;
  bool structural;  // what a net, a cavity or a name says; the others are facts that one file alone knows
  std::function<bool(const File&)> suits;
  // Changes the lines at that line; false where it cannot.
  std::function<bool(Lines&, size_t line, Dice&, Mutant&)> change;
};

bool is_loom(const File& file) {
  return file.path.find("/looms/") != file.path.npos;
}
bool is_component(const File& file) {
  return file.path.find("/components/") != file.path.npos;
}
bool is_wire(const std::string& line) {
  return line.starts_with("  - {circuit: ") && value_of(line, "from").given() && value_of(line, "to").given();
}
bool is_pin(const std::string& line) {
  return value_of(line, "role").given() && value_of(line, "circuit").given();
}
bool is_cavity(const std::string& end) {
  return end.find('.') != end.npos;
}

// Another line of the file that the test holds for, chosen by chance; itself where there is none.
size_t another(const Lines& lines, size_t line, Dice& dice, const std::function<bool(const std::string&)>& suits) {
  std::vector<size_t> others;
  for (size_t i = 0; i < lines.size(); ++i)
    if (i != line && suits(lines[i])) others.push_back(i);
  return others.empty() ? line : others[dice.below(others.size())];
}

bool change_value(Lines& lines, size_t line, const std::string& key, const std::string& to, Mutant& mutant) {
  const Value was = value_of(lines[line], key);
  if (!was.given() || !set_value(lines[line], key, to)) return false;
  mutant.lines = {static_cast<uint32_t>(line + 1)};
  mutant.words = {was.text, to};
  mutant.what = fmt::format("{}: {} -> {}", key, was.text, to);
  return true;
}

bool exchange(Lines& lines, size_t a, size_t b, const std::string& key_a, const std::string& key_b, Mutant& mutant) {
  const Value x = value_of(lines[a], key_a), y = value_of(lines[b], key_b);
  if (a == b || !x.given() || !y.given() || x.text == y.text) return false;
  set_value(lines[a], key_a, y.text), set_value(lines[b], key_b, x.text);
  mutant.lines = {static_cast<uint32_t>(a + 1), static_cast<uint32_t>(b + 1)};
  mutant.words = {x.text, y.text};
  mutant.what = fmt::format("{} and {} exchanged", x.text, y.text);
  return true;
}

bool drop(Lines& lines, size_t line, Mutant& mutant) {
  mutant.what = "dropped: " + lines[line].substr(lines[line].find_first_not_of(' '));
  for (const char* key : {"from", "to", "circuit", "id", "at", "place"})
    if (const Value value = value_of(lines[line], key); value.given()) mutant.words.push_back(value.text);
  if (is_pin(lines[line])) {  // "X1.5", or a wire that ends before it
    const size_t begin = lines[line].find_first_not_of(' ');
    const std::string cavity = lines[line].substr(begin, lines[line].find(':') - begin);
    mutant.words.push_back('.' + cavity + '`'), mutant.words.push_back("cavity " + cavity + " of ");
  }
  mutant.of_whole_file = lines[line].starts_with("source: ");
  // Of a plug `[PLACE.C1, PLACE.X1]` the connectors, as findings write them.
  const bool is_plug = lines[line].starts_with("  - [") || lines[line].starts_with("  - {meet");
  for (size_t at = lines[line].find('.'); is_plug && at != std::string::npos; at = lines[line].find('.', at + 1))
    if (const size_t end = lines[line].find_first_of(",]", at); end != std::string::npos)
      mutant.words.push_back('`' + lines[line].substr(at + 1, end - at - 1) + '`');
  lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(line));
  mutant.lines = {static_cast<uint32_t>(line), static_cast<uint32_t>(line + 1)};
  return true;
}

std::vector<Kind> kinds() {
  const auto loom = [](const File& file) { return is_loom(file); };
  const auto component = [](const File& file) { return is_component(file); };
  const auto changes = [](const File& file) { return file.path.find("/changes/") != file.path.npos; };
  const auto family = [](const File& file) { return file.path.ends_with("/family.yaml"); };
  const auto any = [](const File& file) { return is_loom(file) || is_component(file); };
  const auto of_same_plug = [](const std::string& key, const std::string& end) {
    return [key, plug = end.substr(0, end.find('.') + 1)](const std::string& line) {
      return is_wire(line) && value_of(line, key).text.starts_with(plug);
    };
  };
  const auto wire_value = [](const std::string& key, std::function<std::string(const std::string&, Dice&)> other) {
    return [key, other](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
      const Value was = value_of(lines[line], key);
      return is_wire(lines[line]) && was.given() && change_value(lines, line, key, other(was.text, dice), mutant);
    };
  };
  const auto pin_value = [](const std::string& key, std::function<std::string(const std::string&, Dice&)> other) {
    return [key, other](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
      const Value was = value_of(lines[line], key);
      return is_pin(lines[line]) && was.given() && change_value(lines, line, key, other(was.text, dice), mutant);
    };
  };
  const auto end_moved = [](const std::string& key) {
    return [key](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
      const Value was = value_of(lines[line], key);
      if (!is_wire(lines[line]) || !is_cavity(was.text)) return false;
      const std::string plug = was.text.substr(0, was.text.find('.') + 1);
      return change_value(lines, line, key, plug + std::to_string(1 + dice.below(12)), mutant);
    };
  };
  const auto ends_swapped = [of_same_plug](const std::string& key) {
    return [key, of_same_plug](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
      const Value was = value_of(lines[line], key);
      if (!is_wire(lines[line]) || !is_cavity(was.text)) return false;
      const std::string circuit = value_of(lines[line], "circuit").text;
      const auto same = of_same_plug(key, was.text);
      const size_t other = another(lines, line, dice, [&](const std::string& one) {
        return same(one) && value_of(one, "circuit").text != circuit;
      });
      return exchange(lines, line, other, key, key, mutant);
    };
  };
  return {
      {"two pins of a plug exchanged, from", true, loom, ends_swapped("from")},
      {"two pins of a plug exchanged, to", true, loom, ends_swapped("to")},
      {"an end in another cavity, from", true, loom, end_moved("from")},
      {"an end in another cavity, to", true, loom, end_moved("to")},
      {"a wire dropped", true, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         return is_wire(lines[line]) && drop(lines, line, mutant);
       }},
      {"a wire twice", true, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         if (!is_wire(lines[line])) return false;
         lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(line), lines[line]);
         mutant.lines = {static_cast<uint32_t>(line + 1), static_cast<uint32_t>(line + 2)};
         mutant.what = "twice: " + lines[line].substr(4);
         return true;
       }},
      {"a cavity repeated by another wire", true, loom,
       [of_same_plug](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
         const Value was = value_of(lines[line], "to");
         if (!is_wire(lines[line]) || !is_cavity(was.text)) return false;
         const size_t other = another(lines, line, dice, of_same_plug("to", was.text));
         return other != line && change_value(lines, line, "to", value_of(lines[other], "to").text, mutant);
       }},
      {"a cavity number that the housing has not", true, loom,
       wire_value("to", [](const std::string& was, Dice&) { return is_cavity(was) ? was + "9" : was; })},
      {"a wire of another circuit", true, loom,
       [](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
         if (!is_wire(lines[line])) return false;
         const size_t other = another(lines, line, dice, is_wire);
         return change_value(lines, line, "circuit", value_of(lines[other], "circuit").text, mutant);
       }},
      {"a circuit misspelled", true, any,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         const Value was = value_of(lines[line], "circuit");
         return was.given() && change_value(lines, line, "circuit", was.text + "X", mutant);
       }},
      {"a splice misspelled", true, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         for (const char* key : {"from", "to"}) {
           const Value was = value_of(lines[line], key);
           if (is_wire(lines[line]) && was.text.starts_with('S') && !is_cavity(was.text))
             return change_value(lines, line, key, was.text + "7", mutant);
         }
         return false;
       }},
      {"one era forgotten", true, loom,
       [](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
         static const std::map<std::string, std::vector<std::string>> less = {{"a..b", {"a", "b"}},
                                                                              {"b..", {"c..", "b..c"}},
                                                                              {"c..", {"c", "d"}},
                                                                              {"a..c", {"a..b", "b..c"}},
                                                                              {"b..c", {"b", "c"}}};
         const auto known = less.find(value_of(lines[line], "eras").text);
         if (!is_wire(lines[line]) || known == less.end()) return false;
         return change_value(lines, line, "eras", known->second[dice.below(known->second.size())], mutant);
       }},
      {"an era that is none", true, any,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         return value_of(lines[line], "eras").given() && change_value(lines, line, "eras", "e", mutant);
       }},
      {"a wire only where an option is", true, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         if (!is_wire(lines[line]) || lines[line].find("with:") != std::string::npos ||
             lines[line].find('#') != std::string::npos)
           return false;
         const size_t end = lines[line].rfind('}');
         lines[line].insert(end, ", with: {exhaust-brake: fitted}");
         mutant.lines = {static_cast<uint32_t>(line + 1)}, mutant.what = "with exhaust-brake fitted alone";
         mutant.words = {value_of(lines[line], "from").text};
         return true;
       }},
      {"wrong base colour in one era", false, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         const Value was = value_of(lines[line], "colour");
         return is_wire(lines[line]) && value_of(lines[line], "eras").given() && was.text.size() >= 2 &&
                change_value(lines, line, "colour", (was.text.starts_with("VT") ? "OG" : "VT") + was.text.substr(2),
                             mutant);
       }},
      {"wrong colour in all eras", false, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         const Value was = value_of(lines[line], "colour");
         return is_wire(lines[line]) && !value_of(lines[line], "eras").given() && was.text.size() >= 2 &&
                change_value(lines, line, "colour", (was.text.starts_with("VT") ? "OG" : "VT") + was.text.substr(2),
                             mutant);
       }},
      {"a colour that is none", true, loom, wire_value("colour", [](const std::string&, Dice&) { return "XY"; })},
      {"a cross-section that no housing takes", true, loom,
       wire_value("mm2", [](const std::string&, Dice&) { return "25"; })},
      {"another housing", true, loom,
       [](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
         const Value was = value_of(lines[line], "housing");
         if (!was.given()) return false;
         const size_t other =
             another(lines, line, dice, [](const std::string& one) { return value_of(one, "housing").given(); });
         return change_value(lines, line, "housing", value_of(lines[other], "housing").text, mutant);
       }},
      {"a housing misspelled", true, any,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         const Value was = value_of(lines[line], "housing");
         return was.given() && change_value(lines, line, "housing", was.text + "x", mutant);
       }},
      {"a declared change dropped", true, changes,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         return lines[line].starts_with("      - {") && drop(lines, line, mutant);
       }},
      {"a declared change that is stale", true, changes,
       [](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
         const Value was = value_of(lines[line], "circuit");
         if (!was.given()) return false;
         const size_t other =
             another(lines, line, dice, [](const std::string& one) { return value_of(one, "circuit").given(); });
         return change_value(lines, line, "circuit", value_of(lines[other], "circuit").text, mutant);
       }},
      {"a plug dropped", true, family,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         const bool is_plug = lines[line].starts_with("  - [") || lines[line].starts_with("  - {meet");
         return is_plug && drop(lines, line, mutant);
       }},
      {"another role", true, component,
       pin_value("role",
                 [](const std::string& was, Dice&) {
                   return was.starts_with("takes-feed") ? "takes-earth"
                          : was.starts_with("gives")    ? "takes-feed"
                                                        : "gives-feed";
                 })},
      {"two pins of a component exchanged", true, component,
       [](Lines& lines, size_t line, Dice& dice, Mutant& mutant) {
         return is_pin(lines[line]) &&
                exchange(lines, line, another(lines, line, dice, is_pin), "circuit", "circuit", mutant);
       }},
      {"a pin dropped", true, component,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         return is_pin(lines[line]) && drop(lines, line, mutant);
       }},
      {"other volts", true, component,
       pin_value("volts",
                 [](const std::string& was, Dice&) { return was == "24"   ? "12"
                                                            : was == "12" ? "24"
                                                                          : "12"; })},
      {"a fuse of other ampere", false, component,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         return lines[line].find("fuse") != std::string::npos && value_of(lines[line], "a").given() &&
                change_value(lines, line, "a", "99", mutant);
       }},
      {"a source misspelled", true, any,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         const Value was = value_of(lines[line], "source");
         return was.given() && !was.text.starts_with('{') &&
                change_value(lines, line, "source", was.text + "-x", mutant);
       }},
      {"the source of a file removed", true, any,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         return lines[line].starts_with("source: ") && drop(lines, line, mutant);
       }},
      {"a key misspelled", true, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         const size_t at = lines[line].find("colour: ");
         if (!is_wire(lines[line]) || at == std::string::npos) return false;
         lines[line].replace(at, 8, "color: ");
         mutant.lines = {static_cast<uint32_t>(line + 1)}, mutant.what = "colour -> color";
         return true;
       }},
      {"a colour left out", false, loom,
       [](Lines& lines, size_t line, Dice&, Mutant& mutant) {
         if (!is_wire(lines[line]) || !remove_key(lines[line], "colour")) return false;
         mutant.lines = {static_cast<uint32_t>(line + 1)}, mutant.what = "no colour";
         return true;
       }},
  };
}

struct Tally {
  size_t made = 0, found = 0, at_line = 0, findings = 0;
  std::map<std::string, size_t> survivors;  // in words
};

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) {
    fmt::print(stderr, "usage: mutants REFERENCE [--each N] [--family ID]\n");
    return 2;
  }
  size_t each = 100;
  bool together = false;
  std::string family = "croft";
  for (int i = 2; i < argc; ++i) {
    const std::string option = argv[i];
    if (option == "--together") together = true;
    if (option == "--each" && i + 1 < argc) each = static_cast<size_t>(std::atoi(argv[++i]));
    if (option == "--family" && i + 1 < argc) family = argv[++i];
  }
  const RealFiles disk;
  MemoryFiles clean;
  const std::string root = argv[1];
  std::vector<File> files;
  for (const FileEntry& entry : disk.list(root)) {
    std::string problem;
    const std::string bytes = disk.read(root + '/' + entry.path, problem);
    const std::string name = "corpus/" + entry.path;
    clean.files[name] = bytes;
    if (name.find("/families/" + family + "/") != name.npos && name.ends_with(".yaml"))
      files.push_back({name, lines_of(bytes)});
  }
  CompileOptions options;
  options.threads = 1, options.family = family;
  const size_t before = compile(clean, "corpus", options)->report.findings().size();
  fmt::print("{}: {} files of the family, {} findings in the clean corpus\n\n", family, files.size(), before);
  fmt::print("{:<44}{:>7}{:>9}{:>10}{:>10}\n", "kind of fault", "made", "found", "at line", "findings");
  Tally all, structural;
  uint64_t seed = 1;
  std::vector<std::string> survivors, several;
  for (const Kind& kind : kinds()) {
    Dice dice(seed++);
    Tally tally;
    std::vector<std::pair<size_t, size_t>> spots;  // file, line; in an order by chance
    for (size_t file = 0; file < files.size(); ++file)
      if (kind.suits(files[file]))
        for (size_t line = 0; line < files[file].lines.size(); ++line) spots.emplace_back(file, line);
    for (size_t i = spots.size(); i > 1; --i) std::swap(spots[i - 1], spots[dice.below(i)]);
    for (const auto& [file, line] : spots) {
      if (tally.made == each) break;
      Lines lines = files[file].lines;
      Mutant mutant;
      if (!kind.change(lines, line, dice, mutant)) continue;
      MemoryFiles changed = clean;
      changed.files[files[file].path] = text_of(lines);
      const auto compiled = compile(changed, "corpus", options);
      ++tally.made;
      const auto& findings = compiled->report.findings();
      if (findings.size() <= before) {
        const std::string name = fmt::format("{}: {}:{}: {}", kind.name, files[file].path, line + 1, mutant.what);
        survivors.push_back(name);
        continue;
      }
      ++tally.found;
      tally.findings += findings.size() - before;
      if (together && findings.size() > before + 1) {
        several.push_back(fmt::format("{}: {}:{}: {}", kind.name, files[file].path, line + 1, mutant.what));
        for (const Finding& finding : findings)
          several.push_back(fmt::format("    {}: {}", rule_info(finding.rule).id, finding.message));
      }
      const bool at_line = std::any_of(findings.begin(), findings.end(), [&](const Finding& finding) {
        const auto is_there = [&](const Span& span) {
          if (!span.known()) return false;
          const SourceFile& source = compiled->sources.file(span.file);
          return source.path() == files[file].path &&
                 (mutant.of_whole_file || mutant.lines.contains(source.at(span.begin).line));
        };
        // What is gone has no line: its words are enough.
        const auto names_it = [&](const std::string& text) {
          return std::any_of(mutant.words.begin(), mutant.words.end(),
                             [&](const std::string& word) { return !word.empty() && text.find(word) != text.npos; });
        };
        return is_there(finding.span) || names_it(finding.message) ||
               std::any_of(finding.related.begin(), finding.related.end(),
                           [&](const Label& label) { return is_there(label.span); });
      });
      tally.at_line += at_line;
    }
    const auto share = [](size_t part, size_t whole) {
      return whole == 0 ? "-" : fmt::format("{:.1f} %", 100.0 * static_cast<double>(part) / static_cast<double>(whole));
    };
    fmt::print("{:<44}{:>7}{:>9}{:>10}{:>10.2f}\n", kind.name, tally.made, share(tally.found, tally.made),
               share(tally.at_line, tally.found),
               tally.found ? static_cast<double>(tally.findings) / static_cast<double>(tally.found) : 0.0);
    for (Tally* sum : {&all, &structural}) {
      if (sum == &structural && !kind.structural) continue;
      sum->made += tally.made, sum->found += tally.found, sum->at_line += tally.at_line,
          sum->findings += tally.findings;
    }
  }
  for (const auto& [name, sum] : {std::pair("structural kinds", &structural), std::pair("all kinds", &all)})
    fmt::print("{:<44}{:>7}{:>8.1f} %{:>8.1f} %{:>10.2f}\n", name, sum->made,
               100.0 * static_cast<double>(sum->found) / static_cast<double>(std::max<size_t>(sum->made, 1)),
               100.0 * static_cast<double>(sum->at_line) / static_cast<double>(std::max<size_t>(sum->found, 1)),
               static_cast<double>(sum->findings) / static_cast<double>(std::max<size_t>(sum->found, 1)));
  fmt::print("\nsurvivors\n");
  for (const std::string& survivor : survivors) fmt::print("  {}\n", survivor);
  if (together) fmt::print("\nseveral findings for one fault\n");
  for (const std::string& one : several) fmt::print("  {}\n", one);
  return 0;
}
