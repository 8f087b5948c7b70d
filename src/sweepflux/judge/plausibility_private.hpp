#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace sweepflux {

/// A plane's size and strength from sums over its readings alone: no model of the stream, so it
/// costs as much as reading the numbers once. Good to a factor of 1.3 or so with five heights that
/// bracket the stream, to a factor of two with one.
struct PlaneLook {
  double distance_m = 0.0;
  double downstream_m = 0.0;
  std::size_t heights = 0;  ///< that differ by more than 1 mm
  std::size_t places = 0;   ///< heights that differ at all
  double peak_m_s = 0.0;
  double momentum_m4_s2 = 0.0;  ///< integral of the speed squared
  double power_m5_s3 = 0.0;     ///< half of the integral of the speed cubed
  double centre_y_m = 0.0;      ///< of the momentum
  double centre_z_m = 0.0;
  double half_width_y_m = 0.0;  ///< of the Gaussian with the momentum's second moment; the least
                                ///< that the gaps between readings allow
  double half_width_z_m = 0.0;   ///< 0: fewer than three heights
  double middle_height_m = 0.0;  ///< median
  double gap_y_m = 0.0;          ///< the largest between readings of a sweep
  double window_y_m = 0.0;       ///< from the first to the last place that was read
  double window_z_m = 0.0;
};

/// The faint ends of the sweeps: how the lowest reading that is not zero lies to the probe's
/// starting speed.
struct FaintReadings {
  double lowest_m_s = 0.0;  ///< at the places where a sweep comes up from zero; 0: too few of them
  double log_chance_high = 0.0;  ///< of no lower one where the probe starts as stated
  double log_chance_low = 0.0;   ///< of no lower one where it starts at zero
};

/// A survey's readings, looked at.
struct FirstLook {
  std::vector<PlaneLook> planes;  ///< nearest first; none where nothing moved the probe
  FaintReadings faint;
  double widest_turn_rad = 0.0;  ///< swivel: from the direction in which the fan faces the probe
  double nearest_m = 1e300;      ///< downstream of the outlet's plane; <= 0: behind it
  double fastest_m_s = 0.0;      ///< of all readings, as indicated
  bool silent = false;           ///< readings there are, but all below the starting speed
};

/// Half width of a jet as a rule: that of the outlet, and a tenth of the distance as it spreads
/// [Panchapakesan 1993; Pope 2000, 5.1].
[[nodiscard]] double usual_half_width_m(double extent_m, double downstream_m);

/// @throws InputError  the calibration does not rise
[[nodiscard]] FirstLook look_at_readings(const Survey& survey);

/// One proportion of a survey, held against what room fans and their jets are like.
struct Clue {
  std::string kind;              ///< a few words, the same for every survey
  double z = 0.0;                ///< how far from usual, in standard deviations, signed
  bool impossible = false;       ///< no fan and no jet can be like that
  std::string text;              ///< the sizes, as a part of a sentence
  bool only_if_strange = false;  ///< a clue of this kind is there only when something is wrong
};

/// What a survey's numbers say about each other, one clue a kind, the worst of its planes.
///
/// Usual values and spreads are common practice of room fans, no published source, but for:
/// momentum flux and thrust [facts of a control volume; 2 to 12 % apart, Hussein 1994], the half
/// width of a jet [Panchapakesan 1993], and the two bounds of energy. The stream of an outlet of
/// area A that carries the momentum flux M has a kinetic power of M^1.5 / (2 sqrt(rho A)) at least,
/// whatever its profile there (Cauchy and Schwarz; as P = rho A u^3 / 2 for an even one), and no
/// plane holds more kinetic power than the fan takes. Without a stated power 10 kW is the bound: a
/// socket gives 3.7 kW.
///
/// @param survey  with sweeps, a balance, or both
[[nodiscard]] std::vector<Clue> clues_of(const Survey& survey);

/// Minus the logarithm of how probable the clues are together, by Student's t with ten degrees of
/// freedom, for usual proportions have exceptions; 0 where all is just as usual.
[[nodiscard]] double strangeness(const std::vector<Clue>& clues);
[[nodiscard]] double strangeness(const Clue& clue);

/// One unit that may have been mistaken for another.
struct UnitSlip {
  std::string what;    ///< "the speeds are in km/h, not in m/s"
  std::string remedy;  ///< what to change, and where
  double cost = 0.0;   ///< minus the logarithm of how often that befalls a survey
  std::function<void(Survey&)> mend;
};

/// Where the user wrote it all: keys are called otherwise in a balance session.
enum class Place { survey, session };

/// The usual mix-ups: m/s, ft/min, km/h, mph, kn, ft/s; deg and rad; mm, cm, m, in, ft; N, g, kg,
/// oz, lb; W, mW, kW; degC and degF; each of every quantity that bears on a survey's proportions.
/// How often they happen is common practice, no published source.
[[nodiscard]] std::vector<UnitSlip> possible_slips(const Survey& survey, Place place);

}  // namespace sweepflux
