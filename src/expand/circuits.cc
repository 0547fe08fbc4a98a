// circuits.yaml: what wires are for, what must stay apart, what `volts: system` means.
#include "expand/expander.h"

namespace loomproof {

void Expander::read_supply(yaml::Node root) {
  yaml::Node supply = root["supply"];
  if (supply.is_scalar()) {  // one supply for the whole family
    for (OptionValue& value : f_.option_values) value.supply = not_given;
    f_.supply = quantity(supply);
    return;
  }
  for (yaml::Node entry : supply) {
    bool found = false;
    for (OptionValue& value : f_.option_values)
      if (f_.text(value.id) == entry.key()) {
        value.supply = quantity(entry);
        found = true;
      }
    if (found) continue;
    std::vector<std::string_view> known;
    for (const OptionValue& value : f_.option_values) known.push_back(f_.text(value.id));
    unknown("option value", entry.key(), entry.key_span(), known);
  }
}

void Expander::read_circuits(yaml::Node root) {
  Scope scope{CellSet::first(f_.cell_count()), root["source"], "the circuits"};
  std::vector<yaml::Node> all = by_key(root["circuits"]);
  for (yaml::Node row : all) {
    circuits_[row.key()] = static_cast<Index>(f_.circuits.size());
    Circuit circuit;
    circuit.id = str(row.key());
    circuit.title = str(row["title"].text());
    circuit.kind = word_of<CircuitClass>(row["class"]);
    circuit.function = function(row["function"]);
    circuit.terminal = terminal(row["terminal"]);
    circuit.volts = volts(row["volts"]);
    circuit.amps = quantity(row["max-a"]);
    circuit.if_stays_on = word_of<Outcome>(row["if-stays-on"]);
    circuit.if_dead = word_of<Outcome>(row["if-dead"]);
    circuit.cite = cite(row, scope);
    allow(row, span_of_row(row));
    f_.circuits.push_back(circuit);
    s_.circuits.push_back(row.key_span());
  }
  circuit_used_.assign(f_.circuits.size(), false);
  for (yaml::Node row : all) {
    Index index = circuits_[row.key()];
    auto mention = [&](yaml::Node node) {  // a mention alone is no use of a circuit
      Index other = circuit(node);
      if (other != none) circuit_used_[other] = false;
      return other;
    };
    Circuit& circuit = f_.circuits[index];
    circuit.joins.first = static_cast<Index>(f_.circuit_refs.size());
    for (yaml::Node join : row["joins"])
      if (Index other = mention(join); other != none) {
        f_.circuit_refs.push_back(other);
        ++circuit.joins.count;
      }
    for (yaml::Node entry : row["apart-from"]) {
      Apart apart;
      apart.circuit = index;
      apart.other = mention(entry["circuit"]);
      apart.places.first = static_cast<Index>(f_.place_refs.size());
      for (yaml::Node in : entry["in"])
        if (Index where = place(in); where != none) {
          f_.place_refs.push_back(where);
          ++apart.places.count;
        }
      apart.outcome = word_of<Outcome>(entry["outcome"]);
      apart.because = str(entry["because"].text());
      apart.cite = cite(entry, scope);
      if (apart.other == none) continue;
      f_.aparts.push_back(apart);
      s_.aparts.push_back(entry.span());
    }
  }
  read_supply(root);
}

}  // namespace loomproof
