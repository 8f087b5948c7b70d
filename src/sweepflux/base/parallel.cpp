#include "sweepflux/base/parallel.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>
#include <vector>

namespace sweepflux {

void parallel_for(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
  const std::size_t available = std::max(1u, std::thread::hardware_concurrency());
  const std::size_t wanted = threads > 0 ? static_cast<std::size_t>(threads) : available;
  const std::size_t used = std::min(wanted, count);
  if (used <= 1) {
    for (std::size_t i = 0; i < count; ++i) {
      work(i);
    }
    return;
  }
  std::atomic<std::size_t> next{0};
  std::vector<std::exception_ptr> failures(count);
  const auto run = [&] {
    for (std::size_t i = next.fetch_add(1); i < count; i = next.fetch_add(1)) {
      try {
        work(i);
      } catch (...) {
        failures[i] = std::current_exception();
      }
    }
  };
  std::vector<std::thread> pool;
  for (std::size_t t = 1; t < used; ++t) {
    pool.emplace_back(run);
  }
  run();
  for (std::thread& thread : pool) {
    thread.join();
  }
  for (const std::exception_ptr& failure : failures) {
    if (failure) {
      std::rethrow_exception(failure);
    }
  }
}

}  // namespace sweepflux
