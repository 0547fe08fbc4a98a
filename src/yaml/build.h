// From bytes to a tree; private to src/yaml.
#pragma once
#include <memory>

#include "yaml/storage.h"

namespace loomproof::yaml {

// Who reads rows (rows.h). The result is the same, which tests hold by reading both ways.
enum class RowsBy : uint8_t { us, yaml_cpp };

// Null when the file was refused; the report then says why.
std::unique_ptr<Storage> build(const SourceFile& file, FileId id, Report& report, const Limits& limits,
                               RowsBy rows = RowsBy::us);

// Rows by us and the rest by yaml-cpp. Null, and the report as it was, where the text has no rows or there is anything
// to report or to doubt. The bytes have been checked.
std::unique_ptr<Storage> build_with_rows(const SourceFile& file, FileId id, Report& report, const Limits& limits);

// What has to hold before the text is given to the YAML reader: size, UTF-8, no control characters. False when refused.
bool check_bytes(const SourceFile& file, FileId id, Report& report, const Limits& limits);

}  // namespace loomproof::yaml
