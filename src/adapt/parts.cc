#include "adapt/parts.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"

namespace loomproof::adapt {
namespace {

// The same whichever side is left: the smaller of what the two tables say.
template <typename Look>
Quantity least_of(const Side& left, const Side& right, Look look) {
  const Quantity a = look(*left.rows), b = look(*right.rows);
  if (a == not_given || b == not_given) return std::max(a, b);
  return std::min(a, b);
}

std::string at_volts(Quantity volts) {
  return volts == not_given ? std::string() : volts_text(volts) + " ";
}

}  // namespace

Quantity Parts::bears(Quantity mm2) const {
  if (mm2 == not_given) return not_given;
  return least_of(left_, right_, [&](const Family& family) {
    for (const Conductor& row : family.conductors)
      if (row.mm2 == mm2 && row.amps != not_given) return row.amps;
    return not_given;
  });
}

Quantity Parts::mm2(const End& a, const End& b, Quantity amps) const {
  const Quantity thicker = std::max(a.mm2, b.mm2);  // not_given is below all
  if (amps == not_given) return thicker;
  const Quantity borne = bears(thicker);
  if (borne != not_given && borne >= amps) return thicker;
  Quantity found = not_given;
  for (const Family* family : {left_.rows, right_.rows})
    for (const Conductor& row : family->conductors) {
      const Quantity each = bears(row.mm2);
      if (each == not_given || each < amps || row.mm2 < thicker) continue;
      if (found == not_given || row.mm2 < found) found = row.mm2;
    }
  return found == not_given ? thicker : found;
}

std::string Parts::fuse(const std::string& where, Quantity amps, Quantity mm2) const {
  const Quantity most = bears(mm2);
  const std::string load =
      amps == not_given ? "the load's current is not recorded" : fmt::format("the load draws up to {} A", milli(amps));
  const std::string wire =
      most == not_given ? "what the wire bears is not recorded"
                        : fmt::format("{} mm² bears {} A in free air, less in a bundle", milli(mm2), milli(most));
  if (amps == not_given && most == not_given) return fmt::format("a fuse {}, not sized: {}; {}", where, load, wire);
  const Fuse* chosen = nullptr;
  const Family* of = nullptr;
  // Type C first, for what is more type E; of those that do, the smallest for a load that is known, else the greatest.
  for (const char* type : {"C", "E"}) {
    for (const Family* family : {left_.rows, right_.rows})
      for (const Fuse& row : family->fuses) {
        if (family->text(row.type) != type) continue;
        if (amps != not_given && row.amps < amps) continue;
        if (most != not_given && row.amps > most) continue;
        if (chosen == nullptr || (amps != not_given ? row.amps < chosen->amps : row.amps > chosen->amps))
          chosen = &row, of = family;
      }
    if (chosen != nullptr) break;
  }
  if (chosen == nullptr) return fmt::format("a fuse {}, and thicker wire for it: {}; {}", where, load, wire);
  return fmt::format("a fuse of {}{} A, type {} of ISO 8820-3, {}, {}: {}; {}", amps == not_given ? "at most " : "",
                     milli(chosen->amps), of->text(chosen->type), of->text(chosen->colour), where, load, wire);
}

std::string Parts::relay(const Meeting& meeting, Quantity amps, Quantity mm2) const {
  const bool first_drives = meeting.first->role == Role::pulls_low || meeting.first->role == Role::pulls_high;
  const Port &driver = first_drives ? *meeting.first : *meeting.second,
             &load = first_drives ? *meeting.second : *meeting.first;
  std::string text = fmt::format("a relay with a suppressed {}coil", at_volts(driver.volts));
  if (driver.amps != not_given) text += fmt::format(" of {} A at most", milli(driver.amps));
  text += driver.role == Role::pulls_low
              ? fmt::format(", 86 to a fused {}feed, 85 to the driver", at_volts(driver.volts))
              : ", 86 to the driver, 85 to earth";
  text += load.role == Role::takes_high ? fmt::format(", 30 to a {}feed, 87 to the load", at_volts(load.volts))
                                        : ", 30 to earth, 87 to the load";
  text += "; not where the driver pulses";
  if (load.role == Role::takes_high) text += "; " + fuse("before 30", amps, mm2);
  return text;
}

std::string Parts::other_volts(const Meeting& meeting, Quantity amps) const {
  const bool first_gives = gives(*meeting.first);
  const Port &giver = first_gives ? *meeting.first : *meeting.second,
             &taker = first_gives ? *meeting.second : *meeting.first;
  std::string text = fmt::format("something that makes {} out of {}", volts_text(taker.volts), volts_text(giver.volts));
  if (amps != not_given && taker.role == Role::takes_feed) text += fmt::format(" and bears {} A", milli(amps));
  return text + "; no part for it is proposed here";
}

}  // namespace loomproof::adapt
