#include "identify/chances.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "family/words.h"
#include "identify/practice.h"

namespace loomproof::identify {
namespace {

constexpr uint32_t most_of_a_count = 24;  // counts above it are all alike to the model
constexpr double least_rate = 1e-6;
constexpr double no_label = 0.4;  // of all looms; whatever they should carry

double one_of(bool is_it, double wrong, uint32_t answers) {
  return is_it ? 1 - wrong : wrong / std::max<uint32_t>(answers - 1, 1);
}

std::string base_of(const std::string& colour) {
  return colour.substr(0, colour.find('/'));
}
std::string tracer_of(const std::string& colour) {
  const size_t stroke = colour.find('/');
  return stroke == colour.npos ? std::string() : colour.substr(stroke + 1);
}
// Another colour that dirt or fading makes of it: the tracer is overlooked or taken for another, or the base is.
bool are_near(const std::string& colour, const std::string& other) {
  if (base_of(colour) == base_of(other)) return true;
  return tracer_of(colour) == tracer_of(other) && are_confused(base_of(colour), base_of(other));
}

}  // namespace

Chances::Chances(const Family& family, const std::vector<const Sheet*>& recorded, const Rates& rates)
    : rates_(rates), recorded_(recorded) {
  // Nothing is impossible: a rate of nought would make one odd reading outweigh all others.
  for (double* rate : {&rates_.break_, &rates_.slip, &rates_.misread, &rates_.faded, &rates_.lost, &rates_.label,
                       &rates_.altered, &rates_.foreign, &rates_.mixed, &rates_.view})
    *rate = std::max(*rate, least_rate);
  for (const Sheet* sheet : recorded) {
    for (const auto& [name, plug] : sheet->plugs()) housings_.insert(plug.housing);
    labels_.insert(sheet->labels().begin(), sheet->labels().end());
  }
  for (const Wire& wire : family.wires) {
    if (const std::string colour = colour_seen(family, wire); !colour.empty()) colours_.insert(colour);
    if (wire.mm2 != not_given) sizes_.insert(milli(wire.mm2));
  }
}

uint32_t Chances::answers_to(const Question& question) const {
  const auto and_other = [](const auto& set) { return static_cast<uint32_t>(set.size()) + 1; };
  switch (question.look) {
    case Look::plug:
    case Look::state:
      return 3;
    case Look::housing:
      return and_other(housings_);
    case Look::label:
      return and_other(labels_) + 1;  // none
    case Look::colour:
      return and_other(colours_);
    case Look::mm2:
      return and_other(sizes_);
    case Look::beeps:
      return 2;
    default:
      return most_of_a_count + 1;
  }
}

// The further from the count, the less likely: half as much at each step.
double Chances::of_count(const Span32& span, const std::string& answer, double wrong) const {
  const auto count = std::min<uint32_t>(static_cast<uint32_t>(std::atoi(answer.c_str())), most_of_a_count);
  const auto around = [&](uint32_t centre) {
    double sum = 0, here = 0;
    for (uint32_t other = 0; other <= most_of_a_count; ++other) {
      if (other == centre) continue;
      const double weight =
          1.0 / static_cast<double>(uint64_t{1} << (other > centre ? other - centre : centre - other));
      sum += weight;
      if (other == count) here = weight;
    }
    return count == centre ? 1 - wrong : wrong * here / sum;
  };
  double chance = 0;
  const uint32_t least = std::min(span.least, most_of_a_count), most = std::min(span.most, most_of_a_count);
  for (uint32_t centre = least; centre <= most; ++centre) chance += around(centre);
  return chance / (most - least + 1);
}

double Chances::one_colour(const std::string& recorded, const std::string& answer) const {
  if (recorded == answer) return 1 - rates_.faded;
  uint32_t near = 0, far = 1;  // one for any that nobody recorded
  for (const std::string& colour : colours_)
    if (colour != recorded) ++(are_near(recorded, colour) ? near : far);
  const double share_of_near = near == 0 ? 0 : 0.7;
  if (colours_.contains(answer) && are_near(recorded, answer)) return rates_.faded * share_of_near / near;
  return rates_.faded * (1 - share_of_near) / far;
}

double Chances::of_colour(const std::set<std::string>& recorded, const std::string& answer) const {
  const auto answers = static_cast<double>(colours_.size() + 1);
  const double wrong = rates_.misread + rates_.altered;
  if (recorded.empty()) return 1 / answers;
  double chance = 0;
  for (const std::string& colour : recorded) chance += one_colour(colour, answer);
  return (1 - wrong) * chance / static_cast<double>(recorded.size()) + wrong / answers;
}

double Chances::of(const Sheet& sheet, const Question& question, const std::string& answer,
                   const std::set<std::string>& plugged) const {
  const uint32_t answers = answers_to(question);
  const double even = 1.0 / answers;
  const double wrong = rates_.misread + rates_.altered;
  switch (question.look) {
    case Look::plug:
      return one_of(answer == (sheet.plug(question.a) ? "present" : "absent"),
                    sheet.plug(question.a) ? rates_.lost : wrong, answers);
    case Look::housing: {
      const PlugFacts* const plug = sheet.plug(question.a);
      if (!plug || plug->housing.empty()) return even;
      return one_of(answer == plug->housing, rates_.lost, answers);
    }
    case Look::label: {
      if (answer == "none") return no_label;
      if (sheet.labels().empty()) return (1 - no_label) / (answers - 1);
      const auto good = static_cast<double>(sheet.labels().size());
      return (1 - no_label) *
             (sheet.labels().contains(answer) ? (1 - rates_.label) / good : rates_.label / (answers - 1 - good));
    }
    case Look::wires:
    case Look::thick:
    case Look::empty:
    case Look::coloured: {
      if (!sheet.plug(question.a)) return even;
      const double more = question.look == Look::coloured ? rates_.faded : 0;
      return of_count(sheet.count(question.a, question.look, question.of), answer, wrong + more);
    }
    case Look::beeps: {
      const Path path = sheet.path(question.a, question.b, plugged);
      if (path == Path::may) return 0.5;
      if (path == Path::no) {
        const double yes = rates_.altered * (1 - rates_.slip) + (1 - rates_.altered) * rates_.slip;
        return answer == "yes" ? yes : 1 - yes;
      }
      const Reading reading{question, answer, plugged};
      return chance_of_net(sheet, sheet.net(sheet.vertex(question.a)), {&reading}, rates_.break_, rates_.slip);
    }
    default:
      break;
  }
  const CavityFacts* const cavity = sheet.cavity(question.a);
  if (!cavity || !cavity->is_known()) return even;
  if (question.look == Look::state) return one_of(answer == word(cavity->state), wrong, answers);
  // Whoever tells a colour, a size or a count says that a wire is there; where none should be, somebody was at it.
  if (cavity->state != State::wired) return wrong * even;
  if (question.look == Look::colour) return of_colour(cavity->colours, answer);
  if (question.look == Look::crimped) return of_count({cavity->wires, cavity->wires}, answer, wrong);
  if (cavity->mm2.empty()) return even;
  return one_of(cavity->mm2.contains(answer), wrong, answers);
}

double Chances::of_none(const Question& question, const std::string& answer) const {
  double mean = 0;
  for (const Sheet* sheet : recorded_) mean += of(*sheet, question, answer);
  return 0.5 * mean / static_cast<double>(recorded_.size()) + 0.5 / answers_to(question);
}

double Chances::log_of_beeps(const Sheet& sheet, const std::vector<Reading>& beeps) const {
  double log_chance = 0;
  std::map<uint32_t, std::vector<const Reading*>> on_net;
  std::map<std::pair<std::string, std::string>, std::vector<const Reading*>> apart;  // by nets, or ends on none
  const auto net_name = [&](const std::string& end) {
    const uint32_t vertex = sheet.vertex(end);
    return vertex == Sheet::nowhere ? end : "net " + std::to_string(sheet.net(vertex));
  };
  for (const Reading& reading : beeps) {
    const Question& question = reading.question;
    switch (sheet.path(question.a, question.b, reading.plugged)) {
      case Path::may:
        log_chance += std::log(0.5);
        break;
      case Path::yes:
        on_net[sheet.net(sheet.vertex(question.a))].push_back(&reading);
        break;
      case Path::no: {
        std::string a = net_name(question.a), b = net_name(question.b);
        if (b < a) std::swap(a, b);
        apart[{a, b}].push_back(&reading);
        break;
      }
    }
  }
  for (const auto& [net, readings] : on_net)
    log_chance += std::log(chance_of_net(sheet, net, readings, rates_.break_, rates_.slip));
  for (const auto& [nets, readings] : apart) {
    double bridged = rates_.altered, open = 1 - rates_.altered;
    for (const Reading* reading : readings) {
      const bool yes = reading->answer == "yes";
      bridged *= yes ? 1 - rates_.slip : rates_.slip;
      open *= yes ? rates_.slip : 1 - rates_.slip;
    }
    log_chance += std::log(bridged + open);
  }
  return log_chance;
}

}  // namespace loomproof::identify
