#include "sweepflux/integrate/rings.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <cmath>
#include <cstddef>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

constexpr double core_share = 0.3;  // of the wall's radius, to which the readings must reach in

void require_rising(std::span<const double> radius_m,
                    std::span<const double> speed_m_s,
                    std::size_t least) {
  if (radius_m.size() != speed_m_s.size() || radius_m.size() < least) {
    throw InputError("rings: as many speeds as radii, at least " + std::to_string(least));
  }
  for (std::size_t i = 0; i < radius_m.size(); ++i) {
    if (!std::isfinite(radius_m[i]) || !std::isfinite(speed_m_s[i])) {
      throw InputError("rings: radius or speed " + std::to_string(i) + " is not finite");
    }
    if (radius_m[i] < 0.0 || (i > 0 && radius_m[i] <= radius_m[i - 1])) {
      throw InputError("rings: radii must be >= 0 and rise, radius " + std::to_string(i) +
                       " does not");
    }
  }
}

}  // namespace

RingSum ring_sum(std::span<const double> radius_m, std::span<const double> speed_m_s) {
  require_rising(radius_m, speed_m_s, 2);
  RingSum sum;
  double inner = 0.0;
  for (std::size_t i = 0; i < radius_m.size(); ++i) {
    const bool last = i + 1 == radius_m.size();
    const double outer = last ? 2.0 * radius_m[i] - inner : 0.5 * (radius_m[i] + radius_m[i + 1]);
    const double area = std::numbers::pi * (outer * outer - inner * inner);
    sum.area_m2 += area;
    sum.flow_m3_s += area * speed_m_s[i];
    sum.square_m4_s2 += area * speed_m_s[i] * speed_m_s[i];
    inner = outer;
  }
  return sum;
}

double pipe_mean_speed_m_s(std::span<const double> radius_m,
                           std::span<const double> speed_m_s,
                           double wall_radius_m) {
  require_rising(radius_m, speed_m_s, 1);
  if (!(radius_m.back() < wall_radius_m)) {
    throw InputError("rings: the outermost reading must lie inside the pipe's wall");
  }
  if (radius_m.front() > core_share * wall_radius_m) {
    throw NumericalError("rings: the innermost reading lies at " +
                         format_number(radius_m.front() / wall_radius_m, 2) +
                         " of the pipe's radius: the core was not traversed; read within 0.3");
  }
  double sum = 0.0;
  double last_radius = 0.0;
  double last_product = 0.0;
  for (std::size_t i = 0; i < radius_m.size(); ++i) {
    const double product = radius_m[i] * speed_m_s[i];
    sum += 0.5 * (radius_m[i] - last_radius) * (last_product + product);
    last_radius = radius_m[i];
    last_product = product;
  }
  sum += 0.5 * (wall_radius_m - last_radius) * last_product;
  return 2.0 * sum / (wall_radius_m * wall_radius_m);
}

std::vector<double> traverse_radii(TraverseRule rule, int points) {
  if (rule == TraverseRule::equal_areas && points >= 1) {
    std::vector<double> radii;
    for (int i = points; i >= 1; --i) {
      radii.push_back(std::sqrt((2.0 * i - 1.0) / (2.0 * points)));
    }
    return radii;
  }
  std::vector<double> from_wall;  // in diameters, as the standards print them
  const bool tchebycheff = rule == TraverseRule::log_tchebycheff;
  if (points == 3) {
    from_wall =
        tchebycheff ? std::vector{0.0321, 0.1374, 0.3123} : std::vector{0.0321, 0.1349, 0.3207};
  } else if (points == 4) {
    from_wall = tchebycheff ? std::vector{0.0238, 0.1000, 0.1938, 0.3343}
                            : std::vector{0.0212, 0.1170, 0.1840, 0.3450};
  } else if (points == 5) {
    from_wall = tchebycheff ? std::vector{0.0189, 0.0764, 0.1554, 0.2150, 0.3567}
                            : std::vector{0.0189, 0.0765, 0.1525, 0.2171, 0.3612};
  } else {
    throw InputError("traverse: " + std::to_string(points) +
                     " points a radius, the rule is for 3, 4 or 5");
  }
  for (double& share : from_wall) {
    share = 1.0 - 2.0 * share;
  }
  return from_wall;
}

std::vector<double> traverse_lines(int lines) {
  switch (lines) {
    case 5:
      return {0.074, 0.288, 0.500, 0.712, 0.926};
    case 6:
      return {0.061, 0.235, 0.437, 0.563, 0.765, 0.939};
    case 7:
      return {0.053, 0.203, 0.366, 0.500, 0.634, 0.797, 0.947};
    default:
      throw InputError("traverse: " + std::to_string(lines) + " lines, the rule is for 5, 6 or 7");
  }
}

}  // namespace sweepflux
