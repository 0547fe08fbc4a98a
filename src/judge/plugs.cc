// Plugs that do not mate, places that hold nothing, plugs that hang loose.
#include <algorithm>

#include "judge/judgement.h"

namespace loomproof::judge {

void Judge::find_misfits(Judgement& out) {
  // With an adapter between them two plugs are both in it: that they do not go into each other is no fault.
  const auto is_plugged = [&](Index connector) {
    const auto& all = network_.meetings();
    return std::any_of(all.begin(), all.end(), [&](const Meeting& each) {
      return each.mate && (each.connector_a == connector || each.connector_b == connector);
    });
  };
  for (const Meeting& meeting : network_.meetings()) {
    if (meeting.mate || (is_plugged(meeting.connector_a) && is_plugged(meeting.connector_b))) continue;
    Reason reason;
    reason.cause = Cause::does_not_plug;
    reason.outcome = Outcome::dead;
    reason.meeting = meeting;
    reason.may_fire = may_fire(meeting.connector_a) || may_fire(meeting.connector_b);
    out.reasons.push_back(reason);
  }
}

// The place whose part is missing where a plug hangs open; none where nothing need be plugged in there.
Index Judge::missing_at(Index place, const Socket& socket) const {
  const Family& family = shelf_.family();
  if (family.connector_rows[socket.row].loose != 0) return none;
  const Str designator = family.connectors[socket.connector].designator;
  for (const PlugPair& pair : family.plugs) {
    const bool is_a = pair.place_a == place && pair.a == designator;
    if (!is_a && !(pair.place_b == place && pair.b == designator)) continue;
    const Index partner = is_a ? pair.place_b : pair.place_a;
    if (network_.assembly().at[partner] == none && family.places[partner].optional == 0) return partner;
  }
  return none;
}

// Whether a feed is on it in some state of switches and relays.
bool Judge::is_live(Index place, const Socket& socket) const {
  const Variant& variant = network_.variant(place);
  const Index first = shelf_.family().parts[variant.part].points.first;
  for (Index point : shelf_.index().points_of(socket.connector)) {
    const Index net = variant.net_of[point - first];
    if (net != none && (network_.roles_of_loose(network_.loose(place, net)) & bit(Role::gives_feed))) return true;
  }
  return false;
}

void Judge::find_open_plugs(Judgement& out) {
  const Family& family = shelf_.family();
  const Assembly& assembly = network_.assembly();
  std::vector<Index> plugged;  // or hindered: that is told elsewhere
  for (const Meeting& meeting : network_.meetings())
    plugged.insert(plugged.end(), {meeting.connector_a, meeting.connector_b});
  std::sort(plugged.begin(), plugged.end());
  for (Index place = 0; place < assembly.at.size(); ++place) {
    if (assembly.at[place] == none) continue;
    for (const Socket& socket : network_.variant(place).sockets) {
      if (std::binary_search(plugged.begin(), plugged.end(), socket.connector)) continue;
      const Index missing = missing_at(place, socket);
      if (missing == none && family.connector_rows[socket.row].loose != 0) continue;  // as it was built
      Reason reason;
      reason.cause = missing == none ? Cause::hangs_loose : Cause::place_empty;
      reason.outcome = missing == none ? Outcome::fine : Outcome::dead;
      reason.place = missing == none ? place : missing;
      reason.connector = socket.connector;
      reason.live = is_live(place, socket);
      reason.may_fire = may_fire(socket.connector);
      out.reasons.push_back(reason);
    }
  }
}

}  // namespace loomproof::judge
