#include "yaml/build.h"

#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/parser.h>

#include <istream>
#include <streambuf>

#include "yaml/builder.h"

namespace loomproof::yaml {
namespace {

class ByteBuffer : public std::streambuf {
 public:
  explicit ByteBuffer(std::string_view bytes) {
    char* const begin = const_cast<char*>(bytes.data());  // only ever read
    setg(begin, begin, begin + bytes.size());
  }
};

void parse(std::string_view text, Builder& builder) {
  ByteBuffer buffer(text);
  std::istream stream(&buffer);
  YAML::Parser parser(stream);
  while (parser.HandleNextDocument(builder)) {
  }
}

}  // namespace

// Faults are never told from here: yaml-cpp then reads all, so that they are told in one way.
std::unique_ptr<Storage> build_with_rows(const SourceFile& file, FileId id, Report& report, const Limits& limits) {
  const std::vector<RowRun> runs = find_rows(file.bytes(), limits.scalar_bytes);
  if (runs.empty()) return nullptr;
  Report own;
  Builder builder(file, id, own, limits, runs);
  try {
    parse(without_rows(file.bytes(), runs), builder);
  } catch (const NotRows&) {
    return nullptr;
  } catch (const Refused&) {
    return nullptr;
  } catch (const YAML::Exception&) {
    return nullptr;
  }
  if (!own.empty() || !builder.read_all_runs()) return nullptr;
  builder.count_rows();
  report.merge(std::move(own));
  return builder.take();
}

std::unique_ptr<Storage> build(const SourceFile& file, FileId id, Report& report, const Limits& limits, RowsBy rows) {
  if (!check_bytes(file, id, report, limits)) return nullptr;
  report.judged(Rule::empty_file);
  report.judged(Rule::not_yaml);
  report.judged(Rule::several_documents);
  if (rows == RowsBy::us) {
    if (auto storage = build_with_rows(file, id, report, limits)) return storage;
  }
  const std::vector<RowRun> no_runs;
  Builder builder(file, id, report, limits, no_runs);
  try {
    parse(file.bytes(), builder);
  } catch (const Refused&) {
    if (!builder.first_document_stands()) return nullptr;
  } catch (const YAML::Exception& error) {
    builder.report_error(error);
    return nullptr;
  }
  if (!builder.seen_value()) {
    report.add<Rule::empty_file>({id, 0, 0});
    return nullptr;
  }
  return builder.take();
}

}  // namespace loomproof::yaml
