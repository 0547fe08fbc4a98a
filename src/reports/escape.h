// Text from a corpus made safe for each format that is written. Whatever a text holds, it stays within its cell and
// reads there as it was meant: no markup, no formula, no control character, nothing that turns the writing direction.
#pragma once
#include <string>
#include <string_view>

namespace loomproof {

// One line: a line end or tab becomes a space; what is not seen (control characters, direction marks, zero-width
// characters) becomes U+FFFD.
std::string plain_line(std::string_view text);

// For Markdown with tables (CommonMark; tables as in GitHub's flavour), within a line or a table's cell: everything
// that could be markup, HTML, a table's bar or a web link that makes itself is escaped (a mail address may still be
// shown as a link to itself). Not for the start of a line.
std::string markdown_text(std::string_view text);
// The same for the start of a line or of a list's item, where a hyphen or a number would begin a list.
std::string markdown_line(std::string_view text);
// The same set as code, where it is an ordinary id; markup cannot be escaped in there, so that anything else is not.
std::string markdown_code(std::string_view text);

// For HTML and XML, as text between tags and as the value of an attribute in quotes of either kind; one line.
std::string html_text(std::string_view text);

// One field of a CSV line as in RFC 4180, in quotes where it has to be. A field that begins with = + - @, a tab or a
// carriage return gets an apostrophe before it, since spreadsheets would take it for a formula: a reader of the file
// takes one leading apostrophe off such a field.
std::string csv_field(std::string_view text);

}  // namespace loomproof
