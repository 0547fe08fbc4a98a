#include "checks/all.h"

namespace loomproof::checks {

void differences(const Judged&, Report&) {}

}  // namespace loomproof::checks
