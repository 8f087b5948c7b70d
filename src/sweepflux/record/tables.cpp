#include "sweepflux/record/tables.hpp"

#include "sweepflux/record/number_text_private.hpp"

#include <cmath>
#include <initializer_list>

namespace sweepflux {
namespace {

void append_row(std::string& text, std::initializer_list<double> values) {
  const char* gap = "";
  for (const double value : values) {
    text += gap;
    append_number(text, value);
    gap = ",";
  }
}

const CrossCheck* find_check(const SurveyResult& result, double distance_m) {
  for (const CrossCheck& check : result.cross_check) {
    if (check.distance_m == distance_m) {
      return &check;
    }
  }
  return nullptr;
}

void append_estimate_heading(std::string& text, const std::string& name, const std::string& unit) {
  text += name + "_" + unit + "," + name + "_standard_uncertainty_" + unit + "," + name +
          "_low_95_" + unit + "," + name + "_high_95_" + unit + ",";
}

void append_estimate(std::string& text, const Estimate& estimate) {
  append_row(text,
             {estimate.value, estimate.standard_uncertainty, estimate.low_95, estimate.high_95});
  text += ",";
}

}  // namespace

std::string planes_csv(const SurveyResult& result) {
  std::string text = "distance_m,downstream_m,sweeps,readings,left_out,censored,";
  append_estimate_heading(text, "volume_flow", "m3_s");
  append_estimate_heading(text, "momentum_flux", "n");
  append_estimate_heading(text, "kinetic_power", "w");
  text +=
      "volume_flow_share_extrapolated,momentum_flux_share_extrapolated,peak_speed_m_s,"
      "centre_y_m,centre_z_m,half_width_y_m,half_width_z_m,momentum_to_thrust,"
      "momentum_to_thrust_low_95,momentum_to_thrust_high_95,normalised_error,agrees\n";
  for (const PlaneResult& plane : result.planes) {
    append_row(text, {plane.distance_m, plane.downstream_m});
    for (const std::size_t count : {plane.sweeps, plane.readings, plane.left_out, plane.censored}) {
      text += ",";
      text += std::to_string(count);
    }
    text += ",";
    append_estimate(text, plane.volume_flow_m3_s);
    append_estimate(text, plane.momentum_flux_n);
    append_estimate(text, plane.kinetic_power_w);
    append_row(text,
               {plane.flow_extrapolated,
                plane.momentum_extrapolated,
                plane.peak_speed_m_s,
                plane.centre.y_m,
                plane.centre.z_m,
                plane.half_width_y_m,
                plane.half_width_z_m});
    text += ",";
    if (const CrossCheck* check = find_check(result, plane.distance_m)) {
      append_row(
          text, {check->ratio, check->ratio_low_95, check->ratio_high_95, check->normalised_error});
      text += check->agrees ? ",yes\n" : ",no\n";
    } else {
      text += ",,,,\n";
    }
  }
  return text;
}

std::string plane_csv(const PlaneMap& map) {
  const std::size_t count = map.ny * map.nz;
  if (map.speed_m_s.size() != count || map.uncertainty_m_s.size() != count ||
      map.support.size() != count) {
    throw InputError("the map has " + std::to_string(map.ny) + " x " + std::to_string(map.nz) +
                     " points, but its values are not that many");
  }
  std::string text = "y_m,z_m,speed_m_s,speed_uncertainty_m_s,support\n";
  text.reserve(count * 40);
  for (std::size_t iz = 0; iz < map.nz; ++iz) {
    for (std::size_t iy = 0; iy < map.ny; ++iy) {
      const std::size_t i = iz * map.ny + iy;
      // A micrometre and a micrometre a second are far below what any probe can resolve.
      append_rounded(text, map.y_min_m + static_cast<double>(iy) * map.step_m, 6);
      text += ",";
      append_rounded(text, map.z_min_m + static_cast<double>(iz) * map.step_m, 6);
      text += ",";
      append_rounded(text, map.speed_m_s[i], 6);
      text += ",";
      append_rounded(text, map.uncertainty_m_s[i], 6);
      text += ",";
      append_rounded(text, map.support[i], 4);
      text += "\n";
    }
  }
  return text;
}

std::string distance_text(double distance_m) {
  std::string text;
  append_rounded(text, distance_m, 6);
  return text;
}

}  // namespace sweepflux
