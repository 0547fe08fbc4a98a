#include "session.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cstdio>
#include <ctime>

#include "diag/suggest.h"
#include "family/words.h"
#include "identify/words.h"
#include "job/file.h"
#include "source/files.h"

namespace loomproof::bench {
namespace {

using identify::Evidence;
using identify::Identification;
using identify::Look;
using identify::Question;

constexpr double worth_showing = 0.01;

enum class Said { answer, back, stop };
struct Answered {
  Said said{};
  std::string text;
};

std::string trimmed(std::string text) {
  const auto is_space = [](unsigned char c) { return std::isspace(c) != 0; };
  text.erase(text.begin(), std::find_if_not(text.begin(), text.end(), is_space));
  text.erase(std::find_if_not(text.rbegin(), text.rend(), is_space).base(), text.end());
  return text;
}

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) { return std::tolower(c); });
  return text;
}

bool is_number(const std::string& text, bool whole) {
  size_t dots = 0;
  for (const char c : text) dots += c == '.';
  return !text.empty() && text.front() != '.' && text.back() != '.' && dots <= (whole ? 0 : 1) && text.size() <= 6 &&
         text.find_first_not_of("0123456789.") == text.npos;
}

class Session {
 public:
  Session(const FamilyIndex& index, const std::string& path, const std::string& place, const Talk& talk)
      : index_(index), family_(index.family()), path_(path), talk_(talk) {
    load();
    if (place.empty() && parts_.size() > 1)
      throw UsageError("the job has several places on the bench: say which with --place");
    at_ = parts_.size();
    for (size_t i = 0; i < parts_.size(); ++i)
      if (place.empty() || family_.text(family_.places[parts_[i].place].id) == place) at_ = i;
    if (at_ == parts_.size()) throw UsageError(fmt::format("{} is not on the bench of this job", place));
    identification_.emplace(index, part().place, rates_of(job_->job()), part().found, costs_of(job_->job()));
  }

  bool run() {
    Answer cautions;
    add_probe_cautions(cautions, family_);
    say(render_text(cautions.page, talk_.width) + "\n");
    say(fmt::format("{}: {} so far. Every answer is kept at once, in\n{}\n", place_id(),
                    count_words(part().evidence.readings.size(), "reading"), path_));
    if (!prove_meter("first")) return leads();
    const bool stopped = ask_all();
    if (stopped) say("Stopped: the same command goes on from here.\n");
    prove_meter("last");
    tell_standing();
    say("Telling recorded variants apart confirms none of them: `loombench verify` does.\n");
    return leads();
  }

 private:
  void say(const std::string& text) const { talk_.say(text); }
  const BenchPart& part() const { return parts_[at_]; }
  std::string_view place_id() const { return family_.text(family_.places[part().place].id); }
  static std::string count_words(size_t count, std::string_view what) {
    return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
  }
  void load() {
    job_.emplace(path_);
    parts_ = bench_parts(index_, *job_);
  }
  bool leads() const {
    const identify::Candidate& first = identification_->candidates().front();
    return (first.kind == identify::Kind::variant || first.kind == identify::Kind::edited) &&
           identification_->weight_of_group(first.variant) >= leads_from;
  }

  // A line of input; nothing at its end. Words that end or take back are the same at every question.
  std::optional<std::string> line(const std::string& prompt) const {
    say(prompt);
    std::optional<std::string> text = talk_.line();
    if (!text) {
      say("\n");
      return std::nullopt;
    }
    return trimmed(*text);
  }

  void add(job::Reading reading) const {
    reading.on = talk_.today;
    if (parts_.size() > 1 && reading.ask != job::Ask::meter) reading.place.text = place_id();
    job::append(path_, job::row_text(reading));
  }

