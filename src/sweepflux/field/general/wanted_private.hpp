#pragma once

#include "sweepflux/base/geometry.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <utility>
#include <vector>

namespace sweepflux {

/// Wanted places in the covariance's own measure, and the order that keeps close ones together.
struct Wanted {
  std::vector<double> y;
  std::vector<double> z;
  std::vector<std::size_t> order;

  using Part = std::span<std::size_t>;

  struct Box {
    double y_low, y_high, z_low, z_high;
    [[nodiscard]] double radius() const { return 0.5 * std::hypot(y_high - y_low, z_high - z_low); }
    [[nodiscard]] PlanePoint centre() const {
      return {0.5 * (y_low + y_high), 0.5 * (z_low + z_high)};
    }
  };

  [[nodiscard]] Box box(std::span<const std::size_t> part) const {
    Box b{y[part[0]], y[part[0]], z[part[0]], z[part[0]]};
    for (const std::size_t i : part) {
      b.y_low = std::min(b.y_low, y[i]);
      b.y_high = std::max(b.y_high, y[i]);
      b.z_low = std::min(b.z_low, z[i]);
      b.z_high = std::max(b.z_high, z[i]);
    }
    return b;
  }

  /// Halves a part across its longer side. Equals go by index: the halves are unique.
  [[nodiscard]] std::pair<Part, Part> halve(Part part) const {
    const Box b = box(part);
    const std::vector<double>& along = b.y_high - b.y_low >= b.z_high - b.z_low ? y : z;
    const std::size_t middle = part.size() / 2;
    std::nth_element(part.begin(),
                     part.begin() + static_cast<std::ptrdiff_t>(middle),
                     part.end(),
                     [&](std::size_t i, std::size_t j) {
                       return along[i] < along[j] || (along[i] == along[j] && i < j);
                     });
    return {part.first(middle), part.subspan(middle)};
  }

  void split_into(Part part, std::size_t most, std::vector<Part>& parts) const {
    if (part.size() <= most) {
      if (!part.empty()) {
        parts.push_back(part);
      }
      return;
    }
    const auto [low, high] = halve(part);
    split_into(low, most, parts);
    split_into(high, most, parts);
  }
};

}  // namespace sweepflux
