#include "yaml/builder.h"

#include <fmt/format.h>

#include <algorithm>

#include "yaml/duplicates.h"
#include "yaml/rescan.h"

namespace loomproof::yaml {
namespace {

constexpr std::string_view null_words[] = {"~", "null", "Null", "NULL"};  // what yaml-cpp reads as no value

}  // namespace

// A mark may lie one past the end, and its offsets do not count the byte order mark.
uint32_t Builder::offset_of(const YAML::Mark& mark) {
  const auto offset = static_cast<uint32_t>(std::max(mark.pos, 0)) + bom_;
  return std::min(offset_of_short(offset), static_cast<uint32_t>(bytes_.size()));
}

// From the shorter text, which yaml-cpp reads, to the file. Marks come nearly in the order of the text.
uint32_t Builder::offset_of_short(uint32_t offset) {
  while (run_of_mark_ < runs_.size() && runs_[run_of_mark_].short_open < offset) ++run_of_mark_;
  while (run_of_mark_ > 0 && runs_[run_of_mark_ - 1].short_open >= offset) --run_of_mark_;
  if (run_of_mark_ > 0) {
    const RowRun& before = runs_[run_of_mark_ - 1];
    return before.resume + (offset - before.short_open - 2);  // nothing but its closing bracket stands in between
  }
  return offset;
}

Span Builder::character_at(uint32_t offset) const {
  uint32_t end = std::min(offset + 1, static_cast<uint32_t>(bytes_.size()));
  while (end < bytes_.size() && (static_cast<unsigned char>(bytes_[end]) & 0xC0) == 0x80) ++end;
  return span(offset, end);
}

void Builder::refuse_anchor(uint32_t begin, uint32_t end, std::string_view what) {
  report_.add<Rule::anchor_or_alias>(span(begin, end), what, bytes_.substr(begin, end - begin))
      .help("a corpus file is plain data: write the value out where it holds");
}

// Anchors and tags stand before the value and are part of its mark.
uint32_t Builder::after_properties(uint32_t offset) {
  while (offset < bytes_.size() && (bytes_[offset] == '&' || bytes_[offset] == '!')) {
    const uint32_t end = end_of_property(bytes_, offset);
    if (bytes_[offset] == '&') {
      refuse_anchor(offset, end, "anchor");
    } else {
      report_.add<Rule::yaml_tag>(span(offset, end), bytes_.substr(offset, end - offset))
          .help("a value's kind comes from the schema; put text in quotes if it has to stay text");
    }
    offset = skip_blank(bytes_, end);
  }
  return offset;
}

void Builder::OnDocumentStart(const YAML::Mark& mark) {
  if (in_document_) {
    second_document(offset_of(mark));
    throw Refused{};
  }
  in_document_ = true;
}

// True while inside a key that is no text, or the value of a refused key.
bool Builder::passed_over() {
  if (skipping_ > 0) return true;
  if (!frames_.empty() && frames_.back().drop_value && !frames_.back().wants_key) {
    frames_.back().drop_value = false;
    frames_.back().wants_key = true;
    return true;
  }
  return false;
}

void Builder::check_size(uint32_t begin, size_t bytes) {
  if (bytes <= limits_.scalar_bytes) return;
  report_.add<Rule::too_large>(character_at(begin), fmt::format("a text of {} bytes", bytes),
                               fmt::format("{} bytes", limits_.scalar_bytes));
}

uint32_t Builder::append(uint32_t begin, uint32_t end, Kind kind) {
  auto& cells = storage_->cells;
  const auto index = static_cast<uint32_t>(cells.size());
  if (index >= limits_.nodes) {
    report_.add<Rule::too_large>(character_at(begin), "the number of values in this file", limits_.nodes);
    throw Refused{};
  }
  Cell& cell = cells.emplace_back();
  cell.begin = begin, cell.end = end, cell.kind = kind;
  if (frames_.empty()) return index;

  Frame& parent = frames_.back();
  if (parent.is_map) {
    cell.key_begin = key_.begin, cell.key_end = key_.end,
    cell.flags = static_cast<uint16_t>(key_.flags | Cell::has_key);
    if (cell.has(Cell::key_stored)) storage_->key_texts.emplace_back(index, key_.text);
    parent.wants_key = true;
  }
  if (parent.last == no_node) {
    cells[parent.cell].first = index;
  } else {
    cells[parent.last].next = index;
  }
  parent.last = index;
  ++cells[parent.cell].count;
  return index;
}

void Builder::set_key(uint32_t begin, uint32_t end, bool quoted, const std::string* stored) {
  key_ = {begin, end, static_cast<uint16_t>(quoted ? Cell::key_quoted : 0), 0};
  if (stored != nullptr) {
    key_.flags |= Cell::key_stored;
    key_.text = static_cast<uint32_t>(storage_->texts.size());
    storage_->texts.push_back(*stored);
  }
  frames_.back().wants_key = false;
  report_.judged(Rule::key_not_text);
  report_.judged(Rule::merge_key);
  if (!quoted && bytes_.substr(begin, end - begin) == "<<") {
    report_.add<Rule::merge_key>(span(begin, end))
        .help("a corpus file is plain data: write the entries out where they hold");
    frames_.back().drop_value = true;
    storage_->cells[frames_.back().cell].flags |= Cell::refused;
  }
}

void Builder::OnScalar(const YAML::Mark& mark, const std::string&, YAML::anchor_t, const std::string& value) {
  report_.judged(Rule::anchor_or_alias);
  report_.judged(Rule::yaml_tag);
  if (passed_over()) return;
  const uint32_t begin = after_properties(offset_of(mark));
  const char first = begin < bytes_.size() ? bytes_[begin] : ' ';
  const bool in_quotes = first == '"' || first == '\'';
  const bool block = (first == '|' || first == '>') && (frames_.empty() || !frames_.back().flow);
  check_size(begin, value.size());

  uint32_t end = begin;
  bool as_written = false;
  if (in_quotes) {
    end = end_of_quoted(bytes_, begin);
    if (end == not_found) {
      report_.add<Rule::not_yaml>(span(begin, begin + 1), "a quote is opened here and never closed");
      throw Refused{};
    }
    as_written = bytes_.substr(begin + 1, end - begin - 2) == value;
  } else if (block) {
    const int column = frames_.empty() ? -1 : column_of(bytes_, storage_->cells[frames_.back().cell].begin);
    end = end_of_block(bytes_, begin, column);
  } else {
    as_written = bytes_.substr(begin, value.size()) == value;
    end = as_written ? begin + static_cast<uint32_t>(value.size()) : end_of_plain(bytes_, begin, value);
  }

  if (wants_key()) {
    set_key(begin, end, in_quotes || block, as_written ? nullptr : &value);
    return;
  }
  Cell& cell = storage_->cells[append(begin, end, Kind::scalar)];
  if (in_quotes || block) cell.flags |= Cell::value_quoted;
  if (!as_written) {
    cell.flags |= Cell::value_stored;
    cell.first = static_cast<uint32_t>(storage_->texts.size());
    storage_->texts.push_back(value);
  }
}

// The length of `~` or `null` at `offset`, 0 if something else stands there.
uint32_t Builder::null_word_length(uint32_t offset) const {
  for (const std::string_view word : null_words) {
    if (!bytes_.substr(offset).starts_with(word)) continue;
    const std::string_view after = bytes_.substr(offset + word.size(), 1);
    if (after.empty() || std::string_view(" \t\r\n,]}:").find(after[0]) != std::string_view::npos) {
      return static_cast<uint32_t>(word.size());
    }
  }
  return 0;
}

// An empty value is a point: after the key and its colon, or after the dash.
uint32_t Builder::empty_place() const {
  if (frames_.empty()) return bom_;
  const Frame& frame = frames_.back();
  if (frame.is_map) {
    const uint32_t after = skip_blank(bytes_, key_.end);
    return after < bytes_.size() && bytes_[after] == ':' ? after + 1 : key_.end;
  }
  const Cell& list = storage_->cells[frame.cell];
  const uint32_t before = frame.last == no_node ? list.begin : storage_->cells[frame.last].end;
  const uint32_t mark = skip_blank(bytes_, before);
  const bool has_mark = mark < bytes_.size() && (bytes_[mark] == '-' || bytes_[mark] == ',' || bytes_[mark] == '[');
  return has_mark ? mark + 1 : before;
}

void Builder::append_null(uint32_t begin, uint32_t end) {
  append(begin, end, Kind::null);
}

void Builder::OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) {
  report_.judged(Rule::anchor_or_alias);
  if (passed_over()) return;
  uint32_t begin = offset_of(mark);
  // For a value that is not there the mark is the next token's: it is the value's own only if a word for "no value" or
  // an anchor stands there, and that word is not the next key.
  if (anchor != 0) begin = after_properties(begin);
  const uint32_t word = null_word_length(begin);
  if (wants_key()) {
    if (word > 0) {
      set_key(begin, begin + word, false, nullptr);  // `null:` is a key like others
    } else {
      report_.judged(Rule::key_not_text);
      report_.add<Rule::key_not_text>(character_at(begin), "nothing");
      frames_.back().wants_key = false;
      frames_.back().drop_value = true;
      storage_->cells[frames_.back().cell].flags |= Cell::refused;
    }
    return;
  }
  const uint32_t after = skip_blank(bytes_, begin + word);
  const bool next_key = after < bytes_.size() && bytes_[after] == ':';
  if (frames_.empty()) only_empty_ = word == 0;
  if (word > 0 && !next_key) {
    append_null(begin, begin + word);
  } else {
    const uint32_t place = empty_place();
    append_null(place, place);
  }
}

