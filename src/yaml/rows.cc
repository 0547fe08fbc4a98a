#include "yaml/rows.h"

#include <array>

#include "yaml/duplicates.h"
#include "yaml/rescan.h"

namespace loomproof::yaml {
namespace {

constexpr uint32_t deepest_row = 12;   // brackets within each other; deeper ones are left to yaml-cpp
constexpr uint32_t longest_key = 500;  // yaml-cpp takes no key of more than 1024 characters without `?`

// What a character may do in a row. Narrower than YAML: what has a meaning of its own anywhere in YAML is left out
// where it would have none.
enum Class : uint8_t {
  begins = 1,      // plain text in brackets
  goes_on = 2,     // the same behind its first character; a space and a colon by rules of their own
  in_key = 4,      // the key of a keyed row, behind its first character
  visible = 8,     // comments: printable ASCII
  in_double = 16,  // in double quotes: the same without escapes
  in_single = 32,  // in single quotes
  letter = 64,     // or digit
};

constexpr std::array<uint8_t, 256> make_classes() {
  std::array<uint8_t, 256> classes{};
  const auto set = [&](std::string_view characters, int bits) {
    for (const char c : characters) classes[static_cast<unsigned char>(c)] |= static_cast<uint8_t>(bits);
  };
  for (unsigned c = 0x20; c < 0x7F; ++c) classes[c] = visible | in_double | in_single;
  classes['"'] ^= in_double, classes['\\'] ^= in_double | in_single, classes['\''] ^= in_single;
  set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789", letter | begins | goes_on | in_key);
  set("./_+-", begins | goes_on | in_key);
  set("(", begins | goes_on);
  set(")=<~$;^", goes_on);
  return classes;
}
constexpr std::array<uint8_t, 256> classes = make_classes();

bool is(char c, Class wanted) {
  return (classes[static_cast<unsigned char>(c)] & wanted) != 0;
}
bool is_no_value(std::string_view word) {
  return word == "null" || word == "Null" || word == "NULL";
}
uint32_t skip_class(std::string_view bytes, uint32_t at, Class wanted) {
  while (at < bytes.size() && is(bytes[at], wanted)) ++at;
  return at;
}
uint32_t skip_spaces(std::string_view bytes, uint32_t at) {
  while (at < bytes.size() && bytes[at] == ' ') ++at;
  return at;
}

struct RowText {
  uint32_t begin = 0, end = 0;
  bool quoted = false;
};

// The one grammar of rows. It is gone through twice, to find them and to read them: `Sink` is told of each open, close,
// key and scalar.
template <typename Sink>
class RowGrammar {
 public:
  RowGrammar(std::string_view bytes, uint32_t at, Sink& sink) : bytes_(bytes), at_(at), sink_(sink) {}
  // Past the closing bracket of the collection that begins here; not_found where it is no row.
  uint32_t read() { return collection(0) ? at_ : not_found; }

 private:
  char here() const { return at_ < bytes_.size() ? bytes_[at_] : '\n'; }
  char after() const { return at_ + 1 < bytes_.size() ? bytes_[at_ + 1] : '\n'; }

  bool collection(uint32_t depth) {
    if (depth == deepest_row) return false;
    const bool is_map = here() == '{';
    const char closer = is_map ? '}' : ']';
    sink_.open(at_, is_map ? Kind::map : Kind::sequence, depth);
    at_ = skip_spaces(bytes_, at_ + 1);
    if (here() != closer) {
      do {
        if (!entry(is_map, depth)) return false;
      } while (comma());
      if (here() != closer) return false;
    }
    ++at_;
    sink_.close(at_, depth);
    return true;
  }

  bool comma() {
    if (here() != ',' || after() != ' ') return false;
    at_ = skip_spaces(bytes_, at_ + 1);
    return true;
  }

  bool entry(bool is_map, uint32_t depth) {
    RowText text;
    if (is_map) {
      if (!read_text(text) || here() != ':' || after() != ' ') return false;
      if (text.end - text.begin > longest_key) return false;
      sink_.key(text);
      at_ = skip_spaces(bytes_, at_ + 1);
    }
    if (here() == '{' || here() == '[') {
      if (!collection(depth + 1)) return false;
    } else {
      if (!read_text(text)) return false;
      sink_.scalar(text, depth);
    }
    at_ = skip_spaces(bytes_, at_);
    return true;
  }

