#include "identify/evidence.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>
#include <optional>

namespace loomproof::identify {
namespace {

constexpr size_t views_there_are = 3;
using NumberMap = std::map<std::string, std::string, std::less<>>;

struct UnsettledPlug {
  std::string name;
  std::array<std::optional<NumberMap>, views_there_are> maps;  // nothing for a view that is not possible
  std::array<double, views_there_are> log_looks{};             // with the chance of the view itself
  bool beeps = false;
  bool is_possible(size_t view) const { return view == 0 || maps[view].has_value(); }
};

std::string seen(const UnsettledPlug& plug, size_t view, const std::string& end) {
  if (view == 0) return end;
  const auto found = plug.maps[view]->find(number_of(end));
  return found == plug.maps[view]->end() ? end : plug.name + '.' + found->second;
}

double log_sum(const std::vector<double>& logs) {
  const double most = *std::max_element(logs.begin(), logs.end());
  if (most == -std::numeric_limits<double>::infinity()) return most;
  double sum = 0;
  for (double log : logs) sum += std::exp(log - most);
  return most + std::log(sum);
}

// The readings of one part against one candidate, plug by plug.
class Fitting {
 public:
  Fitting(const Chances& chances, const Family& family, const Sheet& sheet, const Evidence& evidence)
      : chances_(chances), sheet_(sheet) {
    std::map<Question, std::set<std::string>> looks;  // the same answer again adds nothing
    for (const Reading& reading : evidence.readings) {
      if (reading.question.look == Look::beeps) {
        beeps_.push_back(reading);
        for (const std::string& end : {reading.question.a, reading.question.b})
          if (UnsettledPlug* plug = unsettled(family, evidence, end)) plug->beeps = true;
      } else {
        looks[reading.question].insert(reading.answer);
      }
    }
    for (const auto& [question, answers] : looks) {
      UnsettledPlug* const plug = needs_view(question.look) ? unsettled(family, evidence, question.a) : nullptr;
      for (const std::string& answer : answers) {
        if (!plug) {
          log_settled_ += std::log(chances.of(sheet, question, answer));
          continue;
        }
        for (size_t view = 0; view < views_there_are; ++view) {
          if (!plug->is_possible(view)) continue;
          Question there = question;
          there.a = seen(*plug, view, question.a);
          plug->log_looks[view] += std::log(chances.of(sheet, there, answer));
        }
      }
    }
  }

  double log() const {
    double log = log_settled_;
    std::vector<const UnsettledPlug*> joint;
    for (const auto& [name, plug] : plugs_) {
      if (plug.beeps) {
        joint.push_back(&plug);
        continue;
      }
      std::vector<double> logs;
      for (size_t view = 0; view < views_there_are; ++view)
        if (plug.is_possible(view)) logs.push_back(plug.log_looks[view]);
      log += log_sum(logs);
    }
    return log + log_sum(joint_logs(joint));
  }

  ViewChances views() const {
    ViewChances all;
    for (const auto& [name, plug] : plugs_) {
      std::vector<double> logs(views_there_are, -std::numeric_limits<double>::infinity());
      for (size_t view = 0; view < views_there_are; ++view) {
        if (!plug.is_possible(view)) continue;
        std::vector<size_t> viewed(1, view);
        logs[view] = plug.log_looks[view] + (plug.beeps ? log_beeps({&plug}, viewed) : 0);
      }
      const double sum = log_sum(logs);
      for (size_t view = 0; view < views_there_are; ++view) all[name][view] = std::exp(logs[view] - sum);
    }
    return all;
  }

 private:
  UnsettledPlug* unsettled(const Family& family, const Evidence& evidence, const std::string& end) {
    const std::string name(plug_of(end));
    if (name.empty() || evidence.settled.contains(name)) return nullptr;
    const auto [entry, is_new] = plugs_.emplace(name, UnsettledPlug{});
    UnsettledPlug& plug = entry->second;
    if (!is_new) return &plug;
    plug.name = name;
    const PlugFacts* const facts = sheet_.plug(name);
    double left = 1;
    for (size_t view = 1; view < views_there_are && facts; ++view) {
      plug.maps[view] = seen_as(family, facts->housing_index, static_cast<View3>(view));
      if (!plug.maps[view]) continue;
      plug.log_looks[view] = std::log(chances_.rates().view);
      left -= chances_.rates().view;
    }
    plug.log_looks[0] = std::log(left);
    return &plug;
  }