void Builder::OnAlias(const YAML::Mark& mark, YAML::anchor_t) {
  report_.judged(Rule::anchor_or_alias);
  if (passed_over()) return;
  const uint32_t begin = offset_of(mark);
  const uint32_t end = end_of_property(bytes_, begin);
  refuse_anchor(begin, end, "alias");
  if (wants_key()) {
    frames_.back().wants_key = false;
    frames_.back().drop_value = true;
    storage_->cells[frames_.back().cell].flags |= Cell::refused;
    return;
  }
  const uint32_t index = append(begin, end, Kind::null);
  storage_->cells[index].flags |= Cell::refused;
}

void Builder::check_depth(uint32_t begin) {
  report_.judged(Rule::too_deep);
  if (frames_.size() < limits_.depth) return;
  const uint32_t outermost = storage_->cells[frames_.front().cell].begin;
  const uint32_t innermost = storage_->cells[frames_.back().cell].begin;
  report_.add<Rule::too_deep>(character_at(begin), limits_.depth)
      .label(character_at(outermost), "the outermost begins here")
      .label(character_at(innermost), "the last one within the limit begins here");
  throw Refused{};
}

void Builder::refuse_collection_key(uint32_t begin, Kind kind) {
  report_.judged(Rule::key_not_text);
  report_.add<Rule::key_not_text>(character_at(begin), kind == Kind::map ? "a map" : "a list");
  storage_->cells[frames_.back().cell].flags |= Cell::refused;
  frames_.back().wants_key = false;
  frames_.back().drop_value = true;
  skipping_ = 1;
}