  // False where the meter failed, or the user stops.
  bool prove_meter(std::string_view when) {
    const bool is_first = when == "first";
    say(fmt::format("\n{}: hold the two leads of the meter together.\n",
                    is_first ? "The meter first" : "The meter again"));
    job::Reading proof;
    proof.ask = job::Ask::meter;
    for (;;) {
      const auto text = line("Does it beep? (yes, no, stop) ");
      if (!text) return false;
      const std::string word = lower(*text);
      if (word == "stop" || word == "s") return false;
      if (word == "yes" || word == "y" || word == "no" || word == "n") {
        proof.answer.text = word[0] == 'y' ? "proved" : "failed";
        break;
      }
      say("Say yes, no or stop.\n");
    }
    if (proof.answer.text == "failed") {
      add(proof);
      say(is_first ? "A meter that fails reads like a broken wire: mend it (battery, leads, fuse) and begin again.\n"
                   : "Continuity readings since it was last proved may be wrong: take those that were open again.\n");
      return false;
    }
    for (;;) {
      const auto text = line("What does it show then, in ohm? (0.3; nothing where it shows none) ");
      if (!text || text->empty()) break;
      if (is_number(*text, false)) {
        proof.ohm = *text;
        break;
      }
      say("A number, as in 0.3; or nothing.\n");
    }
    add(proof);
    return true;
  }

  // True where the user stopped before everything was asked.
  bool ask_all() {
    bool told = false;
    for (;;) {
      load();
      identification_->weigh(part().evidence);
      if (leads() && !told) {
        told = true;
        tell_standing();
        for (;;) {
          const auto text = line("One stands out. Go on all the same? (yes, no) ");
          const std::string word = text ? lower(*text) : "no";
          if (word == "no" || word == "n" || word == "stop" || word == "s") return false;
          if (word == "yes" || word == "y") break;
        }
      }
      const Evidence& evidence = part().evidence;
      const Question* last = evidence.readings.empty() ? nullptr : &evidence.readings.back().question;
      const auto next = identify::next_reading(*identification_, evidence, last);
      if (!next) {
        say("\nNothing that is left to read tells more.\n");
        return false;
      }
      Said said = Said::answer;
      if (identify::needs_view(next->question.look))
        for (const std::string& plug : identify::plugs_of(next->question))
          if (said == Said::answer && !is_asked_for_cavity_one(plug)) said = settle(plug);
      if (said == Said::answer) said = ask(*next);
      if (said == Said::stop) return true;
      if (said == Said::back && !job::take_back_last(path_)) say("There is nothing to take back.\n");
    }
  }

  bool is_asked_for_cavity_one(const std::string& plug) const {
    for (const job::Reading& reading : job_->job().readings)
      if (reading.ask == job::Ask::cavity_one && reading.counts && reading.ends[0].text == plug &&
          (reading.place.text.empty() || reading.place.text == place_id()))
        return true;
    return false;
  }

  // Yes, no, and what every question takes. `answers`: the words that are one, with their first letters where unique.
  std::optional<Answered> common(const std::optional<std::string>& text) const {
    if (!text) return Answered{Said::stop, {}};
    const std::string word = lower(*text);
    if (word == "stop" || word == "s") return Answered{Said::stop, {}};
    if (word == "back" || word == "b") return Answered{Said::back, {}};
    if (word == "unsure" || word == "u") return Answered{Said::answer, "unsure"};
    if (word == "cannot reach" || word == "cannot-reach" || word == "c") return Answered{Said::answer, "cannot-reach"};
    return std::nullopt;
  }

  Said settle(const std::string& plug) {
    say(fmt::format("\nPlug {}: which cavity is number 1? Look for the moulded numbers.\n", plug));
    const identify::Candidate& first = identification_->candidates().front();
    if (first.sheet) {
      const identify::SettlingLooks looks =
          identify::settling_looks(family_, *first.sheet, plug, identification_->off_limits());
      if (!looks.is_needed) say("Its housing looks alike no other way round, as far as it is recorded.\n");
      for (const auto& [cavity, what] : looks.looks)
        say(fmt::format("Without numbers, it is so where {} is {} (if it is what it looks like so far).\n", cavity,
                        what));
    }
    job::Reading reading;
    reading.ask = job::Ask::cavity_one;
    reading.ends = {{plug, {}}};
    for (;;) {
      const auto text = line("Are you sure of cavity 1? (yes, unsure, back, stop) ");
      const auto known = common(text);
      const std::string word = text ? lower(*text) : "";
      if (known && known->said != Said::answer) return known->said;
      if (word == "yes" || word == "y" || word == "sure") {
        reading.answer.text = "sure";
      } else if (known || word == "no" || word == "n") {
        reading.answer.text = "unsure";
      } else {
        say("Say yes, unsure, back or stop.\n");
        continue;
      }
      add(reading);
      return Said::answer;
    }
  }

