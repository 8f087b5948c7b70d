#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey/survey.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// What drives a stream.
struct StreamSource {
  Measured thrust_n;       ///< > 0
  Measured density_kg_m3;  ///< > 0
  Outlet outlet;           ///< shape and size
  Room room;               ///< width and height, when known, say where the prediction ends
};

/// How a stream spreads, slows and grows, free of the thrust that drives it. With v = sqrt(T / rho):
///   half width   r(x) = spread (x - origin)
///   centre speed u(x) = throw_constant v / (x - origin)
///   flow         Q(x) = entrainment v (x - origin)
/// x counts from the outlet's plane.
struct StreamLaw {
  Measured spread;           ///< [-] half width at half the centre speed, per metre
  Measured throw_constant;   ///< [-] the K of throw tables, per square root of the outlet's area
  Measured entrainment;      ///< [-]
  Measured origin_m;         ///< virtual origin, positive: in front of the outlet
  bool fitted = false;       ///< from a map of this fan, not from a textbook
  double nearest_m = 0.0;    ///< fitted: the nearest plane it rests on
  double furthest_m = 0.0;   ///< furthest
  std::string origin_words;  ///< one sentence: where the figures come from
};

/// One plane as the fit of a law needs it.
struct PlaneForLaw {
  double downstream_m = 0.0;
  double peak_speed_m_s = 0.0;
  double half_width_m = 0.0;  ///< geometric mean of the two half widths
  Measured volume_flow_m3_s;
  Measured momentum_flux_n;
  std::optional<Measured> thrust_n;  ///< of the balance; empty: the plane's own momentum drives it
};

enum class StreamZone {
  developing,  ///< nearer than 8 outlet sizes: the stream has not found its final shape
  developed,
  beyond_room  ///< further than 0.8 square roots of the room's section
};

/// What limits a prediction there; empty where nothing does.
[[nodiscard]] std::string words_of(StreamZone zone);

/// What a stream should be like at one distance.
struct StreamPrediction {
  double downstream_m = 0.0;
  Estimate centre_speed_m_s;
  Estimate half_width_m;  ///< of a slot: across its long side
  Estimate volume_flow_m3_s;
  StreamZone zone = StreamZone::developed;
  double room_loss = 0.0;  ///< share of the momentum that the return flow may take, 0 if unknown
};

/// Distance at which the centreline speed has fallen to the wished one.
struct Throw {
  double wished_speed_m_s = 0.0;
  std::optional<Estimate> downstream_m;  ///< empty: the stream never is that fast
  StreamZone zone = StreamZone::developed;
  std::string words;  ///< what limits it, when something does
};

/// Outside figures for a round, free, turbulent jet: throw constant 6.66 +- 0.23 (centre-line
/// decay B = 5.7 to 6.1 [Panchapakesan 1993, Hussein 1994]), spread 0.095 +- 0.004 (same),
/// entrainment 0.282 +- 0.010 [Ricou 1961], virtual origin 1 +- 2 diameters (published: -2.5 to
/// +7). A slot has the same far away; near by it decays as a plane jet (see predict_stream).
[[nodiscard]] StreamLaw textbook_law(const Outlet& outlet);

/// The law that the planes of a map show. The virtual origin is fitted with the prior of
/// textbook_law, so that one plane alone still leaves it as open as it is.
///
/// @param planes  at least one, of any settings of the fan; order does not matter
/// @throws InputError  no planes, or a value that is not above zero
[[nodiscard]] StreamLaw fit_law(std::span<const PlaneForLaw> planes,
                                const Measured& density_kg_m3,
                                const Outlet& outlet);

/// A prediction, not a measurement: free jet, still room, no surface near by. The centre speed is
/// never put above the outlet's own, sqrt(T / (rho A)). A slot of side ratio 3 or more decays as
/// 2.5 sqrt(h / x) and takes along 0.60 sqrt(x / h) of its outlet's flow [Rajaratnam 1976] until
/// the round law rules. The intervals hold 95 %; where the room's section is known, the lower end
/// of the speed gives way by the momentum that the return flow may take, 1 / (1 + 0.119 x^2 / A)
/// [Hussein 1994].
///
/// @throws InputError  distance, thrust, density or outlet not above zero
[[nodiscard]] StreamPrediction predict_stream(const StreamSource& source,
                                              const StreamLaw& law,
                                              double downstream_m);

/// Where the centre speed has fallen to a wished one. Same conditions as predict_stream.
///
/// @throws InputError  the wished speed is not above zero
[[nodiscard]] Throw throw_of(const StreamSource& source,
                             const StreamLaw& law,
                             double wished_speed_m_s);

/// Flow that a rating by thrust implies: the "thrust-derived flow, uniform-outlet convention",
/// factor * sqrt(A T / rho). It is a convention, not the flow through a measured plane, which
/// grows with distance. @param factor  1: uniform outlet; 0.7071...: free contraction
[[nodiscard]] Measured thrust_derived_flow_m3_s(const StreamSource& source, double factor = 1.0);

/// The conditions that every prediction rests on, one sentence each, for the reader.
[[nodiscard]] std::vector<std::string> prediction_conditions(const StreamSource& source,
                                                             const StreamLaw& law);

/// The stream of one entry of a comparison, predicted.
struct PredictedStream {
  std::size_t entry = 0;
  StreamSource source;
  std::size_t planes = 0;  ///< that the shape was fitted to
  StreamLaw shape;
  std::vector<StreamPrediction> along;  ///< at the distances asked for
  std::vector<StreamPrediction> curve;  ///< at even steps, all entries alike, for a picture
  std::vector<Throw> throws;            ///< for the speeds asked for
  std::vector<std::string> conditions;
};

/// The prediction of an entry; null where there is none.
[[nodiscard]] inline const PredictedStream* predicted_of(std::span<const PredictedStream> predicted,
                                                         std::size_t entry) {
  for (const PredictedStream& f : predicted) {
    if (f.entry == entry) {
      return &f;
    }
  }
  return nullptr;
}

}  // namespace sweepflux
