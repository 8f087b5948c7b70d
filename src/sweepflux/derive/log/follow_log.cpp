#include "sweepflux/derive/log/follow_log.hpp"

#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t seconds_shown = 120;
constexpr std::size_t warnings_shown = 8;

}  // namespace

LogFollower::LogFollower(std::string source, ReduceSettings settings, Reduced reduced)
    : source_(std::move(source)),
      settings_(std::move(settings)),
      reduced_(std::move(reduced)),
      feed_(source_, settings_.format) {
  if (settings_.continuous) {
    throw InputError("a continuous sweep cannot be followed yet; reduce its log when it is done");
  }
  DwellOptions options = settings_.dwells;
  options.most_held = std::min<std::size_t>(options.most_held, 12);  // whoever watches wants to see
  if (settings_.pattern) {
    options.stops = list_stops(*settings_.pattern);
  }
  settings_.dwells = options;
  finder_.emplace(options, [this](Dwell dwell) { found(std::move(dwell)); });
}

void LogFollower::warn(std::string text) {
  ++warnings_in_all_;
  warnings_.push_back(std::move(text));
  if (warnings_.size() > warnings_shown) {
    warnings_.erase(warnings_.begin());
  }
}

void LogFollower::found(Dwell dwell) {
  dwells_.push_back(dwell);
  if (dwell.reading.samples > 0) {
    const SensorContext context =
        sensor_context(dwells_, settings_.starting_speed_m_s, settings_.full_scale_m_s);
    const double beside = dwells_.size() > 1 ? dwells_[dwells_.size() - 2].reading.mean
                                             : std::numeric_limits<double>::quiet_NaN();
    for (const std::string& word : sensor_warnings(dwell, context, beside)) {
      dwell.warnings.push_back(word);
    }
  }
  for (const std::string& word : dwell.warnings) {
    const bool swivel = settings_.format.motion == Motion::swivel;
    warn("at " +
         (swivel ? format_number(dwell.position * 180.0 / std::numbers::pi, 4) + " deg"
                 : format_number(dwell.position, 4) + " m") +
         ": " + word);
  }
}

void LogFollower::tell() {
  if (told_ == dwells_.size()) {
    return;
  }
  if (reduced_) {
    // Dwells are closed by the row that is just being taken: go on with that row.
    reduced_(std::span(dwells_).subspan(told_),
             {feed_.bytes_before(),
              feed_.lines_before(),
              finder_->learnt(),
              feed_.counts_before(),
              moving_rows_before_ + finder_->moving_rows()});
  }
  told_ = dwells_.size();
}

void LogFollower::take(const LogSample& sample) {
  if (!asked_position_) {
    asked_position_ = true;
    if (settings_.dwells.stops.empty() && !feed_.has_position()) {
      throw InputError(source_ +
                       ": the log has no angle column; name it, give a list of steps, or give the "
                       "sweep's pattern");
    }
  }
  if (rows_ == 0) {
    first_time_s_ = sample.time_s;
    second_ = std::floor(sample.time_s);
  }
  ++rows_;
  last_time_s_ = sample.time_s;
  if (std::floor(sample.time_s) != second_) {
    recent_.push_back(second_count_ > 0.0 ? second_sum_ / second_count_
                                          : std::numeric_limits<double>::quiet_NaN());
    if (recent_.size() > seconds_shown) {
      recent_.erase(recent_.begin());
    }
    second_ = std::floor(sample.time_s);
    second_sum_ = 0.0;
    second_count_ = 0.0;
  }
  if (sample.fault == SampleFault::none) {
    last_value_ = sample.value;
    second_sum_ += sample.value;
    second_count_ += 1.0;
  }
  if (sample.new_segment) {
    warn("line " + std::to_string(sample.line) + ": the logger was started anew");
  }
  finder_->add(sample);
  tell();
  const std::size_t faults = finder_->clock().gaps() + finder_->clock().jumps_back();
  if (faults != clock_faults_) {
    clock_faults_ = faults;
    const std::vector<std::string> words = finder_->clock().warnings();
    warn(faults < words.size() + 1 ? words[faults - 1] : words.back());
  }
}

void LogFollower::feed(std::string_view bytes) {
  feed_.feed(bytes, [this](const LogSample& sample) { take(sample); });
}

void LogFollower::restart() {
  warn(feed_.restart() ? "the log began anew; half a line was given up" : "the log began anew");
}

void LogFollower::learn_columns(std::string_view opening) {
  feed_.feed(opening, [](const LogSample&) {});
}

void LogFollower::resume(std::vector<Dwell> dwells, const FollowMark& mark) {
  dwells_ = std::move(dwells);
  told_ = dwells_.size();
  moving_rows_before_ = mark.moving_rows;
  feed_.resume_at(mark.byte, mark.line, mark.counts);
  if (!settings_.dwells.stops.empty()) {
    // Stops that were made are not waited for again; the begin stays that of the first row.
    settings_.dwells.begin_s = settings_.dwells.begin_s.value_or(
        dwells_.front().start_s - settings_.dwells.stops.front().start_s);
  }
  finder_.emplace(settings_.dwells, [this](Dwell dwell) { found(std::move(dwell)); });
  finder_->go_on(mark.learnt, dwells_.back());
}

bool LogFollower::complete() const {
  const std::size_t wanted = settings_.dwells.stops.size();
  return wanted > 0 && dwells_.size() >= wanted;
}

FollowView LogFollower::view() const {
  FollowView view;
  view.source = source_;
  view.since_start_s = last_time_s_ - first_time_s_;
  view.rows = rows_;
  view.last_value = last_value_;
  view.recent = recent_;
  view.open = finder_->open();
  view.usual_rest_s = finder_->learnt().usual_rest_s;
  view.settle_s = finder_->learnt().settle_s;
  view.stops_wanted = settings_.dwells.stops.size();
  if (view.stops_wanted > 0) {
    const RigStop& last = settings_.dwells.stops.back();
    const double end_s = last.start_s + last.settle_s + last.dwell_s;
    view.minutes_left = std::max(0.0, (end_s - view.since_start_s) / 60.0);
  }
  view.warnings = warnings_;
  view.warnings_in_all = warnings_in_all_;
  return view;
}

ReducedLog LogFollower::finish() {
  const bool resumed = !dwells_.empty();
  try {
    finder_->finish();
  } catch (const NumericalError&) {
    if (!resumed) {
      throw;
    }
  }
  tell();
  ReducedLog reduced;
  reduced.file = source_;
  reduced.motion = settings_.format.motion;
  reduced.settle_s = finder_->learnt().settle_s;
  reduced.step_response = finder_->learnt().response;
  reduced.counts = feed_.counts();
  reduced.moving_rows = moving_rows_before_ + finder_->moving_rows();
  reduced.remarks = finder_->remarks();
  reduced.warnings = finder_->clock().warnings();
  if (feed_.has_half_line()) {
    reduced.warnings.push_back("the last line has no end and was left out");
  }
  std::vector<Dwell> dwells = dwells_;
  for (Dwell& dwell : dwells) {
    dwell.warnings.clear();  // they are found again, now with the whole sweep as context
  }
  finish_readings(std::move(dwells), settings_, reduced);
  return reduced;
}

}  // namespace sweepflux
