// The working state of one family's expansion, shared by the files of this folder. Not for others to include.
#pragma once
#include <map>
#include <set>
#include <string>
#include <unordered_map>
#include <utility>

#include "expand/expand.h"
#include "family/words.h"

namespace loomproof {

// One row of rules/joins.yaml: what happens when two roles meet, always or under one condition.
struct JoinRow {
  Join join;              // without its text and citation, which are numbered family by family
  yaml::Node pair, said;  // the row of the pair; what is said of it: that row, or one of its conditions
};

struct SharedNames {
  using Names = std::map<std::string_view, yaml::Node, std::less<>>;
  Names sources, housings, colours, terminals, functions;
  std::vector<yaml::Node> conductors, cautions;  // in the order of the standard, of size, of the file
  yaml::Node conductors_root, cautions_root, fuses_root;
  std::vector<JoinRow> joins;        // sorted by a, b, when; whole, or empty
  std::set<std::string_view> cited;  // sources that shared files cite
  // The `source:` of the file that an entry stands in, by file.
  std::map<FileId, yaml::Node> file_source;
};

// Names of the corpus, for look-ups alone: hashes have no order that may show. Who lists them asks sorted_names().
using NameIndex = std::unordered_map<std::string_view, Index>;
std::vector<std::string_view> sorted_names(const NameIndex& names);

// What a row inherits: the cells of its part and the source of its file.
struct Scope {
  CellSet cells;
  yaml::Node source;       // the file's `source:`; no node if it has none
  std::string_view owner;  // "loom `chassis`", for messages
};

class Expander {
 public:
  Expander(const Corpus& corpus, const FamilyFiles& files, const SharedNames& shared, Report& report)
      : corpus_(corpus), files_(files), shared_(shared), report_(&report) {}
  Expansion run();

 private:
  void report_unused_circuits();
  void sort_sources();
  // axes.cc
  bool read_axes(yaml::Node root);
  void read_places(yaml::Node root);
  void read_plugs(yaml::Node root);
  void check_plugs();
  void read_builds(yaml::Node root);
  // vocabulary.cc
  void read_vocabulary();
  Index source(std::string_view id, Span place);
  Index colour(std::string_view code, Span place);
  std::pair<Index, Index> colours(yaml::Node node);  // base and tracer of "GN/WH"
  Index terminal(yaml::Node node);
  Index function(yaml::Node node);
  // joins.cc
  void read_joins();
  // circuits.cc
  void read_circuits(yaml::Node root);
  void read_supply(yaml::Node root);
  // housings.cc
  Index housing(yaml::Node id);
  Index read_housing(std::string_view id, yaml::Node row);
  void read_cavities(Index housing, yaml::Node row);
  void link_mates();
  // looms.cc, components.cc
  bool read_parts();
  void make_room();
  void read_loom(const Document& document);
  void read_component(const Document& document);
  void read_component_at(const Document& document, Index place);
  void check_inside_names(yaml::Node root);
  Part& begin_part(yaml::Node root, PartKind kind, std::string_view id_key, Index place, const Scope& scope);
  void read_numbers(yaml::Node root, const Scope& scope);
  void read_connectors(yaml::Node connectors, const Scope& scope);
  void read_connector_row(Index connector, yaml::Node row, Span designator, const Scope& scope);
  void read_wire(yaml::Node row, const Scope& scope);
  void read_cavity_row(Index point, yaml::Node row, Span place, const Scope& scope);
  void check_role_keys(yaml::Node row, Role role);
  void read_pin(Index point, yaml::Node row, Span cavity, const Scope& scope);
  void read_inside(yaml::Node row, const Scope& scope);
  void read_joints(yaml::Node root, const Scope& scope);
  void read_branches(yaml::Node root);
  void read_positions(yaml::Node root);
  void end_part();
  // changes.cc
  void read_changes();
  friend class ChangeReader;
  bool read_between(yaml::Node between, Change& change);
  void check_part_name(yaml::Node node);
  void read_change_item(yaml::Node row, Index change, const Scope& scope);
  // combinations.cc
  void read_combinations();
  void read_combination(yaml::Node row, const Scope& scope);
  void read_combination_part(Index combination, yaml::Node row);
  CellSet cells_of_place(Index place, Index part) const;
  Index part_of(Index place, yaml::Node id);
  Index named_place(yaml::Node row);  // the place that is the row's key
  // names.cc: interning, references, tags, citations
  Str str(std::string_view text);
  Cells cells(const CellSet& set);
  CiteId cite(yaml::Node row, const Scope& scope);
  CiteId cite_of(yaml::Node source, bool own);
  CiteId inherited_cite(yaml::Node source);
  void report_unsourced();
  CellSet tags(yaml::Node row, const Scope& scope);
  CellSet eras(yaml::Node node);
  CellSet era_range(yaml::Node node, const Scope& scope);
  CellSet options(yaml::Node node, const Scope& scope);
  void check_coordinate(const CellSet& set, yaml::Node node, const Scope& scope);
  Quantity quantity(yaml::Node node);
  Quantity volts(yaml::Node node);
  Quantity month(std::string_view text);
  template <typename Enum>
  static Enum word_of(yaml::Node node) {  // the schema has checked the word; the first value where there is no node
    Enum value{};
    if (node) parse_word(node.text(), value);
    return value;
  }
  Index circuit(yaml::Node node);
  Index place(yaml::Node node);
  Index connector(std::string_view designator) const;
  // A point of the part being read: made where it is new and names something that exists, else reported.
  Index point(std::string_view name, Span span);
  Index cavity_point(Index connector, std::string_view number, Span span);
  struct UnknownCavity {
    size_t finding = 0;  // of the report
    std::string number;
    uint32_t more = 0;  // that are not labelled
  };
  void another_unknown_cavity(Index connector, std::string_view number, Span span, UnknownCavity& told);
  Index joint_point(std::string_view name, PointKind kind);
  bool has_cavity(Index connector, std::string_view number) const;
  void unknown(std::string_view kind, std::string_view name, Span span, const std::vector<std::string_view>& known,
               const std::string& help = {});
  void allow(yaml::Node node, Span scope);

