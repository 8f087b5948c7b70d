#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace sweepflux {

/// Watches the times of a log for jumps back, gaps, and times that stand still. File order is
/// kept whatever it finds.
class ClockWatch {
 public:
  enum class Event { none, gap, back };

  [[nodiscard]] Event add(double time_s, std::size_t line);

  /// The usual step, once 16 rows have been seen; 0 before.
  [[nodiscard]] double usual_step_s() const { return usual_step_s_; }
  [[nodiscard]] std::size_t gaps() const { return gaps_; }
  [[nodiscard]] std::size_t jumps_back() const { return jumps_back_; }
  /// "clock jumps back by 3600 s at line 812", ...: the first few, and how many there are in all.
  [[nodiscard]] std::vector<std::string> warnings() const;

 private:
  double last_s_ = 0.0;
  bool started_ = false;
  std::vector<double> first_steps_;
  double usual_step_s_ = 0.0;
  std::size_t gaps_ = 0;
  std::size_t jumps_back_ = 0;
  std::vector<std::string> first_words_;
};

}  // namespace sweepflux
