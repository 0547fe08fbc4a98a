// Every rule over resolved families, declared once; all.cc puts them in order.
#pragma once
#include "checks/check.h"

namespace loomproof::checks {

void mates_disagree(const Judged&, Report&);
void place_filled(const Judged&, Report&);
void rows_overlap(const Judged&, Report&);
void rows_leave_hole(const Judged&, Report&);
void era_order(const Judged&, Report&);
void cavity_used_twice(const Judged&, Report&);
void colour_differs(const Judged&, Report&);
void colour_missing(const Judged&, Report&);
void fuse_above_wire(const Judged&, Report&);
void lone_splice(const Judged&, Report&);
void lone_end(const Judged&, Report&);
void wire_loop(const Judged&, Report&);
void terminal_size(const Judged&, Report&);
void looks_alike(const Judged&, Report&);
void plug_partners(const Judged&, Report&);
void pins_exchanged(const Judged&, Report&);
void plugs_do_not_mate(const Judged&, Report&);
void plug_circuits_differ(const Judged&, Report&);
void two_circuits(const Judged&, Report&);
void dead_end(const Judged&, Report&);
void pin_unreached(const Judged&, Report&);
void circuit_in_pieces(const Judged&, Report&);
void firing(const Judged&, Report&);
void builds(const Judged&, Report&);
void combinations(const Judged&, Report&);
void differences(const Judged&, Report&);

// Whether no rule has found an error so far: what was reported would be told again as what it does.
bool is_sound(const Report& report);

}  // namespace loomproof::checks
