#pragma once

#include <cstddef>
#include <vector>

namespace sweepflux {

/// Speed on a regular grid of one plane. Row-major: index = iz * ny + iy.
struct PlaneMap {
  double y_min_m = 0.0;
  double z_min_m = 0.0;
  double step_m = 0.0;
  std::size_t ny = 0;
  std::size_t nz = 0;
  std::vector<double> speed_m_s;
  std::vector<double> uncertainty_m_s;  ///< standard uncertainty of the speed
  std::vector<double> support;          ///< 0 (no sweep says anything here) to 1 (well supported)
  std::vector<double> low_m_s = {};     ///< 95 % interval of the speed; empty: not known
  std::vector<double> high_m_s = {};

  [[nodiscard]] double y_m(std::size_t iy) const {
    return y_min_m + step_m * static_cast<double>(iy);
  }
  [[nodiscard]] double z_m(std::size_t iz) const {
    return z_min_m + step_m * static_cast<double>(iz);
  }
};

}  // namespace sweepflux
