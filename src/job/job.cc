#include "job/job.h"

#include <cstdlib>
#include <stdexcept>

#include "schema/validator.h"
#include "yaml/tree.h"

namespace loomproof::job {
namespace {

using yaml::Node;
using yaml::Tree;

constexpr std::array<std::string_view, rate_count> rate_words = {"break", "slip",    "misread", "faded", "lost",
                                                                 "label", "altered", "foreign", "mixed", "view"};

constexpr std::array<std::string_view, cost_count> cost_words = {"glance", "count",      "gauge",
                                                                 "probe",  "other-plug", "unplug"};

Text text_of(Node node) {
  if (!node) return {};
  return {std::string(node.text()), node.span()};
}

std::vector<Text> texts_of(Node list) {
  std::vector<Text> all;
  for (Node item : list) all.push_back(text_of(item));
  return all;
}

// The one answer among those that a reading may hold; a finding where there is none, or more than one.
struct Asked {
  std::string_view key;
  Ask ask;
};
constexpr Asked of_plug[] = {{"count", Ask::count}, {"housing", Ask::housing}, {"cavity-1", Ask::cavity_one}};
constexpr Asked of_cavity[] = {{"is", Ask::state}, {"colour", Ask::colour}, {"mm2", Ask::mm2}, {"wires", Ask::wires}};

std::string list_of(std::string_view first, std::span<const Asked> asked) {
  std::string words(first);
  for (const Asked& one : asked) words += (words.empty() ? "`" : ", `") + std::string(one.key) + "`";
  return words;
}

bool read_plug(Node row, Reading& reading, Report& report) {
  reading.ends = {text_of(row["plug"])};
  const Node is = row["is"];
  Node asked;
  size_t answers = 0;
  for (const Asked& one : of_plug)
    if (const Node node = row[one.key]) reading.ask = one.ask, asked = node, ++answers;
  if (is && !asked) reading.ask = Ask::plug, answers = 1;
  if (answers != 1) {
    report.add<Rule::bad_form>(row.opening(), "plug", answers == 0 ? "has no answer" : "has more than one answer")
        .help("a reading of a plug has one of " + list_of("`is`", of_plug));
    return false;
  }
  if (reading.ask == Ask::count) reading.of = text_of(asked);
  const bool by_is = reading.ask == Ask::plug || reading.ask == Ask::count;
  if (by_is != static_cast<bool>(is)) {
    report
        .add<Rule::bad_form>(is ? is.key_span() : asked.key_span(), is ? "is" : "count",
                             is ? "stands beside another answer" : "has no `is` that says how many")
        .help("a count is two keys: {plug: C7, count: wires, is: 12}");
    return false;
  }
  reading.answer = text_of(by_is ? is : asked);
  const bool is_number = !reading.answer.text.empty() && reading.answer.text[0] >= '0' && reading.answer.text[0] <= '9';
  if (by_is && reading.has_answer() && is_number != (reading.ask == Ask::count)) {
    report.add<Rule::bad_form>(is.span(), reading.answer.text,
                               is_number ? "is a number, and nothing is counted" : "is no count");
    return false;
  }
  return true;
}

bool read_cavity(Node row, Reading& reading, Report& report) {
  reading.ends = {text_of(row["cavity"])};
  size_t answers = 0;
  for (const Asked& one : of_cavity)
    if (const Node node = row[one.key]) reading.ask = one.ask, reading.answer = text_of(node), ++answers;
  if (answers == 1) return true;
  report.add<Rule::bad_form>(row.opening(), "cavity", answers == 0 ? "has no answer" : "has more than one answer")
      .help("a reading of a cavity has one of " + list_of("", of_cavity));
  return false;
}

// The row has the shape that the schema wants.
bool read_reading(Node row, Reading& reading, Report& report) {
  reading.span = row.opening();
  reading.place = text_of(row["place"]);
  reading.on = row["on"].text(), reading.remark = row["remark"].text(), reading.ohm = row["ohm"].text();
  reading.counts = row["mistaken"].text() != "true";
  if (row["plug"]) return read_plug(row, reading, report);
  if (row["cavity"]) return read_cavity(row, reading, report);
  if (const Node between = row["between"]) {
    reading.ask = Ask::beeps, reading.ends = texts_of(between), reading.answer = text_of(row["beeps"]);
    reading.plugged = texts_of(row["plugged"]);
    if (reading.ends[0].text != reading.ends[1].text) return true;
    report.add<Rule::bad_form>(reading.ends[1].span, reading.ends[1].text, "is the same point twice");
    return false;
  }
  if (row["comb"]) {
    reading.ask = Ask::comb, reading.ends = {text_of(row["comb"])}, reading.answer = text_of(row["beeps"]);
    return true;
  }
  reading.ask = row["label"] ? Ask::label : Ask::meter;
  reading.answer = text_of(row[reading.ask == Ask::label ? "label" : "meter"]);
  return true;
}

// Quotes what YAML would read otherwise, or what a flow row would end at.
std::string scalar(std::string_view text) {
  const bool is_plain = !text.empty() && text.find_first_of("\"'{}[],&*#?|<>=!%@`:\\\n\t") == text.npos &&
                        text.front() != ' ' && text.back() != ' ' && text.front() != '-' && text != "~";
  if (is_plain) return std::string(text);
  std::string quoted = "'";
  for (const char c : text) {
    quoted += c == '\n' || c == '\t' ? ' ' : c;
    if (c == '\'') quoted += '\'';
  }
  return quoted + "'";
}

std::string flow_list(const std::vector<Text>& items) {
  std::string list = "[";
  for (const Text& item : items) list += (list.size() > 1 ? ", " : "") + scalar(item.text);
  return list + "]";
}

std::string_view answer_key(Ask ask) {
  switch (ask) {
    case Ask::housing:
      return "housing";
    case Ask::label:
      return "label";
    case Ask::colour:
      return "colour";
    case Ask::mm2:
      return "mm2";
    case Ask::wires:
      return "wires";
    case Ask::beeps:
    case Ask::comb:
      return "beeps";
    case Ask::cavity_one:
      return "cavity-1";
    case Ask::meter:
      return "meter";
    default:
      return "is";
  }
}

// Where the next row goes, and what stands before it.
struct Gap {
  size_t from = 0, to = 0;  // the bytes that it takes the place of
  std::string indent = "  ";
  bool needs_key = false;
};

Gap gap_in(std::string_view text, Node root) {
  const auto line_end = [&](size_t offset) {
    const size_t end = text.find('\n', offset);
    return end == text.npos ? text.size() : end + 1;
  };
  const Node readings = root["readings"];
  if (!readings) return {text.size(), text.size(), "  ", true};
  if (readings.size() == 0) {
    if (!readings.is_sequence()) {  // `readings:` alone
      const size_t at = line_end(readings.key_span().end);
      return {at, at, "  ", false};
    }
    const size_t key = text.rfind("readings", readings.key_span().end);
    return {key, line_end(readings.span().end), "  ", true};
  }
  if (text[readings.opening().begin] == '[') throw std::logic_error("readings are not one a line");
  const size_t dash = readings.opening().begin;
  const size_t line = text.rfind('\n', dash) + 1;
  Node last;
  for (Node row : readings) last = row;
  const size_t end = last.span().end;
  const size_t at = line_end(end > 0 && text[end - 1] == '\n' ? end - 1 : end);
  return {at, at, std::string(dash - line, ' '), false};
}

}  // namespace

std::optional<Job> read(const SourceFile& file, FileId id, Report& report) {
  Report own;
  const auto end = [&](std::optional<Job> job) {
    if (own.has_errors()) job.reset();
    report.merge(std::move(own));
    return job;
  };
  const Tree tree = Tree::read(file, id, own);
  const Node root = tree.root();
  if (!root || !schema::validate(*schema::SchemaSet::built_in().find("job"), root, own)) return end(std::nullopt);
  Job job;
  job.family = text_of(root["family"]);
  job.title = root["title"].text();
  job.built = text_of(root["built"]);
  job.known = texts_of(root["known"]);
  for (Node part : root["bench"])
    job.bench.push_back(
        {{std::string(part.key()), part.key_span()}, texts_of(part["found"]), texts_of(part["plugged"])});
  for (Node rate : root["rates"])
    for (uint32_t i = 0; i < rate_count; ++i)
      if (rate.key() == rate_words[i]) job.rates[i] = std::strtod(std::string(rate.text()).c_str(), nullptr);
  for (Node cost : root["costs"])
    for (uint32_t i = 0; i < cost_count; ++i)
      if (cost.key() == cost_words[i]) job.costs[i] = std::strtod(std::string(cost.text()).c_str(), nullptr);
  const Node readings = root["readings"];
  if (readings.size() > 0 && file.bytes()[readings.opening().begin] == '[')
    own.add<Rule::bad_form>(readings.opening(), "readings", "are not one a line")
        .help("begin each on a line of its own with a dash, so that more can be added behind the last");
  for (Node row : readings) {
    Reading reading;
    if (read_reading(row, reading, own)) job.readings.push_back(std::move(reading));
  }
  return end(std::move(job));
}

std::string row_text(const Reading& reading) {
  std::string row = "{";
  const auto put = [&](std::string_view key, const std::string& value) {
    if (row.size() > 1) row += ", ";
    row += std::string(key) + ": " + value;
  };
  switch (reading.ask) {
    case Ask::label:
    case Ask::meter:
      break;
    case Ask::beeps:
      put("between", flow_list(reading.ends));
      break;
    case Ask::comb:
      put("comb", scalar(reading.ends.at(0).text));
      break;
    case Ask::state:
    case Ask::colour:
    case Ask::mm2:
    case Ask::wires:
      put("cavity", scalar(reading.ends.at(0).text));
      break;
    default:
      put("plug", scalar(reading.ends.at(0).text));
  }
  if (reading.ask == Ask::count) put("count", scalar(reading.of.text));
  put(answer_key(reading.ask), scalar(reading.answer.text));
  if (!reading.ohm.empty()) put("ohm", reading.ohm);
  if (!reading.place.text.empty()) put("place", scalar(reading.place.text));
  if (!reading.plugged.empty()) put("plugged", flow_list(reading.plugged));
  if (!reading.on.empty()) put("on", scalar(reading.on));
  if (!reading.remark.empty()) put("remark", scalar(reading.remark));
  if (!reading.counts) put("mistaken", "true");
  return row + "}";
}

std::string with_row(std::string_view text, std::string_view row) {
  const SourceFile before("job", std::string(text));
  Report report;
  const std::optional<Job> was = read(before, 0, report);
  if (!was) throw std::logic_error("no job to add a reading to");
  const Tree tree = Tree::read(before, 0, report);
  const Gap gap = gap_in(text, tree.root());
  const std::string newline = text.find("\r\n") != text.npos ? "\r\n" : "\n";
  std::string made(text.substr(0, gap.from));
  if (!made.empty() && made.back() != '\n') made += newline;
  if (gap.needs_key) made += "readings:" + newline;
  made += gap.indent + "- " + std::string(row) + newline;
  made += text.substr(gap.to);
  const SourceFile after("job", made);
  const std::optional<Job> becomes = read(after, 0, report);
  if (!becomes || becomes->readings.size() != was->readings.size() + 1) throw std::logic_error("the row is no reading");
  return made;
}

std::string without_last(std::string_view text) {
  const SourceFile before("job", std::string(text));
  Report report;
  const std::optional<Job> job = read(before, 0, report);
  if (!job) throw std::logic_error("no job to take a reading back from");
  const Tree tree = Tree::read(before, 0, report);
  Node last;
  size_t at = 0;
  for (Node row : tree.root()["readings"]) {
    const Reading& reading = job->readings.at(at++);
    if (reading.counts && reading.ask != Ask::meter) last = row;
  }
  std::string made(text);
  if (!last) return made;
  if (const Node said = last["mistaken"]) {
    made.replace(said.span().begin, said.span().end - said.span().begin, "true");
  } else if (text[last.span().begin] == '{') {
    made.insert(text.rfind('}', last.span().end - 1), ", mistaken: true");
  } else {  // a key a line: one more before the first
    const size_t key = last.opening().begin, line = text.rfind('\n', key) + 1;
    made.insert(key, "mistaken: true\n" + std::string(key - line, ' '));
  }
  const SourceFile after("job", made);
  if (!read(after, 0, report)) throw std::logic_error("the reading cannot be taken back");
  return made;
}

}  // namespace loomproof::job
