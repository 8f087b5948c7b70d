#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <array>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

// From the hum of a quiet room to where a fan is no longer one for rooms; slips fall outside.
constexpr Bounds audible{10.0, 120.0, true, "from 10 to 120 dB"};
// Of a class 2 meter in an ordinary room; common practice, no published source.
constexpr double sound_uncertainty_db = 1.5;
// Of plug-in power meters; common practice, no published source.
constexpr double relative_power_uncertainty = 0.02;

/// An uncertainty beside a value: `key`_uncertainty, or the default with its words.
double uncertainty_of(TomlView& view,
                      const std::string& key,
                      Dimension dimension,
                      double fallback,
                      const std::string& shown) {
  const std::string full = key + "_uncertainty";
  const std::optional<double> stated = view.difference(full, dimension);
  if (view.has(key) && !view.has(full)) {
    view.note_default(full, shown);
  }
  return stated.value_or(fallback);
}

/// What is known of a quantity of the air.
struct AirValue {
  const char* key;
  Dimension dimension;
  Bounds bounds;        ///< where moist air can be and a fan can run; slips of unit fall outside
  Measured unmeasured;  ///< when nothing is stated
  const char* unmeasured_shown;
  double uncertainty;  ///< when the value is stated without one
  const char* uncertainty_shown;
};

// The wide values are for a plan: a room that nobody has measured yet.
constexpr AirValue air_temperature{"temperature",
                                   Dimension::temperature,
                                   {233.15, 343.15, true, "from -40 to 70 degC"},
                                   {293.15, 5.0},
                                   "20 degC +- 5 K",
                                   0.5,
                                   "0.5 K"};
constexpr AirValue air_pressure{"pressure",
                                Dimension::pressure,
                                {50e3, 120e3, true, "from 500 to 1200 hPa (station pressure)"},
                                {101325.0, 3000.0},
                                "1013.25 hPa +- 30 hPa",
                                100.0,
                                "1 hPa"};
constexpr AirValue air_humidity{"humidity",
                                Dimension::ratio,
                                {0.0, 1.0, true, "from 0 % to 100 %"},
                                {0.5, 0.25},
                                "50 % +- 25 %",
                                0.05,
                                "5 %"};

Measured read_air_value(TomlView& air, const AirValue& about, bool may_be_missing) {
  if (!may_be_missing) {
    air.require(about.key);
  }
  const double value = air.quantity_or(about.key,
                                       about.dimension,
                                       about.bounds,
                                       about.unmeasured.value,
                                       may_be_missing ? about.unmeasured_shown : "");
  const double uncertainty =
      uncertainty_of(air, about.key, about.dimension, about.uncertainty, about.uncertainty_shown);
  return {value, air.has(about.key) ? uncertainty : about.unmeasured.standard_uncertainty};
}

}  // namespace

void read_title(TomlView& root, Survey& survey) {
  TomlView view = root.section("survey");
  survey.fan = view.text("fan").value_or("");
  survey.setting = view.text("setting").value_or("");
  const std::optional<std::string> title = view.text("title");
  survey.title = title ? *title : survey.fan + (survey.setting.empty() ? "" : " ") + survey.setting;
  survey.variant = view.text("variant").value_or("");
  view.finish();
}

AirState read_air(TomlView& root, bool for_plan, const Probe& probe) {
  TomlView view = root.section("air");
  AirState air;
  air.temperature_k = read_air_value(view, air_temperature, for_plan);
  air.pressure_pa = read_air_value(view, air_pressure, for_plan);
  // Not to know the humidity costs 0.2 % of the density at room temperature.
  air.humidity = read_air_value(view, air_humidity, true);
  const double offset = probe.offset_uncertainty_m_s;
  const auto ambient = view.quantity("ambient_speed", Dimension::speed, zero_or_more);
  const double ambient_uncertainty =
      uncertainty_of(view,
                     "ambient_speed",
                     Dimension::speed,
                     offset,
                     format_number(offset) + " m/s (the probe's offset)");
  if (ambient) {
    air.ambient_speed_m_s = Measured{*ambient, ambient_uncertainty};
  } else {
    view.note_default("ambient_speed", "0 m/s (a drift counts in the intervals)");
  }
  view.finish();
  return air;
}

Room read_room(TomlView& root) {
  TomlView view = root.section("room");
  Room room;
  room.width_m = view.quantity("width", Dimension::length, above_zero);
  room.height_m = view.quantity("height", Dimension::length, above_zero);
  room.length_m = view.quantity("length", Dimension::length, above_zero);
  room.floor_m = view.quantity("floor", Dimension::length, any_value);
  view.finish();
  return room;
}

