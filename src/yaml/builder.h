// The handler of yaml-cpp's events that builds a tree. Private to src/yaml.
#pragma once
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/mark.h>

#include <algorithm>

#include "yaml/rows.h"
#include "yaml/storage.h"

namespace YAML {
class Exception;
}

namespace loomproof::yaml {

inline constexpr uint32_t deepest_nesting = 400;  // yaml-cpp recurses once a level and gives up at 500

// Reading cannot go on, and the report says why. Thrown out of yaml-cpp's event calls.
struct Refused {};

// A row does not stand where a value of its collection stands, or exceeds a limit. Thrown out of the same calls.
struct NotRows {};

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
  // `runs`: what yaml-cpp is not given to read; it has to outlive the builder.
  Builder(const SourceFile& file, FileId id, Report& report, const Limits& limits, const std::vector<RowRun>& runs)
      : storage_(std::make_unique<Storage>()), bytes_(file.bytes()), report_(report), limits_(limits), runs_(runs) {
    storage_->bytes = bytes_;
    storage_->file = id;
    bom_ = bytes_.starts_with("\xEF\xBB\xBF") ? 3 : 0;
    limits_.depth = std::min(limits_.depth, deepest_nesting);
  }

  std::unique_ptr<Storage> take() {
    storage_->cells.shrink_to_fit();
    return std::move(storage_);
  }
  // A second document leaves the first one good.
  bool first_document_stands() const { return first_document_stands_; }
  bool seen_value() const { return !storage_->cells.empty() && !only_empty_; }
  void report_error(const YAML::Exception& error);
  bool read_all_runs() const { return next_run_ == runs_.size(); }
  void count_rows();

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
  uint32_t offset_of(const YAML::Mark& mark);
  uint32_t offset_of_short(uint32_t offset);
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

  bool at_run(uint32_t begin) const;
  void read_run();
  uint32_t read_row(uint32_t open);

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

  const std::vector<RowRun>& runs_;
  size_t next_run_ = 0;     // the first that is not read yet
  size_t run_of_mark_ = 0;  // the first that begins behind the last mark
  bool in_run_ = false;     // yaml-cpp has still to end the collection that stands for the run
  RowCounts row_counts_;
};

}  // namespace loomproof::yaml
