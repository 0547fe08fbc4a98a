#include "page/markup.h"

#include <algorithm>
#include <array>

#include "reports/escape.h"

namespace loomproof::page {
namespace {

// What stands within a line; behind the end of anything else a line ends, so that a change shows as a few lines.
constexpr std::array<std::string_view, 9> within_line = {"a",    "strong",     "span", "td",     "th",
                                                         "code", "figcaption", "dt",   "caption"};

}  // namespace

Markup& Markup::open(std::string_view tag, Attributes attributes) {
  out_.append("<").append(tag);
  for (const auto& [name, value] : attributes)
    if (!value.empty()) out_.append(" ").append(name).append("=\"").append(html_text(value)).append("\"");
  out_ += '>';
  return *this;
}

Markup& Markup::close(std::string_view tag) {
  out_.append("</").append(tag).append(">");
  if (std::find(within_line.begin(), within_line.end(), tag) == within_line.end()) out_ += '\n';
  return *this;
}

Markup& Markup::text(std::string_view text) {
  out_ += html_text(text);
  return *this;
}

Markup& Markup::element(std::string_view tag, Attributes attributes, std::string_view words) {
  return open(tag, attributes).text(words).close(tag);
}

Markup& Markup::markup(std::string_view ready) {
  out_ += ready;
  return *this;
}

std::string escaped(std::string_view text) {
  return Markup().text(text).take();
}

std::string strong(std::string_view text) {
  return Markup().element("strong", text).take();
}

std::string firing(std::string_view text) {
  return Markup().element("strong", {{"class", "firing"}}, text).take();
}

std::string link(std::string_view anchor, std::string_view text) {
  return Markup().element("a", {{"href", "#" + std::string(anchor)}}, text).take();
}

std::string code(std::string_view text) {
  return Markup().element("code", text).take();
}

}  // namespace loomproof::page
