#include "judge/words.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"
#include "judge/path.h"

namespace loomproof::judge {

namespace {

std::string id(const Family& family, Str text) {
  return std::string(family.text(text));
}

std::string place_text(const Family& family, Index place) {
  const Place& row = family.places[place];
  return row.title == 0 ? id(family, row.id) : fmt::format("{} ({})", family.text(row.id), family.text(row.title));
}

std::string socket_text(const Family& family, Index connector) {
  const Connector& row = family.connectors[connector];
  return fmt::format("{}.{}", family.text(family.places[family.parts[row.part].place].id), family.text(row.designator));
}

std::string circuit_text(const Family& family, Index circuit) {
  const Circuit& row = family.circuits[circuit];
  return row.title == 0 ? id(family, row.id) : fmt::format("{} ({})", family.text(row.id), family.text(row.title));
}

std::string inside_text(const Family& family, Index inside) {
  const Inside& row = family.insides[inside];
  std::string text = fmt::format("{} {}", word(row.kind), family.text(row.id));
  if (row.kind == InsideKind::fuse && row.amps != not_given) text += fmt::format(" {} A", milli(row.amps));
  return text;
}

std::vector<std::string> way_text(const Network& network, const std::vector<Hop>& hops) {
  const Family& family = network.shelf().family();
  std::vector<std::string> way;
  for (const Hop& hop : hops) {
    if (hop.inside != none) way.push_back(inside_text(family, hop.inside));
    if (hop.is_body) way.push_back("body metal");
    way.push_back(point_at(network, hop.place, hop.point));
  }
  return way;
}

void tell_clash(const Network& network, const Reason& reason, ReasonText& text) {
  const Family& family = network.shelf().family();
  text.what = fmt::format("{} meets {}", port_text(network, reason.port), port_text(network, reason.other));
  if (!reason.certain) {
    text.because = "nobody can say what happens";
  } else {
    text.because = id(family, reason.join->because);
    switch (reason.join->suffers) {
      case Suffers::nobody:
        break;
      case Suffers::first:
        text.suffers = place_text(family, reason.port.place);
        break;
      case Suffers::second:
        text.suffers = place_text(family, reason.other.place);
        break;
      case Suffers::both:
        text.suffers = place_text(family, reason.port.place) + " and " + place_text(family, reason.other.place);
        break;
      case Suffers::wire:
        text.suffers = "the wire";
        break;
      case Suffers::people:
        text.suffers = "people";
        break;
    }
  }
  text.way = way_text(network, path(network, reason.port.place, network.port(reason.port).point,
                                    network.port(reason.other).point, reason.settings));
}

}  // namespace

std::vector<Index> sufferers(const Network& network, const Reason& reason) {
  const Family& family = network.shelf().family();
  std::vector<Index> places;
  switch (reason.cause) {
    case Cause::roles_clash: {
      const Suffers suffers = reason.certain ? reason.join->suffers : Suffers::nobody;
      if (suffers == Suffers::first || suffers == Suffers::both) places.push_back(reason.port.place);
      if (suffers == Suffers::second || suffers == Suffers::both) places.push_back(reason.other.place);
      break;
    }
    case Cause::need_unmet:
      places.push_back(reason.port.place);
      break;
    case Cause::kept_apart:
      for (Index place : rows(family.place_refs, family.aparts[reason.apart].places)) places.push_back(place);
      break;
    default:
      break;
  }
  std::sort(places.begin(), places.end());
  places.erase(std::unique(places.begin(), places.end()), places.end());
  return places;
}

std::string point_at(const Network& network, Index place, Index point) {
  const Family& family = network.shelf().family();
  return fmt::format("{}.{}", family.text(family.places[place].id), point_name(family, point));
}

std::string port_text(const Network& network, Network::PortRef ref) {
  const Family& family = network.shelf().family();
  const Port& port = network.port(ref);
  std::string text = fmt::format("{} ({}", point_at(network, ref.place, port.point), word(port.role));
  if (port.volts != not_given) text += fmt::format(", {}", volts_text(port.volts));
  if (port.circuit != none) text += fmt::format(", {}", family.text(family.circuits[port.circuit].id));
  return text + ")";
}

std::string settings_text(const Network& network, const Settings& settings) {
  const Family& family = network.shelf().family();
  std::string text;
  for (const Setting& setting : settings) {
    const Device& device = network.variant(setting.place).devices[setting.device];
    std::string position;
    if (device.positions.empty()) {
      position = setting.allowed == 0b01 ? (device.coil == none ? "open" : "at rest")
                                         : (device.coil == none ? "closed" : "pulled in");
    } else {
      for (size_t i = 0; i < device.positions.size(); ++i)
        if (setting.allowed & (1u << i)) position += (position.empty() ? "" : " or ") + id(family, device.positions[i]);
    }
    if (!text.empty()) text += ", ";
    text += fmt::format("{} {} {}", family.text(family.places[setting.place].id), family.text(device.id), position);
  }
  return text;
}

ReasonText reason_text(const Network& network, const Reason& reason) {
  const Family& family = network.shelf().family();
  ReasonText text;
  text.when = settings_text(network, reason.settings);
  switch (reason.cause) {
    case Cause::roles_clash:
      tell_clash(network, reason, text);
      break;
    case Cause::need_unmet:
      text.what = fmt::format("{} is given nothing", port_text(network, reason.port));
      if (!reason.certain) text.what += ", unless a cavity that nobody knows gives it";
      text.suffers = place_text(family, reason.port.place);
      break;
    case Cause::circuits_joined:
      text.what = fmt::format("{} and {} are joined", circuit_text(family, reason.circuit),
                              circuit_text(family, reason.other_circuit));
      text.way = way_text(network, way_between(network, reason.net, reason.circuit, reason.other_circuit));
      break;
    case Cause::kept_apart: {
      const Apart& apart = family.aparts[reason.apart];
      text.what = fmt::format("{} and {} are joined, and must be kept apart", circuit_text(family, reason.circuit),
                              circuit_text(family, reason.other_circuit));
      text.because = id(family, apart.because);
      for (Index place : rows(family.place_refs, apart.places))
        text.suffers += (text.suffers.empty() ? "" : ", ") + place_text(family, place);
      text.way = way_text(network, way_between(network, reason.net, reason.circuit, reason.other_circuit));
      break;
    }
    case Cause::does_not_plug:
      text.what = fmt::format("{} does not go into {}", socket_text(family, reason.meeting.connector_a),
                              socket_text(family, reason.meeting.connector_b));
      break;
    case Cause::place_empty:
      text.what = fmt::format("nothing is in {}; {} hangs open", place_text(family, reason.place),
                              socket_text(family, reason.connector));
      break;
    case Cause::hangs_loose:
      text.what = fmt::format("{} hangs loose", socket_text(family, reason.connector));
      break;
    case Cause::not_known:
      text.what = fmt::format("nobody knows what is in {}.{}", socket_text(family, reason.connector),
                              family.text(reason.hidden->number));
      text.because =
          fmt::format("at worst it {}", reason.outcome == Outcome::endangers  ? "endangers people"
                                        : reason.outcome == Outcome::destroys ? "destroys a part"
                                                                              : "keeps something from working");
      break;
  }
  if (reason.live) text.because = "a feed is, or comes, on it";
  if (reason.may_fire && reason.cause != Cause::does_not_plug)
    text.because += std::string(text.because.empty() ? "" : "; ") +
                    "the plug may carry a firing circuit: leave it to the maker's manual";
  return text;
}

}  // namespace loomproof::judge
