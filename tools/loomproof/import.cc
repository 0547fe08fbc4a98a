// loomproof import: a pinout table in CSV into a loom or a component. What it would do is shown; with --write it is
// done, and never before it has been proven that the file then says what the table says.
#include <fmt/format.h>

#include <filesystem>

#include "command.h"
#include "corpus_texts.h"
#include "diag/render.h"
#include "diag/suggest.h"
#include "family/words.h"
#include "import_text.h"
#include "select.h"
#include "upkeep/insert.h"
#include "upkeep/pinout_table.h"
#include "upkeep/tags.h"
#include "upkeep/take_in.h"
#include "upkeep/tidy.h"

namespace loomproof::tool {

namespace {

namespace fs = std::filesystem;

struct ImportArguments {
  std::string table, corpus = "reference", family, loom, component, connector, housing, source, eras, separator;
  std::vector<std::string> with, colours, ignored;
  std::string format = "text";
  bool partly = false, write = false;
};

constexpr uintmax_t most_bytes = 16u << 20;

std::string read_table(const std::string& path) {
  std::error_code error;
  const uintmax_t size = fs::is_regular_file(path, error) ? fs::file_size(path, error) : 0;
  if (size > most_bytes)
    throw EnvironmentError(fmt::format("{}: more than 16 MB; this is no pinout table", printable(path)));
  std::string problem;
  std::string bytes = RealFiles().read(path, problem);
  if (!problem.empty()) throw EnvironmentError(fmt::format("{}: {}", printable(path), problem));
  return bytes;
}

char separator_of(const std::string& word) {
  if (word.empty()) return 0;
  if (word == "tab" || word == "\t") return '\t';
  if (word == "comma" || word == ",") return ',';
  if (word == "semicolon" || word == ";") return ';';
  throw EnvironmentError("--separator takes comma, semicolon or tab");
}

// The corpus in memory, compiled, and the file that is to be changed.
struct Opened {
  MemoryFiles texts;
  std::unique_ptr<Compiled> compiled;
  const CompiledFamily* family = nullptr;
  const Document* document = nullptr;
  Index part = none;

