#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <algorithm>
#include <array>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

/// What is assumed of a probe whose survey is silent. Common practice, no published source, apart
/// from the 5 % of thermal meters [JIS T 8202] and a vane's starting speed of 0.2 to 0.5 m/s.
struct KindDefaults {
  Response response;
  double starting_speed_m_s;
  double scale_uncertainty;
  double offset_uncertainty_m_s;
};

KindDefaults defaults_of(ProbeKind kind) {
  switch (kind) {
    case ProbeKind::vane:
      return {Response::cosine, 0.3, 0.03, 0.05};
    case ProbeKind::thermal:
      return {Response::flat, 0.1, 0.05, 0.05};
    case ProbeKind::hot_wire:
      return {Response::flat, 0.1, 0.03, 0.03};
    case ProbeKind::pitot:
      return {Response::flat, 2.0, 0.02, 0.1};
    case ProbeKind::ultrasonic:
      return {Response::cosine, 0.0, 0.02, 0.05};
  }
  return {Response::cosine, 0.3, 0.03, 0.05};
}

/// A quantity with a default that is noted.
double quantity_or(TomlView& view,
                   const std::string& key,
                   Dimension dimension,
                   const Bounds& bounds,
                   double fallback,
                   const std::string& shown,
                   bool note_default) {
  if (const std::optional<double> value = view.quantity(key, dimension, bounds)) {
    return *value;
  }
  if (!view.has(key) && note_default) {
    view.note_default(key, shown);
  }
  return fallback;
}

void read_calibration(TomlView& view, Probe& probe) {
  probe.calibration = view.pairs("calibration", Dimension::speed, zero_or_more);
  const auto& pairs = probe.calibration;
  if (view.list_size("calibration").value_or(2) < 2) {
    view.fault("calibration", "probe.calibration needs at least two pairs [true, indicated]");
    return;
  }
  for (std::size_t i = 1; i < pairs.size(); ++i) {
    if (pairs[i].first <= pairs[i - 1].first || pairs[i].second <= pairs[i - 1].second) {
      view.fault("calibration",
                 "probe.calibration must rise from pair to pair, in both speeds; pair " +
                     std::to_string(i + 1) + " does not");
      return;
    }
  }
}

/// The size of one step, from the stepper or stated outright.
void read_steps(TomlView& view, StepSizes& steps) {
  const auto per_turn = view.number("steps_per_revolution", above_zero);
  const auto gear = view.number("gear_ratio", above_zero);
  const auto angle = view.quantity("step_angle", Dimension::angle, above_zero);
  steps.length_m = view.quantity("step_length", Dimension::length, above_zero);
  if (angle && (per_turn || gear)) {
    view.fault("step_angle",
               "rig.step_angle and rig.steps_per_revolution say the same; keep one of them");
  }
  if (gear && !per_turn && !view.has("steps_per_revolution")) {
    view.fault("gear_ratio", "rig.gear_ratio needs rig.steps_per_revolution");
  }
  if (angle) {
    steps.angle_rad = angle;
  } else if (per_turn) {
    steps.angle_rad = 2.0 * std::numbers::pi / (*per_turn * gear.value_or(1.0));
  }
}

/// Feed, limits and the words of the controller.
void read_drive(TomlView& view, const SectionOptions& options, Rig& rig) {
  const bool swivels = rig.motion == Motion::swivel;
  const Dimension place = swivels ? Dimension::angle : Dimension::length;
  Drive& drive = rig.drive;
  // Slow enough to step back from, common practice, no published source.
  drive.feed = quantity_or(view,
                           "feed",
                           swivels ? Dimension::angular_speed : Dimension::speed,
                           above_zero,
                           swivels ? drive.feed : 0.02,
                           swivels ? "5 deg/s" : "20 mm/s",
                           options.for_plan);
  const std::vector<double> limits = view.quantities("limits", place, any_value);
  const std::optional<std::size_t> count = view.list_size("limits");
  if (count && (*count != 2 || (limits.size() == 2 && !(limits[0] < limits[1])))) {
    view.fault("limits", "rig.limits must be two positions of the rig, the lower one first");
  } else if (limits.size() == 2) {
    drive.limits = {limits[0], limits[1]};
  } else if (!count && options.for_plan) {
    view.note_default("limits", "none: nothing is checked but by the rig itself");
  }
  // Letters of ISO 6983: C turns about the vertical axis z [ISO 841], X slides.
  const std::array<std::string, 9> letters = {"X", "Y", "Z", "U", "V", "W", "A", "B", "C"};
  const std::optional<std::size_t> letter = view.choice("axis", letters);
  drive.axis = letter ? letters[*letter].front() : swivels ? 'C' : 'X';
  const std::array<std::string, 2> units = {"s", "ms"};
  drive.dwell_in_milliseconds = view.choice("dwell_unit", units).value_or(0) == 1;
}

}  // namespace