void Builder::open(uint32_t begin, Kind kind) {
  check_depth(begin);
  const uint32_t index = append(begin, begin, kind);
  Frame frame;
  frame.cell = index;
  frame.is_map = frame.wants_key = kind == Kind::map;
  frame.findings = report_.findings().size();
  frame.flow = begin < bytes_.size() && bytes_[begin] == (frame.is_map ? '{' : '[');
  frames_.push_back(frame);
}

void Builder::OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                              YAML::EmitterStyle::value) {
  uint32_t begin = offset_of(mark);
  if (at_run(begin)) return read_run();
  report_.judged(Rule::anchor_or_alias);
  report_.judged(Rule::yaml_tag);
  if (skipping_ > 0 || passed_over()) {
    ++skipping_;
    return;
  }
  if (anchor != 0 || tag != "?") begin = after_properties(begin);
  if (wants_key()) return refuse_collection_key(begin, Kind::sequence);
  open(begin, Kind::sequence);
}

void Builder::OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                         YAML::EmitterStyle::value) {
  uint32_t begin = offset_of(mark);
  if (at_run(begin)) return read_run();
  report_.judged(Rule::anchor_or_alias);
  report_.judged(Rule::yaml_tag);
  if (skipping_ > 0 || passed_over()) {
    ++skipping_;
    return;
  }
  // A block map's mark is its first key's, whose own anchor or tag is met with that key.
  if (anchor != 0 || tag != "?") begin = after_properties(begin);
  if (wants_key()) return refuse_collection_key(begin, Kind::map);
  open(begin, Kind::map);
}

