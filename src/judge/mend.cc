#include "judge/mend.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "family/words.h"
#include "judge/path.h"
#include "judge/words.h"
#include "nets/firing.h"

namespace loomproof::judge {

namespace {

// What is wrong, needs that only an unknown cavity might meet among it: a mend that starves a part is none.
size_t faults_of(const Judgement& judgement) {
  return static_cast<size_t>(std::count_if(
      judgement.reasons.begin(), judgement.reasons.end(),
      [](const Reason& reason) { return reason.cause != Cause::not_known && reason.cause != Cause::hangs_loose; }));
}

// What a reason is about, whatever it is judged in.
struct Fault {
  Cause cause{};
  Index point = none, other_point = none, circuit = none, other_circuit = none, connector = none, plug = none;
  friend bool operator==(const Fault&, const Fault&) = default;
};

Fault fault_of(const Network& network, const Reason& reason) {
  const auto point = [&](Network::PortRef ref) { return ref.place == none ? none : network.port(ref).point; };
  return {reason.cause,         point(reason.port), point(reason.other), reason.circuit,
          reason.other_circuit, reason.connector,   reason.meeting.plug};
}

class Mender {
 public:
  Mender(Judge& judge, Shelf& shelf, const Assembly& assembly, const Judgement& judgement)
      : judge_(judge), shelf_(shelf), assembly_(assembly), before_(judgement), faults_before_(faults_of(judgement)) {}

  std::optional<Mend> find(const Reason& reason) {
    if (reason.cause == Cause::hangs_loose)
      return Mend{MendKind::cap, reason.place, none, reason.connector, none, before_.best};
    fault_ = fault_of(judge_.network(), reason);
    note_way(reason);
    for (const auto& [place, point] : cavities_) try_insulating(place, point);
    if (!best_)
      for (Index place : places_) try_variants(place);
    return best_;
  }

 private:
  // The places and the mated cavities that the fault runs through.
  void note_way(const Reason& reason) {
    const Network& network = judge_.network();
    std::vector<Hop> hops;
    if (reason.cause == Cause::roles_clash)
      hops = path(network, reason.port.place, network.port(reason.port).point, network.port(reason.other).point,
                  reason.settings);
    else if (reason.cause == Cause::circuits_joined || reason.cause == Cause::kept_apart)
      hops = way_between(network, reason.net, reason.circuit, reason.other_circuit);
    for (size_t i = 0; i < hops.size(); ++i) {
      add_place(hops[i].place);
      if (i > 0 && hops[i].is_plugged) {
        const Hop& loom_side = is_loom(hops[i].place) || !is_loom(hops[i - 1].place) ? hops[i] : hops[i - 1];
        if (!judge_.may_fire(shelf_.family().points[loom_side.point].connector))
          cavities_.emplace_back(loom_side.place, loom_side.point);
      }
    }
    if (reason.cause == Cause::need_unmet) {
      add_place(reason.port.place);
      for (const Meeting& meeting : network.meetings())
        if (meeting.place_a == reason.port.place || meeting.place_b == reason.port.place)
          add_place(meeting.place_a), add_place(meeting.place_b);
    }
    if (reason.cause == Cause::does_not_plug) add_place(reason.meeting.place_a), add_place(reason.meeting.place_b);
    if (reason.cause == Cause::place_empty) {
      add_place(reason.place);
      add_place(shelf_.family().parts[shelf_.family().connectors[reason.connector].part].place);
    }
  }
  bool is_loom(Index place) const {
    return shelf_.family().parts[shelf_[assembly_.at[place]].part].kind == PartKind::loom;
  }
  void add_place(Index place) {
    if (std::find(places_.begin(), places_.end(), place) == places_.end()) places_.push_back(place);
  }

  void try_insulating(Index place, Index point) {
    Assembly mended = assembly_;
    mended.insulated.insert(std::lower_bound(mended.insulated.begin(), mended.insulated.end(), point), point);
    keep_if_better(mended, {MendKind::insulate, place, point, none, none, {}});
  }
  bool may_fire(VariantId id) const {
    if (id == none) return false;
    const std::vector<Socket>& sockets = shelf_[id].sockets;
    return std::any_of(sockets.begin(), sockets.end(),
                       [&](const Socket& socket) { return judge_.may_fire(socket.connector); });
  }
  void try_variants(Index place) {
    for (VariantId id : shelf_.of_place(place)) {
      if (id == assembly_.at[place] || may_fire(id) || may_fire(assembly_.at[place])) continue;
      Assembly mended = assembly_;
      mended.at[place] = id;
      keep_if_better(mended, {MendKind::other_variant, place, none, none, id, {}});
    }
  }
  void keep_if_better(const Assembly& assembly, Mend mend) {
    const Judgement after = judge_.judge(assembly);
    const size_t faults = faults_of(after);
    if (after.best > before_.best || faults >= faults_before_) return;
    const auto is_still_there = [&](const Reason& reason) { return fault_of(judge_.network(), reason) == fault_; };
    if (std::any_of(after.reasons.begin(), after.reasons.end(), is_still_there)) return;
    const size_t strange = strange_in(assembly);
    if (best_ && std::tie(best_->best, faults_best_, strange_best_) <= std::tie(after.best, faults, strange)) return;
    strange_best_ = strange;
    mend.best = after.best;
    best_ = mend;
    faults_best_ = faults;
  }

