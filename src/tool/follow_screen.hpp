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
/// and of warnings the first of each kind. Of a stop that ends before that: its speed so far.
class StopLines {
 public:
  explicit StopLines(const ReduceSettings& settings);

  /// What the lines mean, and when those come that are final.
  [[nodiscard]] std::string opening() const;
  /// @param dwells  all until now; lines of what is new
  /// @param final   so many of them, the first, have numbers that stay
  [[nodiscard]] std::string lines(std::span<const Dwell> dwells, std::size_t final);
  /// All remarks and warnings, one line a kind.
  [[nodiscard]] static std::string end(const ReducedLog& reduced);

 private:
  [[nodiscard]] std::string place(std::size_t index, const Dwell& dwell) const;

  Motion motion_;
  bool settling_known_;
  bool begin_known_;  ///< else stops are not where they seem to be until the end
  std::size_t printed_ = 0;
  double shown_until_s_ = -1e300;  ///< start of the last that was shown
  std::set<std::string> kinds_;
};

/// Values as a row of small bars, `columns` of them at most, the newest last.
[[nodiscard]] std::string spark_line(const std::vector<double>& values, int columns, bool utf8);

}  // namespace sweepflux::tool
