#include "yaml/builder.h"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/mark.h>
#include <yaml-cpp/parser.h>

#include <algorithm>
#include <istream>
#include <streambuf>

#include "yaml/duplicates.h"
#include "yaml/error_words.h"
#include "yaml/rescan.h"

namespace loomproof::yaml {
namespace {

constexpr uint32_t deepest = 400;  // yaml-cpp recurses once a level and gives up at 500
constexpr std::string_view null_words[] = {"~", "null", "Null", "NULL"};  // what yaml-cpp reads as no value

// Reading cannot go on, and the report says why. Thrown out of yaml-cpp's event calls.
struct Refused {};

class ByteBuffer : public std::streambuf {
 public:
  explicit ByteBuffer(std::string_view bytes) {
    char* const begin = const_cast<char*>(bytes.data());  // only ever read
    setg(begin, begin, begin + bytes.size());
  }
};

// An open collection.
struct Frame {
  uint32_t cell = 0;
  uint32_t last = no_node;  // its last entry so far
  bool is_map = false;
  bool flow = false;
  bool wants_key = false;
  bool drop_value = false;  // the key was refused, its value is passed over
  size_t findings = 0;      // so many were reported before it opened
};

struct PendingKey {
  uint32_t begin = 0, end = 0;
  uint16_t flags = 0;
  uint32_t text = 0;  // index of the stored text, if key_stored
};

class Builder : public YAML::EventHandler {
 public:
  Builder(const SourceFile& file, FileId id, Report& report, const Limits& limits)
      : storage_(std::make_unique<Storage>()), bytes_(file.bytes()), report_(report), limits_(limits) {
    storage_->bytes = bytes_;
    storage_->file = id;
    bom_ = bytes_.starts_with("\xEF\xBB\xBF") ? 3 : 0;
    limits_.depth = std::min(limits_.depth, deepest);
  }

  std::unique_ptr<Storage> take() {
    storage_->cells.shrink_to_fit();
    return std::move(storage_);
  }
  // A second document leaves the first one good.
  bool first_document_stands() const { return first_document_stands_; }
  bool seen_value() const { return !storage_->cells.empty() && !only_empty_; }
  void report_error(const YAML::Exception& error);

  void OnDocumentStart(const YAML::Mark& mark) override;
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override;
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t anchor) override;
  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                const std::string& value) override;
  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                       YAML::EmitterStyle::value style) override;
  void OnSequenceEnd() override { close(); }
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  YAML::EmitterStyle::value style) override;
  void OnMapEnd() override { close(); }

 private:
  Span span(uint32_t begin, uint32_t end) const { return {storage_->file, begin, end}; }
  Span character_at(uint32_t offset) const;
  uint32_t offset_of(const YAML::Mark& mark) const;
  uint32_t after_properties(uint32_t offset);
  void refuse_anchor(uint32_t begin, uint32_t end, std::string_view what);

  bool passed_over();
  bool wants_key() const { return !frames_.empty() && frames_.back().is_map && frames_.back().wants_key; }
  void open(uint32_t begin, Kind kind);
  void close();
  void refuse_collection_key(uint32_t begin, Kind kind);
  void set_key(uint32_t begin, uint32_t end, bool quoted, const std::string* stored);
  uint32_t append(uint32_t begin, uint32_t end, Kind kind);
  void append_null(uint32_t begin, uint32_t end);
  uint32_t empty_place() const;
  uint32_t null_word_length(uint32_t offset) const;
  void check_size(uint32_t begin, size_t bytes);
  void check_depth(uint32_t begin);

  uint32_t end_of_collection(const Frame& frame) const;
  void second_document(uint32_t offset);
  void withdraw_keys();
  bool report_recursion(const YAML::Exception& error);
  uint32_t likely_cause(const Frame& frame, uint32_t error) const;

  std::unique_ptr<Storage> storage_;
  std::string_view bytes_;
  Report& report_;
  Limits limits_;
  uint32_t bom_ = 0;
  bool in_document_ = false;
  bool first_document_stands_ = false;
  bool only_empty_ = false;  // the document is an empty value
  std::vector<Frame> frames_;
  PendingKey key_;
  uint32_t skipping_ = 0;  // open collections inside something that is passed over
};

