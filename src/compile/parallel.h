// Work on several threads whose order does not show: tasks share nothing. Private to src/compile.
#pragma once
#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <numeric>
#include <thread>
#include <vector>

#include "compile/compile.h"

namespace loomproof {

// The order in which tasks of these sizes are begun: a long one that is begun last would leave the other threads idle.
inline std::vector<size_t> longest_first(const std::vector<size_t>& sizes) {
  std::vector<size_t> order(sizes.size());
  std::iota(order.begin(), order.end(), size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) { return sizes[a] > sizes[b]; });
  return order;
}

// Runs task(i) for each size i on some threads. Tasks share nothing, so that their order does not show.
template <typename Task>
void in_parallel(const std::vector<size_t>& sizes, const CompileOptions& options, std::string_view phase, Task&& task) {
  const std::vector<size_t> order = longest_first(sizes);
  const size_t count = order.size();
  unsigned threads = options.threads ? options.threads : std::max(1u, std::thread::hardware_concurrency());
  threads = static_cast<unsigned>(std::min<size_t>(threads, count));
  std::atomic<size_t> next{0}, done{0};
  std::exception_ptr failure;
  std::mutex mutex;
  auto work = [&] {
    try {
      for (size_t i; (i = next++) < count;) {
        task(order[i]);
        size_t finished = ++done;
        if (options.progress) {
          std::lock_guard lock(mutex);
          options.progress(phase, finished, count);
        }
      }
    } catch (...) {
      std::lock_guard lock(mutex);
      failure = std::current_exception();
      next = count;
    }
  };
  std::vector<std::thread> helpers;
  for (unsigned i = 1; i < threads; ++i) helpers.emplace_back(work);
  work();
  for (std::thread& helper : helpers) helper.join();
  if (failure) std::rethrow_exception(failure);
}

}  // namespace loomproof
