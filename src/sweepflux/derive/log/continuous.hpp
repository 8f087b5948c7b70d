#pragma once

#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/derive/log/drift.hpp"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// How the sensor follows the air. At most one of the two is set; with neither the lag is found
/// from ways there and back.
struct SensorLag {
  std::optional<double> time_constant_s;      ///< tau dy/dt + y = u
  std::optional<double> distance_constant_m;  ///< rotating meter: L dy/dt = u (u - y), tau = L / u
};

struct ContinuousOptions {
  double bin = 0.0;  ///< [rad] or [m], 0: a degree and a half, 20 mm
  SensorLag lag;
  bool rotating = false;  ///< a found lag is a distance constant, as of a vane
  Motion motion = Motion::swivel;
};

/// One reading of a reduced log: of a dwell, or of a bin (at its middle), all ways together and the
/// lag undone.
struct ReducedReading {
  double position = 0.0;  ///< [rad] or [m], backlash taken off when the log says so
  int direction = 0;
  double speed_m_s = 0.0;
  double spread_m_s = 0.0;          ///< standard deviation within the dwell
  double standard_error_m_s = 0.0;  ///< NaN: unknown
  double turbulence_intensity = 0.0;
  double integral_time_s = 0.0;  ///< NaN: unknown, as of a bin
  double effective_samples = 0.0;
  std::size_t samples = 0;
  double dwell_s = 0.0;
  double time_s = 0.0;         ///< of its first sample
  std::size_t first_line = 0;  ///< of the raw file
  std::size_t last_line = 0;
  std::vector<std::string> warnings;
};

/// A sweep that never stopped, reduced.
struct ContinuousSweep {
  std::vector<ReducedReading> bins;  ///< by position
  std::vector<TimedReading> by_way;  ///< each way's bins, lag not undone
  std::size_t ways = 0;
  double rate = 0.0;  ///< mean size of the position's change, [rad/s] or [m/s]
  double duration_s = 0.0;
  std::optional<Backlash> gap;     ///< before the lag was undone
  std::optional<Measured> lag_s;   ///< half gap / rate
  SensorLag used;                  ///< empty: nothing was undone
  bool found_lag = false;          ///< `used` was found from this log
  double integral_u_error = 0.0;   ///< relative standard error of the integral of u
  double integral_u2_error = 0.0;  ///< and of u^2
  std::vector<std::string> remarks;
};

/// Gathers a continuous sweep, sample by sample; memory grows with bins and ways only.
///
/// The lag is undone exactly on bin means: the mean of tau dy/dt over a bin is tau times the
/// change of y across it, so no sample is ever differentiated. Errors come from the scatter of the
/// ways about their mean, pooled over neighbouring bins; with one way, from second differences.
class ContinuousReducer {
 public:
  /// @throws InputError  an option is out of range
  explicit ContinuousReducer(ContinuousOptions options);

  void add(const LogSample& sample);

  /// @throws NumericalError  fewer than 5 bins were crossed
  [[nodiscard]] ContinuousSweep finish();

 private:
  struct Crossing {
    long bin = 0;
    int entered = 0;  ///< direction of the move into it; 0: the log began here
    int left = 0;
    std::size_t way = 0;
    double integral = 0.0;  ///< of y over time
    double squares = 0.0;   ///< of the values about the first
    double sum = 0.0;       ///< the same, plain
    double first_value = 0.0;
    std::size_t samples = 0;
    double enter_s = 0.0;
    double enter_value = 0.0;
    double leave_s = 0.0;
    double leave_value = 0.0;
    std::size_t first_line = 0;
    std::size_t last_line = 0;
  };

  void cross(long bin, const LogSample& sample);
  void put(const LogSample& sample);
  [[nodiscard]] double undone(const Crossing& crossing, const SensorLag& lag) const;
  [[nodiscard]] std::vector<TimedReading> readings(const SensorLag& lag,
                                                   const std::map<long, double>& errors) const;
  [[nodiscard]] SensorLag lag_that_closes_the_gap(double first_guess_s) const;
  [[nodiscard]] std::map<long, double> pooled_errors(const SensorLag& lag) const;
  void fill_bins(ContinuousSweep& sweep, const std::map<long, double>& errors) const;
  void judge_lag(ContinuousSweep& sweep, std::map<long, double>& errors) const;

  ContinuousOptions options_;
  std::vector<Crossing> crossings_;  ///< whole ones
  std::optional<Crossing> open_;
  bool started_ = false;
  double last_position_ = 0.0;
  double last_time_s_ = 0.0;
  double last_value_ = 0.0;
  double first_time_s_ = 0.0;
  double path_ = 0.0;
  double path_time_s_ = 0.0;
  int direction_ = 0;
  std::size_t way_ = 0;
};

/// What the time on the way costs: the relative standard error of the integral of u^2 that a
/// stop-and-go sweep of the same bins would have reached in a given time, from this sweep's own
/// turbulence. Below, lag and bins are left out of account; the scatter goes by averaging time.
[[nodiscard]] double stop_and_go_error(const ContinuousSweep& sweep,
                                       double minutes,
                                       double share_of_time_dwelling);

}  // namespace sweepflux
