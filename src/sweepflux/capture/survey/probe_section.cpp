#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <algorithm>
#include <array>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

constexpr std::array<const char*, every_probe_kind.size()> kind_names = {
    "vane", "thermal", "hot-wire", "pitot", "ultrasonic"};

/// What is assumed of a probe whose survey is silent. Common practice, no published source, apart
/// from the 5 % of thermal meters [JIS T 8202] and a vane's starting speed of 0.2 to 0.5 m/s.
struct KindDefaults {
  Response response;
  double starting_speed_m_s;
  double scale_uncertainty;
  double offset_uncertainty_m_s;
};
constexpr std::array<KindDefaults, every_probe_kind.size()> kind_defaults = {{
    {Response::cosine, 0.3, 0.03, 0.05},  // vane
    {Response::flat, 0.1, 0.05, 0.05},    // thermal
    {Response::flat, 0.1, 0.03, 0.03},    // hot wire
    {Response::flat, 2.0, 0.02, 0.1},     // Pitot tube
    {Response::cosine, 0.0, 0.02, 0.05},  // ultrasonic
}};

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
void read_drive(TomlView& view, bool for_plan, Rig& rig) {
  const bool swivels = rig.motion == Motion::swivel;
  Drive& drive = rig.drive;
  // Slow enough to step back from, common practice, no published source.
  drive.feed = view.quantity_or("feed",
                                swivels ? Dimension::angular_speed : Dimension::speed,
                                above_zero,
                                swivels ? drive.feed : 0.02,
                                !for_plan ? ""
                                : swivels ? "5 deg/s"
                                          : "20 mm/s");
  drive.limits = view.limits("limits",
                             swivels ? Dimension::angle : Dimension::length,
                             "rig.limits must be two positions of the rig, the lower one first");
  if (for_plan && !view.list_size("limits")) {
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

const char* probe_kind_name(ProbeKind kind) { return kind_names[static_cast<std::size_t>(kind)]; }

Probe read_probe(TomlView& root) {
  const std::vector<std::string> kinds(kind_names.begin(), kind_names.end());
  const std::array<std::string, 2> responses = {"cosine", "flat"};
  TomlView view = root.section("probe");
  Probe probe;
  view.require("kind");
  const std::optional<std::size_t> kind = view.choice("kind", kinds);
  probe.kind = static_cast<ProbeKind>(kind.value_or(0));
  const KindDefaults& usual = kind_defaults[kind.value_or(0)];
  const std::optional<std::size_t> response = view.choice("response", responses);
  probe.response = response ? static_cast<Response>(*response) : usual.response;
  if (!view.has("response") && kind) {
    view.note_default("response",
                      responses[static_cast<std::size_t>(usual.response)] + " (from the kind)");
  }
  const auto read = [&](const char* key, Dimension dimension, double value, std::string shown) {
    return view.quantity_or(key, dimension, zero_or_more, value, kind ? shown : std::string());
  };
  const auto of_kind = [&](const char* key, Dimension dimension, double value) {
    const std::string shown = dimension == Dimension::ratio ? format_number(100.0 * value) + " %"
                                                            : format_number(value) + " m/s";
    return read(key, dimension, value, shown + " (usual for this kind)");
  };
  probe.head_diameter_m = read("head_diameter", Dimension::length, 0.0, "0 m");
  probe.starting_speed_m_s = of_kind("starting_speed", Dimension::speed, usual.starting_speed_m_s);
  probe.scale_uncertainty = of_kind("scale_uncertainty", Dimension::ratio, usual.scale_uncertainty);
  probe.offset_uncertainty_m_s =
      of_kind("offset_uncertainty", Dimension::speed, usual.offset_uncertainty_m_s);
  probe.resolution_m_s = read("resolution", Dimension::speed, 0.01, "0.01 m/s");
  probe.time_constant_s = view.quantity("time_constant", Dimension::time, zero_or_more);
  probe.distance_constant_m = view.quantity("distance_constant", Dimension::length, zero_or_more);
  read_calibration(view, probe);
  view.finish();
  return probe;
}

Rig read_rig(TomlView& root, bool for_plan, StepSizes& steps) {
  const std::array<std::string, 2> motions = {"swivel", "traverse"};
  TomlView view = root.section("rig");
  Rig rig;
  rig.motion = static_cast<Motion>(view.choice("motion", motions).value_or(0));
  if (!view.has("motion")) {
    view.note_default("motion", "swivel");
  }
  rig.clockwise = view.boolean("clockwise").value_or(false);
  if (!view.has("clockwise")) {
    view.note_default("clockwise", "false");
  }
  const bool swivels = rig.motion == Motion::swivel;
  const auto read = [&view](const char* key,
                            Dimension dimension,
                            double& value,
                            const std::string& shown,
                            const Bounds& bounds = zero_or_more) {
    value = view.quantity_or(key, dimension, bounds, value, shown);
  };
  read("angle_zero", Dimension::angle, rig.angle_zero_rad, swivels ? "0 deg" : "", any_value);
  read("angle_uncertainty",
       Dimension::angle,
       rig.angle_uncertainty_rad,
       swivels ? "0.29 deg (5 mrad)" : "");
  read("distance_uncertainty", Dimension::length, rig.distance_uncertainty_m, "5 mm");
  read("height_uncertainty", Dimension::length, rig.height_uncertainty_m, "3 mm");
  for (const auto& [key, seconds] :
       {std::pair("step_time", &rig.step_time_s),
        std::pair("settle_time", &rig.settle_time_s),
        std::pair("dwell_time", &rig.dwell_time_s),
        std::pair("return_time", &rig.return_time_s),
        std::pair("height_change_time", &rig.height_change_time_s),
        std::pair("distance_change_time", &rig.distance_change_time_s)}) {
    read(key, Dimension::time, *seconds, for_plan ? format_number(*seconds) + " s" : "");
  }
  read_steps(view, steps);
  rig.drive.step = swivels ? steps.angle_rad : steps.length_m;
  read_drive(view, for_plan, rig);
  view.finish();
  return rig;
}

}  // namespace sweepflux
