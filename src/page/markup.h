// Markup that is HTML and well-formed XML at once. Text and values of attributes are escaped here, and nowhere else.
#pragma once
#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>

namespace loomproof::page {

class Markup {
 public:
  using Attribute = std::pair<std::string_view, std::string_view>;  // name, value; without value it is left out
  using Attributes = std::initializer_list<Attribute>;

  Markup& open(std::string_view tag, Attributes attributes = {});
  Markup& close(std::string_view tag);
  Markup& text(std::string_view text);
  Markup& element(std::string_view tag, Attributes attributes, std::string_view text);  // with text alone
  Markup& element(std::string_view tag, std::string_view text) { return element(tag, {}, text); }
  Markup& markup(std::string_view ready);  // made by a Markup, or by a file of our own

  bool empty() const { return out_.empty(); }
  std::string take() { return std::move(out_); }

 private:
  std::string out_;
};

std::string escaped(std::string_view text);
std::string strong(std::string_view text);
std::string firing(std::string_view text = "FIRING");              // marks what no probe may touch
std::string link(std::string_view anchor, std::string_view text);  // to a place on the page
std::string code(std::string_view text);

}  // namespace loomproof::page
