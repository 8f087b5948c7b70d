#include "tests/support/made_result.hpp"

#include <cmath>

namespace sweepflux::test {
namespace {

PlaneMap made_map(std::size_t ny, std::size_t nz, double step_m, double peak_m_s) {
  PlaneMap map{-0.3, 0.5, step_m, ny, nz, {}, {}, {}};
  for (std::size_t iz = 0; iz < nz; ++iz) {
    for (std::size_t iy = 0; iy < ny; ++iy) {
      const double y_m = map.y_min_m + static_cast<double>(iy) * step_m;
      const double z_m = map.z_min_m + static_cast<double>(iz) * step_m - 0.9;
      map.speed_m_s.push_back(peak_m_s * std::exp(-(y_m * y_m + z_m * z_m) / 0.04));
      map.uncertainty_m_s.push_back(0.05 + 0.01 * static_cast<double>(iz));
      map.low_m_s.push_back(map.speed_m_s.back() - 2.0 * map.uncertainty_m_s.back());
      map.high_m_s.push_back(map.speed_m_s.back() + 2.0 * map.uncertainty_m_s.back());
      map.support.push_back(iy == 0 ? 0.0 : 1.0);
    }
  }
  return map;
}

PlaneResult made_plane(double distance_m, double scale) {
  PlaneResult plane;
  plane.distance_m = distance_m;
  plane.downstream_m = distance_m - 0.11;
  plane.sweeps = 2;
  plane.readings = 61;
  plane.left_out = 3;
  plane.censored = 12;
  plane.volume_flow_m3_s = {0.61 * scale, 0.03, 0.55 * scale, 0.69 * scale};
  plane.momentum_flux_n = {0.91, 0.03, 0.85, 0.98};
  plane.kinetic_power_w = {1.6 / scale, 0.1, 1.4 / scale, 1.8 / scale};
  plane.flow_extrapolated = 0.21;
  plane.momentum_extrapolated = 0.031;
  plane.peak_speed_m_s = 3.9 / scale;
  plane.centre = {0.02, 0.95};
  plane.half_width_y_m = 0.16 * scale;
  plane.half_width_z_m = 0.17 * scale;
  plane.budget = {{"probe scale", 0.012, 0.048}, {"readings", 0.004, 0.006}};
  plane.held_out = {{"low.csv", 0.7, 0.11, 0.9}, {"high.csv", 1.1, 0.21, 1.4}};
  plane.outlying = {{"low.csv", 17, 4.2, 2.1, 5.5}};
  plane.warnings = {"the lowest sweep still carries 30 % of the strongest"};
  plane.notes = {"shapes weighed: round 0.8, slot 0.2"};
  plane.map = made_map(7, 9, 0.1 * scale, 3.9 / scale);
  plane.samples.distance_m = plane.distance_m;
  plane.samples.downstream_m = plane.downstream_m;
  plane.samples.sweeps = {{"low.csv", "sweeps/low.csv", 0.7, 31, 2},
                          {"high.csv", "sweeps/high.csv", 1.1, 30, 1}};
  plane.samples.remarks = {"two readings at one angle were averaged"};
  return plane;
}

}  // namespace

SurveyResult made_result() {
  SurveyResult result;
  result.survey.file = "heron-3/survey.toml";
  result.survey.title =
      "Herb loft, \"heron\", speed 3, 21 \xC2\xB0"
      "C";
  result.survey.fan = "heron";
  result.survey.setting = "3";
  result.survey.outlet.diameter_m = 0.4;
  result.survey.outlet.centre_height_m = 0.92;
  result.survey.outlet.ahead_of_axis_m = 0.11;
  result.survey.outlet.power_w = Measured{41, 1};
  result.survey.defaults_used = {"probe.response = cosine (from the kind)"};
  result.survey.remarks = {{{"low.csv", 2, 0}, "read as Latin-1"}};
  for (const char* name : {"low.csv", "high.csv"}) {
    Sweep sweep;
    sweep.name = name;
    sweep.file = std::string("sweeps/") + name;
    sweep.distance_m = 1.5;
    sweep.height_m = name[0] == 'l' ? 0.7 : 1.1;
    sweep.left_out = {{17, "missing value `---`", false}};
    result.survey.sweeps.push_back(sweep);
  }
  result.survey.sweeps[0].left_out.push_back({23, "over range `OL`", true});
  result.method = "shapes weighed by evidence";
  result.density_kg_m3 = {1.187, 0.002};
  result.planes = {made_plane(1.5, 1.0), made_plane(2.25, 1.5)};
  result.thrust_n = Estimate{0.95, 0.01, 0.93, 0.97};
  result.thrust_zero_drift_n = 0.0098;
  result.thrust_remarks = {"the zero drifted by 1 g"};
  result.cross_check = {{1.5, 0.96, 0.89, 1.03, -0.63, true, {{"turbulence", -0.12, -0.02, 0.7}}},
                        {2.25, 0.9, 0.85, 0.95, -1.4, false, {}}};
  result.next_sweep = NextSweep{1.5, 1.21, 0.027};
  result.warnings = {"one height only at 2.25 m"};
  result.notes = {"planes were weighed together"};
  return result;
}

}  // namespace sweepflux::test
