#include "yaml/error_words.h"

#include <yaml-cpp/exceptions.h>

#include "yaml/rescan.h"

namespace loomproof::yaml {
namespace {

namespace theirs = YAML::ErrorMsg;

struct Words {
  std::string_view theirs;  // begins with
  std::string_view ours;
};

const Words words[] = {
    {theirs::END_OF_SEQ_FLOW, "a list in brackets lacks a `,` or its `]`"},
    {theirs::END_OF_MAP_FLOW, "a map in braces lacks a `,` or its `}`"},
    {theirs::END_OF_SEQ, "this does not fit the list above; a list's lines begin with `- ` at one indentation"},
    {theirs::END_OF_MAP, "this does not fit the map above; a map's keys stand at one indentation"},
    {theirs::MAP_VALUE, "a `:` where no key can stand (text with `: ` in it has to be in quotes)"},
    {theirs::MAP_KEY, "a key where none can stand"},
    {theirs::BLOCK_ENTRY, "a `- ` where no list can begin"},
    {theirs::FLOW_END, "a closing bracket that nothing opened"},
    {theirs::UNKNOWN_TOKEN, "no value can begin with this character; put the text in quotes"},
    {theirs::INVALID_ESCAPE, "no such escape in double quotes"},
    {theirs::INVALID_HEX, "an escape in double quotes lacks hexadecimal digits"},
    {theirs::INVALID_UNICODE, "an escape in double quotes names no character"},
    {theirs::SINGLE_QUOTED_CHAR, "a character that single quotes cannot hold"},
    {theirs::EOF_IN_SCALAR, "a quote is opened and never closed"},
    {theirs::DOC_IN_SCALAR, "a line of `---` or `...` inside quotes; is an earlier quote not closed?"},
    {theirs::CHAR_IN_SCALAR, "a character that cannot stand in plain text"},
    {theirs::CHAR_IN_BLOCK, "nothing but a comment may follow `|` or `>` on its line"},
    {theirs::ZERO_INDENT_IN_BLOCK, "a block of text cannot be indented by 0"},
    {theirs::TAB_IN_INDENTATION, "a tab in the indentation; use spaces"},
    {theirs::UNKNOWN_ANCHOR, "an alias of an anchor that is not there"},
    {theirs::ALIAS_NOT_FOUND, "a `*` that begins no alias; put the text in quotes"},
    {theirs::ANCHOR_NOT_FOUND, "a `&` that begins no anchor; put the text in quotes"},
    {theirs::CHAR_IN_ALIAS, "a `*` that begins no alias; put the text in quotes"},
    {theirs::CHAR_IN_ANCHOR, "a `&` that begins no anchor; put the text in quotes"},
    {theirs::ALIAS_CONTENT, "an alias with a value of its own"},
    {theirs::MULTIPLE_ANCHORS, "two anchors on one value"},
    {theirs::MULTIPLE_TAGS, "two tags on one value"},
    {theirs::YAML_DIRECTIVE_ARGS, "a `%YAML` line without one version"},
    {theirs::YAML_VERSION, "a `%YAML` line without a version"},
    {theirs::YAML_MAJOR_VERSION, "a `%YAML` line with a version that is not known"},
    {theirs::REPEATED_YAML_DIRECTIVE, "a second `%YAML` line"},
    {theirs::TAG_DIRECTIVE_ARGS, "a `%TAG` line that is not complete"},
    {theirs::REPEATED_TAG_DIRECTIVE, "a second `%TAG` line of one name"},
};

bool tab_in_indentation(std::string_view bytes, uint32_t offset) {
  const size_t column = static_cast<size_t>(column_of(bytes, offset));
  const std::string_view line = bytes.substr(offset - column);
  const size_t indentation = line.find_first_not_of(" \t");
  return line.substr(0, indentation).find('\t') != std::string_view::npos;
}

}  // namespace

std::string error_words(std::string_view message, std::string_view bytes, uint32_t offset) {
  if (tab_in_indentation(bytes, offset)) return "a tab in the indentation; use spaces";
  for (const auto& [theirs, ours] : words) {
    if (message.starts_with(theirs)) return std::string(ours);
  }
  return std::string(message);
}

}  // namespace loomproof::yaml
