// make_corpus FOLDER MEGABYTES [SEED]: writes a synthetic corpus.
#include <cstdio>
#include <cstdlib>
#include <exception>

#include "generate.h"

int main(int argc, char** argv) try {
  using namespace loomproof::bench;
  double megabytes = argc > 2 ? std::atof(argv[2]) : 0;
  if (argc < 3 || argc > 4 || megabytes <= 0) {
    std::fputs("usage: make_corpus FOLDER MEGABYTES [SEED]\n", stderr);
    return 2;
  }
  CorpusFiles files = generate(shape_of_megabytes(megabytes, argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 1));
  write_to_folder(files, argv[1]);
  std::printf("%zu files, %.2f MB\n", files.size(), static_cast<double>(total_bytes(files)) / 1e6);
  return 0;
} catch (const std::exception& error) {
  std::fprintf(stderr, "make_corpus: %s\n", error.what());
  return 2;
}
