#include "sweepflux/derive/log/follow_log.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t seconds_shown = 120;
constexpr std::ptrdiff_t warnings_shown = 8;

}  // namespace

LogFollower::LogFollower(std::string source, ReduceSettings settings, Reduced reduced)
    : source_(std::move(source)),
      settings_(std::move(settings)),
      reduced_(std::move(reduced)),
      feed_(source_, settings_.format) {
  if (settings_.continuous) {
    throw InputError("a continuous sweep cannot be followed yet; reduce its log when it is done");
  }
  settings_.dwells.motion = settings_.format.motion;
  if (settings_.pattern) {
    settings_.dwells.stops = list_stops(*settings_.pattern);
  }
  start_finder();
}

void LogFollower::start_finder() {
  finder_.emplace(settings_.dwells, [this](Dwell dwell) {
    dwells_.resize(final_++);
    dwells_.push_back(std::move(dwell));
  });
}

void LogFollower::warn(const std::string& text, std::string kind) {
  kind = kind.empty() ? text : std::move(kind);
  const auto known = std::find_if(warnings_.begin(), warnings_.end(), [&](const Warning& warning) {
    return warning.kind == kind;
  });
  Warning warning = {kind, text, 1};
  if (known != warnings_.end()) {
    warning.count = known->count + 1;
    warnings_.erase(known);
  }
  warnings_.push_back(std::move(warning));
}

void LogFollower::warn_of(const Dwell& dwell) {
  std::vector<std::string> words = dwell.warnings;
  if (dwell.reading.samples > 0) {
    const SensorContext context =
        sensor_context(dwells_, settings_.starting_speed_m_s, settings_.full_scale_m_s);
    const double beside = dwells_.size() > 1 ? dwells_[dwells_.size() - 2].reading.mean
                                             : std::numeric_limits<double>::quiet_NaN();
    for (const std::string& word : sensor_warnings(dwell, context, beside)) {
      words.push_back(word);
    }
  }
  for (const std::string& word : words) {
    warn("at " + place_text(dwell.position, settings_.format.motion) + ": " + word,
         word.substr(0, word.find(':')));
  }
}

void LogFollower::judge(bool at_end) {
  const bool begin_known = !settings_.pattern || settings_.dwells.begin_s;
  const bool pooled = pool_.judge(std::span(dwells_).first(final_));
  judged_ = (pooled && begin_known) || at_end ? final_ : 0;
  if (final_ < dwells_.size()) {
    ErrorPool running = pool_;
    running.judge(dwells_);
  }
}

void LogFollower::look() {
  if (closed_ == finder_->closed()) {
    return;
  }
  closed_ = finder_->closed();
  std::vector<Dwell> held = finder_->preview();
  dwells_.resize(final_);
  std::move(held.begin(), held.end(), std::back_inserter(dwells_));
  judge(false);
  auto news = std::find_if(dwells_.rbegin(), dwells_.rend(), [this](const Dwell& dwell) {
                return dwell.start_s <= reported_until_s_;
              }).base();
  if (news == dwells_.end()) {
    return;
  }
  for (auto dwell = news; dwell != dwells_.end(); ++dwell) {
    warn_of(*dwell);
  }
  reported_until_s_ = dwells_.back().start_s;
  if (reduced_) {
    reduced_(std::span(news, dwells_.end()),
             {feed_.bytes_before(),
              feed_.lines_before(),
              finder_->learnt(),
              feed_.counts_before(),
              moving_rows_before_ + finder_->moving_rows()});
  }
}

void LogFollower::take(const LogSample& sample) {
  if (!asked_position_) {
    asked_position_ = true;
    if (settings_.dwells.stops.empty() && !feed_.has_position()) {
      throw InputError(source_ + no_angle_words);
    }
  }
  if (view_.rows == 0) {
    first_time_s_ = sample.time_s;
    second_ = std::floor(sample.time_s);
  }
  ++view_.rows;
  view_.since_start_s = sample.time_s - first_time_s_;
  if (std::floor(sample.time_s) != second_) {
    view_.recent.push_back(second_count_ > 0.0 ? second_sum_ / second_count_
                                               : std::numeric_limits<double>::quiet_NaN());
    if (view_.recent.size() > seconds_shown) {
      view_.recent.erase(view_.recent.begin());
    }
    second_ = std::floor(sample.time_s);
    second_sum_ = 0.0;
    second_count_ = 0.0;
  }
  if (sample.fault == SampleFault::none) {
    view_.last_value = sample.value;
    second_sum_ += sample.value;
    second_count_ += 1.0;
  }
  if (sample.new_segment) {
    warn("line " + std::to_string(sample.line) + ": the logger was started anew", "logger anew");
  }
  if (!settings_.dwells.stops.empty() && !settings_.dwells.begin_s &&
      (settings_.pattern || !feed_.has_position())) {
    kept_.push_back(sample);
    kept_.back().label = {};
  }
  finder_->add(sample);
  look();
  const ClockMender& clock = finder_->rests().clock();
  if (clock.faults() != clock_faults_) {
    clock_faults_ = clock.faults();
    const std::vector<std::string> words = clock.warnings();
    warn(words[std::min(clock_faults_, words.size()) - 1], "clock");
  }
}

