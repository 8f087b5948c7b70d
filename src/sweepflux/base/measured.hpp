#pragma once

#include <algorithm>
#include <cmath>

namespace sweepflux {

/// A value with its standard uncertainty (one standard deviation, [JCGM 100]), both in the SI
/// unit that the name of the variable states.
struct Measured {
  double value = 0.0;
  double standard_uncertainty = 0.0;  ///< >= 0
};

/// A value with its standard uncertainty and the interval that holds it with 95 % probability.
/// The interval need not be symmetric.
struct Estimate {
  double value = 0.0;
  double standard_uncertainty = 0.0;
  double low_95 = 0.0;
  double high_95 = 0.0;
};

}  // namespace sweepflux
