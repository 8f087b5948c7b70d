#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/field/stream/stream_posterior.hpp"
#include "sweepflux/integrate/plane_map.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// One source of uncertainty, as standard uncertainty of the two integrals.
struct BudgetRow {
  std::string source;
  double volume_flow_m3_s = 0.0;
  double momentum_flux_n = 0.0;
};

/// One sweep left out and predicted from the others.
struct HeldOutSweep {
  std::string sweep;
  double height_m = 0.0;
  double rms_error_m_s = 0.0;
  double z_score = 0.0;  ///< rms of error / predicted standard deviation; near 1 when all is well
  double chance = 1.0;   ///< of a z score as large by chance
};

/// One reading far from what all the others say; used all the same, and named.
struct OutlyingReading {
  std::string sweep;
  std::size_t line = 0;
  double speed_m_s = 0.0;
  double expected_m_s = 0.0;
  double z_score = 0.0;
};

/// What is known of one plane.
struct PlaneResult {
  double distance_m = 0.0;
  double downstream_m = 0.0;
  std::size_t sweeps = 0;
  std::size_t readings = 0;
  std::size_t left_out = 0;
  std::size_t censored = 0;  ///< of the readings: under the starting speed
  Estimate volume_flow_m3_s;  ///< of the whole plane; not a number where that is withheld
  Estimate momentum_flux_n;
  Estimate kinetic_power_w;
  std::string withheld;  ///< why the whole plane has no answer; empty: it has
  std::optional<Estimate> inside_flow_m3_s;   ///< of the window that was read; none for one height
  std::optional<Estimate> inside_momentum_flux_n;
  double flow_extrapolated = 0.0;      ///< share that no reading above the starting speed saw, 0 to 1;
                                       ///< not a number: not computed
  double momentum_extrapolated = 0.0;
  double peak_speed_m_s = 0.0;
  PlanePoint centre;                      ///< of the momentum
  double half_width_y_m = 0.0;            ///< half the width at half the peak speed
  double half_width_z_m = 0.0;
  std::vector<BudgetRow> budget;          ///< largest share of momentum first
  std::vector<HeldOutSweep> held_out;
  std::vector<OutlyingReading> outlying;
  std::vector<std::string> warnings;      ///< what a reader must know before the numbers
  std::vector<std::string> notes;         ///< how the field was made: shapes weighed, pooling, ...
  PlaneMap map;
  PlaneSamples samples;                   ///< what the map was made from
};

/// A reason that could explain a gap between momentum and thrust.
struct Explanation {
  std::string text;         ///< one sentence, with its size
  double shift_low = 0.0;   ///< share of the thrust by which it moves the ratio, signed
  double shift_high = 0.0;
  double weight = 0.0;      ///< 0 to 1: how well it fits the gap seen; ranks the list
};

struct CrossCheck {
  double distance_m = 0.0;
  double ratio = 0.0;  ///< momentum / thrust
  double ratio_low_95 = 0.0;
  double ratio_high_95 = 0.0;
  double normalised_error = 0.0;  ///< E_n [ISO 13528]
  bool agrees = false;            ///< |E_n| <= 1
  std::vector<Explanation> explanations;
};

struct NextSweep {
  double distance_m = 0.0;
  double height_m = 0.0;
  double momentum_uncertainty_after_n = 0.0;
};

/// What all planes say of the stream together.
struct StreamSummary {
  Estimate momentum_flux_n;
  bool momentum_constant = true;  ///< the interval of its change over the planes holds none
  std::optional<Estimate> momentum_change;   ///< last plane over first, minus 1; two planes or more
  std::optional<Estimate> virtual_origin_m;  ///< downstream of the outlet
  std::optional<Estimate> spread_rate;       ///< growth of the half width with distance [m/m]
  std::optional<Estimate> entrainment_rate;  ///< dQ/dx over sqrt(M/rho); 0.282 for the round free jet
                                             ///< [Ricou 1961]
};

/// Everything that `map` found out about one survey.
struct SurveyResult {
  Survey survey;
  std::string method;  ///< of the reconstruction, in words
  Measured density_kg_m3;
  std::vector<PlaneResult> planes;  ///< nearest first
  std::optional<StreamSummary> stream;   ///< none by the simpler methods
  std::optional<SamplerReport> sampler;
  std::optional<CrossCheck> stream_check;  ///< of all planes together
  std::optional<Estimate> thrust_n;
  double thrust_zero_drift_n = 0.0;
  std::vector<std::string> thrust_remarks;
  std::vector<CrossCheck> cross_check;  ///< one a plane, when there is a thrust
  std::optional<NextSweep> next_sweep;
  std::vector<std::string> warnings;    ///< of the survey as a whole
  std::vector<std::string> notes;
};

}  // namespace sweepflux
