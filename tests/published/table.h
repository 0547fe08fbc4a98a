// A published table as the tests read it: CSV with a head line, lines of `#` before it naming the standard, no quotes.
#pragma once
#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace loomproof::testing {

using PublishedRow = std::map<std::string, std::string>;  // column -> value, empty where the table has none

inline std::vector<std::string> published_fields(const std::string& line) {
  std::vector<std::string> fields(1);
  for (const char c : line) {
    if (c == ',')
      fields.emplace_back();
    else
      fields.back() += c;
  }
  return fields;
}

inline std::vector<PublishedRow> published_table(const std::string& name) {
  std::ifstream file(std::string(LOOMPROOF_SOURCE_DIR) + "/tests/published/" + name);
  REQUIRE(file);
  std::vector<PublishedRow> rows;
  std::vector<std::string> columns;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    const std::vector<std::string> fields = published_fields(line);
    if (columns.empty()) {
      columns = fields;
      continue;
    }
    INFO(name << ": " << line);
    REQUIRE(fields.size() == columns.size());
    PublishedRow row;
    for (size_t i = 0; i < columns.size(); ++i) row[columns[i]] = fields[i];
    rows.push_back(row);
  }
  REQUIRE_FALSE(rows.empty());
  return rows;
}

}  // namespace loomproof::testing
