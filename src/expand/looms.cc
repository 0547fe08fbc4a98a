// looms/*.yaml: joints and wires.
#include <algorithm>
#include <tuple>

#include "expand/expander.h"

namespace loomproof {

namespace {

// Wires in an order that does not depend on how the file lists them: by ends, circuit, then the tags.
std::vector<yaml::Node> in_order(yaml::Node wires) {
  struct Row {
    yaml::Node node;
    std::string_view from, to, circuit;
  };
  std::vector<Row> all;
  for (yaml::Node row : wires) all.push_back({row, row["from"].text(), row["to"].text(), row["circuit"].text()});
  auto tag_text = [](yaml::Node row, std::string_view key) {
    yaml::Node tag = row[key];
    std::string text(tag ? tag.text() : std::string_view());
    for (yaml::Node entry : tag) {
      text += entry.key();
      text += entry.text();
      for (yaml::Node value : entry) text += value.text();
    }
    return text;
  };
  std::stable_sort(all.begin(), all.end(), [&](const Row& a, const Row& b) {
    if (a.from != b.from) return natural_less(a.from, b.from);
    if (a.to != b.to) return natural_less(a.to, b.to);
    if (a.circuit != b.circuit) return natural_less(a.circuit, b.circuit);
    for (std::string_view key : {"eras", "with"}) {
      std::string x = tag_text(a.node, key), y = tag_text(b.node, key);
      if (x != y) return x < y;
    }
    for (std::string_view key : {"colour", "mm2"}) {
      std::string_view x = a.node[key].text(), y = b.node[key].text();
      if (x != y) return x < y;
    }
    return false;
  });
  std::vector<yaml::Node> sorted;
  for (const Row& row : all) sorted.push_back(row.node);
  return sorted;
}

}  // namespace

uint32_t read_marks(yaml::Node row) {
  uint32_t marks = 0;
  auto add = [&](std::string_view field, uint32_t single, uint32_t memory) {
    std::string_view mark = row["marks"][field].text();
    if (mark == "single") marks |= single;
    if (mark == "memory") marks |= memory;
  };
  add("function", Mark::function_single, Mark::function_memory);
  add("colour", Mark::colour_single, Mark::colour_memory);
  add("mm2", Mark::mm2_single, Mark::mm2_memory);
  return marks;
}

void Expander::read_joints(yaml::Node root, const Scope& scope) {
  for (yaml::Node row : by_key(root["splices"])) {
    f_.splices.push_back({joint_point(row.key(), PointKind::splice), str(row["where"].text()),
                          str(row["branch"].text()), cells(tags(row, scope)), cite(row, scope)});
    s_.splices.push_back(row.key_span());
    allow(row, span_of_row(row));
  }
  std::map<std::string_view, Span> first;
  for (yaml::Node row : root["splices"]) first[row.key()] = row.key_span();
  auto taken = [&](yaml::Node row) {
    auto [known, fresh] = first.try_emplace(row.key(), row.key_span());
    if (fresh) return false;
    unresolved_ = true;
    report_->add<Rule::duplicate_id>(row.key_span(), "wire end", row.key()).label(known->second, "declared first here");
    return true;
  };
  for (yaml::Node row : by_key(root["earths"])) {
    if (taken(row)) continue;
    f_.earths.push_back({joint_point(row.key(), PointKind::earth), str(row["where"].text()), str(row["ring"].text()),
                         word_of<EarthNode>(row["to"]), circuit(row["circuit"]), cells(tags(row, scope)),
                         cite(row, scope)});
    s_.earths.push_back(row.key_span());
  }
  for (yaml::Node row : by_key(root["leads"])) {
    if (taken(row)) continue;
    Lead lead;
    lead.point = joint_point(row.key(), PointKind::lead);
    lead.title = row["title"] ? str(row["title"].text()) : str(row.key());
    lead.circuit = circuit(row["circuit"]);
    lead.role = word_of<Role>(row["role"]);
    lead.volts = volts(row["volts"]);
    lead.amps = quantity(row["max-a"]);
    lead.cells = cells(tags(row, scope));
    lead.cite = cite(row, scope);
    f_.leads.push_back(lead);
    s_.leads.push_back(row.key_span());
  }
}

void Expander::read_wire(yaml::Node row, const Scope& scope) {
  Wire wire;
  wire.part = part_;
  wire.circuit = circuit(row["circuit"]);
  wire.from = point(row["from"].text(), row["from"].span());
  wire.to = point(row["to"].text(), row["to"].span());
  if (yaml::Node colour_node = row["colour"]) {
    std::tie(wire.base, wire.tracer) = colours(colour_node);
  }
  wire.shade = word_of<Shade>(row["shade"]);
  if (wire.base != none && wire.base == wire.tracer && wire.shade == Shade::unset)
    report_->add<Rule::bad_form>(row["colour"].span(), row["colour"].text(), "has a tracer of the wire's own colour")
        .help("a wire of one colour is written once: " + std::string(f_.text(f_.colours[wire.base].code)));
  wire.mm2 = quantity(row["mm2"]);
  if (row["length-mm"]) wire.length_mm = static_cast<int32_t>(std::stol(std::string(row["length-mm"].text())));
  wire.double_crimp = row["double"].text() == "true";
  wire.spare = str(row["spare"].text());
  wire.marks = read_marks(row);
  wire.cells = cells(tags(row, scope));
  wire.cite = cite(row, scope);
  allow(row, row.span());
  if (wire.circuit == none || wire.from == none || wire.to == none) return;
  f_.wires.push_back(wire);
  auto span_or_row = [&](std::string_view key) { return row[key] ? row[key].span() : row.span(); };
  s_.wires.push_back({row.span(), row["circuit"].span(), row["from"].span(), row["to"].span(), span_or_row("colour"),
                      span_or_row("mm2")});
}

void Expander::read_loom(const Document& document) {
  yaml::Node root = document.root();
  Index where = place(root["place"]);
  if (where == none) return;
  std::string owner = "loom `" + std::string(root["loom"].text()) + "`";
  Scope scope{f_.set(f_.places[where].cells), root["source"], owner};
  scope.cells = tags(root, scope);
  begin_part(root, PartKind::loom, "loom", where, scope);
  looms_[root["loom"].text()].push_back(part_);
  read_numbers(root, scope);
  read_connectors(root["connectors"], scope);
  read_joints(root, scope);
  for (yaml::Node row : in_order(root["wires"])) read_wire(row, scope);
  for (yaml::Node entry : by_key(root["cavities"])) {
    Index at = point(entry.key(), entry.key_span());
    for (yaml::Node row : one_or_many(entry))
      if (at != none) read_cavity_row(at, row, entry.is_sequence() ? row.span() : entry.key_span(), scope);
  }
  read_branches(root);
  end_part();
}

}  // namespace loomproof