  std::string path() const { return compiled->sources.file(document->file).path(); }  // as in `texts`
};

std::string key_of(const Opened& opened) {
  const std::string path = opened.path();
  return opened.texts.files.contains(path) ? path : "./" + path;
}

void find_part(Opened& opened, const std::string& id, PartKind kind) {
  const Family& family = opened.family->family;
  std::vector<std::string_view> known;
  for (Index i = 0; i < family.parts.size(); ++i) {
    if (family.parts[i].kind != kind) continue;
    known.push_back(family.text(family.parts[i].id));
    if (known.back() == id && opened.part == none) opened.part = i;
  }
  if (opened.part == none) unknown_name(loomproof::word(kind), id, known);
  for (const FamilyFiles& files : opened.compiled->corpus.families) {
    if (!files.family || files.family->root()["family"].text() != family.text(family.id)) continue;
    for (const Document* each : kind == PartKind::loom ? files.looms : files.components)
      if (each->root()[loomproof::word(kind)].text() == id) opened.document = each;
  }
  if (!opened.document) throw std::logic_error("a part without its file");
}

// Declared changes and combinations may name what the table is about to bring; faults anywhere else are mended first.
const CompiledFamily& resolved_family(const Compiled& compiled, const std::string& id) {
  for (const Finding& finding : compiled.report.findings()) {
    if (finding.severity != Severity::error || !finding.span.known()) continue;
    const FileKind kind = place_of(compiled.sources.file(finding.span.file).path())->kind;
    if (kind != FileKind::changes && kind != FileKind::combinations) return find_family(compiled, id);
  }
  for (const CompiledFamily& each : compiled.families)
    if (each.family.text(each.family.id) == id) return each;
  return find_family(compiled, id);
}

Opened open_part(MemoryFiles texts, const ImportArguments& arguments, Phase until) {
  Opened opened;
  opened.texts = std::move(texts);
  CompileOptions options;
  options.family = arguments.family;
  options.until = until;
  opened.compiled = compile(opened.texts, ".", options);
  opened.family = &resolved_family(*opened.compiled, arguments.family);
  const bool is_loom = !arguments.loom.empty();
  find_part(opened, is_loom ? arguments.loom : arguments.component, is_loom ? PartKind::loom : PartKind::component);
  return opened;
}

[[noreturn]] void unable(const Opened& opened, const ImportArguments& arguments, const std::string& problem,
                         Span where) {
  const SourceFile& file = opened.compiled->sources.file(opened.document->file);
  const uint32_t line = where.known() ? file.at(where.begin).line : 1;
  throw EnvironmentError(fmt::format("{}/{}:{}: {}", arguments.corpus, key_of(opened).substr(2), line, problem));
}

// A corpus that could be read, with what was put into it: now it cannot only by our fault.
Opened reopened(const MemoryFiles& texts, const ImportArguments& arguments) {
  try {
    return open_part(texts, arguments, Phase::tables);
  } catch (const EnvironmentError& error) {
    throw std::logic_error(
        fmt::format("the file with the table's rows would be faulty ({}); nothing is written", error.what()));
  }
}

// The loom with one more connector, where it lacks the one that --housing is for.
Opened with_housing(Opened opened, const ImportArguments& arguments) {
  if (arguments.housing.empty()) return opened;
  if (arguments.connector.empty()) throw EnvironmentError("--housing needs --connector: it is the housing of that one");
  if (opened.document->root()["connectors"][arguments.connector])
    throw EnvironmentError(
        fmt::format("{} is in the file already; leave --housing out", printable(arguments.connector)));
  if (arguments.loom.empty())
    throw EnvironmentError("a component's connector has to stand in its file before the import");
  std::vector<std::string_view> known;
  for (const Document* document : opened.compiled->corpus.of_kind[static_cast<size_t>(FileKind::housings)])
    for (const yaml::Node housing : document->root()["housings"]) known.push_back(housing.key());
  if (std::find(known.begin(), known.end(), arguments.housing) == known.end())
    unknown_name("housing", arguments.housing, known);
  std::string problem;
  Span where;
  const std::string& text = opened.texts.files.at(key_of(opened));
  std::string more =
      upkeep::with_connector(text, opened.document->root(), arguments.connector, arguments.housing, problem, where);
  if (more.empty()) unable(opened, arguments, problem, where);
  MemoryFiles texts = opened.texts;
  texts.files.at(key_of(opened)) = std::move(more);
  return reopened(texts, arguments);
}

// Said once, before every row of the table would say it.
void check_connector(const Opened& opened, const ImportArguments& arguments) {
  if (arguments.connector.empty() || opened.document->root()["connectors"][arguments.connector]) return;
  std::vector<std::string_view> known;
  for (const yaml::Node connector : opened.document->root()["connectors"]) known.push_back(connector.key());
  const std::string_view near = nearest(arguments.connector, known);
  const bool is_loom = !arguments.loom.empty();
  throw EnvironmentError(fmt::format("{} has no connector `{}`; {}{}", is_loom ? arguments.loom : arguments.component,
                                     printable(arguments.connector),
                                     near.empty() ? "" : fmt::format("did you mean `{}`? ", near),
                                     is_loom ? "--housing adds it to the loom, with the housing named there"
                                             : "it has to stand in the file first, with its housing"));
}

// As a column `source` has it.
std::string source_words(const Family& family, CiteId id) {
  const Cite& cite = family.cites[id];
  std::string words;
  for (const Index source : rows(family.source_refs, cite.sources))
    words += fmt::format("{}{}", words.empty() ? "" : "; ", family.text(family.sources[source].id));
  return words + (cite.independent != 0 ? ", independent of each other" : "");
}

upkeep::TableNames names_of(const Opened& opened) {
  upkeep::TableNames names;
  const Family& family = opened.family->family;
  for (const Circuit& circuit : family.circuits)
    names.circuits.push_back({std::string(family.text(circuit.id)), std::string(family.text(circuit.title))});
  for (const Conductor& conductor : family.conductors) names.nominal_mm2.push_back(conductor.mm2);
  const auto keys = [&](FileKind kind, std::string_view list) {
    std::set<std::string> all;
    for (const Document* document : opened.compiled->corpus.of_kind[static_cast<size_t>(kind)])
      for (const yaml::Node entry : document->root()[list]) all.emplace(entry.key());
    return all;
  };
  names.colours = keys(FileKind::colours, "colours");
  names.sources = keys(FileKind::sources, "sources");
  return names;
}

upkeep::ColourKey colour_key(const std::vector<std::string>& said, const std::set<std::string>& codes) {
  upkeep::ColourKey key;
  for (const std::string& one : said) {
    const size_t equals = one.find('=');
    if (equals == one.npos || equals == 0)
      throw EnvironmentError("--colour takes abbreviation=code, as in --colour bl=BU");
    const std::string code = one.substr(equals + 1);
    if (!codes.contains(code)) unknown_name("colour", code, {codes.begin(), codes.end()});
    key[upkeep::folded(one.substr(0, equals))] = code;
  }
  return key;
}

struct Where {
  CellSet cells;
  std::string tags, words;
};

Where where_of(const Opened& opened, const ImportArguments& arguments) {
  const Family& family = opened.family->family;
  upkeep::TagsRead tags = upkeep::read_tags(family, arguments.eras, arguments.with);
  if (!tags.problem.empty()) throw EnvironmentError(tags.problem);
  const CellSet all = family.set(family.parts[opened.part].cells) & family.set(family.built);
  Where where{tags.cells & all, tags.text, {}};
  if (where.cells.empty()) throw EnvironmentError("the part was built nowhere with these eras and options");
  if (where.cells == all) where.tags.clear();
  return where;
}

// The words of where one connector of the table holds, as our own tables have them.
std::string cells_words(const Opened& opened, const ImportArguments& arguments, const CellSet& cells) {
  const Family& family = opened.family->family;
  CellSet present = cells;
  for (const Connector& connector : rows(family.connectors, family.parts[opened.part].connectors)) {
    if (family.text(connector.designator) != arguments.connector) continue;
    CellSet own;
    for (const ConnectorRow& row : rows(family.connector_rows, connector.rows)) own |= family.set(row.cells);
    present &= own;
  }
  return cells_text(family, present, family.set(family.built));
}

// Nothing is written that does not read back as the table, row by row, with everything else as it was.
void prove(const Opened& before, const Opened& after, const upkeep::PinoutTable& table, const upkeep::TakenIn& taken,
           const Where& where) {
  const upkeep::TakenIn again =
      upkeep::take_in(table, {after.family->family, after.family->spans, after.part, where.cells, where.tags});
  const Part& old_part = before.family->family.parts[before.part];
  const Part& new_part = after.family->family.parts[after.part];
  size_t wires = 0, states = 0, pins = 0;
  for (const upkeep::NewRow& row : taken.rows) {
    using Kind = upkeep::NewRow::Where;
    (row.where == Kind::wires ? wires : row.where == Kind::pins ? pins : states) += 1;
  }
  using upkeep::Fate;
  const bool good = again.rows.empty() && again.filled.empty() && again.problems.size() == taken.problems.size() &&
                    again.count(Fate::conflict) == taken.count(Fate::conflict) &&
                    new_part.wires.count == old_part.wires.count + wires &&
                    new_part.pins.count == old_part.pins.count + pins &&
                    new_part.cavity_rows.count == old_part.cavity_rows.count + states - taken.now_known.size();
  const std::string& text = after.texts.files.at(key_of(after));
  if (!good || upkeep::tidied(text) != text)
    throw std::logic_error("the file would not say what the table says; nothing is written");
}

int run(const ImportArguments& arguments) {
  if (arguments.loom.empty() == arguments.component.empty())
    throw EnvironmentError("name the part that the table is of: --loom or --component");
  const std::string bytes = read_table(arguments.table);
  const MemoryFiles start = read_texts(arguments.corpus);
  const Opened opened = with_housing(open_part(start, arguments, Phase::tables), arguments);
  check_connector(opened, arguments);
  const upkeep::TableNames names = names_of(opened);
  const Where where = where_of(opened, arguments);
  upkeep::TableOptions options;
  options.kind = arguments.loom.empty() ? PartKind::component : PartKind::loom;
  options.family = arguments.family;
  options.part = arguments.loom.empty() ? arguments.component : arguments.loom;
  options.connector = arguments.connector;
  options.source = arguments.source;
  options.file_source = source_words(opened.family->family, opened.family->family.parts[opened.part].cite);
  options.ignored = arguments.ignored;
  options.cells = cells_words(opened, arguments, where.cells);
  options.colours = colour_key(arguments.colours, names.colours);
  if (!options.source.empty() && !names.sources.contains(options.source))
    unknown_name("source", options.source, {names.sources.begin(), names.sources.end()});
  upkeep::PinoutTable table;
  if (const auto fault = upkeep::read_pinout(bytes, separator_of(arguments.separator), names, options, table))
    throw EnvironmentError(
        fmt::format("{}:{}:{}: {}", printable(arguments.table), fault->place.line, fault->place.column, fault->text));
  const upkeep::TakenIn taken =
      upkeep::take_in(table, {opened.family->family, opened.family->spans, opened.part, where.cells, where.tags});

  ImportTold told{arguments.table, arguments.corpus, arguments.family, *opened.compiled, table, taken, {}, {}};
  told.part = fmt::format("{} {}", loomproof::word(options.kind), options.part);
  const size_t conflicts = taken.count(upkeep::Fate::conflict);
  const size_t not_understood = rows_not_understood(table, taken);
  told.left_out = conflicts + not_understood;
  told.stopped = told.left_out > 0 && !arguments.partly;
  const std::string key = key_of(opened);
  MemoryFiles result = opened.texts;
  if (!taken.rows.empty() || !taken.filled.empty()) {
    std::string problem;
    Span place;
    std::string text = upkeep::with_rows(opened.texts.files.at(key), opened.document->root(), taken, problem, place);
    if (text.empty()) unable(opened, arguments, problem, place);
    result.files.at(key) = std::move(text);
    prove(opened, reopened(result, arguments), table, taken, where);
  }
  told.diff =
      text_diff(fmt::format("{}/{}", arguments.corpus, key.substr(2)), start.files.at(key), result.files.at(key));
  told.written = arguments.write && !told.stopped;
  if (told.written && !told.diff.empty()) write_texts(arguments.corpus, start, result);
  fmt::print("{}", arguments.format == "json" ? import_json(told) : import_text(told));
  return told.stopped || conflicts > 0 ? findings : clean;
}

}  // namespace

void add_import(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<ImportArguments>();
  CLI::App* command = app.add_subcommand("import", "Take a pinout table in CSV into a loom or a component");
  command->add_option("TABLE", arguments->table, "The table: CSV with headings, in UTF-8")->required();
  command->add_option("CORPUS", arguments->corpus, "The corpus folder")->capture_default_str();
  command->add_option("--family", arguments->family, "The family")->required();
  command->add_option("--loom", arguments->loom, "The loom that the table is of");
  command->add_option("--component", arguments->component, "The component that the table is of");
  command->add_option("--connector", arguments->connector,
                      "The connector that the table is of; where the table names connectors, only its rows");
  command->add_option("--housing", arguments->housing, "Adds that connector to the loom first, with this housing");
  command->add_option("--source", arguments->source, "The source of rows that name none; otherwise that of the file");
  command->add_option("--eras", arguments->eras,
                      "Where the table holds, as in c.. or a..b; otherwise wherever the part does");
  command->add_option("--with", arguments->with, "The same for an option, as option=value; may be repeated")
      ->allow_extra_args(false);
  command
      ->add_option("--colour", arguments->colours,
                   "What an abbreviation means in this table, as in bl=BU; may be repeated")
      ->allow_extra_args(false);
  command->add_option("--ignore", arguments->ignored, "A column that is left aside, by its heading; may be repeated")
      ->allow_extra_args(false);
  command->add_option("--separator", arguments->separator, "comma, semicolon or tab, where the headings do not tell");
  command->add_flag("--partly", arguments->partly, "Leave out the rows that cannot be taken in, instead of stopping");
  command->add_flag("--write", arguments->write, "Write the file; otherwise only show what would change");
  command->add_option("--format", arguments->format, "text or json")
      ->check(CLI::IsMember({"text", "json"}))
      ->capture_default_str();
  command->footer(
      "Examples:\n  loomproof import pump.csv --family croft --loom pump --source croft-bench-1\n"
      "  loomproof import c1.csv --family croft --loom chassis --connector C1 \\\n"
      "      --source croft-manual-c --eras c.. --colour bl=BU --write\n\n"
      "Columns are found by their headings, English or German: connector, cavity, to, circuit, colour, mm2 or awg,\n"
      "state, role, source (Stecker, Kammer, nach, Stromkreis, Farbe, Querschnitt, Zustand, Rolle, Quelle); further\n"
      "tracer, length_mm, volts, max_a, double, title, function, holds_in, and function_evidence, colour_evidence,\n"
      "mm2_evidence (single or memory). Others are left aside, and listed. A source is an id of sources.yaml; where "
      "the\n"
      "table has a column of other words for it, --ignore it.\n"
      "What may mean two things is listed, never guessed. What the file says already is never overwritten.\n\n"
      "Exit status: 0 the table is understood, 1 rows are not or contradict the file, 2 usage or environment.");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
