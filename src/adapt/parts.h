// What a pair takes beside wire: fuse, relay, or a part that is for somebody else to choose. Sized by the conductors
// and fuses that the families carry.
#pragma once
#include <string>

#include "adapt/meeting.h"

namespace loomproof::adapt {

class Parts {
 public:
  Parts(const Side& left, const Side& right) : left_(left), right_(right) {}

  // The cross-section for a wire between two ends: the thicker of theirs, or what `amps` ask for where that is more.
  Quantity mm2(const End& a, const End& b, Quantity amps) const;
  // A fuse that opens before wire of `mm2` suffers and carries `amps`: "a fuse of 10 A, type C of ISO 8820-3, red,
  // WHERE: …". Either may be not given. Says what is missing where no fuse does both.
  std::string fuse(const std::string& where, Quantity amps, Quantity mm2) const;
  std::string relay(const Meeting& meeting, Quantity amps, Quantity mm2) const;
  std::string other_volts(const Meeting& meeting, Quantity amps) const;

 private:
  Quantity bears(Quantity mm2) const;  // not_given where the table has no such cross-section
  const Side &left_, &right_;
};

}  // namespace loomproof::adapt
