#pragma once

#include "sweepflux/base/finding.hpp"
#include "sweepflux/base/geometry.hpp"
#include "sweepflux/base/measured.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/cell_text.hpp"
#include "sweepflux/capture/log/log_recipe.hpp"

#include <array>
#include <cstddef>
#include <filesystem>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {

/// One value at one position, as recorded; only units were changed.
struct Reading {
  double position = 0.0;                     ///< swivel: angle [rad]; traverse: across [m]
  double speed_m_s = 0.0;                    ///< as indicated by the probe
  std::optional<double> spread_m_s;          ///< standard deviation within the dwell
  std::optional<double> standard_error_m_s;  ///< of the mean, when `reduce` stated one
  std::optional<double> samples;             ///< values that went into the mean
  std::optional<double> dwell_s;
  std::optional<double> time_s;  ///< since any fixed moment
  std::size_t line = 0;          ///< in the sweep's file
};

/// One pass at one height and one distance.
struct Sweep {
  std::filesystem::path file;
  std::string name;       ///< file name, with the `sweep` column's value when there is one
  double distance_m = 0;  ///< swivel: turntable's axis to probe; traverse: outlet's plane to probe
  double height_m = 0;    ///< above the floor
  std::vector<Reading> readings;  ///< in file order
  std::vector<LeftOut> left_out;
  std::string speed_unit;  ///< as file or survey state it, for messages; empty: not known
  std::string position_unit;
};

enum class ProbeKind { vane, thermal, hot_wire, pitot, ultrasonic };
inline constexpr std::array every_probe_kind{ProbeKind::vane,
                                             ProbeKind::thermal,
                                             ProbeKind::hot_wire,
                                             ProbeKind::pitot,
                                             ProbeKind::ultrasonic};
/// "vane", "hot-wire", ... as a survey writes it.
[[nodiscard]] const char* probe_kind_name(ProbeKind kind);

/// How a probe answers to flow that does not come along its axis.
enum class Response {
  cosine,  ///< the component along the probe's axis
  flat     ///< the magnitude of the speed
};
enum class OutletShape { round, slot };

struct AirState {
  Measured temperature_k{293.15, 0.5};
  Measured pressure_pa{101325.0, 100.0};
  Measured humidity{0.5, 0.05};               ///< relative, 0 to 1
  std::optional<Measured> ambient_speed_m_s;  ///< fan off
};

struct Room {
  std::optional<double> width_m;  ///< across the stream
  std::optional<double> height_m;
  std::optional<double> length_m;  ///< along the stream
  std::optional<double> floor_m;   ///< a solid surface below the stream: no flow under it

  /// Across the stream, above the floor; none where it is not stated.
  [[nodiscard]] std::optional<double> section_m2() const {
    const double high_m = height_m.value_or(0.0) - floor_m.value_or(0.0);
    return width_m && high_m > 0.0 ? std::optional(*width_m * high_m) : std::nullopt;
  }
};

/// A-weighted sound pressure level of the running fan, as a meter shows it.
struct SoundLevel {
  Measured level_db;
  double distance_m = 0.0;  ///< from the fan to the meter
};

/// Where a person sits in the stream, and how fast the air may be there.
struct Seat {
  double distance_m = 0.0;  ///< downstream of the outlet
  double across_m = 0.0;    ///< off the fan's axis, to the right for someone facing the fan
  double height_m = 0.0;    ///< above the floor
  std::optional<double> speed_m_s;  ///< wished upper limit
};

struct Outlet {
  OutletShape shape = OutletShape::round;
  double diameter_m = 0.0;  ///< round
  double width_m = 0.0;     ///< slot
  double height_m = 0.0;    ///< slot
  double centre_height_m = 0.0;
  double ahead_of_axis_m = 0.0;  ///< outlet plane in front of the turntable's axis
  std::optional<Measured> power_w;
  std::optional<SoundLevel> sound;

  [[nodiscard]] double area_m2() const {
    return shape == OutletShape::round ? std::numbers::pi / 4.0 * diameter_m * diameter_m
                                       : width_m * height_m;
  }
  [[nodiscard]] double extent_y_m() const {
    return shape == OutletShape::round ? diameter_m : width_m;
  }
  [[nodiscard]] double extent_z_m() const {
    return shape == OutletShape::round ? diameter_m : height_m;
  }
};

