#pragma once

#include "sweepflux/derive/log/follow_log.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"
#include "sweepflux/derive/thrust/steady_watch.hpp"

#include <set>
#include <span>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// What a terminal can show.
struct ScreenSize {
  int columns = 80;
  int rows = 24;
  bool utf8 = true;  ///< bars of eighths of a cell; else plain ASCII
};

/// One page for the terminal, at most `rows` lines of at most `columns` cells: the profile so far,
/// the last two minutes of readings, progress of the dwell, minutes left, warnings.
[[nodiscard]] std::string follow_screen(const FollowView& view,
                                        const std::vector<Dwell>& dwells,
                                        Motion motion,
                                        ScreenSize size);

/// The same for a balance.
[[nodiscard]] std::string scale_screen(const std::string& source,
                                       std::size_t rows,
                                       double last_n,
                                       const SteadyWatch& watch,
                                       const std::vector<double>& recent,
                                       ScreenSize size);

/// What is said where there is no terminal to draw on: a line a stop, once its numbers are final,
/// and of warnings the first of each kind.
class StopLines {
 public:
  explicit StopLines(Motion motion) : motion_(motion) {}

  /// Why no line comes with the first stops.
  [[nodiscard]] static std::string opening(const ReduceSettings& settings);
  /// @param final_dwells  all so far; lines of those that are new
  [[nodiscard]] std::string lines(std::span<const Dwell> final_dwells);
  /// All remarks and warnings, one line a kind.
  [[nodiscard]] static std::string end(const ReducedLog& reduced);

 private:
  Motion motion_;
  std::size_t printed_ = 0;
  std::set<std::string> kinds_;
};

/// Values as a row of small bars, `columns` of them at most, the newest last.
[[nodiscard]] std::string spark_line(const std::vector<double>& values, int columns, bool utf8);

}  // namespace sweepflux::tool
