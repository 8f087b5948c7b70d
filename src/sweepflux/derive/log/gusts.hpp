#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey/survey.hpp"

#include <cstddef>
#include <optional>
#include <span>

namespace sweepflux {

/// How gusty the air is at one place.
struct Gustiness {
  double mean_m_s = 0.0;
  Measured turbulence;          ///< standard deviation over mean; the uncertainty from its length
  double integral_time_s = 0.0;
  std::optional<Measured> period_s;  ///< of a mode that cycles: the spectrum's line that stands out
  double period_share = 0.0;         ///< of the variance that lies in it
  std::size_t values = 0;
  std::size_t left_out = 0;  ///< rows without a value
  double length_s = 0.0;
};

/// Turbulence intensity, and the dominant period when there is one: a line of the periodogram that
/// stands out of its neighbourhood (median of the octaves around it) by more than chance makes one
/// in a hundred series without a period do, holds a tenth of the variance, and was seen four times
/// at least. The standard deviation is known to sd / sqrt(2 n), n the values that tell as much as
/// independent ones [JCGM 100, E.4.3]. A probe's lag hides what is quicker.
///
/// @param speed_m_s  at even steps, 64 or more; long series are averaged to 4096 blocks for the
///                   spectrum
/// @throws InputError  too few values, a step that is not above zero, or a mean that is not
///
/// Cost: O(n + 4096^2 / 2), some 20 ms.
[[nodiscard]] Gustiness gusts_of(std::span<const double> speed_m_s, double step_s);

/// Of the log that a survey names under [gusts].
///
/// @throws InputError  as gusts_of, and where the log's steps are not even to a tenth
/// @throws SurveyError  the log cannot be read
[[nodiscard]] std::optional<Gustiness> read_gusts(const Survey& survey);

}  // namespace sweepflux
