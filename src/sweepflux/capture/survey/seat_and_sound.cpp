#include "sweepflux/capture/survey/survey_sections_private.hpp"

namespace sweepflux {
namespace {

// From the hum of a quiet room to where a fan is no longer one for rooms; slips fall outside.
constexpr Bounds audible{10.0, 120.0, true, "from 10 to 120 dB"};
// Of a class 2 meter in an ordinary room; common practice, no published source.
constexpr double sound_uncertainty_db = 1.5;

}  // namespace

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
               view.name() + ".sound_level needs sound_distance, from the fan to the meter, such "
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
