#include "sweepflux/derive/sample/scatter.hpp"

#include "sweepflux/base/parallel.hpp"
#include "sweepflux/derive/sample/simplex_private.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

constexpr std::size_t longest_block = 40;  ///< keeps the cost linear; a profile's length is less
constexpr std::size_t shortest_block = 4;
constexpr double outer_share = 0.1;  ///< of a line's peak
constexpr std::size_t most_blocks = 60;
constexpr double stray_z = 4.0;  ///< one sound reading in 16 000
/// Noise that is taken as always there, of the highest speed. Without it a calm outer region without any
/// noise would outweigh the stream.
constexpr double least_noise = 3e-3;

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
  double least = 0.0;   ///< noise that is always there
  bool outer = false;
};

struct Point {
  double ln_length = 0.0;  ///< within the stream
  double ln_outer_length = 0.0;
  double ln_offset = 0.0;
  double ln_share = 0.0;
};

double length_of(const Block& block, const Point& at) {
  return std::exp(block.outer ? at.ln_outer_length : at.ln_length);
}

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
  block.height = std::max(block.smooth.cwiseAbs().maxCoeff(), 1e-3);
  return block;
}

/// Where the stream begins and ends on a line, and the outer regions beside it: one process cannot be
/// both as lively as the stream and as still as the outer regions.
std::array<std::size_t, 4> outer_and_stream(const std::vector<double>& mean) {
  double peak = 0.0;
  for (const double v : mean) {
    peak = std::max(peak, std::abs(v));
  }
  const auto strong = [&](double v) { return std::abs(v) >= outer_share * peak; };
  const auto first = std::find_if(mean.begin(), mean.end(), strong);
  const auto last = std::find_if(mean.rbegin(), mean.rend(), strong).base();
  return {0,
          static_cast<std::size_t>(first - mean.begin()),
          static_cast<std::size_t>(last - mean.begin()),
          mean.size()};
}

/// Readings of a line that count, by index.
std::vector<std::size_t> counted(const SweepLine& line,
                                 std::size_t index,
                                 const std::vector<StrayReading>& strays) {
  std::vector<std::size_t> used;
  for (std::size_t r = 0; r < line.position.size(); ++r) {
    const bool stray = std::any_of(strays.begin(), strays.end(), [&](const StrayReading& s) {
      return s.line == index && s.reading == r;
    });
    if (line.usable[r] && !stray) {
      used.push_back(r);
    }
  }
  return used;
}

/// Cuts the lines into blocks of even size, strays left out.
std::vector<Block> cut_blocks(std::span<const SweepLine> lines,
                              const std::vector<StrayReading>& strays) {
  std::vector<Block> blocks;
  double peak = 0.0;
  for (std::size_t l = 0; l < lines.size(); ++l) {
    const SweepLine& line = lines[l];
    const std::vector<std::size_t> used = counted(line, l, strays);
    if (used.empty()) {
      continue;
    }
    std::vector<double> speeds;
    for (const std::size_t r : used) {
      speeds.push_back(line.speed_m_s[r]);
    }
    const std::vector<double> mean = running_mean(speeds);
    for (const double v : mean) {
      peak = std::max(peak, std::abs(v));
    }
    std::vector<double> smooth(line.position.size(), 0.0);
    for (std::size_t i = 0; i < used.size(); ++i) {
      smooth[used[i]] = mean[i];
    }
    const std::array<std::size_t, 4> cut = outer_and_stream(mean);
    for (std::size_t c = 0; c < 3; ++c) {
      const std::size_t count = cut[c + 1] - cut[c];
      const std::size_t pieces = (count + longest_block - 1) / longest_block;
      for (std::size_t p = 0; count >= shortest_block && p < pieces; ++p) {
        const std::size_t first = cut[c] + p * count / pieces;
        const std::size_t last = cut[c] + (p + 1) * count / pieces;
        blocks.push_back(make_block(l, line, smooth, std::span(used).subspan(first, last - first)));
        blocks.back().outer = c != 1;
      }
    }
  }
  for (Block& block : blocks) {
    block.least = least_noise * std::max(peak, 1e-6);
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
      k(i, j) = block.height * block.height / (1.0 + 0.5 * gap * gap);
      k(j, i) = k(i, j);
    }
  }
  return k;
}

Vector noise_variance(const Block& block, const Point& at) {
  const double offset_2 = std::exp(2.0 * at.ln_offset);
  const double share_2 = std::exp(2.0 * at.ln_share);
  return (offset_2 + block.least * block.least + share_2 * block.smooth.array().square()).matrix();
}

/// Minus the log density of a block's readings, without the constant.
double block_cost(const Block& block, const Point& at) {
  Matrix k = profile_covariance(block, length_of(block, at));
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
  const double high = std::max(low + 1.0, std::log(2.0 * span));
  return {std::clamp(std::log(0.2 * span), low, high), low, high};
}