void LogFollower::feed(std::string_view bytes) {
  feed_.feed(bytes, [this](const LogSample& sample) { take(sample); });
}

void LogFollower::restart() {
  warn(feed_.restart() ? "the log began anew; half a line was given up" : "the log began anew");
}

void LogFollower::line_came_back() {
  const bool gave_up = feed_.give_up_half_line();
  feed_.may_begin_in_line();
  ++losses_;
  warn(gave_up ? "the line was lost and came back; half a row was given up"
               : "the line was lost and came back",
       "line lost");
}

void LogFollower::resume(std::vector<Dwell> dwells, const FollowMark& mark) {
  dwells_ = std::move(dwells);
  final_ = dwells_.size();
  resumed_ = true;
  moving_rows_before_ = mark.moving_rows;
  feed_.resume_at(mark.byte, mark.line, mark.counts);
  if (!settings_.dwells.stops.empty()) {
    // Stops that were made are not waited for again; the begin stays that of the first row.
    settings_.dwells.begin_s = settings_.dwells.begin_s.value_or(
        dwells_.front().start_s - settings_.dwells.stops.front().start_s);
  }
  start_finder();
  finder_->go_on(mark.learnt, dwells_.back());
}

bool LogFollower::complete() const { return finder_->rests().list_done(); }

FollowView LogFollower::view() const {
  FollowView view = view_;
  view.source = source_;
  view.open = finder_->open();
  view.final_dwells = judged_;
  view.usual_rest_s = finder_->learnt().usual_rest_s;
  view.settle_s = finder_->learnt().settle_s;
  view.stops_wanted = settings_.dwells.stops.size();
  if (view.stops_wanted > 0) {
    view.minutes_left =
        std::max(0.0, (end_s(settings_.dwells.stops.back()) - view.since_start_s) / 60.0);
  }
  for (const Warning& warning : warnings_) {
    view.warnings.push_back(
        warning.text +
        (warning.count > 1 ? "; " + std::to_string(warning.count) + " like this" : ""));
  }
  if (std::ssize(view.warnings) > warnings_shown) {
    view.warnings.erase(view.warnings.begin(), view.warnings.end() - warnings_shown);
  }
  return view;
}

/// Of a pattern, and of a list that the signal puts at another time than the first row does. The
/// rig is running while the log is followed, so that it is this list's sweep, only not its start.
std::optional<double> LogFollower::found_begin() {
  if (kept_.empty() || resumed_) {
    return std::nullopt;
  }
  if (!settings_.pattern) {
    return finder_->rests().better_begin_s();
  }
  BeginSearch search(*settings_.pattern);
  std::for_each(kept_.begin(), kept_.end(), [&](const LogSample& row) { search.add(row); });
  return search.begin_s();
}

ReducedLog LogFollower::finish() {
  ReducedLog reduced;
  reduced.file = source_;
  reduced.counts = feed_.counts();
  if (const std::optional<double> begin_s = found_begin()) {
    note_begin(*begin_s, settings_.dwells, reduced);
    if (!settings_.pattern) {
      reduced.warnings.emplace_back(
          "the signal does not take its steps when the list of stops says, counted from the first "
          "row: the list was taken to begin when it fits best; start the log together with the "
          "rig");
    }
    dwells_.clear();
    pool_ = {};
    final_ = 0;
    start_finder();
    std::for_each(kept_.begin(), kept_.end(), [&](const LogSample& row) { finder_->add(row); });
  }
  try {
    finder_->finish();
  } catch (const NumericalError&) {
    if (!resumed_) {
      throw;
    }
  }
  look();
  judge(true);
  if (feed_.has_half_line()) {
    reduced.counts.cut_line = feed_.lines_before() + 1;
  }
  reduced.moving_rows = moving_rows_before_;
  if (losses_ > 0) {
    reduced.warnings.push_back("the line was lost and came back" +
                               (losses_ > 1 ? " " + std::to_string(losses_) + " times" : std::string()) +
                               ": rows cut by that were left out");
  }
  if (feed_.by_arrival()) {
    reduced.remarks.emplace_back("the log has no times: each row has the moment at which it came");
  }
  finish_sweep(*finder_, dwells_, settings_, reduced);
  return reduced;
}

}  // namespace sweepflux
