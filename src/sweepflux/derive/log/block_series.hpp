#pragma once

#include "sweepflux/base/correlated_mean.hpp"
#include "sweepflux/base/statistics.hpp"

#include <cstddef>
#include <limits>
#include <vector>

namespace sweepflux {

/// A stretch of a log in bounded memory: single values at first; when too many, neighbours are
/// merged two by two, so that all blocks but the last hold equally many values.
class BlockSeries {
 public:
  struct Block {
    RunningMoments values;
    double first_time_s = 0.0;
    double last_time_s = 0.0;
    std::size_t first_line = 0;
    std::size_t last_line = 0;
  };

  /// @param most_blocks  even, >= 64
  explicit BlockSeries(std::size_t most_blocks = 1024) : most_blocks_(most_blocks) {}

  void add(double value, double time_s, std::size_t line);

  [[nodiscard]] const std::vector<Block>& blocks() const { return blocks_; }
  [[nodiscard]] bool empty() const { return blocks_.empty(); }
  /// One value more makes neighbours merge.
  [[nodiscard]] bool full() const {
    return blocks_.size() == most_blocks_ && blocks_.back().values.count() >= block_size_;
  }
  /// Values in each full block.
  [[nodiscard]] std::size_t block_size() const { return block_size_; }

  /// The blocks that begin in [from_s, to_s].
  [[nodiscard]] std::vector<const Block*> between(double from_s, double to_s) const;

 private:
  std::size_t most_blocks_;
  std::size_t block_size_ = 1;
  std::vector<Block> blocks_;
};

/// What a stretch tells about its mean.
struct StretchMean {
  std::size_t samples = 0;
  double mean = 0.0;
  double standard_deviation = 0.0;  ///< of the values as they were logged
  double integral_time_s = 0.0;     ///< NaN when it cannot be determined
  double effective_samples = 0.0;
  double standard_error = 0.0;  ///< mean +- 1.96 of it holds the true mean in 95 %; NaN: unknown
  double first_time_s = 0.0;
  double last_time_s = 0.0;
  std::size_t first_line = 0;
  std::size_t last_line = 0;
  MeanEvidence evidence;  ///< to judge the standard error again, together with other stretches
};

/// Mean and uncertainty of the blocks that begin in [from_s, to_s]; all samples count, equally.
/// Correlation is judged on the full blocks [series_correlation, standard_error_of_mean].
///
/// @return samples = 0 when nothing begins there
[[nodiscard]] StretchMean mean_of_stretch(const BlockSeries& series,
                                          double from_s,
                                          double to_s = std::numeric_limits<double>::infinity());

/// The value of [from_s, to_s] that a slip may have made: ten standard deviations of all others or
/// more away from their mean, and 1 m/s or 1 N. Common practice, no published source.
///
/// @return nullptr where there is none, fewer than ten others, or values are merged in blocks
[[nodiscard]] const BlockSeries::Block* lone_value(
    const BlockSeries& series,
    double from_s,
    double to_s = std::numeric_limits<double>::infinity());

}  // namespace sweepflux
