#pragma once

#include <cstddef>
#include <functional>

namespace sweepflux {

/// Runs `work(0) ... work(count - 1)` on up to `threads` threads. Which thread takes which index
/// is not fixed, so a result must depend on its index alone: then one thread and many give the
/// same bits. The first exception (by index) is thrown again after all have ended.
///
/// @param threads  0: as many as the machine has
void parallel_for(std::size_t count, int threads, const std::function<void(std::size_t)>& work);

}  // namespace sweepflux
