#pragma once

#include "tests/support/make_survey.hpp"

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

namespace sweepflux::test {

/// A controller that obeys a program in the words of ISO 6983: G1 with one axis and a feed per
/// minute, G4 P in seconds, G90, G94, M30; block numbers and remarks in brackets. It knows nothing
/// of how the program was made.
class DriveController {
 public:
  /// @param axis       letter of its one axis
  /// @param low, high  its own limits, in the program's unit
  /// @param start      where it stands
  /// @throws std::invalid_argument  any other word, a move without a feed, a place beyond the
  ///                                limits, or no end
  DriveController(
      const std::string& program, char axis, double low, double high, double start = 0.0);

  /// In the program's unit: degrees or millimetres.
  [[nodiscard]] double position_at(double time_s) const;
  [[nodiscard]] double seconds() const { return moves_.empty() ? 0.0 : moves_.back().end_s; }

 private:
  struct Move {
    double start_s, end_s, from, to;
  };
  void obey(const std::string& block, char axis, double low, double high);

  std::vector<Move> moves_;
  double at_ = 0.0;
  double feed_per_min_ = 0.0;
  bool absolute_ = false;
  bool ended_ = false;
};

/// How an anemometer sends its readings.
enum class Sender {
  table,  ///< a heading, then time, angle and speed with decimal commas between semicolons
  timed,  ///< no heading and no angle: noise of the plug first, then "12.5;+ 1.23 m/s OK"
  bare    ///< the same without the time: "+ 1.23 m/s OK"
};

/// A turntable under a controller before a known field, and an anemometer with turbulence and lag.
struct DrivenRig {
  const KnownField* field = nullptr;
  SurveyPlan plan;  ///< its errors of scale and offset are one draw for all sweeps
  double rate_hz = 10.0;
  double turbulence = 0.12;  ///< of the local mean
  double integral_time_s = 0.3;
  double sensor_time_constant_s = 0.2;
  double resolution_m_s = 0.01;
  std::uint64_t seed = 1;

  /// Sends the lines of one sweep, each with its moment [s].
  void stream(const DriveController& controller,
              double distance_m,
              double height_m,
              Sender sender,
              const std::function<void(double time_s, const std::string& line)>& send) const;
};

/// A balance's log while a fan is off, on at each thrust, and off again between: "time;reading"
/// lines such as "12.5;+ 132 g ST", settling exponentially, with a drifting zero.
[[nodiscard]] std::vector<std::string> scale_lines(const std::vector<double>& forces_n,
                                                   double plateau_s,
                                                   double drift_n,
                                                   std::uint64_t seed);

}  // namespace sweepflux::test
