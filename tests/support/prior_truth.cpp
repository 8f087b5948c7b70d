#include "tests/support/prior_truth.hpp"

#include "sweepflux/field/stream/stream_posterior_private.hpp"
#include "tests/support/dice.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

namespace sweepflux::test {
namespace {

constexpr double start_m_s = 0.3, noise_m_s = 0.08;
constexpr double gain_sd = 0.006, height_sd_m = 0.003, offset_sd_m_s = 0.02;
constexpr double usual_m = 1.8;
constexpr double half_range = 0.42 / usual_m, half_width = 0.8 / usual_m, step = 0.04 / usual_m;
constexpr std::size_t least_live = 10;

/// As many readings in each plane, so the first is the reference.
StreamScales scales_of(const Outlet& outlet, const std::vector<double>& distances_m) {
  StreamScales s;
  s.shape = outlet.shape;
  s.length_m = expected_half_width_m(outlet, distances_m.front());
  s.speed_m_s = prior_truth_speed_m_s;
  for (const double distance_m : distances_m) {
    s.downstream.push_back(distance_m / s.length_m);
  }
  s.extent_y = outlet.extent_y_m() / s.length_m;
  s.extent_z = outlet.extent_z_m() / s.length_m;
  s.offset_sd = offset_sd_m_s / s.speed_m_s;
  s.drift_sd = drift_of_room_m_s / s.speed_m_s;
  return s;
}

SurveyStream draw_stream(const StreamScales& scales, Dice& dice) {
  const std::vector<double> probabilities = StreamPrior::probabilities(scales.shape);
  double left = dice.uniform();
  int cores = 1;
  while (left >= probabilities[static_cast<std::size_t>(cores - 1)] &&
         cores < static_cast<int>(probabilities.size())) {
    left -= probabilities[static_cast<std::size_t>(cores - 1)];
    ++cores;
  }
  const StreamPrior prior(scales, cores);
  std::vector<double> z(prior.dimension());
  for (double& v : z) {
    v = dice.normal(1.0);
  }
  return prior.stream(z);
}

PlaneSamples plane_of(const Outlet& outlet, int heights, double distance_m) {
  const double half_width_m = half_width * distance_m, step_m = step * distance_m;
  PlaneSamples plane;
  plane.distance_m = plane.downstream_m = distance_m;
  plane.outlet_centre = {0.0, outlet.centre_height_m};
  plane.starting_speed_m_s = start_m_s;
  plane.common.height_m = height_sd_m;
  plane.common.offset_m_s = offset_sd_m_s;
  plane.sweep_gain_sd = gain_sd;
  for (int k = 0; k < heights; ++k) {
    PlacedSweep sweep;
    const double up = heights > 1 ? 2.0 * k / (heights - 1) - 1.0 : 0.0;
    sweep.height_m = outlet.centre_height_m + half_range * distance_m * up;
    for (double y = -half_width_m; y < half_width_m + 0.5 * step_m; y += step_m) {
      Sample s;
      s.at = {y, sweep.height_m};
      s.noise_m_s = noise_m_s;
      s.sweep = k;
      plane.samples.push_back(s);
    }
    plane.sweeps.push_back(sweep);
  }
  const double low = plane.sweeps.front().height_m, high = plane.sweeps.back().height_m;
  plane.window = {-half_width_m, half_width_m, low, high};
  return plane;
}

/// What the vane shows; returns how often it turns.
std::size_t measure(PlaneSamples& plane,
                    std::size_t index,
                    const StreamPosterior& with_residual,
                    const SurveyStream& truth,
                    Dice& dice) {
  std::vector<double> gain, off;
  for (std::size_t k = 0; k < plane.sweeps.size(); ++k) {
    gain.push_back(gain_sd * dice.normal(1.0));
    off.push_back(height_sd_m * dice.normal(1.0));
  }
  std::size_t live = 0;
  for (Sample& s : plane.samples) {
    const auto k = static_cast<std::size_t>(s.sweep);
    const PlanePoint at{s.at.y_m, s.at.z_m + off[k]};
    float field = 0.0f;
    with_residual.speeds(0, index, {&at, 1}, {&field, 1});
    const double u = field;
    const double v =
        u * (1.0 + gain[k]) + prior_truth_speed_m_s * (truth.drift + truth.offset) +
        dice.normal(1.0) * std::hypot(noise_m_s * truth.noise_factor, truth.noise_share * u);
    s.censored = v < start_m_s;
    s.speed_m_s = std::max(v, start_m_s);
    live += s.censored ? 0U : 1U;
  }
  return live;
}

std::vector<float> normals(Dice& dice) {
  std::vector<float> out(residual_columns);
  for (float& v : out) {
    v = static_cast<float>(dice.normal(1.0));
  }
  return out;
}

/// Residuals anew, in part common to all planes; what the vane shows; how often it turns.
std::size_t read(PriorTruth& truth, Dice& dice) {
  auto parts = std::make_unique<StreamPosterior::Parts>(truth.stream.parts());
  StreamPosterior::Parts::Draw& draw = parts->draws.front();
  const SurveyStream stream = draw.stream;
  const auto own = static_cast<float>(stream.own_residual), shared = std::sqrt(1.0f - own * own);
  const std::vector<float> common =
      own < 1.0f ? normals(dice) : std::vector<float>(residual_columns);
  draw.planes.clear();
  for (std::size_t p = 0; p < truth.planes.size(); ++p) {
    std::vector<float> c = normals(dice);
    for (std::size_t j = 0; j < c.size(); ++j) {
      c[j] = own * c[j] + shared * common[j];
    }
    draw.planes.push_back(PlaneDraw{0.0, std::move(c)});
  }
  truth.stream = StreamPosterior(std::move(parts));
  std::size_t live = 0;
  for (std::size_t p = 0; p < truth.planes.size(); ++p) {
    live += measure(truth.planes[p], p, truth.stream, stream, dice);
  }
  return live;
}

}  // namespace

PriorTruth draw_prior_truth(const Outlet& outlet,
                            int heights,
                            std::uint64_t seed,
                            const std::vector<double>& distances_m) {
  Dice dice(seed);
  const StreamScales scales = scales_of(outlet, distances_m);
  PriorTruth truth;
  for (const double distance_m : distances_m) {
    truth.planes.push_back(plane_of(outlet, heights, distance_m));
  }
  std::size_t live = 0;
  while (live < least_live) {
    auto parts = std::make_unique<StreamPosterior::Parts>();
    parts->scales = scales;
    for (const PlaneSamples& plane : truth.planes) {
      parts->origin.push_back(plane.outlet_centre);
      parts->floor_m.emplace_back();
    }
    parts->readings.resize(truth.planes.size());
    parts->draws.push_back({draw_stream(scales, dice), {}});
    truth.stream = StreamPosterior(std::move(parts));
    live = read(truth, dice);
  }
  for (std::size_t p = 0; p < truth.planes.size(); ++p) {
    truth.exact.push_back(integrate_draws(truth.stream, p, Window{}, Probe{}, 1).whole.front());
  }
  return truth;
}

void measure_again(PriorTruth& truth, std::uint64_t seed) {
  Dice dice(seed);
  (void)read(truth, dice);
}

Outlet round_outlet() {
  Outlet outlet;
  outlet.diameter_m = 0.3;
  outlet.centre_height_m = 0.9;
  return outlet;
}

Outlet slot_outlet() {
  Outlet outlet = round_outlet();
  outlet.shape = OutletShape::slot;
  outlet.diameter_m = 0.0;
  outlet.width_m = 0.06;
  outlet.height_m = 0.8;
  return outlet;
}

double rank_of(double truth, const std::vector<double>& draws) {
  const auto below = std::count_if(draws.begin(), draws.end(), [=](double v) { return v < truth; });
  return static_cast<double>(below) / static_cast<double>(draws.size());
}

double chi_square(const std::vector<double>& ranks, int bins) {
  std::vector<double> counts(static_cast<std::size_t>(bins), 0.0);
  for (const double rank : ranks) {
    counts[static_cast<std::size_t>(std::min(static_cast<int>(rank * bins), bins - 1))] += 1.0;
  }
  const double wanted = static_cast<double>(ranks.size()) / bins;
  double sum = 0.0;
  for (const double count : counts) {
    sum += std::pow(count - wanted, 2) / wanted;
  }
  return sum;
}

}  // namespace sweepflux::test
