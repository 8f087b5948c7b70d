#include "tests/support/simulated_log.hpp"

#include <charconv>
#include <cmath>
#include <numbers>
#include <random>

namespace sweepflux::test {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

/// Turbulence and sensor, advanced step by step.
class Sensor {
 public:
  explicit Sensor(const SimulatedRig& rig)
      : rig_(rig), random_(rig.seed), eddy_(normal_(random_)) {}

  double read(double mean_m_s) {
    const double dt = 1.0 / rig_.rate_hz;
    const double kept = std::exp(-dt / rig_.integral_time_s);
    eddy_ = kept * eddy_ + std::sqrt(1.0 - kept * kept) * normal_(random_);
    const double air = mean_m_s * (1.0 + rig_.turbulence * eddy_);
    if (rig_.sensor_time_constant_s > 0.0 && started_) {
      // Exact for air that changes linearly within the step.
      const double a = dt / rig_.sensor_time_constant_s;
      const double gone = -std::expm1(-a);
      shown_ += gone * (last_air_ - shown_) + (air - last_air_) * (1.0 - gone / a);
    } else {
      shown_ = air;
    }
    started_ = true;
    last_air_ = air;
    return rig_.resolution_m_s > 0.0
               ? rig_.resolution_m_s * std::round(shown_ / rig_.resolution_m_s)
               : shown_;
  }

 private:
  const SimulatedRig& rig_;
  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
  double eddy_;
  double shown_ = 0.0;
  double last_air_ = 0.0;
  bool started_ = false;
};

void put(std::string& text, double value, int decimals) {
  char digits[64];
  const auto end = std::to_chars(digits, digits + 64, value, std::chars_format::fixed, decimals);
  text.append(digits, end.ptr);
}

}  // namespace

double SimulatedRig::true_speed(double angle_deg) const {
  const double x = (angle_deg - centre_deg) / sigma_deg;
  return floor_m_s + peak_m_s * std::exp(-0.5 * x * x);
}

std::vector<LogSample> SimulatedRig::stop_and_go() const {
  Sensor sensor(*this);
  std::vector<LogSample> samples;
  const int all = there_and_back ? 2 * stops : stops;
  double last_deg = start_deg;
  double time_s = 0.0;
  std::mt19937_64 hand(seed + 1);
  std::normal_distribution<double> scatter;
  for (int i = 0; i < all; ++i) {
    const int at = i < stops ? i : all - 1 - i;
    const double target_deg = start_deg + step_deg * at;
    const double way = target_deg > last_deg ? 1.0 : (target_deg < last_deg ? -1.0 : 0.0);
    const double slack = (i < stops ? 1.0 : -1.0) * backlash_deg;
    const double stretch = rest_scatter > 0.0 ? std::exp(rest_scatter * scatter(hand)) : 1.0;
    const double length_s = move_s + rest_s * stretch + (i == 0 ? lead_s : 0.0);
    const auto rows = static_cast<std::size_t>(std::lround(length_s * rate_hz));
    for (std::size_t k = 0; k < rows; ++k, time_s += 1.0 / rate_hz) {
      const double moved =
          move_s > 0.0 ? std::min(1.0, static_cast<double>(k) / rate_hz / move_s) : 1.0;
      const double fan_deg =
          (way == 0.0 ? target_deg : last_deg + moved * (target_deg - last_deg)) - slack;
      const double drift = 1.0 + drift_per_hour * time_s / 3600.0;
      LogSample sample;
      sample.time_s = time_s;
      sample.position = target_deg * degree;
      sample.value = sensor.read(true_speed(fan_deg) * drift);
      sample.line = samples.size() + 2;
      samples.push_back(sample);
    }
    last_deg = target_deg;
  }
  return samples;
}

std::vector<LogSample> SimulatedRig::continuous(double rate_deg_s, int ways) const {
  Sensor sensor(*this);
  std::vector<LogSample> samples;
  const double span_deg = step_deg * (stops - 1);
  const auto rows =
      static_cast<std::size_t>(std::lround(ways * span_deg / rate_deg_s * rate_hz)) + 1;
  for (std::size_t k = 0; k < rows; ++k) {
    const double time_s = static_cast<double>(k) / rate_hz;
    const double path = std::fmod(time_s * rate_deg_s, 2.0 * span_deg);
    const double angle_deg = start_deg + (path <= span_deg ? path : 2.0 * span_deg - path);
    LogSample sample;
    sample.time_s = time_s;
    sample.position = angle_deg * degree;
    sample.value = sensor.read(true_speed(angle_deg));
    sample.line = samples.size() + 2;
    samples.push_back(sample);
  }
  return samples;
}

std::string log_text(const std::vector<LogSample>& samples, bool with_angle) {
  std::string text = with_angle ? "time [s],angle [deg],speed [m/s]\n" : "time [s],speed [m/s]\n";
  for (const LogSample& sample : samples) {
    put(text, sample.time_s, 3);
    if (with_angle) {
      text += ',';
      put(text, sample.position / degree, 3);
    }
    text += ',';
    put(text, sample.value, 3);
    text += '\n';
  }
  return text;
}

}  // namespace sweepflux::test
