#include "tests/support/driven_rig.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <sstream>
#include <stdexcept>

namespace sweepflux::test {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

std::string fixed(double value, int decimals) {
  char digits[64];
  std::snprintf(digits, sizeof digits, "%.*f", decimals, value);
  std::string text = digits;
  std::replace(text.begin(), text.end(), ',', '.');  // whatever the locale
  return text;
}

std::string with_comma(std::string text) {
  std::replace(text.begin(), text.end(), '.', ',');
  return text;
}

}  // namespace

DriveController::DriveController(
    const std::string& program, char axis, double low, double high, double start)
    : at_(start) {
  std::istringstream lines(program);
  for (std::string line; std::getline(lines, line);) {
    const std::size_t remark = line.find('(');
    if (remark != std::string::npos && line.find(')') != line.size() - 1) {
      throw std::invalid_argument("a remark that does not end with its line: " + line);
    }
    line = line.substr(0, remark);
    if (line.empty() || line == "%") {
      continue;
    }
    if (ended_) {
      throw std::invalid_argument("a block behind the end: " + line);
    }
    obey(line, axis, low, high);
  }
  if (!ended_) {
    throw std::invalid_argument("the program has no end");
  }
}

void DriveController::obey(const std::string& block, char axis, double low, double high) {
  std::istringstream words(block);
  bool moves = false;
  bool waits = false;
  double to = at_;
  double pause_s = -1.0;
  for (std::string word; words >> word;) {
    std::size_t read = 0;
    const double value = std::stod(word.substr(1), &read);
    if (read + 1 != word.size()) {
      throw std::invalid_argument("no word: " + word);
    }
    if (word == "G90") {
      absolute_ = true;
    } else if (word == "G1") {
      moves = true;
    } else if (word == "G4") {
      waits = true;
    } else if (word == "M30") {
      ended_ = true;
    } else if (word[0] == axis) {
      to = value;
    } else if (word[0] == 'F') {
      feed_per_min_ = value;
    } else if (word[0] == 'P') {
      pause_s = value;
    } else if (word != "G94" && word[0] != 'N') {
      throw std::invalid_argument("a word that the controller does not know: " + word);
    }
  }
  const double now_s = seconds();
  if (moves) {
    if (!absolute_ || !(feed_per_min_ > 0.0) || to < low - 1e-9 || to > high + 1e-9) {
      throw std::invalid_argument("a move without a mode or feed, or beyond the limits: " + block);
    }
    moves_.push_back({now_s, now_s + std::abs(to - at_) / feed_per_min_ * 60.0, at_, to});
    at_ = to;
  } else if (waits) {
    if (!(pause_s >= 0.0)) {
      throw std::invalid_argument("a dwell without a time: " + block);
    }
    moves_.push_back({now_s, now_s + pause_s, at_, at_});
  }
}

double DriveController::position_at(double time_s) const {
  for (const Move& move : moves_) {
    if (time_s < move.end_s) {
      const double share = move.end_s > move.start_s
                               ? (time_s - move.start_s) / (move.end_s - move.start_s)
                               : 1.0;
      return move.from + share * (move.to - move.from);
    }
  }
  return at_;
}

void DrivenRig::stream(const DriveController& controller,
                       double distance_m,
                       double height_m,
                       Sender sender,
                       const std::function<void(double, const std::string&)>& send) const {
  SurveyPlan steady = plan;
  steady.noise_relative = 0.0;
  steady.noise_m_s = 0.0;
  steady.starting_speed_m_s = 0.0;
  KnownRig rig(*field, steady);
  Dice dice(seed);
  const double step_s = 1.0 / rate_hz;
  const double keep = std::exp(-step_s / integral_time_s);
  const double follow = 1.0 - std::exp(-step_s / sensor_time_constant_s);
  double eddy = dice.normal(1.0);
  double shown = -1.0;
  if (sender == Sender::table) {
    send(0.0, "time [s];angle [deg];speed [m/s]\r\n");
  } else {
    send(0.0, std::string("34 m/s OK\r\n\x00\xfe\x7f~~\r\n?? boot 1.7\r\n", 31));
  }
  const auto count = static_cast<long>(std::ceil(controller.seconds() * rate_hz));
  for (long i = 0; i < count; ++i) {
    const double time_s = static_cast<double>(i) * step_s;
    const double angle_deg = controller.position_at(time_s);
    const Sweep now = rig.sweep(distance_m, height_m, {-angle_deg * degree});
    eddy = keep * eddy + dice.normal(std::sqrt(1.0 - keep * keep));
    const double speed = std::max(0.0, now.readings.front().speed_m_s * (1.0 + turbulence * eddy));
    shown = shown < 0.0 ? speed : shown + follow * (speed - shown);
    const double reported = shown >= plan.starting_speed_m_s
                            ? std::round(shown / resolution_m_s) * resolution_m_s
                            : 0.0;
    const std::string speed_cell = "+ " + fixed(reported, 2) + " m/s OK\r\n";
    switch (sender) {
      case Sender::table:
        send(time_s,
             with_comma(fixed(time_s, 2) + ";" + fixed(angle_deg, 2) + ";" + fixed(reported, 2)) +
                 "\r\n");
        break;
      case Sender::timed:
        send(time_s, fixed(time_s, 2) + ";" + speed_cell);
        break;
      case Sender::bare:
        send(time_s, speed_cell);
        break;
    }
  }
}

std::vector<std::string> scale_lines(const std::vector<double>& forces_n,
                                     double plateau_s,
                                     double drift_n,
                                     std::uint64_t seed) {
  constexpr double rate_hz = 5.0;
  constexpr double settle_s = 0.8;
  Dice dice(seed);
  std::vector<double> levels = {0.0};
  for (const double force : forces_n) {
    levels.push_back(force);
    levels.push_back(0.0);
  }
  std::vector<std::string> lines;
  const auto rows = static_cast<long>(plateau_s * rate_hz);
  const double all_s = plateau_s * static_cast<double>(levels.size());
  double shown = 0.0;
  for (std::size_t i = 0; i < levels.size(); ++i) {
    for (long row = 0; row < rows; ++row) {
      const double time_s = plateau_s * static_cast<double>(i) + static_cast<double>(row) / rate_hz;
      shown += (levels[i] - shown) * (1.0 - std::exp(-1.0 / rate_hz / settle_s));
      const double force = shown + drift_n * time_s / all_s + dice.normal(0.003);
      const double grams = std::round(force / 9.80665e-3 * 10.0) / 10.0;
      lines.push_back(fixed(time_s, 1) + ";" + (grams < 0.0 ? "- " : "+ ") +
                      fixed(std::abs(grams), 1) + " g ST\r\n");
    }
  }
  return lines;
}

}  // namespace sweepflux::test
