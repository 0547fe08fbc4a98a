// What may be written where, for people to read: the keys of every kind of file and of every entry in one, as the
// schemas have them.
#pragma once
#include <map>
#include <string>
#include <vector>

namespace loomproof::schema {

struct Key {
  std::string name;
  bool required = false;
  std::string values;   // "a number from 0.05 to 240"
  std::string meaning;  // the schema's description; may be empty
  bool operator==(const Key&) const = default;
};

struct Entry {
  std::string title;  // "a wire"
  std::vector<std::string>
      names;  // what it is asked for by: the key that it stands under, and its title without article
  std::vector<std::string> where;  // "a loom file, under `wires`"; empty for a file
  std::string meaning;
  std::vector<Key> keys;  // in the order of the schema
};

// File by file, each before what stands in it; entries of one title and the same keys once. `name -> JSON text`.
std::vector<Entry> entries(const std::map<std::string, std::string>& schemas);
std::vector<Entry> built_in_entries();

}  // namespace loomproof::schema
