#pragma once

#include "sweepflux/field/stream/reconstruct_private.hpp"
#include "sweepflux/plan/prospect_private.hpp"
#include "sweepflux/plan/stream_guess.hpp"

#include <vector>

namespace sweepflux {

/// A plane's nodes and what its field says over them.
struct Known {
  Nodes nodes;
  PlaneFlux flux;
};

/// What an offset e of every reading is worth over a Gaussian stream of peak U: over its area
/// within a twentieth of U against the flow, ln 20 e / U; against the momentum, 2 e Q / (M / rho) =
/// 4 e / U.
[[nodiscard]] double share_of_offset(bool of_flow, double offset_m_s, double peak_m_s);

[[nodiscard]] std::vector<Known> integrate(const SurveyField& field,
                                           const std::vector<double>& starting_speeds_m_s,
                                           int threads);

/// A plane with the stream that is known or expected there, and the heights that were swept.
///
/// @throws NumericalError  as possible_heights
[[nodiscard]] Prospect::Plane plane_about(const Survey& survey,
                                          const StreamGuess& stream,
                                          std::vector<double> taken_m);

/// Heights that a sweep could take in each plane, the same number for each.
void add_candidates(Prospect& prospect);

/// What `field` foretells of every candidate of `prospect`, for the planes that it knows: the first
/// ones.
[[nodiscard]] Outlook::View ask(const Prospect& prospect,
                                const SurveyField& field,
                                const std::vector<Known>& known,
                                std::vector<double> weights,
                                ReadingModel readings,
                                int threads);

/// Readings as they are to be expected before there are any: noise 3 % + 0.05 m/s, the class of a
/// good vane, and a gain of a sweep's own of 1 % (both from memory).
[[nodiscard]] ReadingModel usual_readings(const Survey& survey);

/// A stream of which no more is held than its place and size in each plane.
struct OpenStream {
  std::vector<Known> known;
  Outlook::View view;  ///< the sweeps that were made count as if they confirmed it
  std::vector<std::array<double, 2>> left;  ///< of the variances, after those
};
[[nodiscard]] OpenStream open_stream(const Prospect& prospect,
                                     const Survey& survey,
                                     const std::vector<StreamGuess>& streams,
                                     std::vector<double> weights,
                                     int threads);

/// Value and doubt of a plane that has no sweeps yet.
[[nodiscard]] Outlook::Plane foreseen_plane(const Survey& survey,
                                            const StreamGuess& stream,
                                            const OpenStream& open,
                                            std::size_t plane);

}  // namespace sweepflux
