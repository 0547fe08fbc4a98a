// Text of a corpus made safe for a comment at a forge. A forge reads a comment twice: as Markdown, and then the text
// that came of it for names of people, numbers of issues and of commits, web addresses and the like, whether they were
// escaped as Markdown or not. It leaves alone what is set as code, and so whatever could be one of them is.
#pragma once
#include <string>
#include <string_view>

namespace loomproof::review {

// Within a line of Markdown or a table's cell.
std::string comment_text(std::string_view text);
// The same for the start of a line or of a list's item.
std::string comment_line(std::string_view text);
// The whole of it as code.
std::string comment_code(std::string_view text);
// Within a line of HTML, where Markdown is not read.
std::string comment_html(std::string_view text);

// At most `most` bytes, cut before a character, with "…" where it was longer.
std::string clipped(std::string_view text, size_t most);

}  // namespace loomproof::review
