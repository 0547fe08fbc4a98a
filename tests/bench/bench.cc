// The benchmark: cold check, its phases, packs, and growth with wires and with cells. Corpora come from the generator,
// in memory, so that no disk is measured. `tests/bench/run` puts its figures beside those of the peers.
#include <benchmark/benchmark.h>

#include <map>
#include <random>
#include <stdexcept>

#include "compile/compile.h"
#include "generate.h"
#include "judge/judgement.h"
#include "pack/pack.h"
#include "sqlite_twin.h"

namespace loomproof::bench {
namespace {

struct Corpus {
  MemoryFiles files;
  uint64_t bytes = 0;
};

constexpr char folder[] = "corpus";

Corpus make(const Shape& shape) {
  Corpus corpus;
  for (auto& [path, text] : generate(shape)) {
    corpus.bytes += text.size();
    corpus.files.files[std::string(folder) + "/" + path] = std::move(text);
  }
  return corpus;
}

// Made once: google-benchmark calls each function several times.
const Corpus& of_megabytes(double megabytes) {
  static std::map<double, Corpus> made;
  auto found = made.find(megabytes);
  if (found == made.end()) found = made.emplace(megabytes, make(shape_of_megabytes(megabytes))).first;
  return found->second;
}

void require_clean(const Report& report) {
  if (!report.empty())
    throw std::logic_error("a synthetic corpus has findings, the first: " + report.findings().front().message);
}

std::unique_ptr<Compiled> compile_clean(const Corpus& corpus, unsigned threads) {
  CompileOptions options;
  options.threads = threads;
  std::unique_ptr<Compiled> compiled = compile(corpus.files, folder, options);
  require_clean(compiled->report);
  return compiled;
}

double seconds_of(const Compiled& compiled, std::initializer_list<Phase> phases) {
  double seconds = 0;
  for (const Timing& timing : compiled.timings)
    for (Phase phase : phases)
      if (timing.phase == phase_words[static_cast<size_t>(phase)]) seconds += timing.seconds;
  return seconds;
}

// --- cold check and its phases ------------------------------------------------------------------

void cold_check(benchmark::State& state) {
  const Corpus& corpus = of_megabytes(static_cast<double>(state.range(0)) / 10);
  for (auto _ : state) benchmark::DoNotOptimize(compile_clean(corpus, static_cast<unsigned>(state.range(1))));
  state.SetBytesProcessed(static_cast<int64_t>(state.iterations() * corpus.bytes));
}
BENCHMARK(cold_check)
    ->ArgNames({"tenths_of_MB", "threads"})
    ->ArgsProduct({{5, 80}, {1, 2}})
    ->MeasureProcessCPUTime()
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);

// The bytes of every file, and the trees read from them.
struct Trees {
  Sources sources;
  std::vector<yaml::Tree> trees;
  std::vector<const schema::Schema*> schemas;
};

void read_trees(const Corpus& corpus, Trees& out) {
  for (size_t i = 0; i < out.sources.size(); ++i) {
    Report report;
    out.trees.push_back(yaml::Tree::read(out.sources.file(static_cast<FileId>(i)), static_cast<FileId>(i), report));
    require_clean(report);
  }
  benchmark::DoNotOptimize(corpus.bytes);
}

Trees sources_of(const Corpus& corpus) {
  Trees out;
  for (const FileEntry& entry : corpus.files.list(folder)) {
    std::string problem;
    out.sources.add(entry.path, corpus.files.read(std::string(folder) + "/" + entry.path, problem));
    out.schemas.push_back(schema::SchemaSet::built_in().find(word(place_of(entry.path)->kind)));
  }
  return out;
}

void phase_reading(benchmark::State& state) {
  const Corpus& corpus = of_megabytes(8);
  Trees trees = sources_of(corpus);
  for (auto _ : state) {
    trees.trees.clear();
    read_trees(corpus, trees);
  }
  uint64_t memory = 0;
  for (const yaml::Tree& tree : trees.trees) memory += tree.memory_bytes();
  state.counters["tree_bytes_per_byte"] = static_cast<double>(memory) / static_cast<double>(corpus.bytes);
  state.SetBytesProcessed(static_cast<int64_t>(state.iterations() * corpus.bytes));
}
BENCHMARK(phase_reading)->Unit(benchmark::kMillisecond);

void phase_schema(benchmark::State& state) {
  const Corpus& corpus = of_megabytes(8);
  Trees trees = sources_of(corpus);
  read_trees(corpus, trees);
  for (auto _ : state) {
    Report report;
    for (size_t i = 0; i < trees.trees.size(); ++i) schema::validate(*trees.schemas[i], trees.trees[i].root(), report);
    require_clean(report);
  }
  state.SetBytesProcessed(static_cast<int64_t>(state.iterations() * corpus.bytes));
}
BENCHMARK(phase_schema)->Unit(benchmark::kMillisecond);

// The later phases on one thread, by compile()'s own clock.
void phase_of_compile(benchmark::State& state, std::initializer_list<Phase> phases) {
  const Corpus& corpus = of_megabytes(8);
  for (auto _ : state) state.SetIterationTime(seconds_of(*compile_clean(corpus, 1), phases));
  state.SetBytesProcessed(static_cast<int64_t>(state.iterations() * corpus.bytes));
}
void phase_names_and_tables(benchmark::State& state) {
  phase_of_compile(state, {Phase::names, Phase::tables});
}
void phase_nets_and_rules(benchmark::State& state) {
  phase_of_compile(state, {Phase::rules});
}
BENCHMARK(phase_names_and_tables)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(phase_nets_and_rules)->UseManualTime()->Unit(benchmark::kMillisecond);

// --- packs --------------------------------------------------------------------------------------

const Family& family_for_packs() {
  static std::unique_ptr<Compiled> compiled = compile_clean(of_megabytes(0.5), 1);
  return compiled->families.at(0).family;
}

void pack_write(benchmark::State& state) {
  std::string bytes;
  for (auto _ : state) bytes = pack::write(family_for_packs());
  state.SetBytesProcessed(static_cast<int64_t>(state.iterations() * bytes.size()));
}
BENCHMARK(pack_write)->Unit(benchmark::kMillisecond);

void pack_open_and_verify(benchmark::State& state) {
  std::string bytes = pack::write(family_for_packs());
  for (auto _ : state) benchmark::DoNotOptimize(pack::Pack::open(bytes));
  state.SetBytesProcessed(static_cast<int64_t>(state.iterations() * bytes.size()));
  state.counters["pack_bytes"] = static_cast<double>(bytes.size());
  state.counters["sqlite_bytes_texts_in_place"] =
      static_cast<double>(SqliteTwin(family_for_packs(), Texts::in_place).bytes());
  state.counters["sqlite_bytes_texts_indexed"] =
      static_cast<double>(SqliteTwin(family_for_packs(), Texts::indexed).bytes());
}
BENCHMARK(pack_open_and_verify)->Unit(benchmark::kMillisecond);

struct CavityName {
  std::string_view part, designator, cavity;
};

// All cavities that rows name, in an order that no cache likes.
std::vector<CavityName> shuffled_cavities(const Family& family) {
  std::vector<CavityName> names;
  for (const Point& point : family.points)
    if (point.kind == PointKind::cavity)
      names.push_back({family.text(family.parts[point.part].id),
                       family.text(family.connectors[point.connector].designator), family.text(point.name)});
  std::mt19937_64 random(1);
  for (size_t i = names.size(); i > 1; --i) std::swap(names[i - 1], names[random() % i]);
  return names;
}

template <typename Find>
void look_up(benchmark::State& state, Find&& find) {
  std::vector<CavityName> names = shuffled_cavities(family_for_packs());
  size_t next = 0;
  for (auto _ : state) {
    const CavityName& name = names[next];
    next = next + 1 == names.size() ? 0 : next + 1;
    if (find(name) == none) throw std::logic_error("a cavity is not found");
  }
}

void lookup_in_pack(benchmark::State& state) {
  std::string bytes = pack::write(family_for_packs());
  pack::Pack pack = *pack::Pack::open(bytes).pack;
  look_up(state, [&](const CavityName& name) { return pack.find_point(name.part, name.designator, name.cavity); });
}
BENCHMARK(lookup_in_pack);

void lookup_in_sqlite(benchmark::State& state) {
  SqliteTwin twin(family_for_packs(), Texts::indexed);
  look_up(state, [&](const CavityName& name) { return twin.find_point(name.part, name.designator, name.cavity); });
}
BENCHMARK(lookup_in_sqlite);

// --- growth -------------------------------------------------------------------------------------

// All that is not reading, of one family; N is its wires (or its cells). The time of a wire (or a cell) should not
// grow.
void grow(benchmark::State& state, const Shape& shape, bool by_wires) {
  Corpus corpus = make(shape);
  size_t wires = 0, cells = 0;
  for (auto _ : state) {
    std::unique_ptr<Compiled> compiled = compile_clean(corpus, 1);
    state.SetIterationTime(seconds_of(*compiled, {Phase::names, Phase::tables, Phase::rules}));
    const Family& family = compiled->families.at(0).family;
    wires = family.wires.size();
    cells = family.cell_count();
  }
  state.counters["wires"] = static_cast<double>(wires);
  state.counters["cells"] = static_cast<double>(cells);
  double n = static_cast<double>((by_wires ? wires : cells) * state.iterations());
  state.counters["per_one"] = benchmark::Counter(n, benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
  state.SetComplexityN(static_cast<int64_t>(by_wires ? wires : cells));
}

void growth_with_wires(benchmark::State& state) {
  Shape shape;
  shape.units = static_cast<uint32_t>(state.range(0));
  shape.bundles = 4;
  grow(state, shape, true);
}
BENCHMARK(growth_with_wires)
    ->RangeMultiplier(2)
    ->Range(1, 16)
    ->UseManualTime()
    ->Complexity()
    ->Unit(benchmark::kMillisecond);

void growth_with_cells(benchmark::State& state) {
  Shape shape;
  shape.eras = static_cast<uint32_t>(state.range(0));
  shape.options = static_cast<uint32_t>(state.range(1));
  grow(state, shape, false);
}
BENCHMARK(growth_with_cells)
    ->ArgNames({"eras", "options"})
    ->Args({2, 2})
    ->Args({4, 2})
    ->Args({8, 2})
    ->Args({8, 3})
    ->Args({16, 3})
    ->Args({16, 4})
    ->Args({16, 5})
    ->UseManualTime()
    ->Complexity()
    ->Unit(benchmark::kMillisecond);

// --- will these parts work together ---------------------------------------------------------------

// Builds with three places filled otherwise, judged whole, none of the work shared between them.
class Fillings {
 public:
  explicit Fillings(const Family& family) : index_(family), shelf_(index_), judge_(shelf_) {
    for (Index place = 0; place < family.places.size(); ++place)
      for (judge::VariantId id : shelf_.of_place(place)) choices_.emplace_back(place, id);
    for (uint32_t cell : family.set(family.built).cells()) builds_.push_back(shelf_.build(cell));
  }
  judge::Judgement next() {
    judge::Assembly assembly = builds_[random_() % builds_.size()];
    for (int i = 0; i < 3; ++i) {
      const auto& [place, id] = choices_[random_() % choices_.size()];
      assembly.at[place] = id;
    }
    return judge_.judge(assembly);
  }
  size_t variants() const { return choices_.size(); }

 private:
  FamilyIndex index_;
  judge::Shelf shelf_;
  judge::Judge judge_;
  std::vector<std::pair<Index, judge::VariantId>> choices_;
  std::vector<judge::Assembly> builds_;
  std::minstd_rand random_{1};
};

void judge_fillings(benchmark::State& state, const Family& family) {
  Fillings fillings(family);
  for (auto _ : state) benchmark::DoNotOptimize(fillings.next());
  state.counters["wires"] = static_cast<double>(family.wires.size());
  state.counters["variants"] = static_cast<double>(fillings.variants());
  state.counters["seconds_for_10000"] = benchmark::Counter(static_cast<double>(state.iterations()) / 10000,
                                                           benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}

// The whole vehicle of the reference corpus.
void fit_croft(benchmark::State& state) {
  CompileOptions options;
  options.family = "croft";
  const std::unique_ptr<Compiled> compiled = compile(RealFiles(), LOOMPROOF_SOURCE_DIR "/reference", options);
  require_clean(compiled->report);
  judge_fillings(state, compiled->families.at(0).family);
}
BENCHMARK(fit_croft);

void fit_with_wires(benchmark::State& state) {
  Shape shape;
  shape.units = static_cast<uint32_t>(state.range(0));
  shape.bundles = 2;
  const Corpus corpus = make(shape);
  judge_fillings(state, compile_clean(corpus, 1)->families.at(0).family);
}
BENCHMARK(fit_with_wires)->RangeMultiplier(2)->Range(1, 8);

void fit_with_variants(benchmark::State& state) {
  Shape shape;
  shape.eras = static_cast<uint32_t>(state.range(0));
  shape.bundles = 2;
  const Corpus corpus = make(shape);
  judge_fillings(state, compile_clean(corpus, 1)->families.at(0).family);
}
BENCHMARK(fit_with_variants)->RangeMultiplier(2)->Range(2, 16);

}  // namespace
}  // namespace loomproof::bench

BENCHMARK_MAIN();
