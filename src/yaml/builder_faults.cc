// Faults that end the reading of a file, with a guess at what caused them.
#include <yaml-cpp/exceptions.h>

#include "yaml/builder.h"
#include "yaml/error_words.h"
#include "yaml/rescan.h"

namespace loomproof::yaml {

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

}  // namespace loomproof::yaml
