#include "sweepflux/base/error.hpp"
#include "sweepflux/base/input_file.hpp"
#include "sweepflux/record/json_text_private.hpp"
#include "sweepflux/record/summary.hpp"

#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t largest_file = 64U << 20U;  // a summary has some kilobytes a plane

double to_number(const Json& json) {
  return json.is_null() ? std::numeric_limits<double>::quiet_NaN() : json.get<double>();
}

double to_number(const Json& json, const char* key) { return to_number(json.at(key)); }

/// Names are one line: they are printed among others.
std::string to_name(const Json& json, const char* key) {
  std::string text = json.at(key).get<std::string>();
  if (text.find_first_of("\r\n") != std::string::npos) {
    throw InputError(std::string("its ") + key + " has a line break in it");
  }
  return text;
}

/// Keys that an early version did not write: an empty list then.
Json list_or_empty(const Json& json, const char* key) {
  const auto found = json.find(key);
  return found == json.end() ? Json::array() : *found;
}

std::vector<std::string> texts(const Json& json, const char* key) {
  return list_or_empty(json, key).get<std::vector<std::string>>();
}

Measured to_measured(const Json& json) {
  return {to_number(json, "value"), to_number(json, "standard_uncertainty")};
}

Estimate to_estimate(const Json& json) {
  const Json& interval = json.at("interval_95");
  return {to_number(json, "value"),
          to_number(json, "standard_uncertainty"),
          to_number(interval.at(0)),
          to_number(interval.at(1))};
}

Outlet to_outlet(const Json& json) {
  Outlet outlet;
  if (json.at("shape").get<std::string>() == "round") {
    outlet.shape = OutletShape::round;
    outlet.diameter_m = to_number(json, "diameter_m");
  } else {
    outlet.shape = OutletShape::slot;
    outlet.width_m = to_number(json, "width_m");
    outlet.height_m = to_number(json, "height_m");
  }
  outlet.centre_height_m = to_number(json, "centre_height_m");
  outlet.ahead_of_axis_m = to_number(json, "ahead_of_axis_m");
  if (!json.at("power_w").is_null()) {
    outlet.power_w = to_measured(json.at("power_w"));
  }
  if (json.contains("sound_level_db") && !json.at("sound_level_db").is_null()) {
    outlet.sound = SoundLevel{to_measured(json.at("sound_level_db")),
                              to_number(json, "sound_distance_m")};
  }
  return outlet;
}

Probe to_probe(const Json& json) {
  Probe probe;
  const std::string kind = json.at("kind").get<std::string>();
  for (const ProbeKind k : every_probe_kind) {
    probe.kind = kind == probe_kind_name(k) ? k : probe.kind;
  }
  probe.head_diameter_m = to_number(json, "head_diameter_m");
  probe.scale_uncertainty = to_number(json, "scale_uncertainty");
  probe.offset_uncertainty_m_s = to_number(json, "offset_uncertainty_m_s");
  probe.resolution_m_s = to_number(json, "resolution_m_s");
  for (const Json& pair : json.at("calibration_m_s")) {
    probe.calibration.emplace_back(to_number(pair.at(0)), to_number(pair.at(1)));
  }
  return probe;
}

void read_lists(const Json& json, PlaneResult& plane) {
  for (const Json& row : list_or_empty(json, "budget")) {
    plane.budget.push_back({row.at("source").get<std::string>(),
                            to_number(row, "volume_flow_m3_s"),
                            to_number(row, "momentum_flux_n")});
  }
  for (const Json& row : list_or_empty(json, "held_out")) {
    plane.held_out.push_back({row.at("sweep").get<std::string>(),
                              to_number(row, "height_m"),
                              to_number(row, "rms_error_m_s"),
                              to_number(row, "z_score"),
                              row.contains("chance") ? to_number(row, "chance") : 1.0});
  }
  for (const Json& row : list_or_empty(json, "outlying")) {
    plane.outlying.push_back({row.at("sweep").get<std::string>(),
                              row.at("line").get<std::size_t>(),
                              to_number(row, "speed_m_s"),
                              to_number(row, "expected_m_s"),
                              to_number(row, "z_score")});
  }
  for (const Json& row : list_or_empty(json, "sweep_list")) {
    PlacedSweep sweep;
    sweep.name = row.at("name").get<std::string>();
    sweep.height_m = to_number(row, "height_m");
    sweep.readings = row.at("readings").get<std::size_t>();
    sweep.left_out = row.at("left_out").get<std::size_t>();
    plane.samples.sweeps.push_back(std::move(sweep));
  }
}

/// A quantity that has no answer is not a number.
Estimate estimate_or_none(const Json& json) {
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  return json.is_null() ? Estimate{none, none, none, none} : to_estimate(json);
}