  double log_beeps(const std::vector<const UnsettledPlug*>& plugs, const std::vector<size_t>& viewed) const {
    if (std::all_of(viewed.begin(), viewed.end(), [](size_t view) { return view == 0; }))
      return chances_.log_of_beeps(sheet_, beeps_);
    std::vector<Reading> there = beeps_;
    for (Reading& reading : there) {
      for (size_t i = 0; i < plugs.size(); ++i)
        for (std::string* end : {&reading.question.a, &reading.question.b})
          if (plug_of(*end) == plugs[i]->name) *end = seen(*plugs[i], viewed[i], *end);
    }
    return chances_.log_of_beeps(sheet_, there);
  }

  // One for each choice of views with at most two plugs read wrongly.
  std::vector<double> joint_logs(const std::vector<const UnsettledPlug*>& plugs) const {
    std::vector<double> logs;
    std::vector<size_t> viewed(plugs.size(), 0);
    const auto add = [&] {
      double log = log_beeps(plugs, viewed);
      for (size_t i = 0; i < plugs.size(); ++i) log += plugs[i]->log_looks[viewed[i]];
      logs.push_back(log);
    };
    const std::function<void(size_t, int)> choose = [&](size_t first, int left) {
      add();
      for (size_t i = first; i < plugs.size() && left > 0; ++i)
        for (size_t view = 1; view < views_there_are; ++view) {
          if (!plugs[i]->is_possible(view)) continue;
          viewed[i] = view;
          choose(i + 1, left - 1);
          viewed[i] = 0;
        }
    };
    choose(0, 2);
    return logs;
  }

  const Chances& chances_;
  const Sheet& sheet_;
  std::vector<Reading> beeps_;
  std::map<std::string, UnsettledPlug> plugs_;
  double log_settled_ = 0;
};

}  // namespace

double log_likelihood(const Chances& chances, const Family& family, const Sheet& sheet, const Evidence& evidence) {
  return Fitting(chances, family, sheet, evidence).log();
}

double log_likelihood_of_none(const Chances& chances, const Evidence& evidence) {
  std::set<std::pair<Question, std::string>> once;
  double log = 0;
  for (const Reading& reading : evidence.readings)
    if (once.insert({reading.question, reading.answer}).second)
      log += std::log(chances.of_none(reading.question, reading.answer));
  return log;
}

ViewChances views(const Chances& chances, const Family& family, const Sheet& sheet, const Evidence& evidence) {
  return Fitting(chances, family, sheet, evidence).views();
}

std::vector<Contradiction> contradictions(const Evidence& evidence) {
  std::vector<Contradiction> all;
  std::map<std::string, std::string> group;  // ends that readings join
  const std::function<std::string(const std::string&)> group_of = [&](const std::string& end) {
    const auto found = group.find(end);
    return found == group.end() || found->second == end ? end : group_of(found->second);
  };
  const auto& readings = evidence.readings;
  for (const Reading& reading : readings)
    if (reading.question.look == Look::beeps && reading.answer == "yes")
      group[group_of(reading.question.a)] = group_of(reading.question.b);
  for (size_t i = 0; i < readings.size(); ++i) {
    bool told = false;
    for (size_t j = 0; j < i && !told; ++j)
      if (readings[j].question == readings[i].question && readings[j].answer != readings[i].answer) {
        all.push_back({i, j, false});
        told = true;
      }
    if (!told && readings[i].question.look == Look::beeps && readings[i].answer == "no" &&
        group_of(readings[i].question.a) == group_of(readings[i].question.b))
      all.push_back({i, i, true});
  }
  return all;
}

}  // namespace loomproof::identify
