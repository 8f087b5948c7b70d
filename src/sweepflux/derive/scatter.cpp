#include "sweepflux/derive/scatter.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace sweepflux {
namespace {

constexpr double student_freedom = 5.0;
/// Square of the Student scale that normal errors of unit variance lead to, so that well-behaved
/// readings give their own standard deviation: root of E[6 z^2 / (5 c^2 + z^2)] = 1.
constexpr double student_scale_2 = 0.733799;

/// One difference: its value, and the sums that turn the noise model into its variance.
struct Contrast {
  double value = 0.0;
  double squared_speed = 0.0;  ///< sum of c^2 v^2, with sum of c^2 = 1
};

/// Weights of a divided difference over the positions, of unit length.
std::vector<double> difference_weights(std::span<const double> position) {
  std::vector<double> weight(position.size());
  const double span = position.back() - position.front();
  double sum = 0.0;
  for (std::size_t j = 0; j < position.size(); ++j) {
    double product = 1.0;
    for (std::size_t l = 0; l < position.size(); ++l) {
      if (l != j) {
        product *= (position[j] - position[l]) / span;
      }
    }
    weight[j] = 1.0 / product;
    sum += weight[j] * weight[j];
  }
  for (double& w : weight) {
    w /= std::sqrt(sum);
  }
  return weight;
}

void add_contrasts(const SweepLine& line, std::size_t order, std::vector<Contrast>& contrasts) {
  const std::vector<double> smooth = running_mean(line.speed_m_s);
  for (std::size_t first = 0; first + order < line.position.size(); ++first) {
    const auto begin = line.usable.begin() + static_cast<std::ptrdiff_t>(first);
    if (!std::all_of(
            begin, begin + static_cast<std::ptrdiff_t>(order) + 1, [](bool u) { return u; })) {
      continue;
    }
    const std::span<const double> position(line.position.data() + first, order + 1);
    const std::vector<double> weight = difference_weights(position);
    Contrast contrast;
    for (std::size_t j = 0; j <= order; ++j) {
      contrast.value += weight[j] * line.speed_m_s[first + j];
      const double part = weight[j] * smooth[first + j];
      contrast.squared_speed += part * part;
    }
    contrasts.push_back(contrast);
  }
}

/// Neighbouring differences share readings: so many of them are worth one independent one. The
/// ratio is the sum of their squared correlations, C(4k, 2k) / C(2k, k)^2 for even steps.
double overlap(std::size_t order) {
  double ratio = 1.0;
  double forward = 1.0;
  for (std::size_t lag = 1; lag <= order; ++lag) {
    const double k = static_cast<double>(order);
    const double l = static_cast<double>(lag);
    forward *= -(k - l + 1.0) / (k + l);
    ratio += 2.0 * forward * forward;
  }
  return ratio;
}

struct Evidence {
  std::vector<Contrast> contrasts;
  double worth = 1.0;  ///< of one contrast, in independent ones
  NoiseModel prior;
  double prior_spread = 1.0;

  /// Minus the log posterior of ln(offset), ln(share).
  [[nodiscard]] double cost(double ln_offset, double ln_share) const {
    const double offset_2 = std::exp(2.0 * ln_offset);
    const double share_2 = std::exp(2.0 * ln_share);
    double sum = 0.0;
    for (const Contrast& c : contrasts) {
      const double scale_2 = student_scale_2 * (offset_2 + share_2 * c.squared_speed);
      sum +=
          0.5 * std::log(scale_2) + 0.5 * (student_freedom + 1.0) *
                                        std::log1p(c.value * c.value / (student_freedom * scale_2));
    }
    const double a = (ln_offset - std::log(prior.offset_m_s)) / prior_spread;
    const double b = (ln_share - std::log(prior.share)) / prior_spread;
    return worth * sum + 0.5 * (a * a + b * b);
  }
};

/// Coordinate-wise shrinking search: two smooth, well-scaled variables need no more.
NoiseModel most_likely(const Evidence& evidence) {
  std::array<double, 2> at{std::log(evidence.prior.offset_m_s), std::log(evidence.prior.share)};
  double best = evidence.cost(at[0], at[1]);
  const std::array<std::array<double, 2>, 8> ways{
      {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}}};
  for (double step = 1.0; step > 1e-4;) {
    bool moved = false;
    for (const std::array<double, 2>& way : ways) {
      const double ln_offset = at[0] + step * way[0];
      const double ln_share = at[1] + step * way[1];
      const double cost = evidence.cost(ln_offset, ln_share);
      if (cost < best) {
        best = cost;
        at = {ln_offset, ln_share};
        moved = true;
      }
    }
    if (!moved) {
      step *= 0.5;
    }
  }
  return {std::exp(at[0]), std::exp(at[1])};
}

double typical_sd(const NoiseModel& model, std::span<const SweepLine> lines) {
  double sum = 0.0;
  double count = 0.0;
  for (const SweepLine& line : lines) {
    const std::vector<double> smooth = running_mean(line.speed_m_s);
    for (std::size_t i = 0; i < smooth.size(); ++i) {
      if (line.usable[i]) {
        const double sd = model.sd_m_s(smooth[i]);
        sum += sd * sd;
        count += 1.0;
      }
    }
  }
  return count > 0.0 ? std::sqrt(sum / count) : model.offset_m_s;
}

}  // namespace

double NoiseModel::sd_m_s(double speed_m_s) const {
  return std::hypot(offset_m_s, share * speed_m_s);
}

std::vector<double> running_mean(std::span<const double> values) {
  std::vector<double> mean(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    const std::size_t first = i == 0 ? 0 : i - 1;
    const std::size_t last = std::min(i + 1, values.size() - 1);
    double sum = 0.0;
    for (std::size_t j = first; j <= last; ++j) {
      sum += values[j];
    }
    mean[i] = sum / static_cast<double>(last - first + 1);
  }
  return mean;
}

Scatter find_scatter(std::span<const SweepLine> lines,
                     const NoiseModel& prior,
                     double prior_spread) {
  Scatter found;
  found.model = prior;
  double least = 0.0;
  for (std::size_t order = 3; order <= 8; ++order) {
    Evidence evidence{{}, 1.0 / overlap(order), prior, prior_spread};
    for (const SweepLine& line : lines) {
      add_contrasts(line, order, evidence.contrasts);
    }
    const double count = static_cast<double>(evidence.contrasts.size()) * evidence.worth;
    if (count < 1.0) {
      continue;
    }
    const NoiseModel model = most_likely(evidence);
    // Few differences scatter much: the least of several chance values would read low.
    const double merit =
        std::log(typical_sd(model, lines)) + 0.5 / std::sqrt(2.0 * count + 1.0 / prior_spread);
    if (found.order == 0 || merit < least) {
      least = merit;
      found = {model, count, static_cast<int>(order)};
    }
  }
  return found;
}

}  // namespace sweepflux
