#include "repin/work.h"

#include <algorithm>
#include <set>

#include "family/words.h"
#include "nets/components.h"

namespace loomproof::repin {

Work::Work(const Job& job, const Solution& solution, found::PartDraft& draft)
    : job_(job), solution_(solution), draft_(draft), want_of_(job.have.size(), no_wire) {
  for (size_t h = 0; h < job.have.size(); ++h) {
    from_.push_back({job.have[h].a, job.have[h].b});
    to_.push_back({nothing, nothing});
    at_.push_back({job.places[job.have[h].a].left, job.places[job.have[h].b].left});
  }
  for (size_t w = 0; w < job.want.size(); ++w) {
    const Use& use = solution.uses[w];
    if (use.have == nothing) continue;
    want_of_[use.have] = w;
    to_[use.have] = {use.turned ? job.want[w].b : job.want[w].a, use.turned ? job.want[w].a : job.want[w].b};
  }
  for (uint32_t spot = 0; spot < job.places.size(); ++spot)
    if (job.places[spot].left != none && job.places[spot].plug != nothing)
      plug_of_point_[job.places[spot].left] = job.places[spot].plug;
  add_tasks();
  set_order();
}

std::vector<std::pair<size_t, int>> Work::ends_of(const Move& move) const {
  std::vector<std::pair<size_t, int>> ends;
  for (size_t h = 0; h < from_.size(); ++h)
    for (int end : {0, 1})
      if (want_of_[h] != no_wire && from_[h][end] == move.first && to_[h][end] == move.second)
        ends.emplace_back(h, end);
  return ends;
}

bool Work::stays_crimped_to_others(const Move& move) const {
  for (size_t h = 0; h < from_.size(); ++h)
    for (int end : {0, 1})
      if (from_[h][end] == move.first && to_[h][end] != move.second && want_of_[h] != no_wire) return true;
  return false;
}

bool Work::joins_others(const Move& move) const {
  for (size_t h = 0; h < from_.size(); ++h)
    for (int end : {0, 1})
      if (to_[h][end] == move.second && from_[h][end] != move.first) return true;
  return false;
}

bool Work::ends_there(uint32_t spot) const {
  return std::any_of(job_.want.begin(), job_.want.end(),
                     [spot](const Line& line) { return line.a == spot || line.b == spot; });
}

// A wire with a terminal of its own at both ends only comes out; any other has to be cut off something.
bool Work::removal_cuts(size_t have) const {
  for (int end : {0, 1}) {
    if (job_.places[from_[have][end]].kind == PointKind::inner) continue;
    if (job_.places[from_[have][end]].kind != PointKind::cavity) return true;
    for (size_t other = 0; other < from_.size(); ++other)
      if (other != have && (from_[other][0] == from_[have][end] || from_[other][1] == from_[have][end])) return true;
  }
  return false;
}

bool Work::swap_cuts(uint32_t plug) const {
  for (size_t h = 0; h < from_.size(); ++h)
    for (int end : {0, 1})
      if (want_of_[h] != no_wire && job_.places[from_[h][end]].plug == plug && job_.places[to_[h][end]].plug == plug &&
          job_.terminal_fits(from_[h][end], to_[h][end]) == 0)
        return true;
  return false;
}

void Work::add_moves() {
  for (const Move& move : solution_.moves) {
    Task task;
    task.move = move;
    const bool to_cavity = job_.places[move.second].kind == PointKind::cavity;
    task.cuts = !to_cavity || job_.terminal_fits(move.first, move.second) == 0 || stays_crimped_to_others(move) ||
                joins_others(move);
    if (std::binary_search(solution_.parked.begin(), solution_.parked.end(), move)) {
      task.kind = StepKind::park;
      tasks_.push_back(task);
      tasks_.back().cuts = stays_crimped_to_others(move);
      task.was_parked = true;
    }
    task.kind = StepKind::move;
    tasks_.push_back(task);
  }
}

void Work::add_seals() {
  for (uint32_t spot = 0; spot < job_.places.size(); ++spot) {
    const Place& place = job_.places[spot];
    Task task;
    task.spot = spot;
    if (place.kind == PointKind::earth && place.right_there && !place.left_there) {
      const bool has_wires = std::any_of(from_.begin(), from_.end(),
                                         [spot](const auto& ends) { return ends[0] == spot || ends[1] == spot; });
      task.kind = StepKind::fasten;
      if (has_wires) tasks_.push_back(task);
    }
    if (place.kind != PointKind::cavity || !place.left_there || !place.right_there) continue;
    if (job_.plugs[place.plug].swapped || ends_there(spot)) continue;
    if (place.right_state == State::sealed && (place.left_state == State::wired || place.left_state == State::empty)) {
      task.kind = StepKind::seal;
      tasks_.push_back(task);
    } else if (place.right_state == State::empty && place.left_state == State::sealed) {
      task.kind = StepKind::unseal;
      tasks_.push_back(task);
    }
  }
}

void Work::add_tasks() {
  const auto add = [this](StepKind kind, bool cuts, auto member, auto value) {
    Task task;
    task.kind = kind, task.cuts = cuts, task.*member = value;
    tasks_.push_back(task);
  };
  for (uint32_t spot : job_.renewed) add(StepKind::renew, true, &Task::spot, spot);
  for (size_t h = 0; h < want_of_.size(); ++h)
    if (want_of_[h] == no_wire) add(StepKind::remove, removal_cuts(h), &Task::wire, h);
  add_moves();
  for (uint32_t plug = 0; plug < job_.plugs.size(); ++plug)
    if (job_.plugs[plug].swapped) add(StepKind::swap_housing, swap_cuts(plug), &Task::plug, plug);
  for (size_t w = 0; w < job_.want.size(); ++w)
    if (solution_.uses[w].have == nothing) add(StepKind::add, true, &Task::wire, w);
  for (uint32_t spot : solution_.splices) add(StepKind::link, true, &Task::spot, spot);
  add_seals();
}

// Whether a task takes something out of a plug for good.
bool Work::leaves(const Task& task, uint32_t plug) const {
  if (task.kind == StepKind::move) return job_.places[task.move.first].plug == plug;
  if (task.kind != StepKind::remove) return false;
  return job_.places[from_[task.wire][0]].plug == plug || job_.places[from_[task.wire][1]].plug == plug;
}

void Work::set_order() {
  const auto plug_at = [this](uint32_t spot) { return job_.places[spot].plug; };
  for (Task& task : tasks_) {
    std::set<uint32_t> comes_to;
    const bool goes = task.kind == StepKind::swap_housing && job_.plugs[task.plug].right_row == none;
    if (task.kind == StepKind::move) comes_to.insert(task.move.second);
    if (task.kind == StepKind::add) comes_to = {job_.want[task.wire].a, job_.want[task.wire].b};
    if (task.kind == StepKind::seal || task.kind == StepKind::link) comes_to.insert(task.spot);
    for (size_t i = 0; i < tasks_.size(); ++i) {
      const Task& other = tasks_[i];
      if (&other == &task) continue;
      bool first = false;
      switch (other.kind) {
        case StepKind::park:
          first = comes_to.count(other.move.first) > 0 ||
                  (task.kind == StepKind::move && task.was_parked && task.move == other.move);
          break;
        case StepKind::move:  // one that was parked has left its cavity long before
          first = (!other.was_parked && comes_to.count(other.move.first) > 0 && other.move != task.move) ||
                  (task.kind == StepKind::link && other.move.second == task.spot);
          break;
        case StepKind::remove:
          first = task.kind != StepKind::link &&
                  (comes_to.count(from_[other.wire][0]) > 0 || comes_to.count(from_[other.wire][1]) > 0);
          break;
        case StepKind::add:
          first = task.kind == StepKind::link &&
                  (job_.want[other.wire].a == task.spot || job_.want[other.wire].b == task.spot);
          break;
        case StepKind::swap_housing:
          for (uint32_t spot : comes_to) first = first || plug_at(spot) == other.plug;
          break;
        default:
          break;
      }
      // Between cavities nothing is joined on the way; a splice or earth point waits for nobody.
      if (first && (other.kind == StepKind::move || other.kind == StepKind::park) && task.kind != StepKind::link &&
          comes_to.count(other.move.first) && job_.places[other.move.first].kind != PointKind::cavity &&
          !(task.kind == StepKind::move && task.was_parked && task.move == other.move))
        first = false;
      // Ends leave a plug that is swapped whenever it suits: at the latest they hang when it is off.
      if (first && other.kind == StepKind::move && comes_to.count(other.move.first)) {
        const uint32_t plug = plug_at(other.move.first);
        if (plug != nothing && job_.plugs[plug].swapped) first = false;
      }
      if (goes) first = leaves(other, task.plug);
      if (first) task.after.push_back(i);
    }
  }
}

std::vector<size_t> Work::order() const {
  const auto rank = [this](const Task& task) {
    if (task.kind == StepKind::swap_housing && job_.plugs[task.plug].left_row == none) return 0;  // a new plug
    switch (task.kind) {
      case StepKind::unseal:
        return 0;
      case StepKind::remove:
        return 1;
      case StepKind::move:
        return 2;
      case StepKind::park:
        return 3;
      case StepKind::swap_housing:
        return 4;
      case StepKind::renew:
        return 5;
      case StepKind::add:
        return 6;
      case StepKind::link:
        return 7;
      case StepKind::fasten:
        return 8;
      case StepKind::seal:
        break;
    }
    return 9;
  };
  std::vector<size_t> order;
  std::vector<char> done(tasks_.size(), false);
  while (order.size() < tasks_.size()) {
    size_t best = no_wire;
    for (size_t i = 0; i < tasks_.size(); ++i) {
      const bool ready = std::all_of(tasks_[i].after.begin(), tasks_[i].after.end(), [&](size_t j) { return done[j]; });
      if (done[i] || !ready) continue;
      const auto key = [&](size_t task) { return std::tuple(tasks_[task].cuts, rank(tasks_[task]), task); };
      if (best == no_wire || key(i) < key(best)) best = i;
    }
    if (best == no_wire) break;  // rings were broken by parking: there is none left
    done[best] = true;
    order.push_back(best);
  }
  return order;
}

// --- on the draft ---------------------------------------------------------------------------------------------------

Index Work::connector_of(uint32_t plug) {
  const Plug& one = job_.plugs[plug];
  if (one.left != none) return one.left;
  const auto found = connectors_.find(plug);
  if (found != connectors_.end()) return found->second;
  const Index index = draft_.next_connector + static_cast<Index>(draft_.connectors.size());
  draft_.connectors.push_back({job_.family().connectors[one.right].designator, {}});
  return connectors_[plug] = index;
}

Index Work::point_of(uint32_t spot) {
  const Place& place = job_.places[spot];
  if (place.left != none) return place.left;
  if (place.right != none && job_.from().part == job_.to().part) return place.right;
  const auto found = points_.find(spot);
  if (found != points_.end()) return found->second;
  found::PartDraft::NewPoint point{place.kind, none, place.number, place.name};
  if (place.kind == PointKind::cavity) point.connector = connector_of(place.plug);
  return points_[spot] = draft_.add_point(std::move(point));
}

void Work::put_end(size_t have, int end, Index point, std::vector<Touched>& touched) {
  const Index now = at_[have][end];
  for (size_t row : job_.pieces[have].rows) {
    Wire& wire = draft_.wires[row];
    const bool prefer_to = end == 1 && job_.pieces[have].rows.size() == 1;
    Index& first = prefer_to ? wire.to : wire.from;
    Index& second = prefer_to ? wire.from : wire.to;
    if (first != now && second != now) continue;
    (first == now ? first : second) = point;
    break;
  }
  at_[have][end] = point;
  touched.push_back({now, point, at_[have][1 - end]});
}

// An end that is led to a splice lies beside it until the splice is made.
void Work::arrive(size_t have, int end, std::vector<Touched>& touched) {
  const uint32_t spot = to_[have][end];
  if (job_.places[spot].kind != PointKind::splice) return put_end(have, end, point_of(spot), touched);
  const Index beside = hang("the end laid at " + job_.name(spot));
  put_end(have, end, beside, touched);
  for (size_t row : job_.pieces[have].rows)
    for (const bool from : {true, false})
      if ((from ? draft_.wires[row].from : draft_.wires[row].to) == beside) laid_[spot].emplace_back(row, from);
}

void Work::leave_known(uint32_t spot, State state) {
  const Place& place = job_.places[spot];
  if (place.kind == PointKind::cavity && (place.left_there || place.right_there))
    draft_.stubs.push_back({point_of(spot), state});
}

// All ends come out: those that belong to the plug go into its new housing, the others hang.
void Work::swap_housing(uint32_t plug, std::vector<Touched>& touched) {
  const Plug& one = job_.plugs[plug];
  for (size_t h = 0; h < from_.size(); ++h)
    for (int end : {0, 1}) {
      if (job_.places[from_[h][end]].plug != plug || at_[h][end] != job_.places[from_[h][end]].left) continue;
      if (want_of_[h] != no_wire && job_.places[to_[h][end]].plug == plug) continue;
      put_end(h, end, hang("the loose end of " + job_.name(from_[h][end])), touched);
    }
  std::vector<std::tuple<size_t, int, Index>> within;  // all at once
  for (size_t h = 0; h < from_.size(); ++h)
    for (int end : {0, 1})
      if (want_of_[h] != no_wire && job_.places[from_[h][end]].plug == plug && job_.places[to_[h][end]].plug == plug)
        within.emplace_back(h, end, point_of(to_[h][end]));
  for (const auto& [h, end, point] : within) put_end(h, end, hang("out of the plug"), touched), touched.pop_back();
  for (const auto& [h, end, point] : within) {
    put_end(h, end, point, touched);
    touched.back().before = job_.places[from_[h][end]].left;
  }
  if (one.right_row == none) {
    draft_.connectors_gone.push_back(one.left);
    return;
  }
  ConnectorRow row = job_.family().connector_rows[one.right_row];
  row.rest = Rest::empty;  // a new housing holds what was put into it
  const Index connector = connector_of(plug);
  if (one.left_row != none) row.where = job_.family().connector_rows[one.left_row].where;
  if (connector >= draft_.next_connector)
    draft_.connectors[connector - draft_.next_connector].row = row;
  else
    draft_.rehoused.emplace_back(connector, row);
  for (uint32_t spot = 0; spot < job_.places.size(); ++spot) {
    const Place& place = job_.places[spot];
    if (place.plug != plug || !place.right_there || ends_there(spot)) continue;
    draft_.stubs.push_back({point_of(spot), place.right_state == State::sealed ? State::sealed : State::empty});
  }
}

void Work::link(uint32_t spot, std::vector<Touched>& touched) {
  const Index point = point_of(spot);
  for (const auto& [row, from] : laid_[spot]) {
    Wire& wire = draft_.wires[row];
    Index& end = from ? wire.from : wire.to;
    touched.push_back({end, point, from ? wire.to : wire.from});
    for (auto& ends : at_)
      for (Index& at : ends)
        if (at == end) at = point;
    end = point;
  }
}

void Work::carry_out(const Task& task, Step& step) {
  const std::vector<Index> before = nets();
  std::vector<Touched> touched;
  switch (task.kind) {
    case StepKind::park: {
      const Index aside = hang("the parked end of " + job_.name(task.move.first));
      for (const auto& [h, end] : ends_of(task.move)) put_end(h, end, aside, touched);
      break;
    }
    case StepKind::move:
      for (const auto& [h, end] : ends_of(task.move)) arrive(h, end, touched);
      leave_known(task.move.first, State::empty);
      break;
    case StepKind::remove:
      for (size_t row : job_.pieces[task.wire].rows) draft_.remove_wire(row);
      touched.push_back({at_[task.wire][0], none, at_[task.wire][1]});
      touched.push_back({at_[task.wire][1], none, at_[task.wire][0]});
      for (uint32_t spot : from_[task.wire]) leave_known(spot, State::empty);
      break;
    case StepKind::add: {
      Wire wire = job_.wanted[task.wire];
      const size_t row = draft_.wires.size();
      for (const bool from : {true, false}) {
        const uint32_t spot = from ? job_.want[task.wire].a : job_.want[task.wire].b;
        const bool splice = job_.places[spot].kind == PointKind::splice;
        (from ? wire.from : wire.to) = splice ? hang("the end laid at " + job_.name(spot)) : point_of(spot);
        if (splice) laid_[spot].emplace_back(row, from);
      }
      draft_.add_wire(wire);
      touched.push_back({none, wire.from, wire.to});
      touched.push_back({none, wire.to, wire.from});
      break;
    }
    case StepKind::swap_housing:
      swap_housing(task.plug, touched);
      break;
    case StepKind::link:
      link(task.spot, touched);
      break;
    case StepKind::seal:
    case StepKind::unseal:
      leave_known(task.spot, task.kind == StepKind::seal ? State::sealed : State::empty);
      break;
    case StepKind::renew:
      break;
    case StepKind::fasten: {
      const Range earths = job_.family().parts[job_.to().part].earths;
      for (Earth row : rows(job_.family().earths, earths)) {
        if (row.point != job_.places[task.spot].right || !job_.family().holds(row.cells, job_.to().cell)) continue;
        row.point = point_of(task.spot);
        draft_.earths.push_back(row);
      }
      break;
    }
  }
  check(before, touched, step);
}

// Joints come and go with the wires that end there; what the record says of wires beside their metal is the target's.
void Work::finish() {
  draft_.insides_gone = job_.resistances;
  draft_.suffix = " re-pinned";
  for (size_t h = 0; h < want_of_.size(); ++h) {
    if (want_of_[h] == no_wire) continue;
    for (size_t row : job_.pieces[h].rows) {
      draft_.wires[row].double_crimp = job_.wanted[want_of_[h]].double_crimp;
      draft_.wires[row].spare = job_.wanted[want_of_[h]].spare;
    }
  }
  const Family& family = job_.family();
  const auto rows_for = [&](const auto& table, Range range, auto& list, uint32_t spot) {
    for (auto row : rows(table, range))
      if (row.point == job_.places[spot].right && family.holds(row.cells, job_.to().cell)) {
        row.point = point_of(spot);
        list.push_back(row);
      }
  };
  const Part& target = family.parts[job_.to().part];
  for (uint32_t spot = 0; spot < job_.places.size(); ++spot) {
    const Place& place = job_.places[spot];
    if (place.kind == PointKind::cavity || place.kind == PointKind::inner) continue;
    const bool used = place.left != none ? draft_.is_wired(place.left) : ends_there(spot);
    if (place.left_there && !place.right_there && !used) draft_.joints_gone.push_back(place.left);
    if (place.left_there || !place.right_there || (!used && !ends_there(spot))) continue;
    if (place.kind == PointKind::splice) rows_for(family.splices, target.splices, draft_.splices, spot);
    if (place.kind == PointKind::lead) rows_for(family.leads, target.leads, draft_.leads, spot);
    const auto fastened = [&](const Task& task) { return task.kind == StepKind::fasten && task.spot == spot; };
    if (place.kind == PointKind::earth && std::none_of(tasks_.begin(), tasks_.end(), fastened))
      rows_for(family.earths, target.earths, draft_.earths, spot);
  }
}

// --- what a meter shows ---------------------------------------------------------------------------------------------

std::vector<Index> Work::nets() const {
  std::vector<std::pair<Index, Index>> edges;
  for (size_t i = 0; i < draft_.wires.size(); ++i)
    if (!draft_.gone[i]) edges.emplace_back(draft_.wires[i].from, draft_.wires[i].to);
  return components(draft_.next_point + static_cast<uint32_t>(draft_.points.size()), edges);
}

std::string Work::name_of(Index point) const {
  if (point < draft_.next_point) return point_name(job_.family(), point);
  const found::PartDraft::NewPoint& added = draft_.points[point - draft_.next_point];
  for (const auto& [spot, own] : points_)
    if (own == point) return job_.name(spot);
  return added.name;
}

bool Work::can_be_probed(Index point) const {
  const PointKind kind =
      point < draft_.next_point ? job_.family().points[point].kind : draft_.points[point - draft_.next_point].kind;
  if (kind == PointKind::splice) return false;
  const auto plug = plug_of_point_.find(point);
  return plug == plug_of_point_.end() || !job_.plugs[plug->second].may_fire;
}

void Work::check(const std::vector<Index>& before, const std::vector<Touched>& touched, Step& step) const {
  const std::vector<Index> after = nets();
  std::vector<char> used(after.size(), false);
  for (size_t i = 0; i < draft_.wires.size(); ++i)
    if (!draft_.gone[i]) used[draft_.wires[i].from] = used[draft_.wires[i].to] = true;
  const auto joined = [](const std::vector<Index>& net, Index a, Index b) {
    return a == b || (a < net.size() && b < net.size() && net[a] == net[b]);
  };
  const auto put = [&](Index a, Index b, bool path) {
    const Check found{name_of(a), name_of(b), path};
    for (const Check& known : step.checks)
      if ((known.a == found.a && known.b == found.b) || (known.a == found.b && known.b == found.a)) return;
    step.checks.push_back(found);
  };
  // The other end of the wire where it tells, else the lowest point that does.
  const auto tells = [&](Index at, Index far, bool gained) {
    const auto told = [&](Index other) {
      return other != none && other != at && can_be_probed(other) && joined(after, at, other) == gained &&
             joined(before, at, other) != gained && (used[other] || !gained);
    };
    if (told(far)) return far;
    for (Index other = 0; other < after.size(); ++other)
      if (told(other)) return other;
    return none;
  };
  const auto hangs = [this](Index point) {
    return point >= draft_.next_point && draft_.points[point - draft_.next_point].kind == PointKind::inner;
  };
  for (const Touched& end : touched) {
    const Index at = end.after != none && can_be_probed(end.after) ? end.after : end.far;
    if (end.after != none && at != none && can_be_probed(at) && used[at])
      if (const Index other = tells(at, end.far, true); other != none) put(at, other, true);
    if (end.before != none && end.before != end.after && can_be_probed(end.before) && !hangs(end.before))
      if (const Index other = tells(end.before, end.far, false); other != none) put(end.before, other, false);
  }
  if (!step.checks.empty()) return;
  for (const Touched& end : touched) {  // nothing new: what was to stay
    if (end.after == none || !can_be_probed(end.after)) continue;
    for (Index other = 0; other < after.size(); ++other)
      if (other != end.after && used[other] && can_be_probed(other) && joined(after, end.after, other)) {
        put(end.after, other, true);
        break;
      }
  }
}

}  // namespace loomproof::repin