Probe read_probe(TomlView& root, const SectionOptions& options) {
  std::array<std::string, every_probe_kind.size()> kinds;
  std::transform(every_probe_kind.begin(), every_probe_kind.end(), kinds.begin(), probe_kind_name);
  const std::array<std::string, 2> responses = {"cosine", "flat"};
  TomlView view = root.section("probe");
  Probe probe;
  view.require("kind");
  const std::optional<std::size_t> kind = view.choice("kind", kinds);
  probe.kind = static_cast<ProbeKind>(kind.value_or(0));
  const KindDefaults usual = defaults_of(probe.kind);
  const bool note_default = kind.has_value();
  const std::string why = " (usual for this kind)";
  const std::optional<std::size_t> response = view.choice("response", responses);
  probe.response = response ? static_cast<Response>(*response) : usual.response;
  if (!view.has("response") && note_default) {
    view.note_default("response",
                      responses[static_cast<std::size_t>(usual.response)] + " (from the kind)");
  }
  const auto m_s = [](double value) { return format_number(value) + " m/s"; };
  probe.head_diameter_m =
      quantity_or(view, "head_diameter", Dimension::length, zero_or_more, 0.0, "0 m", note_default);
  probe.starting_speed_m_s = quantity_or(view,
                                         "starting_speed",
                                         Dimension::speed,
                                         zero_or_more,
                                         usual.starting_speed_m_s,
                                         m_s(usual.starting_speed_m_s) + why,
                                         note_default);
  probe.scale_uncertainty = quantity_or(view,
                                        "scale_uncertainty",
                                        Dimension::ratio,
                                        zero_or_more,
                                        usual.scale_uncertainty,
                                        format_number(100.0 * usual.scale_uncertainty) + " %" + why,
                                        note_default);
  probe.offset_uncertainty_m_s = quantity_or(view,
                                             "offset_uncertainty",
                                             Dimension::speed,
                                             zero_or_more,
                                             usual.offset_uncertainty_m_s,
                                             m_s(usual.offset_uncertainty_m_s) + why,
                                             note_default);
  probe.resolution_m_s = quantity_or(
      view, "resolution", Dimension::speed, zero_or_more, 0.01, "0.01 m/s", note_default);
  probe.time_constant_s = view.quantity("time_constant", Dimension::time, zero_or_more);
  probe.distance_constant_m = view.quantity("distance_constant", Dimension::length, zero_or_more);
  read_calibration(view, probe);
  view.finish(options.unknown_keys_are_errors);
  return probe;
}

Rig read_rig(TomlView& root, const SectionOptions& options, StepSizes& steps) {
  const std::array<std::string, 2> motions = {"swivel", "traverse"};
  TomlView view = root.section("rig");
  Rig rig;
  const std::optional<std::size_t> motion = view.choice("motion", motions);
  rig.motion = static_cast<Motion>(motion.value_or(0));
  if (!view.has("motion")) {
    view.note_default("motion", "swivel");
  }
  rig.clockwise = view.boolean("clockwise").value_or(false);
  const bool swivels = rig.motion == Motion::swivel;
  if (!view.has("clockwise")) {
    view.note_default("clockwise", "false");
  }
  rig.angle_zero_rad =
      quantity_or(view, "angle_zero", Dimension::angle, any_value, 0.0, "0 deg", swivels);
  rig.angle_uncertainty_rad = quantity_or(view,
                                          "angle_uncertainty",
                                          Dimension::angle,
                                          zero_or_more,
                                          rig.angle_uncertainty_rad,
                                          "0.29 deg (5 mrad)",
                                          swivels);
  rig.distance_uncertainty_m = quantity_or(view,
                                           "distance_uncertainty",
                                           Dimension::length,
                                           zero_or_more,
                                           rig.distance_uncertainty_m,
                                           "5 mm",
                                           true);
  rig.height_uncertainty_m = quantity_or(view,
                                         "height_uncertainty",
                                         Dimension::length,
                                         zero_or_more,
                                         rig.height_uncertainty_m,
                                         "3 mm",
                                         true);
  const auto time = [&view, &options](const std::string& key, double& seconds) {
    seconds = quantity_or(view,
                          key,
                          Dimension::time,
                          zero_or_more,
                          seconds,
                          format_number(seconds) + " s",
                          options.for_plan);
  };
  time("step_time", rig.step_time_s);
  time("settle_time", rig.settle_time_s);
  time("dwell_time", rig.dwell_time_s);
  time("return_time", rig.return_time_s);
  time("height_change_time", rig.height_change_time_s);
  time("distance_change_time", rig.distance_change_time_s);
  read_steps(view, steps);
  rig.drive.step = swivels ? steps.angle_rad : steps.length_m;
  read_drive(view, options, rig);
  view.finish(options.unknown_keys_are_errors);
  return rig;
}

}  // namespace sweepflux