Outlet read_outlet(TomlView& root, Motion motion) {
  const std::array<std::string, 2> shapes = {"round", "slot"};
  TomlView view = root.section("outlet");
  Outlet outlet;
  const std::optional<std::size_t> shape = view.choice("shape", shapes);
  const bool looks_like_slot = !view.has("diameter") && view.has("width") && view.has("height");
  outlet.shape =
      shape.value_or(looks_like_slot ? 1 : 0) == 1 ? OutletShape::slot : OutletShape::round;
  const bool is_round = outlet.shape == OutletShape::round;
  if (!view.has("shape") && (view.has("diameter") || looks_like_slot)) {
    view.note_default(
        "shape", is_round ? "round (a diameter is given)" : "slot (width and height are given)");
  }
  for (const auto& [key, length_m] : {std::pair("diameter", &outlet.diameter_m),
                                      std::pair("width", &outlet.width_m),
                                      std::pair("height", &outlet.height_m)}) {
    *length_m = view.quantity(key, Dimension::length, above_zero).value_or(0.0);
    if ((length_m == &outlet.diameter_m) == is_round) {
      view.require(key);
    } else if (view.has(key)) {
      view.fault(
          key,
          "outlet." + std::string(key) + " does not belong to a " +
              (is_round ? "round outlet (it has a diameter)" : "slot (it has width and height)"));
    }
  }
  view.require("centre_height");
  outlet.centre_height_m =
      view.quantity("centre_height", Dimension::length, any_value).value_or(0.0);
  outlet.ahead_of_axis_m = view.quantity_or(
      "ahead_of_axis", Dimension::length, any_value, 0.0, motion == Motion::swivel ? "0 m" : "");
  outlet.power_w = read_power(view, zero_or_more, "2 % of the power");
  outlet.sound = read_sound(view, {});
  view.finish();
  return outlet;
}

PlanWishes read_plan(TomlView& root) {
  TomlView view = root.section("plan");
  PlanWishes plan;
  plan.distances_m = view.quantities("distances", Dimension::length, above_zero);
  plan.expected_speed_m_s = view.quantity("expected_speed", Dimension::speed, above_zero);
  plan.expected_thrust_n = view.force("expected_thrust", standard_gravity_m_s2, above_zero);
  plan.time_budget_s = view.quantity("time_budget", Dimension::time, above_zero);
  plan.target = view.quantity("target", Dimension::ratio, above_zero);
  plan.height_limits_m = view.limits("height_limits",
                                     Dimension::length,
                                     "plan.height_limits must be two heights, the lower one first");
  view.finish();
  return plan;
}

std::optional<Measured> read_power(TomlView& view,
                                   const Bounds& bounds,
                                   std::string_view shown_default) {
  const auto power = view.quantity("power", Dimension::power, bounds);
  const auto uncertainty = view.difference("power_uncertainty", Dimension::power);
  if (power && !view.has("power_uncertainty") && !shown_default.empty()) {
    view.note_default("power_uncertainty", shown_default);
  }
  return power ? std::optional<Measured>(
                     {*power, uncertainty.value_or(relative_power_uncertainty * *power)})
               : std::nullopt;
}

std::optional<SoundLevel> read_sound(TomlView& view,
                                     std::optional<double> usual_distance_m,
                                     bool note_default) {
  const auto level = view.quantity("sound_level", Dimension::sound_level, audible);
  const auto uncertainty = view.difference("sound_level_uncertainty", Dimension::sound_level);
  const auto distance = view.quantity("sound_distance", Dimension::length, above_zero);
  if (!view.has("sound_level")) {
    for (const char* key : {"sound_level_uncertainty", "sound_distance"}) {
      if (view.has(key)) {
        view.fault(key, view.name() + "." + key + " stands without a sound_level");
      }
    }
    return std::nullopt;
  }
  if (!view.has("sound_distance") && !usual_distance_m) {
    view.fault("sound_level",
               view.name() +
                   ".sound_level needs sound_distance, from the fan to the meter, such "
                   "as \"1 m\"; without it a level says nothing");
    return std::nullopt;
  }
  if (!view.has("sound_level_uncertainty") && note_default) {
    view.note_default("sound_level_uncertainty", "1.5 dB");
  }
  if (!level || (view.has("sound_distance") && !distance)) {
    return std::nullopt;
  }
  return SoundLevel{{*level, uncertainty.value_or(sound_uncertainty_db)},
                    distance ? *distance : *usual_distance_m};
}

std::optional<Seat> read_seat(TomlView& root) {
  TomlView view = root.section("seat");
  if (!view.is_there()) {
    return std::nullopt;
  }
  Seat seat;
  view.require("distance");
  view.require("height");
  seat.distance_m = view.quantity("distance", Dimension::length, above_zero).value_or(1.0);
  seat.height_m = view.quantity("height", Dimension::length, zero_or_more).value_or(0.0);
  seat.across_m =
      view.quantity_or("across", Dimension::length, any_value, 0.0, "0 m (on the fan's axis)");
  seat.speed_m_s = view.quantity("speed", Dimension::speed, above_zero);
  view.finish();
  return seat;
}

std::optional<GustLog> read_gust_log(TomlView& root) {
  TomlView view = root.section("gusts");
  if (!view.is_there()) {
    return std::nullopt;
  }
  view.require("log");
  GustLog gusts;
  if (const auto file = view.text("log")) {
    gusts.file = view.beside(*file);
  }
  read_words(view,
             {{"time_column", &LogWords::time},
              {"value_column", &LogWords::value},
              {"time_unit", &LogWords::time_unit},
              {"value_unit", &LogWords::value_unit}},
             gusts.recipe);
  gusts.recipe.rate_hz = view.number("rate", above_zero);
  view.finish();
  return gusts;
}

}  // namespace sweepflux
