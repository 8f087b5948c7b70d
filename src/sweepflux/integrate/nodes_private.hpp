#pragma once

#include "sweepflux/field/stream/reconstruct_private.hpp"

namespace sweepflux {

/// Nodes and trapezoid weights over a plane: fine inside the window, widening in the skirt beyond.
/// Tensor product, index = iy * nz + iz.
struct Nodes {
  Array ya, za;                        ///< axes
  Array wy, wz;                        ///< trapezoid weights along the axes [m]
  Array y, z, w;                       ///< every node, weight [m2]
  Array w_window;                      ///< weights of the window alone; 0 outside
  std::vector<char> inside;            ///< in the window
  Array beyond_y, beyond_z, beyond_w;  ///< finer and farther, from the window outwards: for the
                                       ///< shape, whose tail may be heavy

  [[nodiscard]] Eigen::Index ny() const { return ya.size(); }
  [[nodiscard]] Eigen::Index nz() const { return za.size(); }
};

/// The window: swept width; from half a row gap below the lowest to half above the highest row.
[[nodiscard]] Window measured_window(const FitData::Plane& plane);

/// Node spacing a third of the half width or finer, so that the trapezoid rule's own error stays
/// below 1e-5 of a smooth core (2 exp(-pi^2/(p ln 2) (r_h/step)^2) of a Gaussian to the power p, by
/// Poisson summation). A floor ends the domain.
/// The nodes beyond go on to 300 half widths: 1/(1 + 0.41 r^2) of a constant-viscosity jet's flow
/// [Schlichting 1933] is 3e-5 there, and still 6e-3 at twenty.
[[nodiscard]] Nodes make_nodes(const PlaneField& field);

}  // namespace sweepflux