  bool read_text(RowText& text) {
    const char first = here();
    if (first == '"' || first == '\'') return read_quoted(text, first);
    return read_plain(text) && !is_no_value(bytes_.substr(text.begin, text.end - text.begin)) && sink_.fits(text);
  }

  // Past the characters that may do this.
  void skip(Class wanted) { at_ = skip_class(bytes_, at_, wanted); }

  bool read_quoted(RowText& text, char quote) {
    const uint32_t begin = at_++;
    skip(quote == '"' ? in_double : in_single);
    if (here() != quote) return false;
    text = {begin, ++at_, true};
    return here() != quote && sink_.fits(text);
  }

  // Spaces at its end do not belong to a plain text.
  bool read_plain(RowText& text) {
    if (!is(here(), begins) || (here() == '-' && !is(after(), letter))) return false;
    text = {at_, 0, false};
    for (;;) {
      skip(goes_on);
      text.end = at_;
      if (here() == ':') {
        if (after() == ' ') return true;
        if (!is(after(), goes_on) && after() != ':') return false;
        ++at_;
        continue;
      }
      at_ = skip_spaces(bytes_, at_);
      if (is(here(), goes_on)) continue;
      return here() == ',' || here() == ']' || here() == '}';
    }
  }

  std::string_view bytes_;
  uint32_t at_;
  Sink& sink_;
};

// For finding: nothing is kept.
struct OnlyCheck {
  uint32_t scalar_bytes;
  bool fits(const RowText& text) const { return text.end - text.begin <= scalar_bytes; }
  void open(uint32_t, Kind, uint32_t) {}
  void close(uint32_t, uint32_t) {}
  void key(const RowText&) {}
  void scalar(const RowText&, uint32_t) {}
};

// For reading: one cell a value. The outermost collection has its cell already.
class AppendCells {
 public:
  AppendCells(Storage& storage, Report& report, RowCounts& counts)
      : storage_(storage), report_(report), counts_(counts) {}
  bool fits(const RowText&) const { return true; }  // known since it was found
  void key(const RowText& text) {
    key_ = text;
    ++counts_.keys;
  }
  void scalar(const RowText& text, uint32_t depth) {
    ++counts_.scalars;
    const uint32_t index = append(text.begin, text.end, Kind::scalar, depth);
    if (text.quoted) storage_.cells[index].flags |= Cell::value_quoted;
  }
  void open(uint32_t begin, Kind kind, uint32_t depth) {
    ++counts_.collections;
    if (depth >= counts_.deepest) counts_.deepest = depth + 1;
    const auto last = static_cast<uint32_t>(storage_.cells.size() - 1);
    open_[depth] = {depth == 0 ? last : append(begin, begin, kind, depth - 1), no_node};
  }
  void close(uint32_t end, uint32_t depth) {
    const uint32_t index = open_[depth].cell;
    storage_.cells[index].end = end;
    if (storage_.cells[index].kind == Kind::map) drop_duplicates(storage_, index, report_);
  }

 private:
  struct Open {
    uint32_t cell = 0;
    uint32_t last = no_node;  // its last entry so far
  };

  uint32_t append(uint32_t begin, uint32_t end, Kind kind, uint32_t parent_depth) {
    auto& cells = storage_.cells;
    const auto index = static_cast<uint32_t>(cells.size());
    Open& parent = open_[parent_depth];
    (parent.last == no_node ? cells[parent.cell].first : cells[parent.last].next) = index;
    parent.last = index;
    ++cells[parent.cell].count;
    const bool has_key = cells[parent.cell].kind == Kind::map;
    Cell& cell = cells.emplace_back();
    cell.begin = begin, cell.end = end, cell.kind = kind;
    if (has_key) {
      cell.key_begin = key_.begin, cell.key_end = key_.end;
      cell.flags = static_cast<uint16_t>(Cell::has_key | (key_.quoted ? Cell::key_quoted : 0));
    }
    return index;
  }

