#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <vector>

namespace sweepflux::test {

constexpr double degree = std::numbers::pi / 180.0;

/// A round fan of 0.4 m at 0.9 m height, a point probe without faults, no sweeps yet.
inline Survey bare_survey() {
  Survey survey;
  survey.file = "survey.toml";
  survey.fan = "heron";
  survey.outlet.diameter_m = 0.4;
  survey.outlet.centre_height_m = 0.9;
  return survey;
}

/// One sweep over even positions, first to last; `indicated` gives the reading at a position.
inline Sweep even_sweep(double distance_m,
                        double height_m,
                        double first,
                        double last,
                        int count,
                        const std::function<double(double)>& indicated) {
  Sweep sweep;
  sweep.name = "sweep-" + std::to_string(std::lround(height_m * 1000.0));
  sweep.file = sweep.name + ".csv";
  sweep.distance_m = distance_m;
  sweep.height_m = height_m;
  for (int i = 0; i < count; ++i) {
    Reading reading;
    reading.position = first + (last - first) * i / (count - 1);
    reading.speed_m_s = indicated(reading.position);
    reading.line = static_cast<std::size_t>(i) + 2;
    sweep.readings.push_back(reading);
  }
  return sweep;
}

}  // namespace sweepflux::test
