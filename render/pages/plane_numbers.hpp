#pragma once

#include "render/pages/page.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux::render {

/// The integrals of one plane as a page and the chart along the stream show them. What was not
/// computed is missing and set as "-".
struct PlaneNumbers {
  double distance_m = 0.0;
  std::optional<Estimate> volume_flow_m3_s;  ///< over the whole plane
  std::optional<Estimate> momentum_flux_n;
  std::optional<Estimate> kinetic_power_w;
  std::optional<double> flow_extrapolated;  ///< share of the flow outside the readings, 0 to 1
  std::optional<double> momentum_extrapolated;
  std::optional<Estimate> flow_inside_m3_s;  ///< over the window of the readings alone
  std::optional<Estimate> momentum_flux_inside_n;
  std::string why_missing;  ///< why the whole plane has no numbers, one sentence; empty: it has
};

/// The one place that reads them from a result: a value that is not a number counts as missing.
[[nodiscard]] PlaneNumbers numbers_of(const PlaneResult& plane);

/// Volume flow, momentum flux and kinetic power: a table each with its 95 % intervals and, where
/// there are any, the numbers inside the window; then the reasons for what is missing.
void add_plane_numbers(Page& page, std::span<const PlaneNumbers> planes);

}  // namespace sweepflux::render