  Said ask(const identify::Next& next) {
    const Question& question = next.question;
    say(fmt::format("\nReading {}: {}\n", part().evidence.readings.size() + 1, identify::question_words(question)));
    Facts facts;
    facts.add("Why", parts_words(*identification_, next));
    for (const std::string& plug : identify::plugs_of(question)) facts.add("Plug " + plug, plug_words(plug));
    for (size_t variant = 0; variant < identification_->variants().size(); ++variant) {
      if (identification_->weight_of_group(variant) < worth_showing) continue;
      if (identification_->group_of(variant).front() != variant) continue;
      facts.add(share_text(identification_->weight_of_group(variant)),
                fmt::format("{}: {}", group_words(*identification_, identification_->group_of(variant)),
                            expected_words(variant, question)));
    }
    say(render_text({facts}, talk_.width));
    for (const std::string& end : {question.a, question.b})
      if (identify::needs_view(question.look) && !identify::plug_of(end).empty()) say(face(end));
    for (;;) {
      const auto text = line(prompt(question.look));
      if (const auto known = common(text)) {
        if (known->said != Said::answer) return known->said;
        keep(question, known->text);
        return Said::answer;
      }
      std::string fault;
      const std::string answer = answer_of(question, *text, fault);
      if (!fault.empty()) {
        say(fault + "\n");
        continue;
      }
      keep(question, answer);
      return Said::answer;
    }
  }

  std::string expected_words(size_t variant, const Question& question) const {
    const identify::Sheet& sheet = *identification_->sheets()[variant];
    std::string words = identify::recorded_words(sheet, question);
    if (question.look != Look::beeps) return words;
    // The colours at both ends, to find them by.
    std::string colours;
    for (const std::string& end : {question.a, question.b})
      if (const identify::CavityFacts* const facts = sheet.cavity(end); facts && !facts->colours.empty())
        colours += fmt::format(", {} at {}", *facts->colours.begin(), end);
    return words + colours;
  }

  std::string plug_words(const std::string& plug) const {
    const identify::Candidate& first = identification_->candidates().front();
    const identify::Sheet* sheet = first.sheet.get();
    if (!sheet || !sheet->plug(plug))
      for (const identify::Sheet* other : identification_->sheets())
        if (other->plug(plug)) sheet = other;
    if (!sheet || !sheet->plug(plug)) return {};
    const Index housing = sheet->plug(plug)->housing_index;
    if (housing == none) return "housing not recorded";
    const Housing& row = family_.housings[housing];
    std::string words = fmt::format("{}, seen from the {}", family_.text(row.title != 0 ? row.title : row.id),
                                    row.view == View::wire_side ? "wire side" : "mating side");
    if (row.key != 0) words += fmt::format("; key: {}", family_.text(row.key));
    return words;
  }

  // The cavity among the others of its plug, from the side that the record draws; nothing where it is too wide.
  std::string face(const std::string& end) const {
    const std::string plug(identify::plug_of(end));
    const identify::PlugFacts* facts = nullptr;
    for (const identify::Sheet* sheet : identification_->sheets())
      if (!facts || facts->housing_index == none) facts = sheet->plug(plug);
    if (!facts || facts->housing_index == none) return {};
    const auto cavities = rows(family_.housing_cavities, family_.housings[facts->housing_index].cavities);
    std::map<int32_t, std::vector<const HousingCavity*>> lines;  // by height
    for (const HousingCavity& cavity : cavities) lines[cavity.y].push_back(&cavity);
    if (lines.size() > 6) return {};
    size_t digits = 1, most = 0;
    for (const HousingCavity& cavity : cavities) digits = std::max(digits, family_.text(cavity.number).size());
    for (const auto& [y, line] : lines) most = std::max(most, line.size());
    if ((digits + 2) * most + 4 > talk_.width) return {};
    std::string text =
        fmt::format("  {}, from the {}:\n", plug,
                    family_.housings[facts->housing_index].view == View::wire_side ? "wire side" : "mating side");
    for (auto& [y, line] : lines) {
      std::sort(line.begin(), line.end(), [](const auto* a, const auto* b) { return a->x < b->x; });
      text += "  ";
      for (const HousingCavity* cavity : line) {
        const bool is_it = family_.text(cavity->number) == identify::number_of(end);
        text += fmt::format("{}{:>{}}{}", is_it ? '[' : ' ', family_.text(cavity->number), digits, is_it ? ']' : ' ');
      }
      while (!text.empty() && text.back() == ' ') text.pop_back();
      text += '\n';
    }
    return text;
  }

