#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"
#include "sweepflux/rank/throw.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// What a person at a seat feels of one fan at one setting.
struct SeatSpeed {
  std::size_t entry = 0;
  Seat seat;
  Estimate speed_m_s;
  bool mapped = false;  ///< from a map within 5 % of the distance; else predicted
  double turbulence = 0.0;
  bool turbulence_measured = false;
  std::optional<double> air_temperature_c;
  std::optional<Estimate> draught_rating_percent;  ///< needs an air temperature
  std::vector<std::string> remarks;
};

/// Which setting of a fan keeps the air at the seat below the wished speed.
struct SeatChoice {
  std::string series;
  double wished_m_s = 0.0;
  std::optional<std::size_t> entry;  ///< the fastest at the seat that is below it at 95 %
  std::optional<std::size_t> perhaps;  ///< a faster one whose value alone is below it
  std::string words;
};

/// Speed at a seat: read off the entry's map where one lies within 5 % of the distance and reaches
/// so far, else from the predicted centre speed and half-width, with a Gaussian across the stream
/// [Hussein 1994: it holds to about 1.8 half-widths]. Farther out than two half-widths no value is
/// given but an upper bound. The interval holds what the prediction's own does, and how well the
/// stream's centre is known.
///
/// @return empty: too little is known of the entry's stream
[[nodiscard]] std::optional<SeatSpeed> speed_at_seat(std::span<const FanAtSetting> entries,
                                                     std::size_t entry,
                                                     std::span<const PredictedStream> predicted,
                                                     const Seat& seat);

/// One choice a fan that has a wished speed.
[[nodiscard]] std::vector<SeatChoice> choose_for_seat(std::span<const FanAtSetting> entries,
                                                      std::span<const SeatSpeed> speeds);

/// The conditions of a prediction for a seat, one sentence each.
[[nodiscard]] std::vector<std::string> seat_conditions();

}  // namespace sweepflux