PlaneResult to_plane(const Json& json) {
  PlaneResult plane;
  plane.distance_m = to_number(json, "distance_m");
  plane.downstream_m = to_number(json, "downstream_m");
  plane.sweeps = json.at("sweeps").get<std::size_t>();
  plane.readings = json.at("readings").get<std::size_t>();
  plane.left_out = json.at("left_out").get<std::size_t>();
  plane.censored = json.at("censored").get<std::size_t>();
  plane.volume_flow_m3_s = estimate_or_none(json.at("volume_flow_m3_s"));
  plane.momentum_flux_n = estimate_or_none(json.at("momentum_flux_n"));
  plane.kinetic_power_w = estimate_or_none(json.at("kinetic_power_w"));
  plane.flow_extrapolated = to_number(json.at("share_beyond_readings"), "volume_flow");
  plane.momentum_extrapolated = to_number(json.at("share_beyond_readings"), "momentum_flux");
  if (json.contains("withheld") && json.at("withheld").is_string()) {
    plane.withheld = json.at("withheld").get<std::string>();
  }
  if (json.contains("inside_window")) {
    const Json& inside = json.at("inside_window");
    if (!inside.at("volume_flow_m3_s").is_null() && !inside.at("momentum_flux_n").is_null()) {
      plane.inside_flow_m3_s = to_estimate(inside.at("volume_flow_m3_s"));
      plane.inside_momentum_flux_n = to_estimate(inside.at("momentum_flux_n"));
    }
  }
  plane.peak_speed_m_s = to_number(json, "peak_speed_m_s");
  plane.centre = {to_number(json.at("centre_m"), "y"), to_number(json.at("centre_m"), "z")};
  plane.half_width_y_m = to_number(json.at("half_width_m"), "y");
  plane.half_width_z_m = to_number(json.at("half_width_m"), "z");
  plane.warnings = texts(json, "warnings");
  plane.notes = texts(json, "notes");
  plane.samples.remarks = texts(json, "remarks");
  plane.samples.distance_m = plane.distance_m;
  plane.samples.downstream_m = plane.downstream_m;
  read_lists(json, plane);
  return plane;
}

/// A key that older versions did not write, or that says nothing.
bool is_known(const Json& json, const char* key) {
  return json.contains(key) && !json.at(key).is_null();
}

CrossCheck to_cross_check(const Json& json) {
  CrossCheck check;
  check.distance_m = to_number(json, "distance_m");
  check.ratio = to_number(json, "ratio");
  check.ratio_low_95 = to_number(json.at("ratio_interval_95").at(0));
  check.ratio_high_95 = to_number(json.at("ratio_interval_95").at(1));
  check.normalised_error = to_number(json, "normalised_error");
  check.agrees = json.at("agrees").get<bool>();
  for (const Json& row : list_or_empty(json, "explanations")) {
    check.explanations.push_back({row.at("text").get<std::string>(),
                                  to_number(row.at("shift").at(0)),
                                  to_number(row.at("shift").at(1)),
                                  to_number(row, "weight")});
  }
  return check;
}

/// The rows left out come back under sweeps that hold nothing else.
void read_left_out(const Json& list, std::vector<Sweep>& sweeps) {
  for (const Json& row : list) {
    const std::string name = row.at("sweep").get<std::string>();
    const double distance_m = to_number(row, "distance_m");
    const double height_m = to_number(row, "height_m");
    if (sweeps.empty() || sweeps.back().name != name || sweeps.back().distance_m != distance_m ||
        sweeps.back().height_m != height_m) {
      Sweep sweep;
      sweep.name = name;
      sweep.distance_m = distance_m;
      sweep.height_m = height_m;
      sweeps.push_back(std::move(sweep));
    }
    sweeps.back().left_out.push_back({row.at("line").get<std::size_t>(),
                                      row.at("reason").get<std::string>(),
                                      row.at("over_range").get<bool>()});
  }
}

