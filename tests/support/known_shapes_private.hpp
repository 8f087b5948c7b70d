#pragma once

#include <functional>
#include <string>
#include <vector>

namespace sweepflux::test {

/// Speed over peak speed at x = 1.8 m; y and z [m] from the outlet's axis.
using Shape = std::function<double(double y, double z)>;

/// Half-velocity radius of the round jets at 1.8 m: a spread of 0.1.
inline constexpr double round_half_width_m = 0.18;

[[nodiscard]] double gauss_shape(double y, double z);
[[nodiscard]] double schlichting_shape(double y, double z);
[[nodiscard]] double ellipse20_shape(double y, double z);
[[nodiscard]] Shape annular_shape();
[[nodiscard]] double slot_shape(double y, double z);
[[nodiscard]] double offset_shape(double y, double z);
[[nodiscard]] double twin_shape(double y, double z);
[[nodiscard]] double lobes3_shape(double y, double z);

struct IrregularShape {
  std::string name;
  std::string description;
  Shape shape;  ///< positive, smooth, peak 1
  bool tall = false;
};

/// Ten shapes that are no superellipse with a hub, no pair of like lobes.
[[nodiscard]] std::vector<IrregularShape> irregular_shapes();

/// Sums of one to four ellipses of any size, place, turn, strength and flatness, with a bite taken
/// out, drawn from a fixed seed.
[[nodiscard]] std::vector<IrregularShape> drawn_shapes(int count);

}  // namespace sweepflux::test
