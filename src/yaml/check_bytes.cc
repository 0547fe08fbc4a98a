#include <fmt/format.h>

#include <cstring>

#include "source/utf8.h"
#include "yaml/build.h"

namespace loomproof::yaml {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

struct Faults {
  uint32_t count = 0;
  uint32_t first = 0;
  uint32_t code = 0;    // of the first
  uint32_t length = 0;  // of the first
  void add(uint32_t offset, const Utf8Char& character) {
    if (count++ == 0) first = offset, code = character.code, length = character.length;
  }
};

bool plain_ascii(unsigned char byte) {
  return byte >= 0x20 && byte < 0x7F;
}

constexpr size_t word_bytes = 8;

// The same of eight bytes at once. A borrow or carry reaches other bytes only from one that is not plain itself.
bool plain_ascii_word(const char* bytes) {
  constexpr uint64_t ones = 0x0101010101010101, high_bits = 0x8080808080808080;
  uint64_t word;
  std::memcpy(&word, bytes, word_bytes);
  const uint64_t below_space = (word - ones * 0x20) & ~word;
  const uint64_t above_tilde = word | (word + ones);
  return ((below_space | above_tilde) & high_bits) == 0;
}

void scan(std::string_view bytes, Faults& not_utf8, Faults& controls) {
  size_t offset = bytes.starts_with(byte_order_mark) ? byte_order_mark.size() : 0;
  while (offset < bytes.size()) {
    if (offset + word_bytes <= bytes.size() && plain_ascii_word(bytes.data() + offset)) {
      offset += word_bytes;
      continue;
    }
    const auto byte = static_cast<unsigned char>(bytes[offset]);
    if (plain_ascii(byte) || byte == '\n') {
      ++offset;
      continue;
    }
    const Utf8Char character = utf8_at(bytes, offset);
    if (!character.good) {
      not_utf8.add(static_cast<uint32_t>(offset), character);
    } else if (is_invisible_control(character.code)) {
      controls.add(static_cast<uint32_t>(offset), character);
    }
    offset += character.length;
  }
}

std::string further(const Faults& faults) {
  return fmt::format("{} further place{} in this file", faults.count - 1, faults.count == 2 ? "" : "s");
}

bool looks_like_utf16(std::string_view bytes) {
  return bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF");
}

}  // namespace

bool check_bytes(const SourceFile& file, FileId id, Report& report, const Limits& limits) {
  const std::string_view bytes = file.bytes();
  report.judged(Rule::too_large);
  if (bytes.size() > limits.file_bytes) {
    report.add<Rule::too_large>({id, 0, 0}, fmt::format("this file ({} bytes)", bytes.size()),
                                fmt::format("{} bytes", limits.file_bytes));
    return false;
  }
  report.judged(Rule::not_utf8);
  report.judged(Rule::control_character);
  Faults not_utf8, controls;
  scan(bytes, not_utf8, controls);
  if (not_utf8.count > 0) {
    auto finding = report.add<Rule::not_utf8>({id, not_utf8.first, not_utf8.first + 1}, not_utf8.code);
    if (looks_like_utf16(bytes)) finding.help("the file looks like UTF-16: save it as UTF-8");
    if (not_utf8.count > 1) finding.help(further(not_utf8));
  }
  if (controls.count > 0 && !looks_like_utf16(bytes)) {
    auto finding =
        report.add<Rule::control_character>({id, controls.first, controls.first + controls.length}, controls.code);
    if (controls.count > 1) finding.help(further(controls));
  }
  return not_utf8.count == 0 && controls.count == 0;
}

}  // namespace loomproof::yaml