/// How a stepper or a controller moves the rig; positions as recorded, [rad] or [m].
struct Drive {
  std::optional<double> step;                        ///< of the motor, > 0
  double feed = 5.0 * degree_rad;                    ///< [rad/s] or [m/s], > 0
  std::optional<std::pair<double, double>> limits;   ///< what it may not leave; the lower one first
  char axis = 'C';                                   ///< letter of the axis in a program
  bool dwell_in_milliseconds = false;                ///< unit of the controller's dwell G4 P
};

struct Rig {
  Motion motion = Motion::swivel;
  bool clockwise = false;       ///< sense of positive angles seen from above
  double angle_zero_rad = 0.0;  ///< the recorded angle at which the fan faces the probe
  double angle_uncertainty_rad = 0.005;
  double distance_uncertainty_m = 0.005;
  double height_uncertainty_m = 0.003;
  // The rig's times, for `plan`. Defaults are common practice, no published source.
  double step_time_s = 1.0;
  double settle_time_s = 2.0;
  double dwell_time_s = 10.0;
  double return_time_s = 20.0;
  double height_change_time_s = 120.0;
  double distance_change_time_s = 300.0;
  Drive drive;
};

struct Probe {
  ProbeKind kind = ProbeKind::vane;
  Response response = Response::cosine;
  double head_diameter_m = 0.0;
  double starting_speed_m_s = 0.0;      ///< below it a reading is 0 or meaningless
  double scale_uncertainty = 0.0;       ///< relative, common to all readings
  double offset_uncertainty_m_s = 0.0;  ///< common to all readings
  double resolution_m_s = 0.0;
  std::optional<double> time_constant_s;      ///< first-order lag
  std::optional<double> distance_constant_m;  ///< of a rotating meter: lag = this / speed
  /// Pairs (true, indicated) [m/s], rising; empty: indicated is true.
  std::vector<std::pair<double, double>> calibration;
};

/// Readings of a scale that a lever turns thrust into; forces [N] at the scale.
struct Balance {
  double lever_ratio = 1.0;              ///< scale force / thrust
  double lever_ratio_uncertainty = 0.0;  ///< relative
  bool from_arms = false;                ///< worked out from the lengths of two arms
  double resolution_n = 0.0;
  double gravity_m_s2 = 9.80665;
  double zero_before_n = 0.0;
  double zero_after_n = 0.0;
  bool zero_given = false;
  std::vector<double> readings_n;
  std::optional<ScaleLogRecipe> log;   ///< not reduced yet; derive/thrust/reduce_session does it
  std::optional<Measured> from_log_n;  ///< at the scale, zero taken off; zero_after_n: its drift
};

/// A raw log with the probe at rest in the stream: how gusty this setting is.
struct GustLog {
  std::filesystem::path file;
  LogRecipe recipe;
};

/// What the user asks of `plan`.
struct PlanWishes {
  std::vector<double> distances_m;
  std::optional<double> expected_speed_m_s;
  std::optional<double> expected_thrust_n;
  std::optional<std::pair<double, double>> height_limits_m;
  std::optional<double> time_budget_s;
  std::optional<double> target;  ///< half of the 95 % interval wanted, relative, > 0
};

/// One fan at one setting, as written by the user; SI units, nothing corrected, nothing dropped.
struct Survey {
  std::filesystem::path file;
  std::string member;  ///< of a campaign's file, fit for a folder's name, "heron-3"; else empty
  std::string campaign;  ///< its title
  std::string title;
  std::string fan;
  std::string setting;
  std::string variant;  ///< what differs from the fan as bought: "filter out"; mostly empty
  AirState air;
  Room room;
  Outlet outlet;
  Rig rig;
  Probe probe;
  std::vector<Sweep> sweeps;
  std::vector<LoggedSweep> logs;  ///< not reduced yet; derive/reduce_survey makes them sweeps
  std::optional<Balance> balance;
  PlanWishes plan;
  std::optional<Seat> seat;
  std::optional<GustLog> gusts;
  std::vector<std::string> defaults_used;  ///< "probe.response = cosine (from the kind)", ...
  std::vector<Finding> remarks;            ///< read, used, but worth knowing ("read as Latin-1")
};

}  // namespace sweepflux
