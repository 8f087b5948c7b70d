#include "tests/support/dice.hpp"
#include "tests/support/make_survey.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

namespace sweepflux::test {
namespace {

double round_to_tenth_mm(double length_m) { return std::round(length_m * 1e4) / 1e4; }

double growth(const KnownField& field, double downstream_m) {
  return field.grows_in_height ? downstream_m / known_field_distance_m : 1.0;
}

/// Evenly from end to end, each off by its own draw but never beyond the ends.
std::vector<double> to_the_ends(const KnownField& field,
                                const SurveyPlan& plan,
                                double grow,
                                Dice& dice) {
  const double low = field.height_low_at_1_8;
  const double high = field.height_high_at_1_8;
  // A table stays where it is while the jet over it grows.
  const double foot = field.floor_m ? low : 0.0;
  std::vector<double> heights;
  for (int i = 0; i < plan.count; ++i) {
    const double step = plan.count > 1 ? (high - low) / (plan.count - 1) : 0.0;
    const double even = plan.count > 1 ? low + i * step : (low + high) / 2;
    const double at = std::clamp(even + plan.jitter * step * dice.uniform(-1.0, 1.0), low, high);
    heights.push_back(field.outlet_height_m + foot + (at - foot) * grow);
  }
  return heights;
}

/// The fine comb of all distances, in heights at 1.8 m relative to the outlet's axis.
class Comb {
 public:
  Comb(const KnownField& field, const SurveyPlan& plan, Dice& dice)
      : low_(field.height_low_at_1_8), width_(field.height_high_at_1_8 - field.height_low_at_1_8) {
    // Nobody centres a rig to better than some centimetres; over a table there is no such uncertainty.
    off_ = field.floor_m ? 0.0 : dice.uniform(-0.08, 0.08);
    jitter_ = plan.jitter * width_ / (plan.count * static_cast<double>(plan.distances_m.size()));
  }
  double tooth(int i, int teeth, Dice& dice) const {
    return low_ + width_ * (2 * i + 1) / (2.0 * teeth) + off_ + jitter_ * dice.uniform(-1.0, 1.0);
  }

 private:
  double low_;
  double width_;
  double off_ = 0.0;
  double jitter_ = 0.0;
};

std::vector<std::vector<double>> by_comb(const KnownField& field,
                                         const SurveyPlan& plan,
                                         Dice& dice) {
  const int planes = static_cast<int>(plan.distances_m.size());
  const Comb comb(field, plan, dice);
  std::vector<std::vector<double>> teeth(plan.distances_m.size());
  if (plan.rule == HeightRule::alike) {
    for (int i = 0; i < plan.count; ++i) {
      const double tooth = comb.tooth(i, plan.count, dice);
      for (auto& plane : teeth) {
        plane.push_back(tooth);
      }
    }
  } else {
    std::vector<std::size_t> turn(plan.distances_m.size());
    std::iota(turn.begin(), turn.end(), std::size_t{0});
    for (std::size_t i = turn.size(); i > 1; --i) {
      std::swap(turn[i - 1], turn[dice.any() % i]);
    }
    for (int i = 0; i < plan.count * planes; ++i) {
      teeth[turn[static_cast<std::size_t>(i % planes)]].push_back(
          comb.tooth(i, plan.count * planes, dice));
    }
  }
  for (std::size_t plane = 0; plane < teeth.size(); ++plane) {
    const double grow = growth(field, downstream_of(plan, plan.distances_m[plane]));
    for (double& tooth : teeth[plane]) {
      tooth = field.outlet_height_m + tooth * grow;
      if (field.floor_m) {
        tooth = std::max(tooth, *field.floor_m + 0.02);
      }
    }
  }
  return teeth;
}

}  // namespace

double downstream_of(const SurveyPlan& plan, double distance_m) {
  return plan.motion == Motion::swivel ? distance_m - plan.pivot_m : distance_m;
}

std::vector<std::vector<double>> heights_of(const KnownField& field, const SurveyPlan& plan) {
  if (!plan.heights_m.empty()) {
    if (plan.heights_m.size() != plan.distances_m.size()) {
      throw std::invalid_argument("heights for every distance or for none");
    }
    return plan.heights_m;
  }
  // Own dice, so that the noise does not depend on how the heights came about.
  Dice dice(plan.seed ^ 0x9e3779b97f4a7c15ULL);
  std::vector<std::vector<double>> heights;
  if (plan.rule == HeightRule::to_the_ends) {
    for (const double distance : plan.distances_m) {
      const double grow = growth(field, downstream_of(plan, distance));
      heights.push_back(to_the_ends(field, plan, grow, dice));
    }
  } else {
    heights = by_comb(field, plan, dice);
  }
  for (auto& plane : heights) {
    for (double& height : plane) {
      height = round_to_tenth_mm(height);
    }
    std::sort(plane.begin(), plane.end());
  }
  return heights;
}

}  // namespace sweepflux::test
