#pragma once

#include "sweepflux/derive/log/follow_log.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"

#include <string>

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

/// One line for a dwell that is done, where there is no terminal to draw on.
[[nodiscard]] std::string dwell_line(const Dwell& dwell, std::size_t number, Motion motion);

/// Values as a row of small bars, `columns` of them at most, the newest last.
[[nodiscard]] std::string spark_line(const std::vector<double>& values, int columns, bool utf8);

}  // namespace sweepflux::tool
