#pragma once

#include "sweepflux/field/stream/stream_prior_private.hpp"

#include <vector>

namespace sweepflux {

/// A stream's speeds at places, with the residual's coordinates there.
struct StreamSpeeds {
  std::vector<float> u;     ///< of the cores alone
  std::vector<float> u_z;   ///< its derivative with z; empty where not asked
  std::vector<float> p, q;  ///< turned coordinates over the half widths
  std::vector<float> r;     ///< level: 1 where the first core has half its speed
  std::vector<float> level, steepness;  ///< scratch
};

/// @param y, z  places, `count` each, in the units of the stream; relative error below 1e-5
void stream_speeds(const PlaneStream& stream, const float* y, const float* z, std::size_t count,
                   bool with_derivative, StreamSpeeds& out);

/// Columns of the residual g of a plane, u (1 + g): five rings of the level, harmonics 1 to 4 of the
/// azimuth, 21 bumps 0.8 half widths apart, and one column for the outer region.
inline constexpr std::size_t residual_columns = 5 + 8 + 21 + 1;

/// Places go in whole vector registers of so many.
inline constexpr std::size_t lanes = 16;
[[nodiscard]] constexpr std::size_t in_lanes(std::size_t count) {
  return (count + lanes - 1) / lanes * lanes;
}

/// The columns at places, each times its standard deviation.
///
/// @param p, q, r  turned coordinates and level; `count` each
/// @param out      a column after the other, in_lanes(count) apart; what is beyond count is 0
void residual_at(const PlaneStream& stream, const float* p, const float* q, const float* r,
                 std::size_t count, float* out);

/// Speed along y of a stream that keeps its shape, in the stream's units: what spreads goes along
/// rays from the outlet, what is drawn in goes towards each core as continuity asks,
/// v = growth (u y / x - F(r) dy / (2 pi r^2 x)), with F the flow of the core within r, taken as a
/// Gaussian's of equal half widths.
[[nodiscard]] double sideways_speed(const PlaneStream& stream, double downstream, double u, double y,
                                    double z);

}  // namespace sweepflux