  static std::string prompt(Look look) {
    const std::string_view all = "unsure, cannot reach, back, stop";
    switch (look) {
      case Look::plug:
        return fmt::format("Is it there? (yes, no, cut off, {}) ", all);
      case Look::housing:
        return fmt::format("Which? (its id, other, {}) ", all);
      case Look::label:
        return fmt::format("What does it say? (none, {}) ", all);
      case Look::state:
        return fmt::format("What is it? (wired, empty, sealed, {}) ", all);
      case Look::colour:
        return fmt::format("Which colour? (as GN/WH, {}) ", all);
      case Look::mm2:
        return fmt::format("How many mm²? ({}) ", all);
      case Look::beeps:
        return fmt::format("Does it beep? (yes, no, {}) ", all);
      default:
        return fmt::format("How many? ({}) ", all);
    }
  }

  // The answer as the job file has it; a fault in one line where it is none.
  std::string answer_of(const Question& question, const std::string& text, std::string& fault) const {
    const std::string word = lower(text);
    const auto is = [&](std::string_view whole) { return word == whole || (word.size() == 1 && word[0] == whole[0]); };
    switch (question.look) {
      case Look::beeps:
        if (is("yes") || is("no")) return is("yes") ? "yes" : "no";
        fault = "Say yes or no.";
        return {};
      case Look::plug:
        if (is("yes") || word == "present") return "present";
        if (is("no") || word == "absent") return "absent";
        if (word == "cut off" || word == "cut-off") return "cut-off";
        fault = "Say yes, no or cut off.";
        return {};
      case Look::state:
        if (word == "wired" || word == "w") return "wired";
        if (word == "empty" || word == "e") return "empty";
        if (word == "sealed") return "sealed";
        fault = "Say wired, empty or sealed.";
        return {};
      case Look::label:
        if (!text.empty() && text.size() <= 60) return is("none") ? "none" : text;
        fault = "Type what is printed on it, or none.";
        return {};
      case Look::housing:
        return housing_of(text, fault);
      case Look::colour:
        return colour_of(text, fault);
      case Look::mm2:
        if (is_number(text, false) && std::strtod(text.c_str(), nullptr) >= 0.05) return text;
        fault = "A number from 0.05, as in 0.75.";
        return {};
      default:
        if (is_number(text, true) && text.size() <= 3 && std::atoi(text.c_str()) <= 500)
          return std::to_string(std::atoi(text.c_str()));
        fault = "A whole number.";
        return {};
    }
  }

  std::string housing_of(const std::string& text, std::string& fault) const {
    if (lower(text) == "other") return "other";
    std::vector<std::string_view> known;
    for (const Housing& housing : family_.housings) known.push_back(family_.text(housing.id));
    if (std::find(known.begin(), known.end(), text) != known.end()) return text;
    const std::string_view near = nearest(text, known);
    fault = near.empty() ? "No housing is named so: type its id, or other." : fmt::format("Did you mean {}?", near);
    return {};
  }

  std::string colour_of(const std::string& text, std::string& fault) const {
    std::string code = text;
    std::transform(code.begin(), code.end(), code.begin(), [](unsigned char c) { return std::toupper(c); });
    std::vector<std::string_view> known;
    for (const Colour& colour : family_.colours) known.push_back(family_.text(colour.code));
    const size_t stroke = code.find('/');
    for (const std::string& one :
         {code.substr(0, stroke), stroke == code.npos ? std::string() : code.substr(stroke + 1)}) {
      if (one.empty() && stroke == code.npos) continue;
      if (std::find(known.begin(), known.end(), one) != known.end()) continue;
      if (one.size() == 2 && std::isalpha(static_cast<unsigned char>(one[0])) &&
          std::isalpha(static_cast<unsigned char>(one[1]))) {
        static constexpr std::string_view iec[] = {"BK", "BN", "RD", "OG", "YE", "GN", "BU",
                                                   "VT", "GY", "WH", "PK", "GD", "TQ", "SR"};  // IEC 60757
        if (std::find(std::begin(iec), std::end(iec), one) != std::end(iec)) continue;
      }
      fault = "A colour by its code (IEC 60757), with a tracer as in GN/WH: BK BN RD OG YE GN BU VT GY WH PK GD TQ SR.";
      return {};
    }
    return code;
  }

