// One candidate as the bench would find it: its plugs, cavities, labels and nets by name.
#pragma once
#include <map>
#include <optional>
#include <vector>

#include "identify/reading.h"
#include "nets/index.h"

namespace loomproof::identify {

struct Loom {
  Index part = none;
  uint32_t cell = 0;
  friend auto operator<=>(const Loom&, const Loom&) = default;
};

struct CavityFacts {
  State state{};  // all five; `unknown` and `disputed` predict nothing
  std::set<std::string> colours;
  std::set<std::string> mm2;
  uint32_t wires = 0;
  bool is_known() const { return state != State::unknown && state != State::disputed; }
};

struct PlugFacts {
  std::string housing;
  Index housing_index = none;
  std::map<std::string, CavityFacts, std::less<>> cavities;  // by number
};

struct Span32 {  // least and most of a count
  uint32_t least = 0, most = 0;
};

enum class Path : uint8_t { yes, no, may };  // may: nobody can say

class Sheet {
 public:
  Sheet(const FamilyIndex& index, const Loom& loom);
  // A loom joined from two: these plugs with their branches are of `rest`, everything else is of `most`.
  Sheet(const Sheet& most, const Sheet& rest, const std::set<std::string>& plugs_of_rest);

  const Loom& loom() const { return loom_; }
  const std::map<std::string, PlugFacts, std::less<>>& plugs() const { return plugs_; }
  const std::set<std::string>& labels() const { return labels_; }
  const PlugFacts* plug(std::string_view designator) const;
  const CavityFacts* cavity(std::string_view name) const;  // null where there is no such cavity
  Span32 count(std::string_view designator, Look look, std::string_view of) const;

  // Vertices are the ends of wires, edges the wires.
  struct Edge {
    uint32_t a = 0, b = 0;
  };
  static constexpr uint32_t nowhere = 0xffffffff;
  uint32_t vertex(std::string_view end) const;  // nowhere: no wire ends there
  uint32_t vertices() const { return static_cast<uint32_t>(net_of_.size()); }
  uint32_t net(uint32_t vertex) const { return net_of_[vertex]; }
  const std::vector<Edge>& edges() const { return edges_; }
  const std::vector<std::vector<uint32_t>>& edges_of_net() const { return edges_of_net_; }
  const std::string& name(uint32_t vertex) const { return names_[vertex]; }
  const std::vector<std::vector<uint32_t>>& ends_of_net() const { return ends_of_net_; }  // that a probe can touch
  const std::set<Index>& circuits_of_net(uint32_t net) const { return circuits_of_net_[net]; }
  // What a meter shows where nothing is broken.
  Path path(std::string_view a, std::string_view b, const std::set<std::string>& plugged) const;

  // The answer that nothing wrong would give; nothing where the record does not say. Of several colours (or labels)
  // the first.
  std::optional<std::string> expected(const Question& question) const;

 private:
  bool net_is_plugged(uint32_t net, const std::set<std::string>& plugged) const;
  void read_plugs(const FamilyIndex& index);
  void read_nets(const FamilyIndex& index);

  Loom loom_;
  std::map<std::string, PlugFacts, std::less<>> plugs_;
  std::set<std::string> labels_;
  std::map<std::string, uint32_t, std::less<>> vertex_of_;
  std::vector<std::string> names_;
  std::vector<Edge> edges_;
  std::vector<uint32_t> net_of_;
  std::vector<std::vector<uint32_t>> edges_of_net_, ends_of_net_;
  std::vector<std::set<Index>> circuits_of_net_;
};

std::string colour_seen(const Family& family, const Wire& wire);  // "GN/WH"; empty if not given

// The view of a plug in which cavity 1 was taken for another.
enum class View3 : uint8_t { true_, mirrored, turned };
// By cavity number as read, the number it truly has; nothing where the housing does not look alike that way round.
std::optional<std::map<std::string, std::string, std::less<>>> seen_as(const Family& family, Index housing, View3 view);

}  // namespace loomproof::identify
