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

/// What is said where there is no terminal to draw on: a line a stop when it ends, and of warnings
/// the first of each kind. The first few stops have no uncertainty yet, since it takes the
/// correlation times of several; once it is known their lines come again.
class StopLines {
 public:
  explicit StopLines(Motion motion) : motion_(motion) {}

  /// @param dwells  all so far; lines of those that are new
  [[nodiscard]] std::string lines(std::span<const Dwell> dwells);
  [[nodiscard]] bool none() const { return printed_.empty(); }
  /// At the end: the stops whose numbers became others, since settling and correlation are known
  /// only then, and all remarks and warnings, one line a kind.
  [[nodiscard]] std::string changes(const ReducedLog& reduced) const;

 private:
  [[nodiscard]] std::string line(const Dwell& dwell, std::size_t number, bool with_uncertainty);

  struct Printed {
    std::size_t first_line;
    double speed_m_s;
    double standard_error_m_s;
  };

  Motion motion_;
  std::vector<Printed> printed_;  ///< a stop each
  bool pooled_ = false;
  std::set<std::string> kinds_;
};

/// Values as a row of small bars, `columns` of them at most, the newest last.
[[nodiscard]] std::string spark_line(const std::vector<double>& values, int columns, bool utf8);

}  // namespace sweepflux::tool