  const Corpus& corpus_;
  const FamilyFiles& files_;
  const SharedNames& shared_;
  Report* report_;
  Expansion out_;
  Family& f_ = out_.family;
  Spans& s_ = out_.spans;

  struct TextHash {
    using is_transparent = void;
    size_t operator()(std::string_view text) const { return std::hash<std::string_view>()(text); }
  };
  std::unordered_map<std::string, Str, TextHash, std::equal_to<>> strings_;  // but the empty one, which is 0
  std::map<CellSet, Cells> cell_sets_;
  std::map<std::pair<std::vector<Index>, std::pair<bool, bool>>, CiteId> cites_;
  std::vector<std::vector<CellSet>> axis_cells_;  // axis, coordinate -> cells
  NameIndex circuits_, places_;
  std::map<std::string_view, Index, std::less<>> eras_, option_names_, housings_, colours_, terminals_, functions_,
      sources_;
  std::map<std::pair<Index, std::string_view>, Index> value_names_;  // option, value id
  std::vector<bool> circuit_used_;
  std::map<Index, UnknownCavity> unknown_cavities_;  // connector -> the finding that tells of it
  bool unresolved_ = false;
  struct Inherited {  // the citation of all rows of a file that have none of their own
    yaml::Node source;
    CiteId cite = 0;
    uint64_t names = 0;  // of sources
  } inherited_;
  struct Unsourced {
    Span first;  // the first row of a file that cites nothing
    std::string owner;
    std::set<uint32_t> rows;  // where each begins
  };
  std::map<FileId, Unsourced> unsourced_;

  Index part_ = none;  // whose rows, or declared changes, are being read
  struct CavityName {
    Index connector = none;
    std::string_view number;
    bool operator==(const CavityName&) const = default;
  };
  struct CavityHash {
    size_t operator()(const CavityName& name) const { return TextHash()(name.number) * 31 + name.connector; }
  };
  struct PartNames {
    NameIndex connectors, joints;  // joints: splices, earths, leads, inner nodes
    std::unordered_map<CavityName, Index, CavityHash> cavity_points;
  };
  std::vector<PartNames> part_names_;
  PartNames& names() { return part_names_[part_]; }
  const PartNames& names() const { return part_names_[part_]; }
  std::map<std::string_view, std::vector<Index>, std::less<>> looms_, components_;
};

// Natural order of names: runs of digits by their value, so that C2 comes before C10.
bool natural_less(std::string_view a, std::string_view b);
// The entries of a map in the natural order of their keys, or of a sequence as listed.
std::vector<yaml::Node> by_key(yaml::Node map);
// The rows of a list whose order says nothing, by what they say.
std::vector<yaml::Node> by_content(yaml::Node list);
// One node, or the rows of a list by what they say: the corpus writes a list only where something varies.
std::vector<yaml::Node> one_or_many(yaml::Node node);
Span span_of_row(yaml::Node node);    // key and value of a map entry
uint32_t read_marks(yaml::Node row);  // the Mark bits of its `marks:`
// The rows of rules/joins.yaml, sorted; none where a pair of roles is missing or stands twice, which is reported.
std::vector<JoinRow> read_join_rows(yaml::Node root, Report& report);

}  // namespace loomproof
