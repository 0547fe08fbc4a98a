// loomproof explain: one rule with a fault and its mend, or the keys of a file or of what stands in one.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>

#include "command.h"
#include "diag/suggest.h"
#include "schema/keys.h"
#include "terminal.h"

namespace loomproof::tool {

namespace {

using schema::Entry;
using schema::Key;

void print_indented(std::string_view text) {
  while (!text.empty()) {
    size_t end = std::min(text.find('\n'), text.size());
    fmt::print("    {}\n", text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
}

void print_rule(const RuleInfo& info) {
  fmt::print("{} ({}, {})\n{}.\n\n", info.id, info.group, severity_word(info.severity), info.summary);
  fmt::print("{}\n", wrapped(info.why, 0, 78));
  fmt::print("\nThe fault:\n\n");
  print_indented(info.fault);
  fmt::print("\nThe mend:\n\n");
  print_indented(info.mend);
}

// A word, and what it is in the column beside it.
void print_listed(std::string_view name, size_t widest, std::string_view text) {
  const size_t width = static_cast<size_t>(terminal_width(STDOUT_FILENO));
  fmt::print("  {:<{}}  {}\n", name, widest, wrapped(text, widest + 4, width));
}

std::string said(const Key& key) {
  if (key.meaning.empty()) return key.values;
  // A form is described as the rest of a sentence, anything else in one of its own.
  const bool sentence = std::isupper(static_cast<unsigned char>(key.meaning.front()));
  return key.values + (sentence ? ". " : ": ") + key.meaning;
}

void print_keys(const Entry& entry, bool required, std::string_view heading) {
  size_t widest = 0;
  for (const Key& key : entry.keys) widest = std::max(widest, key.name.size());
  bool any = false;
  for (const Key& key : entry.keys) {
    if (key.required != required) continue;
    if (!std::exchange(any, true)) fmt::print("\n{}\n", heading);
    print_listed(key.name, widest, said(key));
  }
}

void print_entry(const Entry& entry) {
  fmt::print("{}\n", entry.title);
  if (!entry.meaning.empty()) fmt::print("{}\n", wrapped(entry.meaning, 0, 78));
  for (const std::string& where : entry.where) fmt::print("  in {}\n", where);
  print_keys(entry, true, "Must be given:");
  print_keys(entry, false, "May be given:");
}

bool answers(const Entry& entry, std::string_view name) {
  return std::find(entry.names.begin(), entry.names.end(), name) != entry.names.end();
}

bool stands_under(const Entry& entry, std::string_view key) {
  return std::any_of(entry.where.begin(), entry.where.end(),
                     [&](const std::string& where) { return where.ends_with(fmt::format("`{}`", key)); });
}

// A key with no keys of its own says the same in most of the entries that have it.
bool print_key(const std::vector<Entry>& all, const std::string& name, bool is_more) {
  std::vector<std::pair<std::string, std::vector<std::string>>> told;  // what it says, of what
  for (const Entry& entry : all) {
    for (const Key& key : entry.keys) {
      if (key.name != name) continue;
      const std::string of = entry.title + (key.required ? " (must be given)" : "");
      const auto same =
          std::find_if(told.begin(), told.end(), [&](const auto& other) { return other.first == said(key); });
      if (same == told.end())
        told.push_back({said(key), {of}});
      else if (std::find(same->second.begin(), same->second.end(), of) == same->second.end())
        same->second.push_back(of);
    }
  }
  for (size_t i = 0; i < told.size(); ++i) {
    fmt::print("{}`{}` of {}:\n", i == 0 && !is_more ? "" : "\n", name, fmt::join(told[i].second, ", "));
    fmt::print("  {}\n", wrapped(told[i].first, 2, 78));
  }
  return !told.empty();
}

void print_all(const std::vector<Entry>& all) {
  fmt::print("`loomproof rules` lists the rules. Files, and below each what has keys of its own in it:\n");
  for (const Entry& file : all) {
    if (!file.where.empty()) continue;
    constexpr size_t widest = 12;
    fmt::print("\n");
    print_listed(file.names[0], widest, file.meaning);
    std::vector<std::string> inside;
    const auto is_here = [&](const std::string& where) { return where.starts_with(file.title + ", "); };
    for (const Entry& entry : all)
      if (std::any_of(entry.where.begin(), entry.where.end(), is_here) &&
          std::find(inside.begin(), inside.end(), entry.names[0]) == inside.end())
        inside.push_back(entry.names[0]);
    if (!inside.empty()) print_listed("", widest, fmt::format("{}", fmt::join(inside, ", ")));
  }
}

[[noreturn]] void refuse(const std::string& name, const std::vector<Entry>& all) {
  std::vector<std::string_view> known;
  for (const RuleInfo& info : all_rules()) known.push_back(info.id);
  for (const Entry& entry : all) {
    known.insert(known.end(), entry.names.begin(), entry.names.end());
    for (const Key& key : entry.keys) known.push_back(key.name);
  }
  const std::string_view near = nearest(name, known);
  throw EnvironmentError(
      fmt::format("no rule, file or key is called `{}`; {}", name,
                  near.empty() ? "`loomproof explain` says what there is" : fmt::format("did you mean `{}`?", near)));
}

int explain(const std::string& name) {
  const std::vector<Entry> all = schema::built_in_entries();
  if (name.empty()) {
    print_all(all);
    return clean;
  }
  if (const Rule* const rule = find_rule(name)) {
    print_rule(rule_info(*rule));
    return clean;
  }
  bool found = false, is_told = false;
  for (const Entry& entry : all) {
    if (!answers(entry, name)) continue;
    if (std::exchange(found, true)) fmt::print("\n");
    print_entry(entry);
    is_told = is_told || stands_under(entry, name);
  }
  // A `colour` of the vocabulary has keys, the `colour` of a wire has none.
  if (!is_told && !print_key(all, name, found) && !found) refuse(name, all);
  return clean;
}

}  // namespace

void add_explain(CLI::App& app, Run& chosen) {
  auto name = std::make_shared<std::string>();
  CLI::App* command = app.add_subcommand(
      "explain", "Explain one rule, with a fault and its mend, or list the keys of a file or an entry");
  command->add_option("NAME", *name, "A rule's id, a kind of file, or what stands in one: by its key or its title");
  command->footer("Examples:\n  loomproof explain dead-end\n  loomproof explain wire\n  loomproof explain");
  command->callback([name, &chosen] { chosen = [name] { return explain(*name); }; });
}

}  // namespace loomproof::tool
