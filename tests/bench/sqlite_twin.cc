#include "sqlite_twin.h"

#include <sqlite3.h>

#include <cstring>
#include <stdexcept>

namespace loomproof::bench {

namespace {

// A prepared statement that is run once a row.
class Insert {
 public:
  Insert(sqlite3* db, const std::string& table, size_t columns) : db_(db) {
    std::string sql = "INSERT INTO " + table + " VALUES (?";
    for (size_t i = 1; i < columns; ++i) sql += ",?";
    if (sqlite3_prepare_v2(db, (sql + ")").c_str(), -1, &statement_, nullptr) != SQLITE_OK)
      throw std::runtime_error(sqlite3_errmsg(db));
  }
  ~Insert() { sqlite3_finalize(statement_); }
  void number(int column, int64_t value) { sqlite3_bind_int64(statement_, column, value); }
  void text(int column, std::string_view value) {
    sqlite3_bind_text(statement_, column, value.data(), static_cast<int>(value.size()), SQLITE_STATIC);
  }
  void blob(int column, const void* data, size_t size) {
    sqlite3_bind_blob(statement_, column, data, static_cast<int>(size), SQLITE_TRANSIENT);
  }
  // What means "none" or "not given" is NULL, which takes no room.
  void null(int column) { sqlite3_bind_null(statement_, column); }
  void row() {
    if (sqlite3_step(statement_) != SQLITE_DONE) throw std::runtime_error(sqlite3_errmsg(db_));
    sqlite3_reset(statement_);
  }

 private:
  sqlite3* db_;
  sqlite3_stmt* statement_ = nullptr;
};

std::string quoted(std::string_view name) {
  return "\"" + std::string(name) + "\"";
}

}  // namespace

SqliteTwin::SqliteTwin(const Family& family, Texts texts) {
  if (sqlite3_open(":memory:", &db_) != SQLITE_OK) throw std::runtime_error("cannot open a database in memory");
  run("BEGIN");
  each_table(family, [&](Table table, const auto& rows) { add_table(family, table, rows.data(), rows.size(), texts); });
  add_texts_and_sets(family, texts);
  add_cavities(family);
  run("COMMIT");
  run("VACUUM");
  const char* sql = "SELECT point FROM cavity_names WHERE part = ? AND designator = ? AND cavity = ?";
  if (sqlite3_prepare_v2(db_, sql, -1, &find_, nullptr) != SQLITE_OK) throw std::runtime_error(sqlite3_errmsg(db_));
}

SqliteTwin::~SqliteTwin() {
  sqlite3_finalize(find_);
  sqlite3_close(db_);
}

void SqliteTwin::run(const std::string& sql) {
  if (sqlite3_exec(db_, sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK)
    throw std::runtime_error(sqlite3_errmsg(db_));
}

void SqliteTwin::add_table(const Family& family, Table table, const void* rows, size_t count, Texts texts) {
  std::string sql = "CREATE TABLE " + quoted(table_name(table)) + " (", name;
  size_t columns = 0;
  for (const Field& field : fields(table)) {
    for (int part = 0; part < (field.kind == FieldKind::range ? 2 : 1); ++part) {
      name = std::string(field.name.empty() ? "value" : field.name) + (part ? "_count" : "");
      sql += (columns++ ? ", " : "") + quoted(name);
    }
  }
  run(sql + ")");
  Insert insert(db_, quoted(table_name(table)), columns);
  const char* bytes = static_cast<const char*>(rows);
  for (size_t row = 0; row < count; ++row, bytes += row_words(table) * 4) {
    int column = 0;
    for (const Field& field : fields(table))
      for (uint32_t part = 0; part < (field.kind == FieldKind::range ? 2u : 1u); ++part) {
        uint32_t word = 0;
        std::memcpy(&word, bytes + (field.offset + part) * 4, 4);
        ++column;
        if (field.kind == FieldKind::text && texts == Texts::in_place)
          insert.text(column, family.text(word));
        else if (field.kind == FieldKind::quantity && static_cast<Quantity>(word) == not_given)
          insert.null(column);
        else if (field.kind == FieldKind::quantity)
          insert.number(column, static_cast<Quantity>(word));
        else if (field.kind == FieldKind::optional && word == none)
          insert.null(column);
        else
          insert.number(column, word);
      }
    insert.row();
  }
}

void SqliteTwin::add_texts_and_sets(const Family& family, Texts texts) {
  run("CREATE TABLE texts (id INTEGER PRIMARY KEY, text TEXT)");
  run("CREATE TABLE sets (id INTEGER PRIMARY KEY, cells BLOB)");
  if (texts == Texts::indexed) {
    Insert insert(db_, "texts", 2);
    for (size_t i = 0; i < family.strings.size(); ++i) {
      insert.number(1, static_cast<int64_t>(i));
      insert.text(2, family.strings[i]);
      insert.row();
    }
  }
  Insert insert(db_, "sets", 2);
  for (size_t i = 0; i < family.cell_sets.size(); ++i) {
    insert.number(1, static_cast<int64_t>(i));
    insert.blob(2, family.cell_sets[i].words().data(), (family.cell_count() + 7) / 8);
    insert.row();
  }
}

void SqliteTwin::add_cavities(const Family& family) {
  run("CREATE TABLE cavity_names (part TEXT, designator TEXT, cavity TEXT, point INTEGER, "
      "PRIMARY KEY (part, designator, cavity)) WITHOUT ROWID");
  std::string sql = "INSERT OR IGNORE INTO cavity_names VALUES (?,?,?,?)";
  sqlite3_stmt* insert = nullptr;
  if (sqlite3_prepare_v2(db_, sql.c_str(), -1, &insert, nullptr) != SQLITE_OK)
    throw std::runtime_error(sqlite3_errmsg(db_));
  for (size_t i = 0; i < family.points.size(); ++i) {
    const Point& point = family.points[i];
    if (point.kind != PointKind::cavity) continue;
    int column = 0;
    for (Str text : {family.parts[point.part].id, family.connectors[point.connector].designator, point.name})
      sqlite3_bind_text(insert, ++column, family.strings[text].data(), static_cast<int>(family.strings[text].size()),
                        SQLITE_STATIC);
    sqlite3_bind_int64(insert, 4, static_cast<int64_t>(i));
    if (sqlite3_step(insert) != SQLITE_DONE) throw std::runtime_error(sqlite3_errmsg(db_));
    sqlite3_reset(insert);
  }
  sqlite3_finalize(insert);
}

uint64_t SqliteTwin::bytes() const {
  uint64_t product = 1;
  for (const char* sql : {"PRAGMA page_count", "PRAGMA page_size"}) {
    sqlite3_stmt* statement = nullptr;
    sqlite3_prepare_v2(db_, sql, -1, &statement, nullptr);
    sqlite3_step(statement);
    product *= static_cast<uint64_t>(sqlite3_column_int64(statement, 0));
    sqlite3_finalize(statement);
  }
  return product;
}

Index SqliteTwin::find_point(std::string_view part, std::string_view designator, std::string_view cavity) {
  int column = 0;
  for (std::string_view text : {part, designator, cavity})
    sqlite3_bind_text(find_, ++column, text.data(), static_cast<int>(text.size()), SQLITE_STATIC);
  Index found = sqlite3_step(find_) == SQLITE_ROW ? static_cast<Index>(sqlite3_column_int64(find_, 0)) : none;
  sqlite3_reset(find_);
  return found;
}

}  // namespace loomproof::bench