/// Minus the log posterior density.
double posterior_cost(const std::vector<Block>& blocks,
                      const LengthPrior& length,
                      const NoiseModel& prior,
                      double prior_spread,
                      const Point& at) {
  const double a = (at.ln_offset - std::log(prior.offset_m_s)) / prior_spread;
  const double b = (at.ln_share - std::log(prior.share)) / prior_spread;
  double sum = 0.5 * (a * a + b * b);
  for (const double ln_length : {at.ln_length, at.ln_outer_length}) {
    if (ln_length < length.ln_low || ln_length > length.ln_high) {
      return std::numeric_limits<double>::infinity();
    }
    const double l = (ln_length - length.ln_mean) / 0.7;
    sum += 0.5 * l * l;
  }
  // Of many blocks an even choice; each stands for more than itself.
  const std::size_t stride = (blocks.size() + most_blocks - 1) / most_blocks;
  for (std::size_t i = 0; i < blocks.size(); i += stride) {
    sum += static_cast<double>(stride) * block_cost(blocks[i], at);
  }
  return sum;
}

/// Places to start from. Two valleys are common: all wiggles are noise, or all are profile.
std::vector<Point> starts_of(const LengthPrior& length, const NoiseModel& prior) {
  const double offset = std::log(prior.offset_m_s);
  const double share = std::log(prior.share);
  const double smooth = std::min(length.ln_mean, length.ln_high - 0.8);
  const double rough = std::min(length.ln_low + 0.5, length.ln_high - 0.8);
  const double middle = 0.5 * (smooth + rough);
  return {{smooth, smooth, offset, share},
          {rough, middle, offset - 1.0, share - 1.0},
          {middle, middle, offset - 4.0, share - 4.0}};
}

Point fit(const std::vector<Block>& blocks,
          const LengthPrior& length,
          const NoiseModel& prior,
          double prior_spread,
          const std::vector<Point>& starts,
          int threads) {
  const auto point = [](const Simplex::Array& x) { return Point{x[0], x[1], x[2], x[3]}; };
  const Simplex::Cost cost = [&](const Simplex::Array& x) {
    return posterior_cost(blocks, length, prior, prior_spread, point(x));
  };
  std::vector<std::pair<Simplex::Array, double>> ends(starts.size());
  parallel_for(starts.size(), threads, [&](std::size_t i) {
    const Point& s = starts[i];
    const Simplex::Array start(s.ln_length, s.ln_outer_length, s.ln_offset, s.ln_share);
    ends[i] = Simplex(cost, start).descend();
  });
  Point best = starts.front();
  double least = std::numeric_limits<double>::infinity();
  for (const auto& [place, value] : ends) {
    if (value < least) {
      least = value;
      best = point(place);
    }
  }
  return best;
}

/// What each reading's neighbours predict of it, in closed form [Rasmussen 2006, eq. 5.10 to
/// 5.12]; adds up the freedom on the way. A wild reading makes its neighbours look wild, so only
/// the worst of each neighbourhood is taken.
std::vector<StrayReading> find_strays(const std::vector<Block>& blocks,
                                      const Point& at,
                                      double& freedom) {
  std::vector<StrayReading> strays;
  freedom = 0.0;
  for (const Block& block : blocks) {
    const Eigen::Index n = block.position.size();
    const Vector noise = noise_variance(block, at);
    Matrix k = profile_covariance(block, length_of(block, at));
    k.diagonal() += noise;
    const Matrix inverse = k.llt().solve(Matrix::Identity(n, n));
    const Vector weighed = inverse * block.speed;
    const Vector z = (weighed.array() / inverse.diagonal().array().sqrt()).matrix();
    freedom += noise.dot(inverse.diagonal());
    for (Eigen::Index i = 0; i < n; ++i) {
      const Eigen::Index first = std::max<Eigen::Index>(0, i - 2);
      const Eigen::Index count = std::min<Eigen::Index>(n, i + 3) - first;
      const double worst = z.segment(first, count).cwiseAbs().maxCoeff();
      if (std::abs(z[i]) > stray_z && std::abs(z[i]) >= worst) {
        strays.push_back({block.line,
                          block.reading[static_cast<std::size_t>(i)],
                          block.speed[i] - weighed[i] / inverse(i, i),
                          z[i]});
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
                     double prior_spread,
                     int threads) {
  Scatter found;
  found.model = prior;
  // A stray reading hides others until it is out; a few rounds find them all.
  std::vector<Point> starts;
  for (int round = 0; round < 6; ++round) {
    const std::vector<Block> blocks = cut_blocks(lines, found.strays);
    if (blocks.empty()) {
      break;
    }
    const LengthPrior length = length_prior(blocks, lines);
    if (starts.empty()) {
      starts = starts_of(length, prior);
    }
    const Point at = fit(blocks, length, prior, prior_spread, starts, threads);
    found.model = {std::exp(at.ln_offset), std::exp(at.ln_share)};
    const std::vector<StrayReading> more = find_strays(blocks, at, found.freedom);
    if (more.empty()) {
      break;
    }
    found.strays.insert(found.strays.end(), more.begin(), more.end());
    starts = {at};
  }
  std::sort(found.strays.begin(), found.strays.end(), [](const auto& a, const auto& b) {
    return a.line != b.line ? a.line < b.line : a.reading < b.reading;
  });
  return found;
}

}  // namespace sweepflux
