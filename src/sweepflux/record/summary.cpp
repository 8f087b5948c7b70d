#include "sweepflux/record/summary.hpp"

#include "sweepflux/record/json_text_private.hpp"

#include <cmath>
#include <optional>

namespace sweepflux {
namespace {

Json to_json(const Outlet& outlet) {
  Json json;
  if (outlet.shape == OutletShape::round) {
    json["shape"] = "round";
    json["diameter_m"] = number(outlet.diameter_m);
  } else {
    json["shape"] = "slot";
    json["width_m"] = number(outlet.width_m);
    json["height_m"] = number(outlet.height_m);
  }
  json["centre_height_m"] = number(outlet.centre_height_m);
  json["ahead_of_axis_m"] = number(outlet.ahead_of_axis_m);
  json["power_w"] = to_json(outlet.power_w);
  json["sound_level_db"] = outlet.sound ? to_json(outlet.sound->level_db) : Json(nullptr);
  json["sound_distance_m"] = outlet.sound ? number(outlet.sound->distance_m) : Json(nullptr);
  return json;
}

Json to_json(const Probe& probe) {
  Json pairs = Json::array();
  for (const auto& [true_m_s, indicated_m_s] : probe.calibration) {
    pairs.push_back({number(true_m_s), number(indicated_m_s)});
  }
  return {{"kind", probe_kind_name(probe.kind)},
          {"head_diameter_m", number(probe.head_diameter_m)},
          {"scale_uncertainty", number(probe.scale_uncertainty)},
          {"offset_uncertainty_m_s", number(probe.offset_uncertainty_m_s)},
          {"resolution_m_s", number(probe.resolution_m_s)},
          {"calibration_m_s", std::move(pairs)}};
}

Json to_json(const PlacedSweep& sweep) {
  return {{"name", sweep.name},
          {"height_m", number(sweep.height_m)},
          {"readings", sweep.readings},
          {"left_out", sweep.left_out}};
}

Json to_json(const HeldOutSweep& sweep) {
  return {{"sweep", sweep.sweep},
          {"height_m", number(sweep.height_m)},
          {"rms_error_m_s", number(sweep.rms_error_m_s)},
          {"z_score", number(sweep.z_score)},
          {"chance", number(sweep.chance)}};
}

/// A quantity that may have no answer.
Json estimate_or_null(const std::optional<Estimate>& estimate) {
  return estimate && std::isfinite(estimate->value) ? to_json(*estimate) : Json(nullptr);
}

Json to_json(const OutlyingReading& reading) {
  return {{"sweep", reading.sweep},
          {"line", reading.line},
          {"speed_m_s", number(reading.speed_m_s)},
          {"expected_m_s", number(reading.expected_m_s)},
          {"z_score", number(reading.z_score)}};
}

Json to_json(const BudgetRow& row) {
  return {{"source", row.source},
          {"volume_flow_m3_s", number(row.volume_flow_m3_s)},
          {"momentum_flux_n", number(row.momentum_flux_n)}};
}

Json to_json(const Explanation& explanation) {
  return {{"text", explanation.text},
          {"shift", {number(explanation.shift_low), number(explanation.shift_high)}},
          {"weight", number(explanation.weight)}};
}

/// A list of what the functions above turn into JSON.
template <typename Items>
Json each(const Items& items) {
  return list_of(items, [](const auto& item) { return to_json(item); });
}

Json to_json(const PlaneResult& plane) {
  return {
      {"distance_m", number(plane.distance_m)},
      {"downstream_m", number(plane.downstream_m)},
      {"sweeps", plane.sweeps},
      {"readings", plane.readings},
      {"left_out", plane.left_out},
      {"censored", plane.censored},
      {"volume_flow_m3_s", estimate_or_null(plane.volume_flow_m3_s)},
      {"momentum_flux_n", estimate_or_null(plane.momentum_flux_n)},
      {"kinetic_power_w", estimate_or_null(plane.kinetic_power_w)},
      {"withheld", plane.withheld.empty() ? Json(nullptr) : Json(plane.withheld)},
      {"inside_window",
       {{"volume_flow_m3_s", estimate_or_null(plane.inside_flow_m3_s)},
        {"momentum_flux_n", estimate_or_null(plane.inside_momentum_flux_n)}}},
      {"share_beyond_readings",
       {{"volume_flow", number(plane.flow_extrapolated)},
        {"momentum_flux", number(plane.momentum_extrapolated)}}},
      {"peak_speed_m_s", number(plane.peak_speed_m_s)},
      {"centre_m", {{"y", number(plane.centre.y_m)}, {"z", number(plane.centre.z_m)}}},
      {"half_width_m", {{"y", number(plane.half_width_y_m)}, {"z", number(plane.half_width_z_m)}}},
      {"budget", each(plane.budget)},
      {"held_out", each(plane.held_out)},
      {"outlying", each(plane.outlying)},
      {"sweep_list", each(plane.samples.sweeps)},
      {"warnings", plane.warnings},
      {"notes", plane.notes},
      {"remarks", plane.samples.remarks}};
}

Json to_json(const CrossCheck& check) {
  return {{"distance_m", number(check.distance_m)},
          {"ratio", number(check.ratio)},
          {"ratio_interval_95", {number(check.ratio_low_95), number(check.ratio_high_95)}},
          {"normalised_error", number(check.normalised_error)},
          {"agrees", check.agrees},
          {"explanations", each(check.explanations)}};
}

Json to_json(const StreamSummary& stream) {
  return {{"momentum_flux_n", to_json(stream.momentum_flux_n)},
          {"momentum_constant", stream.momentum_constant},
          {"momentum_change", estimate_or_null(stream.momentum_change)},
          {"virtual_origin_m", estimate_or_null(stream.virtual_origin_m)},
          {"spread_rate", estimate_or_null(stream.spread_rate)},
          {"entrainment_rate", estimate_or_null(stream.entrainment_rate)}};
}

Json to_json(const SamplerReport& report) {
  return {{"draws", report.draws},
          {"effective_draws", number(report.effective_draws)},
          {"converged", report.converged},
          {"halves_apart", number(report.apart)}};
}

/// One row a row: each that gave no reading, so that nothing measured vanishes.
Json left_out_to_json(const std::vector<Sweep>& sweeps) {
  Json list = Json::array();
  for (const Sweep& sweep : sweeps) {
    for (const LeftOut& row : sweep.left_out) {
      list.push_back({{"sweep", sweep.name},
                      {"distance_m", number(sweep.distance_m)},
                      {"height_m", number(sweep.height_m)},
                      {"line", row.line},
                      {"reason", row.reason},
                      {"over_range", row.over_range}});
    }
  }
  return list;
}

Json to_json(const NextSweep& next) {
  return {{"distance_m", number(next.distance_m)},
          {"height_m", number(next.height_m)},
          {"momentum_uncertainty_after_n", number(next.momentum_uncertainty_after_n)}};
}

}  // namespace

std::string summary_json(const SurveyResult& result) {
  Json json;
  json["sweepflux"] = SWEEPFLUX_VERSION;
  json["survey"] = {{"title", result.survey.title},
                    {"fan", result.survey.fan},
                    {"setting", result.survey.setting},
                    {"variant", result.survey.variant}};
  json["method"] = result.method;
  json["warnings"] = result.warnings;
  json["air"]["density_kg_m3"] = to_json(result.density_kg_m3);
  json["air"]["temperature_k"] = to_json(result.survey.air.temperature_k);
  json["outlet"] = to_json(result.survey.outlet);
  json["probe"] = to_json(result.survey.probe);
  json["planes"] = list_of(result.planes, [](const auto& plane) { return to_json(plane); });
  json["stream"] = result.stream ? to_json(*result.stream) : Json(nullptr);
  json["sampler"] = result.sampler ? to_json(*result.sampler) : Json(nullptr);
  json["thrust_n"] = to_json(result.thrust_n);
  json["thrust_zero_drift_n"] =
      result.thrust_n ? number(result.thrust_zero_drift_n) : Json(nullptr);
  json["thrust_remarks"] = result.thrust_remarks;
  json["cross_check"] = list_of(result.cross_check, [](const auto& c) { return to_json(c); });
  json["stream_check"] = result.stream_check ? to_json(*result.stream_check) : Json(nullptr);
  json["next_sweep"] = result.next_sweep ? to_json(*result.next_sweep) : Json(nullptr);
  json["left_out"] = left_out_to_json(result.survey.sweeps);
  json["defaults_used"] = result.survey.defaults_used;
  json["remarks"] = each(result.survey.remarks);
  json["notes"] = result.notes;
  return json_text(json);
}

}  // namespace sweepflux
