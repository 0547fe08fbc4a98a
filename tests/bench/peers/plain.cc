// The C++ libraries used plainly, over the same files and the same schemas: YAML::Load, then valijson's own Validator.
//   plain CORPUS SCHEMAS [check|read]
// One thread, as a program would that does not care. Prints how many files were read and how many hold.
// `propertyNames` is left out of the schemas: valijson 1.0 refuses every map that has it.
#define VALIJSON_USE_EXCEPTIONS 1
#include <yaml-cpp/yaml.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/adapters/yaml_cpp_adapter.hpp>

// Two faults of valijson 1.0's adapter for yaml-cpp. It steps back from the end of a list to stop one early, which
// its iterator cannot; the end serves as well. And it takes maps and lists for texts.
namespace valijson::adapters {
inline YamlCppArrayValueIterator operator--(YamlCppArrayValueIterator end) {
  return end;
}
using YamlBase =
    BasicAdapter<YamlCppAdapter, YamlCppArray, std::pair<std::string, YamlCppAdapter>, YamlCppObject, YamlCppValue>;
template <>
bool YamlBase::maybeString() const {
  return !m_value.isArray() && !m_value.isObject();
}
template <>
bool YamlBase::isString() const {
  return maybeString();
}
}  // namespace valijson::adapters

#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

namespace {

namespace fs = std::filesystem;

std::string read(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

constexpr const char* shared_name = "common.schema.json";

void make_plain(nlohmann::json& node) {
  if (node.is_object()) {
    node.erase("propertyNames");
    auto ref = node.find("$ref");
    if (ref != node.end() && ref->is_string()) *ref = ref->get<std::string>().substr(ref->get<std::string>().find('#'));
  }
  if (node.is_structured())
    for (nlohmann::json& child : node) make_plain(child);
}

// The schema with the shared definitions inside it, so that nothing has to be fetched.
nlohmann::json self_contained(nlohmann::json schema, const nlohmann::json& shared) {
  for (const auto& [name, definition] : shared["definitions"].items()) schema["definitions"][name] = definition;
  make_plain(schema);
  return schema;
}

std::string kind_of(const fs::path& relative) {
  std::vector<std::string> parts;
  for (const fs::path& part : relative) parts.push_back(part.string());
  if (parts.front() == "housings") return "housings";
  if (parts.size() == 4) return parts[2] == "looms" ? "loom" : parts[2] == "components" ? "component" : "changes";
  return relative.stem().string();
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) return 2;
  const fs::path corpus = argv[1], schema_folder = argv[2];
  const bool check = argc < 4 || std::string(argv[3]) == "check";
  std::map<std::string, nlohmann::json> texts;
  for (const auto& entry : fs::directory_iterator(schema_folder)) {
    std::string name = entry.path().filename().string();
    if (name.size() < 12 || name.substr(name.size() - 12) != ".schema.json") continue;
    texts[name] = nlohmann::json::parse(read(entry.path()));
  }
  std::map<std::string, valijson::Schema> schemas;
  for (const auto& [name, text] : texts) {
    valijson::SchemaParser parser;
    nlohmann::json whole = self_contained(text, texts.at(shared_name));
    parser.populateSchema(valijson::adapters::NlohmannJsonAdapter(whole), schemas[name.substr(0, name.size() - 12)]);
  }
  std::vector<fs::path> paths;
  for (const auto& entry : fs::recursive_directory_iterator(corpus))
    if (entry.path().extension() == ".yaml") paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  valijson::Validator validator(valijson::Validator::kWeakTypes);
  size_t valid = 0;
  for (const fs::path& path : paths) {
    YAML::Node tree = YAML::Load(read(path));
    if (!check) continue;
    valid += validator.validate(schemas.at(kind_of(fs::relative(path, corpus))),
                                valijson::adapters::YamlCppAdapter(tree), nullptr);
  }
  std::printf("%zu files, %zu valid\n", paths.size(), valid);
}