// A mark may lie one past the end, and its offsets do not count the byte order mark.
uint32_t Builder::offset_of(const YAML::Mark& mark) const {
  const auto offset = static_cast<uint32_t>(std::max(mark.pos, 0)) + bom_;
  return std::min(offset, static_cast<uint32_t>(bytes_.size()));
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

void Builder::second_document(uint32_t offset) {
  if (bytes_.substr(offset).starts_with("---")) {
    report_.add<Rule::several_documents>(span(offset, offset + 3))
        .help("a file holds one document: put the rest in a file of its own");
    first_document_stands_ = true;
    return;
  }
  const uint32_t begin = storage_->cells.empty() ? 0 : storage_->cells[0].begin;
  report_.add<Rule::not_yaml>(character_at(offset), "what stood before has ended, and this does not go on from it")
      .label(character_at(begin), "what stands before begins here")
      .help("check the indentation, and that a list's lines all begin with `- ` and a map's with a key");
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
  report_.judged(Rule::anchor_or_alias);
  report_.judged(Rule::yaml_tag);
  if (skipping_ > 0 || passed_over()) {
    ++skipping_;
    return;
  }
  uint32_t begin = offset_of(mark);
  if (anchor != 0 || tag != "?") begin = after_properties(begin);
  if (wants_key()) return refuse_collection_key(begin, Kind::sequence);
  open(begin, Kind::sequence);
}

void Builder::OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                         YAML::EmitterStyle::value) {
  report_.judged(Rule::anchor_or_alias);
  report_.judged(Rule::yaml_tag);
  if (skipping_ > 0 || passed_over()) {
    ++skipping_;
    return;
  }
  uint32_t begin = offset_of(mark);
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

void Builder::close() {
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

// In brackets that are never closed what follows seems to be a key.
void Builder::withdraw_keys() {
  const auto open = std::find_if(frames_.begin(), frames_.end(), [](const Frame& frame) { return frame.flow; });
  if (open == frames_.end()) return;
  auto& findings = report_.findings();
  const auto since = findings.begin() + static_cast<std::ptrdiff_t>(open->findings);
  findings.erase(
      std::remove_if(since, findings.end(), [](const Finding& finding) { return finding.rule == Rule::key_not_text; }),
      findings.end());
}

// The YAML reader below gives up at a depth of its own when brackets are opened and never closed: it takes them for
// keys, which the depth checked here passes over.
bool Builder::report_recursion(const YAML::Exception& error) {
  if (error.msg != YAML::ErrorMsg::BAD_FILE) return false;
  const auto open = std::find_if(frames_.begin(), frames_.end(), [](const Frame& frame) { return frame.flow; });
  if (open == frames_.end()) return false;
  uint32_t depth = static_cast<uint32_t>(open - frames_.begin());
  const uint32_t begin = storage_->cells[open->cell].begin;
  for (uint32_t offset = begin; offset < bytes_.size(); offset = skip_blank(bytes_, offset + 1)) {
    if ((bytes_[offset] == ']' || bytes_[offset] == '}') && depth > 0) --depth;
    if (bytes_[offset] != '[' && bytes_[offset] != '{') continue;
    if (depth++ < limits_.depth) continue;
    report_.add<Rule::too_deep>(character_at(offset), limits_.depth)
        .label(character_at(begin), "the outermost bracket opens here");
    return true;
  }
  return false;
}

// What was opened before an error and not closed, behind what was read without fault; not_found where nothing was.
uint32_t Builder::likely_cause(const Frame& frame, uint32_t error) const {
  const Cell& first = storage_->cells[frame.cell];
  if (frame.last == no_node) return still_open(bytes_, first.begin + (frame.flow ? 1 : 0), error);
  const Cell& last = storage_->cells[frame.last];
  // The quote that ends a value lines below may be meant to begin another.
  const bool is_scalar = last.kind == Kind::scalar;
  return still_open(bytes_, is_scalar ? last.begin : last.end, error);
}

void Builder::report_error(const YAML::Exception& error) {
  withdraw_keys();
  if (report_recursion(error)) return;
  const uint32_t offset = offset_of(error.mark);
  // An unknown escape is noticed behind its letter.
  const bool escape = error.msg.starts_with(YAML::ErrorMsg::INVALID_ESCAPE) && offset >= 2;
  auto finding = report_.add<Rule::not_yaml>(escape ? span(offset - 2, offset) : character_at(offset),
                                             error_words(error.msg, bytes_, offset));
  if (frames_.empty()) return;
  const Frame& frame = frames_.back();
  if (const uint32_t open = likely_cause(frame, offset); open != not_found) {
    const bool bracket = bytes_[open] == '[' || bytes_[open] == '{';
    finding.label(character_at(open),
                  bracket ? "this bracket is still open" : "this quote runs on into the lines below");
    return;
  }
  const std::string_view words = frame.flow     ? "opened here"
                                 : frame.is_map ? "the map it stands in begins here"
                                                : "the list it stands in begins here";
  finding.label(character_at(storage_->cells[frame.cell].begin), std::string(words));
}

}  // namespace

std::unique_ptr<Storage> build(const SourceFile& file, FileId id, Report& report, const Limits& limits) {
  if (!check_bytes(file, id, report, limits)) return nullptr;
  report.judged(Rule::empty_file);
  report.judged(Rule::not_yaml);
  report.judged(Rule::several_documents);
  Builder builder(file, id, report, limits);
  ByteBuffer buffer(file.bytes());
  std::istream stream(&buffer);
  try {
    YAML::Parser parser(stream);
    while (parser.HandleNextDocument(builder)) {
    }
  } catch (const Refused&) {
    if (!builder.first_document_stands()) return nullptr;
  } catch (const YAML::Exception& error) {
    builder.report_error(error);
    return nullptr;
  }
  if (!builder.seen_value()) {
    report.add<Rule::empty_file>({id, 0, 0});
    return nullptr;
  }
  return builder.take();
}

}  // namespace loomproof::yaml