SurveyResult to_result(const Json& json) {
  SurveyResult result;
  result.survey.title = to_name(json.at("survey"), "title");
  result.survey.fan = to_name(json.at("survey"), "fan");
  result.survey.setting = to_name(json.at("survey"), "setting");
  if (json.at("survey").contains("variant")) {
    result.survey.variant = to_name(json.at("survey"), "variant");
  }
  result.survey.outlet = to_outlet(json.at("outlet"));
  result.survey.defaults_used = texts(json, "defaults_used");
  for (const Json& row : list_or_empty(json, "remarks")) {
    result.survey.remarks.push_back({{row.at("file").get<std::string>(),
                                      row.at("line").get<std::size_t>(),
                                      row.at("column").get<std::size_t>()},
                                     row.at("text").get<std::string>()});
  }
  if (json.contains("probe")) {
    result.survey.probe = to_probe(json.at("probe"));
  }
  // Of tables from before it was in them it is not known.
  result.survey.air.temperature_k =
      json.at("air").contains("temperature_k")
          ? to_measured(json.at("air").at("temperature_k"))
          : Measured{std::numeric_limits<double>::quiet_NaN(), 0.0};
  if (is_known(json, "stream")) {
    const Json& stream = json.at("stream");
    const auto known = [&](const char* key) {
      return is_known(stream, key) ? std::optional(to_estimate(stream.at(key))) : std::nullopt;
    };
    result.stream = {to_estimate(stream.at("momentum_flux_n")),
                     stream.at("momentum_constant").get<bool>(),
                     known("momentum_change"),
                     known("virtual_origin_m"),
                     known("spread_rate"),
                     known("entrainment_rate")};
  }
  if (is_known(json, "sampler")) {
    SamplerReport& sampler = result.sampler.emplace();
    sampler.draws = json.at("sampler").at("draws").get<std::size_t>();
    sampler.effective_draws = to_number(json.at("sampler"), "effective_draws");
    sampler.apart = to_number(json.at("sampler"), "halves_apart");
    sampler.converged = json.at("sampler").at("converged").get<bool>();
  }
  if (is_known(json, "stream_check")) {
    result.stream_check = to_cross_check(json.at("stream_check"));
  }
  read_left_out(list_or_empty(json, "left_out"), result.survey.sweeps);
  result.method = json.at("method").get<std::string>();
  result.warnings = texts(json, "warnings");
  result.notes = texts(json, "notes");
  result.density_kg_m3 = to_measured(json.at("air").at("density_kg_m3"));
  for (const Json& plane : json.at("planes")) {
    result.planes.push_back(to_plane(plane));
  }
  if (!json.at("thrust_n").is_null()) {
    result.thrust_n = to_estimate(json.at("thrust_n"));
    result.thrust_zero_drift_n = to_number(json, "thrust_zero_drift_n");
  }
  result.thrust_remarks = texts(json, "thrust_remarks");
  for (const Json& check : json.at("cross_check")) {
    result.cross_check.push_back(to_cross_check(check));
  }
  const Json& next = json.at("next_sweep");
  if (!next.is_null()) {
    result.next_sweep = {to_number(next, "distance_m"),
                         to_number(next, "height_m"),
                         to_number(next, "momentum_uncertainty_after_n")};
  }
  return result;
}

/// `2:14`: where in the text a byte stands.
std::string line_and_column(std::string_view text, std::size_t byte) {
  std::size_t line = 1;
  std::size_t column = 1;
  for (std::size_t i = 0; i + 1 < byte && i < text.size(); ++i) {
    column = text[i] == '\n' ? 1 : column + 1;
    line += text[i] == '\n' ? 1u : 0u;
  }
  return std::to_string(line) + ":" + std::to_string(column);
}

}  // namespace

SurveyResult parse_summary(std::string_view text, std::string_view where) {
  const std::string file(where);
  Json json;
  try {
    json = Json::parse(text);
  } catch (const Json::parse_error& error) {
    throw InputError(file + ":" + line_and_column(text, error.byte) +
                     ": is no JSON; give a summary.json as `sweepflux map` writes it");
  } catch (const Json::out_of_range&) {
    throw InputError(file +
                     ": holds a number that is too large for any result; give a "
                     "summary.json as `sweepflux map` writes it");
  }
  if (!json.is_object() || !json.contains("sweepflux")) {
    throw InputError(file + ": is JSON, but no summary of sweepflux (key `sweepflux` is missing)");
  }
  try {
    return to_result(json);
  } catch (const InputError& error) {
    throw InputError(file + ": is not a whole summary of sweepflux: " + error.what());
  } catch (const Json::exception& error) {
    // What the library says after its own tag: "key 'planes' not found".
    std::string what = error.what();
    what = what.substr(what.find("] ") == std::string::npos ? 0 : what.find("] ") + 2);
    throw InputError(file + ": is not a whole summary of sweepflux: " + what +
                     "; run `sweepflux map` again");
  }
}

SurveyResult read_summary(const std::filesystem::path& file) {
  std::string text;
  try {
    text = read_input(file, "; name a summary.json", largest_file);
  } catch (const InputError& error) {
    throw InputError(file.string() + ": " + error.what());
  }
  if (text.size() > largest_file) {
    throw InputError(file.string() +
                     ": is larger than 64 MiB, this is no summary.json of sweepflux");
  }
  return parse_summary(text, file.string());
}

}  // namespace sweepflux
