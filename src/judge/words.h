// What a judgement says, in words: one reason after the other, each with the way the fault takes and the part that
// suffers. Texts are plain, from the corpus, and not escaped.
#pragma once
#include <string>
#include <vector>

#include "judge/judgement.h"

namespace loomproof::judge {

struct ReasonText {
  std::string what;              // one line
  std::string because;           // the physics, or what the family says of it; may be empty
  std::string suffers;           // "PUMP-UNIT (Injection-pump control unit)"; empty: nothing by itself
  std::string when;              // "KEY-SWITCH KEY on"; empty: always
  std::vector<std::string> way;  // "BATTERY.X1.1", "fuse FL1", "LINK-BOX.X2.1", …; may be empty
};

// The places whose parts bear what the reason says, ascending; empty where it is the wire, people or nobody.
std::vector<Index> sufferers(const Network& network, const Reason& reason);
ReasonText reason_text(const Network& network, const Reason& reason);
std::string settings_text(const Network& network, const Settings& settings);
// "PUMP-UNIT.X1.12"
std::string point_at(const Network& network, Index place, Index point);
// "PUMP-UNIT.X1.12 (takes-feed, 12 V, FEED-UNIT)"
std::string port_text(const Network& network, Network::PortRef ref);

}  // namespace loomproof::judge
