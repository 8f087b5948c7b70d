#include "render/pages/plane_numbers.hpp"

#include "render/pages/html_text.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux::render {
namespace {

using Pick = std::optional<Estimate> PlaneNumbers::*;

bool any(std::span<const PlaneNumbers> planes, const auto& pick) {
  return std::any_of(
      planes.begin(), planes.end(), [&](const PlaneNumbers& p) { return (p.*pick).has_value(); });
}

PageTable table_of(std::span<const PlaneNumbers> planes,
                   const char* name,
                   const char* unit,
                   Pick whole,
                   std::optional<double> PlaneNumbers::*extrapolated,
                   Pick inside) {
  PageTable table;
  table.caption = name;
  table.add_number("Distance", "m");
  table.add_measured("Value", unit, true);
  const bool with_share = extrapolated && any(planes, extrapolated);
  const bool with_inside = inside && any(planes, inside);
  if (with_share) {
    table.add_number("Extra\u00ADpolated", "%", 2);
  }
  if (with_inside) {
    table.add_measured("Inside the window", unit);
  }
  for (const PlaneNumbers& p : planes) {
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.emplace_back(p.distance_m);
    add_cells(row, p.*whole, true);
    if (with_share) {
      row.emplace_back(100.0 *
                       (p.*extrapolated).value_or(std::numeric_limits<double>::quiet_NaN()));
    }
    if (with_inside) {
      add_cells(row, p.*inside);
    }
  }
  return table;
}

}  // namespace

PlaneNumbers numbers_of(const PlaneResult& plane) {
  const auto known = [](const Estimate& e) {
    return std::isfinite(e.value) ? std::optional<Estimate>(e) : std::nullopt;
  };
  PlaneNumbers numbers;
  numbers.distance_m = plane.distance_m;
  numbers.volume_flow_m3_s = known(plane.volume_flow_m3_s);
  numbers.momentum_flux_n = known(plane.momentum_flux_n);
  numbers.kinetic_power_w = known(plane.kinetic_power_w);
  if (numbers.volume_flow_m3_s) {
    numbers.flow_extrapolated = plane.flow_extrapolated;
  }
  if (numbers.momentum_flux_n) {
    numbers.momentum_extrapolated = plane.momentum_extrapolated;
  }
  numbers.flow_inside_m3_s = plane.inside_flow_m3_s;
  numbers.momentum_flux_inside_n = plane.inside_momentum_flux_n;
  numbers.why_missing = plane.withheld;
  return numbers;
}

void add_plane_numbers(Page& page, std::span<const PlaneNumbers> planes) {
  if (planes.empty()) {
    return;
  }
  using N = PlaneNumbers;
  const std::vector<PageTable> tables{
      table_of(planes,
               "Volume flow",
               "m\xC2\xB3/s",
               &N::volume_flow_m3_s,
               &N::flow_extrapolated,
               &N::flow_inside_m3_s),
      table_of(planes,
               "Momentum flux",
               "N",
               &N::momentum_flux_n,
               &N::momentum_extrapolated,
               &N::momentum_flux_inside_n),
      table_of(planes, "Kinetic power of the stream", "W", &N::kinetic_power_w, nullptr, nullptr)};
  page.tables(tables);
  for (const PlaneNumbers& p : planes) {
    if (!p.why_missing.empty()) {
      page.note("No numbers of the whole plane at " + format_number(p.distance_m, 4) +
                " m: " + pretty(p.why_missing));
    }
  }
}

}  // namespace sweepflux::render
