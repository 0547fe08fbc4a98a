#include "show.h"

#include <fmt/format.h>

#include "checks/check.h"
#include "diag/render.h"

namespace loomproof::tool {

namespace {

void show_tables(const Compiled& compiled) {
  for (const CompiledFamily& each : compiled.families) {
    const Family& f = each.family;
    fmt::print("family {}: {} eras, {} options, {} cells, {} built\n", f.text(f.id), f.eras.size(), f.options.size(),
               f.cell_count(), f.set(f.built).count());
    fmt::print("  {} rows for pin roles that meet\n", f.joins.size());
    for (const Part& part : f.parts)
      fmt::print("  {} {} in {}: {} connectors, {} points, {} wires, {} pins, {} states, {} inside; {}\n",
                 word(part.kind), f.text(part.id), f.text(f.places[part.place].id), part.connectors.count,
                 part.points.count, part.wires.count, part.pins.count, part.cavity_rows.count, part.insides.count,
                 cells_text(f, f.set(part.cells) & f.set(f.built)));
  }
}

void show_nets(const Compiled& compiled) {
  for (const CompiledFamily& each : compiled.families) {
    const Family& f = each.family;
    FamilyIndex index(f);
    for (const CellClass& cells : cell_classes(f)) {
      fmt::print("family {}, {}\n", f.text(f.id), cells_text(f, cells.cells));
      BuildNets build = build_nets(index, cells.cell);
      for (Index net = 0; net < build.nets.count(); ++net) {
        fmt::print("  {}:", net);
        for (Index circuit : build.nets.circuits(net)) fmt::print(" {}", f.text(f.circuits[circuit].id));
        fmt::print(" |");
        for (Index point : build.nets.points(net))
          fmt::print(" {}:{}", f.text(f.places[f.parts[f.points[point].part].place].id), point_name(f, point));
        fmt::print("\n");
      }
    }
  }
}

}  // namespace

void show_phase(const Compiled& compiled, std::string_view phase) {
  if (phase == "files")
    for (FileId id = 0; id < compiled.sources.size(); ++id)
      fmt::print("{:>9} bytes  {}\n", compiled.sources.file(id).bytes().size(),
                 printable(compiled.sources.file(id).path()));
  if (phase == "trees")
    for (const Document& document : compiled.corpus.documents)
      if (document.root())
        fmt::print("{}:\n{}", printable(compiled.sources.file(document.file).path()), document.tree.dump());
  if (phase == "names")
    for (const FamilyFiles& family : compiled.corpus.families)
      fmt::print("family {}: {} looms, {} components, {} files of changes{}\n", family.folder, family.looms.size(),
                 family.components.size(), family.changes.size(),
                 compiled.corpus.is_usable(family) ? "" : "; left alone because of its findings");
  if (phase == "tables") show_tables(compiled);
  if (phase == "nets") show_nets(compiled);
}

}  // namespace loomproof::tool
