#pragma once

#include "sweepflux/base/geometry.hpp"

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace sweepflux {

enum class Search {
  tree,        ///< k-d tree
  brute_force  ///< all distances; the same answer, for tests
};

/// The nearest of many places. Equal distances are ranked by index, so the answer depends on the
/// places alone and tree and brute force agree to the last index.
///
/// Cost: O(N log N) once, about O(k log N) a question. Safe from several threads.
class Neighbours {
 public:
  /// @throws InputError  a place is not finite
  explicit Neighbours(std::vector<PlanePoint> at, Search search = Search::tree);

  /// Indices of the `count` nearest places (all, when there are fewer), nearest first.
  [[nodiscard]] std::vector<std::size_t> nearest(PlanePoint to, std::size_t count) const;

  /// The same into storage of the caller, for use in inner loops.
  /// @return how many were found: min(count of `into`, number of places)
  std::size_t nearest(PlanePoint to, std::span<std::size_t> into) const;

  [[nodiscard]] const std::vector<PlanePoint>& places() const;

 private:
  struct Tree;
  std::shared_ptr<const Tree> tree_;
};

}  // namespace sweepflux