  // How many pairs of parts were never built together: of mends that help alike the one that is nearest to a build.
  size_t strange_in(const Assembly& assembly) const {
    size_t pairs = 0;
    for (VariantId a : assembly.at)
      for (VariantId b : assembly.at) pairs += a != none && b != none && !shelf_[a].cells.meets(shelf_[b].cells);
    return pairs;
  }

  Judge& judge_;
  Shelf& shelf_;
  const Assembly& assembly_;
  const Judgement& before_;
  Fault fault_;
  size_t faults_before_, faults_best_ = 0, strange_best_ = 0;
  std::vector<std::pair<Index, Index>> cavities_;  // place, point
  std::vector<Index> places_;
  std::optional<Mend> best_;
};

std::string labels(const Family& family, const Variant& variant) {
  std::string text;
  for (const PartNumber& number : rows(family.numbers, family.parts[variant.part].numbers))
    if (family.holds(number.cells, variant.cell))
      text += (text.empty() ? "" : ", ") + std::string(family.text(number.text));
  return text;
}

Index housing_in(const Family& family, const Variant& variant, Str designator) {
  for (const Socket& socket : variant.sockets)
    if (family.connectors[socket.connector].designator == designator) return family.connector_rows[socket.row].housing;
  return none;
}

// "C1.12": the colours of the wires there, "no wire", or nothing where nobody knows.
std::string colours_at(const Shelf& shelf, const Variant& variant, Str designator, Str number) {
  const Family& family = shelf.family();
  for (const Socket& socket : variant.sockets) {
    if (family.connectors[socket.connector].designator != designator) continue;
    const Cavity cavity = cavity_at(shelf.index(), variant.cell, socket.connector, number);
    if (cavity.state.state == State::empty || cavity.state.state == State::sealed) return "no wire";
    std::string text;
    for (Index wire : cavity.wires) {
      const std::string colour = colour_code(family, family.wires[wire]);
      if (colour.empty()) return {};
      text += (text.empty() ? "" : " and ") + colour;
    }
    return text;
  }
  return {};
}

}  // namespace

bool is_firing(const Network& network, const Reason& reason) {
  const Family& family = network.shelf().family();
  const auto port_fires = [&](Network::PortRef ref) {
    if (ref.place == none) return false;
    const Port& port = network.port(ref);
    return port.role == Role::gives_firing || port.role == Role::takes_firing || is_firing(family, port.circuit);
  };
  return reason.may_fire || is_firing(family, reason.circuit) || is_firing(family, reason.other_circuit) ||
         port_fires(reason.port) || port_fires(reason.other);
}

std::optional<Mend> find_mend(Judge& judge, Shelf& shelf, const Assembly& assembly, const Judgement& judgement,
                              const Reason& reason) {
  judge.judge(assembly);  // the network that the reason speaks of
  if (is_firing(judge.network(), reason)) return std::nullopt;
  return Mender(judge, shelf, assembly, judgement).find(reason);
}

std::string look_apart(const Shelf& shelf, VariantId is, VariantId is_not) {
  const Family& family = shelf.family();
  const Variant &one = shelf[is], &other = shelf[is_not];
  const std::string label = labels(family, one), other_label = labels(family, other);
  if (!label.empty() && label != other_label)
    return fmt::format("the label says {}{}", label, other_label.empty() ? "" : ", not " + other_label);
  for (const Socket& socket : one.sockets) {
    const Str designator = family.connectors[socket.connector].designator;
    const Index housing = family.connector_rows[socket.row].housing, others = housing_in(family, other, designator);
    if (others == none) return fmt::format("it has a plug {}", family.text(designator));
    if (housing != others && family.housings[housing].title != family.housings[others].title)
      return fmt::format("{} is a {}, not a {}", family.text(designator), family.text(family.housings[housing].title),
                         family.text(family.housings[others].title));
  }
  for (const Socket& socket : one.sockets) {
    const Str designator = family.connectors[socket.connector].designator;
    for (const Cavity& cavity : cavities(shelf.index(), one.cell, socket.connector)) {
      const std::string here = colours_at(shelf, one, designator, cavity.number);
      const std::string there = colours_at(shelf, other, designator, cavity.number);
      if (!here.empty() && !there.empty() && here != there)
        return fmt::format("{}.{} holds {}, not {}", family.text(designator), family.text(cavity.number), here, there);
    }
  }
  return {};
}

std::string mend_text(const Shelf& shelf, const Assembly& assembly, const Mend& mend) {
  const Family& family = shelf.family();
  const std::string_view place = family.text(family.places[mend.place].id);
  switch (mend.kind) {
    case MendKind::cap:
      return fmt::format("cap {}.{}", place, family.text(family.connectors[mend.connector].designator));
    case MendKind::insulate:
      return fmt::format("take the contact out of {}.{} and insulate it", place, point_name(family, mend.point));
    case MendKind::other_variant: {
      const Variant& variant = shelf[mend.variant];
      const Part& part = family.parts[variant.part];
      std::string text =
          fmt::format("{}: {} as built in {}", place, family.text(part.id), cells_text(family, variant.cells));
      const VariantId is_not = assembly.at[mend.place];
      const std::string look = is_not == none ? "" : look_apart(shelf, mend.variant, is_not);
      return look.empty() ? text : text + " (" + look + ")";
    }
  }
  return {};
}

}  // namespace loomproof::judge
