#include "sweepflux/derive/scatter.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>

namespace sweepflux {
namespace {

constexpr std::size_t longest_block = 40;  ///< keeps the cost linear; a profile's length is less
constexpr std::size_t shortest_block = 4;
constexpr std::size_t most_blocks = 60;
constexpr double stray_z = 4.0;  ///< one sound reading in 16 000
/// Below this share of the peak the equations would lose their digits.
constexpr double least_noise = 1e-5;

using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

/// A stretch of a line, usable readings only.
struct Block {
  std::size_t line = 0;
  std::vector<std::size_t> reading;
  Vector position;
  Vector speed;
  Vector smooth;        ///< running mean, for the noise
  double height = 1.0;  ///< of the profile, for the process
};

struct Point {
  double ln_length = 0.0;
  double ln_offset = 0.0;
  double ln_share = 0.0;
};

struct LengthPrior {
  double ln_mean = 0.0;
  double ln_low = 0.0;
  double ln_high = 0.0;
};

Block make_block(std::size_t line_index,
                 const SweepLine& line,
                 const std::vector<double>& smooth,
                 std::span<const std::size_t> part) {
  Block block;
  block.line = line_index;
  block.reading.assign(part.begin(), part.end());
  const auto count = static_cast<Eigen::Index>(part.size());
  block.position.resize(count);
  block.speed.resize(count);
  block.smooth.resize(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const std::size_t r = part[static_cast<std::size_t>(i)];
    block.position[i] = line.position[r];
    block.speed[i] = line.speed_m_s[r];
    block.smooth[i] = smooth[r];
  }
  return block;
}

/// Cuts the lines into blocks of even size, strays left out.
std::vector<Block> cut_blocks(std::span<const SweepLine> lines,
                              const std::vector<StrayReading>& strays) {
  std::vector<Block> blocks;
  for (std::size_t l = 0; l < lines.size(); ++l) {
    const SweepLine& line = lines[l];
    std::vector<std::size_t> used;
    for (std::size_t r = 0; r < line.position.size(); ++r) {
      const bool stray = std::any_of(strays.begin(), strays.end(), [&](const StrayReading& s) {
        return s.line == l && s.reading == r;
      });
      if (line.usable[r] && !stray) {
        used.push_back(r);
      }
    }
    if (used.size() < shortest_block) {
      continue;
    }
    std::vector<double> speeds;
    for (const std::size_t r : used) {
      speeds.push_back(line.speed_m_s[r]);
    }
    const std::vector<double> mean = running_mean(speeds);
    std::vector<double> smooth(line.position.size(), 0.0);
    double height = 0.0;
    for (std::size_t i = 0; i < used.size(); ++i) {
      smooth[used[i]] = mean[i];
      height = std::max(height, std::abs(mean[i]));
    }
    const std::size_t pieces = (used.size() + longest_block - 1) / longest_block;
    for (std::size_t p = 0; p < pieces; ++p) {
      const std::size_t first = p * used.size() / pieces;
      const std::size_t last = (p + 1) * used.size() / pieces;
      blocks.push_back(make_block(l, line, smooth, std::span(used).subspan(first, last - first)));
      blocks.back().height = std::max(height, 1e-3);
    }
  }
  return blocks;
}

/// Covariance of a block's readings; the noise's variances apart.
Matrix profile_covariance(const Block& block, double length) {
  const Eigen::Index n = block.position.size();
  Matrix k(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j <= i; ++j) {
      const double gap = (block.position[i] - block.position[j]) / length;
      k(i, j) = block.height * block.height * std::exp(-0.5 * gap * gap);
      k(j, i) = k(i, j);
    }
  }
  return k;
}

Vector noise_variance(const Block& block, const Point& at) {
  const double offset_2 = std::exp(2.0 * at.ln_offset);
  const double share_2 = std::exp(2.0 * at.ln_share);
  const double least = least_noise * block.height;
  return (offset_2 + least * least + share_2 * block.smooth.array().square()).matrix();
}

/// Minus the log density of a block's readings, without the constant.
double block_cost(const Block& block, const Point& at) {
  Matrix k = profile_covariance(block, std::exp(at.ln_length));
  k.diagonal() += noise_variance(block, at);
  const Eigen::LLT<Matrix> factor(k);
  if (factor.info() != Eigen::Success) {
    return std::numeric_limits<double>::infinity();
  }
  const Vector half = factor.matrixL().solve(block.speed);
  return 0.5 * half.squaredNorm() + factor.matrixLLT().diagonal().array().log().sum();
}

/// Lengths that the lines can tell: from a step to twice the span, a fifth of the span likely.
LengthPrior length_prior(const std::vector<Block>& blocks, std::span<const SweepLine> lines) {
  std::vector<double> steps;
  double span = 0.0;
  for (const Block& block : blocks) {
    for (Eigen::Index i = 1; i < block.position.size(); ++i) {
      steps.push_back(block.position[i] - block.position[i - 1]);
    }
  }
  for (const SweepLine& line : lines) {
    if (!line.position.empty()) {
      span = std::max(span, line.position.back() - line.position.front());
    }
  }
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  const double low = std::log(*middle);
  const double high = std::max(low + 0.1, std::log(2.0 * span));
  return {std::clamp(std::log(0.2 * span), low, high), low, high};
}

/// Downhill simplex of Nelder and Mead over three variables: few, cheap, and no gradient to get
/// wrong.
Point least_point(const std::function<double(const Point&)>& cost, const Point& start) {
  using Array = Eigen::Array3d;
  const auto value = [&](const Array& x) { return cost({x[0], x[1], x[2]}); };
  std::array<Array, 4> x;
  std::array<double, 4> f{};
  x[0] = Array(start.ln_length, start.ln_offset, start.ln_share);
  for (std::size_t i = 0; i < 4; ++i) {
    if (i > 0) {
      x[i] = x[0];
      x[i][static_cast<Eigen::Index>(i) - 1] += 0.7;
    }
    f[i] = value(x[i]);
  }
  for (int round = 0; round < 300; ++round) {
    std::array<std::size_t, 4> order{0, 1, 2, 3};
    std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return f[a] < f[b]; });
    const std::array<Array, 4> ox{x[order[0]], x[order[1]], x[order[2]], x[order[3]]};
    f = {f[order[0]], f[order[1]], f[order[2]], f[order[3]]};
    x = ox;
    if (f[3] - f[0] < 1e-5 && (x[3] - x[0]).abs().maxCoeff() < 1e-2) {
      break;
    }
    const Array centre = (x[0] + x[1] + x[2]) / 3.0;
    const Array away = centre + (centre - x[3]);
    const double f_away = value(away);
    if (f_away < f[0]) {
      const Array further = centre + 2.0 * (centre - x[3]);
      const double f_further = value(further);
      x[3] = f_further < f_away ? further : away;
      f[3] = std::min(f_further, f_away);
    } else if (f_away < f[2]) {
      x[3] = away;
      f[3] = f_away;
    } else {
      const Array nearer =
          f_away < f[3] ? (0.5 * (centre + away)).eval() : (0.5 * (centre + x[3])).eval();
      const double f_nearer = value(nearer);
      if (f_nearer < std::min(f_away, f[3])) {
        x[3] = nearer;
        f[3] = f_nearer;
      } else {
        for (std::size_t i = 1; i < 4; ++i) {
          x[i] = (0.5 * (x[0] + x[i])).eval();
          f[i] = value(x[i]);
        }
      }
    }
  }
  const auto best = static_cast<std::size_t>(std::min_element(f.begin(), f.end()) - f.begin());
  return {x[best][0], x[best][1], x[best][2]};
}

