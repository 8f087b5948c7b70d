#pragma once

#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// Something about a survey that cannot be, or hardly is.
struct Implausible {
  bool impossible = false;  ///< no fan and no jet can be like that; else merely odd
  std::string text;         ///< what, with its sizes; the unit that would fit; what to change
};

/// Holds a survey's proportions against those of room fans and their jets: kinetic power against
/// electrical power, momentum flux against thrust, width against distance and outlet, speed at the
/// outlet, lowest reading against the probe's starting speed, one plane against the next, and the
/// sizes that it states. All from sums over the readings, before any model is made: it costs about
/// as much as reading the file.
///
/// Each proportion has a usual value and a spread, as a rule common practice without a published
/// source. Where they are strange together, or one is alone, every unit is tried that may have been
/// mixed up with another; the one that makes the survey usual is named, and what to change.
///
/// Impossible is what breaks a bound of energy: an outlet of area A gives a momentum flux M with a
/// kinetic power of M^1.5 / (2 sqrt(rho A)) or more (by Cauchy and Schwarz, for any profile), and
/// no stream carries more than the fan takes (10 kW where the survey states no power), with a
/// margin for the first look. So is a proportion far outside of any fan's, such as a stream a
/// twelfth as wide as jets are, or a plane 400 outlet diameters away.
///
/// @param survey  logs reduced; without sweeps only what it states is judged
/// @return        none for a usual survey; impossible ones first
/// @throws InputError  the calibration does not rise
[[nodiscard]] std::vector<Implausible> find_implausible(const Survey& survey);

/// The same, of one setting of a balance session: its thrust, power and outlet.
[[nodiscard]] std::vector<Implausible> find_implausible(const BalanceSession& session,
                                                        const SettingThrust& setting);

/// What is odd, as warnings.
///
/// @param source  the file to name
/// @throws InputError  something is impossible: one line that names the file
[[nodiscard]] std::vector<std::string> warn_of_implausible(const std::vector<Implausible>& found,
                                                           const std::string& source);

}  // namespace sweepflux