uint32_t Builder::end_of_collection(const Frame& frame) const {
  const Cell& cell = storage_->cells[frame.cell];
  const uint32_t last = frame.last == no_node ? cell.begin + (frame.flow ? 1 : 0) : storage_->cells[frame.last].end;
  return frame.flow ? end_of_flow(bytes_, last) : last;
}

// Whether the collection that begins here stands for a run of rows.
bool Builder::at_run(uint32_t begin) const {
  if (next_run_ == runs_.size() || begin < runs_[next_run_].open) return false;
  if (begin > runs_[next_run_].open) throw NotRows{};  // the run was no value: it may stand in a block of text
  return true;
}

// yaml-cpp has come to a value where the run begins. If that is an entry of a collection without brackets, so is the
// first row; and as each further row begins a line at the same indentation in the same way, it is the next entry.
void Builder::read_run() {
  const RowRun& run = runs_[next_run_++];
  if (frames_.empty() || skipping_ > 0) throw NotRows{};
  const Frame& parent = frames_.back();
  // In brackets further rows are not entries of the same collection: `[a: {b: c}` is a map of one entry.
  const bool in_brackets = std::any_of(frames_.begin(), frames_.end(), [](const Frame& frame) { return frame.flow; });
  if (in_brackets || parent.is_map != run.keyed || parent.wants_key || parent.drop_value) throw NotRows{};
  uint32_t end = read_row(run.open);
  while (end != run.resume) {
    const RowPlace row = next_row(bytes_, end);
    if (run.keyed) {
      key_ = {row.key_begin, row.key_end, 0, 0};
      ++row_counts_.keys;
    }
    end = read_row(row.open);
  }
  in_run_ = true;
}

uint32_t Builder::read_row(uint32_t open) {
  append(open, open, bytes_[open] == '{' ? Kind::map : Kind::sequence);
  const uint32_t end = append_row(*storage_, report_, row_counts_);
  if (storage_->cells.size() > limits_.nodes || frames_.size() + row_counts_.deepest > limits_.depth) throw NotRows{};
  return end;
}

// As the events of yaml-cpp would have been counted.
void Builder::count_rows() {
  const RowCounts& rows = row_counts_;
  report_.judged(Rule::key_not_text, rows.keys);
  report_.judged(Rule::merge_key, rows.keys);
  report_.judged(Rule::anchor_or_alias, rows.keys + rows.scalars + rows.collections);
  report_.judged(Rule::yaml_tag, rows.keys + rows.scalars + rows.collections);
  report_.judged(Rule::too_deep, rows.collections);
}

void Builder::close() {
  if (in_run_) {
    in_run_ = false;
    return;
  }
  if (skipping_ > 0) {
    --skipping_;
    return;
  }
  const Frame frame = frames_.back();
  frames_.pop_back();
  Cell& cell = storage_->cells[frame.cell];
  cell.end = end_of_collection(frame);
  if (frame.is_map) drop_duplicates(*storage_, frame.cell, report_);
}

}  // namespace loomproof::yaml