Point fit(const std::vector<Block>& blocks,
          const LengthPrior& length,
          const NoiseModel& prior,
          double prior_spread) {
  // Of many blocks an even choice; each stands for more than itself.
  const std::size_t stride = (blocks.size() + most_blocks - 1) / most_blocks;
  const auto cost = [&](const Point& at) {
    const double a = (at.ln_offset - std::log(prior.offset_m_s)) / prior_spread;
    const double b = (at.ln_share - std::log(prior.share)) / prior_spread;
    const double l = (at.ln_length - length.ln_mean) / 0.7;
    double sum = 0.5 * (a * a + b * b + l * l);
    if (at.ln_length < length.ln_low || at.ln_length > length.ln_high) {
      return std::numeric_limits<double>::infinity();
    }
    for (std::size_t i = 0; i < blocks.size(); i += stride) {
      sum += static_cast<double>(stride) * block_cost(blocks[i], at);
    }
    return sum;
  };
  return least_point(cost,
                     {std::min(length.ln_mean, length.ln_high - 0.8),
                      std::log(prior.offset_m_s),
                      std::log(prior.share)});
}

/// What each reading's neighbours foretell of it, in closed form [Rasmussen 2006, eq. 5.10 to
/// 5.12]; adds up the freedom on the way.
std::vector<StrayReading> find_strays(const std::vector<Block>& blocks,
                                      const Point& at,
                                      double& freedom) {
  std::vector<StrayReading> strays;
  freedom = 0.0;
  for (const Block& block : blocks) {
    const Eigen::Index n = block.position.size();
    const Vector noise = noise_variance(block, at);
    Matrix k = profile_covariance(block, std::exp(at.ln_length));
    k.diagonal() += noise;
    const Matrix inverse = k.llt().solve(Matrix::Identity(n, n));
    const Vector weighed = inverse * block.speed;
    for (Eigen::Index i = 0; i < n; ++i) {
      freedom += noise[i] * inverse(i, i);
      const double off = weighed[i] / inverse(i, i);
      const double z = weighed[i] / std::sqrt(inverse(i, i));
      if (std::abs(z) > stray_z) {
        strays.push_back(
            {block.line, block.reading[static_cast<std::size_t>(i)], block.speed[i] - off, z});
      }
    }
  }
  return strays;
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
  // A stray reading hides others until it is out; a few rounds find them all.
  for (int round = 0; round < 4; ++round) {
    const std::vector<Block> blocks = cut_blocks(lines, found.strays);
    if (blocks.empty()) {
      break;
    }
    const Point at = fit(blocks, length_prior(blocks, lines), prior, prior_spread);
    found.model = {std::exp(at.ln_offset), std::exp(at.ln_share)};
    const std::vector<StrayReading> more = find_strays(blocks, at, found.freedom);
    if (more.empty()) {
      break;
    }
    found.strays.insert(found.strays.end(), more.begin(), more.end());
  }
  std::sort(found.strays.begin(), found.strays.end(), [](const auto& a, const auto& b) {
    return a.line != b.line ? a.line < b.line : a.reading < b.reading;
  });
  return found;
}

}  // namespace sweepflux
