#pragma once

#include "sweepflux/field/stream/residual_process_private.hpp"
#include "sweepflux/field/stream/root_process_private.hpp"

#include <memory>
#include <vector>

namespace sweepflux {

/// A shape that stands in the first guess of the root process.
struct GuessedShape {
  double weight = 0.0;
  std::shared_ptr<const ResidualProcess> process;
  Vector t;
};

/// A root process about the mean of these shapes, of one plane.
[[nodiscard]] std::shared_ptr<RootProcess> root_about(const FitData& data,
                                                      const std::vector<GuessedShape>& shapes);

}  // namespace sweepflux
