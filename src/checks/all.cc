#include "checks/all.h"

namespace loomproof {

namespace {

// The order matters: what an earlier rule reports, a later one does not report again as its consequence.
constexpr CheckEntry entries[] = {
    {"mates-disagree", checks::mates_disagree},
    {"place-filled", checks::place_filled},
    {"rows-overlap", checks::rows_overlap},
    {"era-order", checks::era_order},
    {"cavity-used-twice", checks::cavity_used_twice},
    {"rows-leave-hole", checks::rows_leave_hole},
    {"lone-splice", checks::lone_splice},
    {"lone-end", checks::lone_end},
    {"wire-loop", checks::wire_loop},
    {"terminal-size", checks::terminal_size},
    {"looks-alike", checks::looks_alike},
    {"colour-missing", checks::colour_missing},
    {"plug-partners", checks::plug_partners},
    {"plugs-do-not-mate", checks::plugs_do_not_mate},
    {"plug-circuits-differ", checks::plug_circuits_differ},
    {"pins-exchanged", checks::pins_exchanged},
    {"two-circuits", checks::two_circuits},
    {"dead-end", checks::dead_end},
    {"pin-unreached", checks::pin_unreached},
    {"circuit-in-pieces", checks::circuit_in_pieces},
    {"fuse-above-wire", checks::fuse_above_wire},
    {"colour-differs", checks::colour_differs},
    {"firing", checks::firing},
    {"builds", checks::builds},
    {"combinations", checks::combinations},
    {"differences", checks::differences},
};

}  // namespace

std::span<const CheckEntry> all_checks() {
  return entries;
}

}  // namespace loomproof