  void keep(const Question& question, const std::string& answer) const {
    job::Reading reading;
    reading.ends = {{question.a, {}}};
    reading.answer.text = answer;
    switch (question.look) {
      case Look::plug:
        reading.ask = job::Ask::plug;
        break;
      case Look::housing:
        reading.ask = job::Ask::housing;
        break;
      case Look::label:
        reading.ask = job::Ask::label, reading.ends.clear();
        break;
      case Look::state:
        reading.ask = job::Ask::state;
        break;
      case Look::colour:
        reading.ask = job::Ask::colour;
        break;
      case Look::mm2:
        reading.ask = job::Ask::mm2;
        break;
      case Look::crimped:
        reading.ask = job::Ask::wires;
        break;
      case Look::beeps:
        reading.ask = job::Ask::beeps, reading.ends.push_back({question.b, {}});
        break;
      default:
        reading.ask = job::Ask::count;
        reading.of.text = question.look == Look::thick   ? "thick"
                          : question.look == Look::empty ? "empty"
                          : question.look == Look::wires ? "wires"
                                                         : question.of;
    }
    add(reading);
  }

  void tell_standing() {
    load();
    identification_->weigh(part().evidence);
    say("\nSo far, among those recorded:\n");
    Grid grid{{{"Share"}, {"Candidate", true}}, {}};
    std::set<size_t> told;
    for (const identify::Candidate& candidate : identification_->candidates()) {
      if (candidate.kind == identify::Kind::none) {
        if (candidate.weight >= worth_showing)
          grid.rows.push_back({{share_text(candidate.weight), "none of these"}, {}});
        continue;
      }
      if (candidate.kind == identify::Kind::mixed) {
        if (candidate.weight >= worth_showing)
          grid.rows.push_back({{share_text(candidate.weight), "joined from two"}, {}});
        continue;
      }
      const size_t first = identification_->group_of(candidate.variant).front();
      const double weight = identification_->weight_of_group(first);
      if (weight < worth_showing || !told.insert(first).second) continue;
      grid.rows.push_back({{share_text(weight), group_words(*identification_, identification_->group_of(first))}, {}});
    }
    say(render_text({grid}, talk_.width));
  }

  const FamilyIndex& index_;
  const Family& family_;
  std::string path_;
  const Talk& talk_;
  std::optional<JobFile> job_;
  std::vector<BenchPart> parts_;
  size_t at_ = 0;
  std::optional<Identification> identification_;
};

}  // namespace

Talk terminal_talk(size_t width) {
  if (!::isatty(STDIN_FILENO) || !::isatty(STDOUT_FILENO))
    throw UsageError("--ask needs a terminal for questions and answers; without one, write readings into the job file");
  Talk talk;
  talk.width = width;
  talk.say = [](const std::string& text) {
    if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0)
      throw EnvironmentError("standard output: cannot write");
  };
  talk.line = []() -> std::optional<std::string> {
    std::string text;
    for (int c = std::fgetc(stdin); c != '\n'; c = std::fgetc(stdin)) {
      if (c == EOF) return text.empty() ? std::nullopt : std::optional(text);
      text += static_cast<char>(c);
    }
    return text;
  };
  const std::time_t now = std::time(nullptr);
  std::tm day{};
  ::localtime_r(&now, &day);
  talk.today = fmt::format("{:04}-{:02}-{:02}", day.tm_year + 1900, day.tm_mon + 1, day.tm_mday);
  return talk;
}

bool ask_through(const FamilyIndex& index, const std::string& path, const std::string& place, const Talk& talk) {
  return Session(index, path, place, talk).run();
}

}  // namespace loomproof::bench
