// From what the files of a family say to its resolved tables. Names are resolved, tags become sets of cells, every row
// is cited; what does not resolve is reported once and left out. Beside the tables stands, row by row, the text they
// came from.
#pragma once
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "diag/report.h"
#include "family/family.h"
#include "model/corpus.h"

namespace loomproof {

struct WireSpans {
  Span row, circuit, from, to, colour, mm2;
};
struct ConnectorSpans {
  Span row, designator, housing;
};
struct PinSpans {
  Span row, cavity, circuit, role;
};
struct EraSpans {
  Span row, built, run_out;
};
struct PlugSpans {
  Span a, b;
};

struct CombinationSpans {
  Span id, verdict, outcome, suffers, others;
};

// A rule relaxed for the text in `scope`.
struct AllowSpan {
  std::string_view rule, because;
  Span scope, rule_text;
};

// The text of each row, table by table, in the order of the family's tables.
struct Spans {
  Span family;
  std::vector<EraSpans> eras;
  std::vector<Span> options, option_values, sources, circuits, aparts, housings, housing_cavities, closes, places,
      place_where, builds, parts, numbers, points, splices, earths, leads, cavity_rows, says, insides, positions,
      branches, changes, change_items, combination_parts, combination_edits, in_manuals;
  std::vector<Span> source_keys;  // into sources.yaml
  std::vector<PlugSpans> plugs;
  std::vector<ConnectorSpans> connector_rows;
  std::vector<WireSpans> wires;
  std::vector<PinSpans> pins;
  std::vector<CombinationSpans> combinations;
  std::vector<AllowSpan> allows;
};

// The bytes of a piece of a key's or value's text, quotes or not; all of it where its bytes are not its text (escapes).
Span span_of_piece(Span whole, std::string_view text, size_t at, size_t count = std::string_view::npos);

// What the shared files declare, by name. Built once; read by every family.
struct SharedNames;
std::shared_ptr<const SharedNames> read_shared_names(const Corpus& corpus, Report& report);

// Which shared things a family used, for the rule on what is used nowhere.
struct SharedUse {
  std::set<std::string, std::less<>> housings, sources;
};

struct Expansion {
  Family family;
  Spans spans;
  SharedUse used;
  bool resolved = false;  // every name was found: the rules beyond names may judge
};

// One family. Independent of the others: may run on any thread, with a report of its own.
Expansion expand_family(const Corpus& corpus, const FamilyFiles& files, const SharedNames& shared, Report& report);

// Housings and sources that no family used. Only over a whole corpus.
void report_unused_shared(const SharedNames& shared, const std::vector<SharedUse>& used, Report& report);

}  // namespace loomproof
