// A family's tables in SQLite, as the yardstick for packs.
#pragma once
#include <string>
#include <string_view>

#include "family/family.h"
#include "family/fields.h"

struct sqlite3;
struct sqlite3_stmt;

namespace loomproof::bench {

// What stands in the place of a text: the text itself, or an index into one table of texts as in a pack.
enum class Texts { in_place, indexed };

// A database in memory with every table of the family, a row a row and a column a field, and one table without row ids
// that finds a point by part, designator and cavity. Throws std::runtime_error with SQLite's words.
class SqliteTwin {
 public:
  SqliteTwin(const Family& family, Texts texts);
  SqliteTwin(const SqliteTwin&) = delete;
  SqliteTwin& operator=(const SqliteTwin&) = delete;
  ~SqliteTwin();

  // Bytes of the database after VACUUM.
  uint64_t bytes() const;
  // By a prepared statement; `none` where there is no such cavity.
  Index find_point(std::string_view part, std::string_view designator, std::string_view cavity);

 private:
  void run(const std::string& sql);
  void add_table(const Family& family, Table table, const void* rows, size_t count, Texts texts);
  void add_texts_and_sets(const Family& family, Texts texts);
  void add_cavities(const Family& family);
  sqlite3* db_ = nullptr;
  sqlite3_stmt* find_ = nullptr;
};

}  // namespace loomproof::bench
