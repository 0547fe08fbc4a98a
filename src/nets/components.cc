// The only file with Boost.Graph in it. Its incremental components need no adjacency lists: a list of edges is the
// graph.
#include "nets/components.h"

#include <boost/graph/edge_list.hpp>
#include <boost/graph/incremental_components.hpp>
#include <boost/pending/disjoint_sets.hpp>

namespace loomproof {

std::vector<Index> components(uint32_t count, const std::vector<std::pair<Index, Index>>& edges) {
  std::vector<Index> rank(count), parent(count);
  boost::disjoint_sets<Index*, Index*> sets(rank.data(), parent.data());
  for (Index vertex = 0; vertex < count; ++vertex) sets.make_set(vertex);
  boost::edge_list<std::vector<std::pair<Index, Index>>::const_iterator> graph(edges.begin(), edges.end());
  boost::incremental_components(graph, sets);

  std::vector<Index> number(count, none), component(count);
  Index next = 0;
  for (Index vertex = 0; vertex < count; ++vertex) {
    Index& of_set = number[sets.find_set(vertex)];
    if (of_set == none) of_set = next++;
    component[vertex] = of_set;
  }
  return component;
}

}  // namespace loomproof
