#include "scans/demo_surveys.hpp"

#include <algorithm>
#include <initializer_list>

namespace sweepflux::demo {
namespace {

void add_sweeps(DemoSurvey& survey,
                double distance_m,
                std::initializer_list<double> heights_m,
                Dialect dialect = Dialect::plain) {
  for (const double height_m : heights_m) {
    survey.sweeps.push_back({.distance_m = distance_m, .height_m = height_m, .dialect = dialect});
  }
}

DemoSweep& find_sweep(DemoSurvey& survey, double distance_m, double height_m) {
  return *std::find_if(survey.sweeps.begin(), survey.sweeps.end(), [&](const DemoSweep& sweep) {
    return sweep.distance_m == distance_m && sweep.height_m == height_m;
  });
}

DemoSurvey heron(const std::string& setting, double thrust_n, const std::string& power) {
  DemoSurvey survey;
  survey.folder = "heron-" + setting;
  survey.title = "Herb loft, heron, speed " + setting;
  survey.fan = "heron";
  survey.setting = setting;
  survey.outlet_toml = "shape = \"round\"\ndiameter = \"0.40 m\"\n";
  survey.power = power;
  survey.centre_height_m = 0.92;
  survey.ahead_of_axis_m = 0.11;
  survey.thrust_n = thrust_n;
  survey.stream = round_stream({.thrust_over_density_m4_s2 = thrust_n / loft_density_kg_m3,
                                .outlet_radius_m = 0.20,
                                .spread = 0.085,
                                .hub_dip = 0.65,
                                .dip_fills_over_m = 1.1,
                                .drift_right = 0.012,
                                .drift_up = 0.01});
  return survey;
}

DemoSurvey teal(const std::string& setting, double thrust_n, const std::string& power) {
  DemoSurvey survey;
  survey.folder = "teal-" + setting;
  survey.title = "Herb loft, teal, speed " + setting;
  survey.fan = "teal";
  survey.setting = setting;
  survey.outlet_toml = "shape = \"slot\"\nwidth = \"0.06 m\"\nheight = \"0.80 m\"\n";
  survey.power = power;
  survey.centre_height_m = 0.75;
  survey.ahead_of_axis_m = 0.06;
  survey.angle_zero_deg = 1.5;
  survey.thrust_n = thrust_n;
  survey.stream = tower_stream({.thrust_over_density_m4_s2 = thrust_n / loft_density_kg_m3,
                                .half_height_m = 0.40,
                                .spread = 0.1});
  return survey;
}

DemoSurvey heron_3() {
  DemoSurvey survey = heron("3", 0.95, "41 W");
  survey.seed = 303;
  add_sweeps(survey, 1.0, {0.56, 0.68, 0.80, 0.92, 1.04, 1.16, 1.28}, Dialect::with_spread);
  add_sweeps(survey, 1.6, {0.44, 0.60, 0.76, 0.92, 1.08, 1.24, 1.40}, Dialect::with_spread);
  add_sweeps(survey, 2.4, {0.32, 0.52, 0.72, 0.92, 1.12, 1.32, 1.52}, Dialect::with_spread);
  find_sweep(survey, 1.0, 0.80).misses_a_reading = true;
  DemoSweep again = find_sweep(survey, 1.6, 0.92);
  again.backwards = true;
  again.suffix = "-again";
  survey.sweeps.push_back(again);
  survey.zero_drift_g = 2.0;
  survey.notes =
      "A round axial circulator at its highest speed, at three distances and seven heights. The\n"
      "dip behind the hub is plain at 1.0 m and nearly filled at 2.4 m.\n"
      "\n"
      "As in a real week: the sweep at 1.6 m and 0.92 m was made twice (the second time from\n"
      "right to left), one reading at 1.0 m and 0.80 m is missing (`---`), and the balance's zero\n"
      "moved by 2 g while it was read.\n";
  return survey;
}

DemoSurvey heron_slow(const std::string& setting, double thrust_n, const std::string& power) {
  DemoSurvey survey = heron(setting, thrust_n, power);
  survey.seed = 300 + static_cast<std::uint64_t>(setting[0] - '0');
  add_sweeps(survey, 1.6, {0.52, 0.72, 0.92, 1.12, 1.32});
  survey.notes =
      "The same fan at a lower speed: one distance and five heights, enough to compare settings.\n";
  return survey;
}

DemoSurvey teal_2() {
  DemoSurvey survey = teal("2", 0.45, "36 W");
  survey.seed = 202;
  add_sweeps(survey, 0.8, {0.21, 0.39, 0.57, 0.75, 0.93, 1.11, 1.29});
  add_sweeps(survey, 1.2, {0.21, 0.39, 0.57, 0.75, 0.93, 1.11, 1.29});
  add_sweeps(survey, 1.8, {0.21, 0.39, 0.57, 0.75, 0.93, 1.11, 1.29});
  find_sweep(survey, 1.2, 0.93).dialect = Dialect::decimal_comma;
  survey.notes =
      "A tower fan: a slot of 60 mm by 800 mm, at three distances and seven heights, the "
      "outermost\n"
      "above and below the slot's ends. Its turntable reads 1.5 degrees when the fan faces the\n"
      "probe.\n"
      "\n"
      "As in a real week: one sweep went through a spreadsheet that writes decimal commas and `;`\n"
      "between cells.\n";
  return survey;
}

DemoSurvey teal_1() {
  DemoSurvey survey = teal("1", 0.22, "19 W");
  survey.seed = 201;
  add_sweeps(survey, 1.2, {0.21, 0.39, 0.57, 0.75, 0.93, 1.11, 1.29});
  survey.notes =
      "The same fan at its lower speed: one distance and seven heights, enough to compare "
      "settings.\n";
  return survey;
}

DemoSurvey wren_1() {
  DemoSurvey survey;
  survey.folder = "wren-1";
  survey.title = "Herb loft, wren, only speed";
  survey.fan = "wren";
  survey.setting = "1";
  survey.outlet_toml = "shape = \"round\"\ndiameter = \"0.15 m\"\n";
  survey.power = "9 W";
  survey.centre_height_m = 0.70;
  survey.ahead_of_axis_m = 0.05;
  survey.clockwise = true;
  survey.thrust_n = 0.10;
  survey.zero_drift_g = 0.3;
  survey.balance_resolution_g = 0.1;
  survey.head_diameter_m = 0.03;
  survey.air_was_read = false;
  survey.seed = 101;
  survey.stream = round_stream({.thrust_over_density_m4_s2 = 0.10 / loft_density_kg_m3,
                                .outlet_radius_m = 0.075,
                                .spread = 0.09,
                                .hub_dip = 0.5,
                                .dip_fills_over_m = 0.4,
                                .drift_right = -0.02,
                                .drift_up = 0.0});
  add_sweeps(survey, 0.5, {0.54, 0.62, 0.70, 0.78, 0.86});
  add_sweeps(survey, 0.8, {0.48, 0.59, 0.70, 0.81, 0.92});
  add_sweeps(survey, 1.2, {0.42, 0.56, 0.70, 0.84, 0.98});
  find_sweep(survey, 0.8, 0.59).dialect = Dialect::feet_a_minute;
  survey.notes =
      "A small, weak table fan, at three distances and five heights. Much of its outer region is slower\n"
      "than the probe can read, so the flow leans on what is extrapolated. Its turntable\n"
      "counts angles clockwise.\n"
      "\n"
      "As in a real week: one sweep was logged in feet a minute, under the logger's own column\n"
      "names, the balance's zero moved by 0.3 g, and nobody read the air with the fan off, so that\n"
      "the intervals must allow for a drift.\n";
  return survey;
}

}  // namespace

std::vector<DemoSurvey> demo_surveys() {
  return {heron_slow("1", 0.35, "18 W"),
          heron_slow("2", 0.62, "28 W"),
          heron_3(),
          teal_1(),
          teal_2(),
          wren_1()};
}

}  // namespace sweepflux::demo
