#include "identify/words.h"

#include <fmt/format.h>

#include "family/words.h"

namespace loomproof::identify {
namespace {

std::string counted(const Question& question, bool one = false) {
  const std::string wires = one ? "wire" : "wires";
  switch (question.look) {
    case Look::thick:
      return "thick " + wires;
    case Look::empty:
      return one ? "empty cavity" : "empty cavities";
    case Look::coloured:
      return question.of + ' ' + wires;
    default:
      return wires;
  }
}

std::string listed(const std::set<std::string>& words) {
  std::string list;
  for (const std::string& one : words) list += (list.empty() ? "" : " or ") + one;
  return list;
}

}  // namespace

std::string place_of(const Question& question) {
  if (question.look == Look::label) return "the label";
  return question.look == Look::beeps ? question.a + " to " + question.b : question.a;
}

std::string question_words(const Question& question) {
  switch (question.look) {
    case Look::plug:
      return fmt::format("whether plug {} is there", question.a);
    case Look::housing:
      return fmt::format("the housing of {}", question.a);
    case Look::label:
      return "the number on the label";
    case Look::state:
      return fmt::format("what {} holds", question.a);
    case Look::colour:
      return fmt::format("the colour at {}", question.a);
    case Look::mm2:
      return fmt::format("the cross-section at {}", question.a);
    case Look::crimped:
      return fmt::format("how many wires share {}", question.a);
    case Look::beeps:
      return fmt::format("continuity from {} to {}", question.a, question.b);
    default:
      return fmt::format("how many {} are at {}", counted(question), question.a);
  }
}

std::string reading_words(const Reading& reading) {
  const Question& question = reading.question;
  switch (question.look) {
    case Look::plug:
      return fmt::format("plug {} is {}", question.a, reading.answer);
    case Look::housing:
      return reading.answer == "other" ? fmt::format("the housing of {} is another kind", question.a)
                                       : fmt::format("the housing of {} is {}", question.a, reading.answer);
    case Look::label:
      return reading.answer == "none" ? "there is no label" : fmt::format("the label says {}", reading.answer);
    case Look::state:
    case Look::colour:
      return fmt::format("{} is {}", question.a, reading.answer);
    case Look::mm2:
      return fmt::format("{} has {} mm²", question.a, reading.answer);
    case Look::crimped:
      return fmt::format("{} {} {}", reading.answer, reading.answer == "1" ? "wire is at" : "wires share", question.a);
    case Look::beeps:
      return fmt::format("{} to {} {}", question.a, question.b, reading.answer == "yes" ? "beeps" : "is open");
    default:
      return fmt::format("{} {} at {}", reading.answer, counted(question, reading.answer == "1"), question.a);
  }
}

std::string recorded_words(const Sheet& sheet, const Question& question, const std::set<std::string>& plugged) {
  const std::string unknown = "not known";
  switch (question.look) {
    case Look::plug:
      return sheet.plug(question.a) ? "present" : "no such plug";
    case Look::label:
      return sheet.labels().empty() ? unknown : listed(sheet.labels());
    case Look::beeps:
      switch (sheet.path(question.a, question.b, plugged)) {
        case Path::yes:
          return "continuity";
        case Path::no:
          return "open";
        case Path::may:
          return plugged.empty() ? unknown : "may beep, through what is plugged in";
      }
      return unknown;
    default:
      break;
  }
  const std::string_view name = needs_view(question.look) ? plug_of(question.a) : std::string_view(question.a);
  if (!sheet.plug(name)) return "no such plug";
  if (question.look == Look::housing) {
    const std::string& housing = sheet.plug(name)->housing;
    return housing.empty() ? unknown : housing;
  }
  if (!needs_view(question.look)) {
    const Span32 span = sheet.count(question.a, question.look, question.of);
    return span.least == span.most ? std::to_string(span.least) : fmt::format("{} to {}", span.least, span.most);
  }
  const CavityFacts* const cavity = sheet.cavity(question.a);
  if (!cavity) return "no such cavity";
  if (!cavity->is_known()) return cavity->state == State::disputed ? "disputed" : unknown;
  if (cavity->state != State::wired || question.look == Look::state) return std::string(word(cavity->state));
  if (question.look == Look::crimped) return std::to_string(cavity->wires);
  const std::set<std::string>& values = question.look == Look::colour ? cavity->colours : cavity->mm2;
  return values.empty() ? unknown : listed(values);
}

}  // namespace loomproof::identify