  Storage& storage_;
  Report& report_;
  RowCounts& counts_;
  RowText key_;
  Open open_[deepest_row];
};

// What stands on a line before a row's bracket.
struct RowHead {
  uint32_t open = 0;  // 0: no row begins on this line
  bool keyed = false;
};

// Past the key of a keyed row; `at` itself where there is none.
uint32_t end_of_row_key(std::string_view bytes, uint32_t at) {
  if (at >= bytes.size() || !is(bytes[at], letter)) return at;
  return skip_class(bytes, at, in_key);
}

RowHead row_head(std::string_view bytes, uint32_t text) {
  if (text >= bytes.size()) return {};
  RowHead head;
  uint32_t mark = text;  // the dash or the colon
  if (bytes[text] != '-') {
    mark = end_of_row_key(bytes, text);
    head.keyed = true;
    if (mark == text || mark - text > longest_key || mark >= bytes.size() || bytes[mark] != ':') return {};
    if (is_no_value(bytes.substr(text, mark - text))) return {};
  }
  const uint32_t open = skip_spaces(bytes, mark + 1);
  if (open == mark + 1 || open >= bytes.size() || (bytes[open] != '{' && bytes[open] != '[')) return {};
  head.open = open;
  return head;
}

// Whether nothing but spaces and a comment follow on the line; the comment of characters that surely end no line.
bool ends_line(std::string_view bytes, uint32_t at) {
  const uint32_t text = skip_spaces(bytes, at);
  at = text;
  if (at < bytes.size() && bytes[at] == '#') {
    const bool stands_alone = at == 0 || bytes[at - 1] == ' ' || bytes[at - 1] == '\n';
    if (!stands_alone) return false;
    at = skip_class(bytes, at, visible);
  }
  if (at < bytes.size() && bytes[at] == '\r') ++at;
  return at >= bytes.size() ? bytes.empty() || bytes.back() != '\r' : bytes[at] == '\n';
}

uint32_t next_line(std::string_view bytes, uint32_t at) {
  const size_t end = bytes.find('\n', at);
  return static_cast<uint32_t>(end == std::string_view::npos ? bytes.size() : end + 1);
}

}  // namespace

std::vector<RowRun> find_rows(std::string_view bytes, uint32_t scalar_bytes) {
  std::vector<RowRun> runs;
  OnlyCheck check{scalar_bytes};
  uint32_t column = 0;       // of the rows of the last run
  bool may_go_on = false;    // nothing has stood since the last run that ends it
  uint32_t short_shift = 0;  // bytes that the shorter text lacks so far
  for (uint32_t line = 0; line < bytes.size();) {
    const uint32_t text = skip_spaces(bytes, line);
    const RowHead head = row_head(bytes, text);
    const uint32_t end = head.open == 0 ? not_found : RowGrammar(bytes, head.open, check).read();
    if (end == not_found || !ends_line(bytes, end)) {
      may_go_on = may_go_on && ends_line(bytes, line);
      line = next_line(bytes, text);
      continue;
    }
    if (may_go_on && column == text - line && runs.back().keyed == head.keyed) {
      short_shift += end - runs.back().resume;
      runs.back().resume = end;
    } else {
      runs.push_back({head.open, end, head.open - short_shift, head.keyed});
      short_shift += end - head.open - 2;
    }
    column = text - line, may_go_on = true;
    line = next_line(bytes, end);
  }
  return runs;
}

std::string without_rows(std::string_view bytes, const std::vector<RowRun>& runs) {
  std::string out;
  if (!runs.empty()) out.reserve(runs.back().short_open + 2 + bytes.size() - runs.back().resume);
  uint32_t from = 0;
  for (const RowRun& run : runs) {
    out += bytes.substr(from, run.open - from);
    out += bytes[run.open] == '{' ? "{}" : "[]";
    from = run.resume;
  }
  out += bytes.substr(from);
  return out;
}

RowPlace next_row(std::string_view bytes, uint32_t end) {
  for (uint32_t line = next_line(bytes, end);; line = next_line(bytes, line)) {
    const uint32_t text = skip_spaces(bytes, line);
    const RowHead head = row_head(bytes, text);
    if (head.open == 0) continue;  // blank, or a comment
    return {text, head.keyed ? end_of_row_key(bytes, text) : text, head.open};
  }
}

uint32_t append_row(Storage& storage, Report& report, RowCounts& counts) {
  AppendCells cells(storage, report, counts);
  return RowGrammar(storage.bytes, storage.cells.back().begin, cells).read();
}

}  // namespace loomproof::yaml
