// From bytes to a tree; private to src/yaml.
#pragma once
#include <memory>

#include "yaml/storage.h"

namespace loomproof::yaml {

// Null when the file was refused; the report then says why.
std::unique_ptr<Storage> build(const SourceFile& file, FileId id, Report& report, const Limits& limits);

// What has to hold before the text is given to the YAML reader: size, UTF-8, no control characters. False when refused.
bool check_bytes(const SourceFile& file, FileId id, Report& report, const Limits& limits);

}  // namespace loomproof::yaml
