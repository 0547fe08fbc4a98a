// Files of a corpus written anew: all of them or none, each whole, and none that somebody changed meanwhile.
#pragma once
#include <string>
#include <vector>

namespace loomproof::tool {

struct Rewrite {
  std::string path;  // below the corpus
  std::string was, now;
};

// Throws EnvironmentError.
void rewrite(const std::string& corpus, const std::vector<Rewrite>& files);

}  // namespace loomproof::tool
