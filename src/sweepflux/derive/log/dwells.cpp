#include "sweepflux/derive/log/dwells.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t most_held = 256;          // rests after which settling is decided
constexpr std::size_t most_held_at_all = 2000;  // places passed on the way included
constexpr std::size_t fewest_rows = 3;          // of a rest
constexpr std::size_t rests_named = 5;
constexpr std::size_t enough_rests = 8;  // to distinguish stops from places passed, and parked ones
constexpr double shortest_stop_s = 0.5;  // what is shorter is no stop, whatever else it is
constexpr double rounding_s = 1e-6;      // of times: a row due at the end of settling counts

}  // namespace

DwellFinder::DwellFinder(DwellOptions options, std::function<void(Dwell)> found)
    : found_(std::move(found)),
      rests_(
          std::move(options),
          [this](Rest rest) { take(std::move(rest)); },
          [this](const RigStop& stop) {
            unused_.push_back(
                {stop.position, stop.dwell_s, 0, 0, true, "the log has no row of it"});
          }) {
  learnt_.settle_s = rests_.options().settle_s.value_or(rests_.options().assumed_settle_s);
}

void DwellFinder::take(Rest rest) {
  ++closed_;
  standing_ += stands(rest) ? 1U : 0U;
  held_.push_back(std::move(rest));
  if (handing_out_ || is_full() || knows_enough()) {
    learn_and_hand_out(false);
  }
}

bool DwellFinder::is_full() const {
  return standing_ >= most_held || held_.size() >= most_held_at_all;
}

/// Settling is stated, and a usual rest known where it matters. A settling time that must be found
/// takes all steps of the sweep: those of its outer stops alone mislead.
bool DwellFinder::knows_enough() const {
  const bool stated = rests_.options().settle_s || held_.front().listed_settle_s > 0.0;
  return stated && (rests_.by_list() || standing_ >= enough_rests);
}

/// More than a few rows, and no position that creeps through its tolerance: evenly spread over
/// twice the tolerance it has 0.58 of it as standard deviation.
bool DwellFinder::stands(const Rest& rest) const {
  return rests_.by_list() ||
         (rest.rows >= fewest_rows &&
          rest.positions.standard_deviation() <= 0.35 * rests_.options().position_tolerance);
}

bool DwellFinder::is_passing(const Rest& rest) const {
  return !stands(rest) || (!rests_.by_list() && rest.length_s() < learnt_.shortest_s);
}

bool DwellFinder::is_parked(const Rest& rest) const {
  return learnt_.parked_s > 0.0 && rest.length_s() > learnt_.parked_s;
}

void DwellFinder::learn_and_hand_out(bool at_end) {
  if (!handing_out_) {
    learn(false);
    handing_out_ = true;
  }
  const auto used = [this](const Rest& rest) { return !is_passing(rest); };
  const auto last = std::find_if(held_.rbegin(), held_.rend(), used);
  const Rest* const last_used = at_end && last != held_.rend() ? &*last : nullptr;
  bool first = !last_position_;
  for (; handed_out_ < held_.size(); ++handed_out_) {
    const Rest& rest = held_[handed_out_];
    const bool counts = used(rest);
    const auto after = held_.begin() + static_cast<std::ptrdiff_t>(handed_out_) + 1;
    if (!at_end && counts && is_parked(rest) && std::none_of(after, held_.end(), used)) {
      return;  // parked at the end, or a pause amid the sweep: the next stop tells
    }
    hand_out(rest,
             counts && first      ? Place::first
             : &rest == last_used ? Place::last
                                  : Place::between);
    first = first && !counts;
  }
  if (learning_ && (at_end || is_full())) {
    learn_response();  // says whether a stated settling time was enough
    learning_ = false;
  }
  if (!learning_) {
    held_.clear();
    handed_out_ = 0;
  }
}

std::vector<Dwell> DwellFinder::preview() {
  std::vector<Dwell> dwells;
  if (handing_out_) {
    return dwells;
  }
  learn(true);
  bool first = !last_position_;
  std::optional<double> before = last_position_;
  int direction = last_direction_;
  for (Rest& rest : held_) {
    if (is_passing(rest)) {
      continue;
    }
    if (!rest.shown || rest.shown->settle_s != settle_of(rest)) {
      rest.shown = reduce(rest, first ? Place::first : Place::between);
    }
    first = false;
    if (before && std::abs(*before - rest.position()) > rests_.options().position_tolerance) {
      direction = rest.position() > *before ? 1 : -1;
    }
    before = rest.position();
    dwells.push_back(*rest.shown);
    dwells.back().direction = direction;
  }
  return dwells;
}

/// A list may state another for each stop: the way there differs.
double DwellFinder::settle_of(const Rest& rest) const {
  return learnt_.listed && rest.listed_settle_s > 0.0 ? rest.listed_settle_s : learnt_.settle_s;
}

Dwell DwellFinder::reduce(const Rest& rest, Place place) const {
  const double settle_s = settle_of(rest);
  Dwell dwell = rest.dwell;
  dwell.position = rest.position();
  dwell.start_s = rest.start_s;
  dwell.settle_s = settle_s;
  double from_s = rest.start_s;
  double to_s = std::numeric_limits<double>::infinity();
  if (is_parked(rest)) {
    from_s = place == Place::first ? rest.end_s - learnt_.usual_rest_s : from_s;
    to_s = place == Place::last ? rest.start_s + learnt_.usual_rest_s + rounding_s : to_s;
  }
  dwell.reading = mean_of_stretch(rest.series, from_s + settle_s - rounding_s, to_s);
  if (const BlockSeries::Block* const lone =
          lone_value(rest.series, from_s + settle_s - rounding_s, to_s)) {
    dwell.warnings.push_back("line " + std::to_string(lone->first_line) + ": the value " +
                             format_number(lone->values.mean(), 4) +
                             " stands far off all others of this rest and is in its mean; if it is "
                             "a slip, take out its row");
  }
  const std::size_t bad = dwell.missing + dwell.over_range + dwell.unreadable;
  if (dwell.reading.samples == 0 && 2 * bad > rest.rows) {
    dwell.warnings.push_back(std::to_string(bad) + " of " + count_text(rest.rows, "row") +
                             " of the rest hold no speed that can be read");
  } else if (dwell.reading.samples == 0) {
    dwell.warnings.push_back("nothing is left of a rest of " + seconds_text(rest.length_s()) +
                             " after " + seconds_text(settle_s) + " of settling");
  } else if (settle_s > 0.7 * rest.length_s()) {
    dwell.warnings.push_back("settling takes up most of the rest of " + seconds_text(rest.length_s()));
  }
  return dwell;
}

void DwellFinder::hand_out(const Rest& rest, Place place) {
  if (is_passing(rest)) {
    passing_rows_ += rest.rows;
    if (stands(rest)) {
      const bool lost = rest.length_s() >= shortest_stop_s;
      unused_.push_back({rest.position(),
                         rest.length_s(),
                         rest.dwell.first_line,
                         rest.last_line,
                         lost,
                         "a rest of " + seconds_text(rest.length_s()) +
                             " is too short beside the usual " + seconds_text(learnt_.usual_rest_s)});
    }
    return;
  }
  // Several short rests between two stops are places passed on the way.
  if (last_position_ && !rests_.by_list() && unused_.size() - unused_before_ > 1) {
    std::for_each(unused_.begin() + static_cast<std::ptrdiff_t>(unused_before_),
                  unused_.end(),
                  [](UnusedRest& passed) { passed.lost_stop = false; });
  }
  unused_before_ = unused_.size();
  Dwell dwell = reduce(rest, place);
  if (is_parked(rest)) {
    const std::string lines = " (lines " + std::to_string(rest.dwell.first_line) + " to " +
                              std::to_string(rest.last_line) + ")";
    const std::string at = " at " + place_text(dwell.position, rests_.options().motion) + " for " +
                           seconds_text(rest.length_s());
    const std::string usual = seconds_text(learnt_.usual_rest_s);
    parked_words_.push_back(
        place == Place::first
            ? "the log starts parked" + at + lines + "; its reading is that of the last " + usual
        : place == Place::last
            ? "the log ends parked" + at + lines + "; its reading is that of the first " + usual
            : "the rig rested" + at + lines + " instead of the usual " + usual +
                  "; all of it was used");
  }
  if (last_position_ &&
      std::abs(*last_position_ - dwell.position) > rests_.options().position_tolerance) {
    last_direction_ = dwell.position > *last_position_ ? 1 : -1;
  }
  last_position_ = dwell.position;
  dwell.direction = last_direction_;
  found_(std::move(dwell));
}

void DwellFinder::go_on(const LearntSettling& learnt, const Dwell& last) {
  learnt_ = learnt;
  handing_out_ = true;
  learning_ = false;
  last_position_ = last.position;
  last_direction_ = last.direction;
}

void DwellFinder::finish() {
  rests_.finish();
  learn_and_hand_out(true);
  const std::size_t rows = moving_rows();
  if (!last_position_ && rows < fewest_rows) {
    throw NumericalError("no dwell was found: " + std::string(rows == 1 ? "one row is" : "two rows are") +
                         " all that the log holds");
  }
  if (!last_position_) {
    throw NumericalError(!rests_.by_list()
                             ? "no dwell was found: the angle never rests; for a fan that turns "
                               "without stopping use --continuous"
                             : "no dwell was found: the log does not reach the first stop of the "
                               "list");
  }
}

OpenDwell DwellFinder::open() const {
  OpenDwell open;
  if (const std::optional<Rest>& rest = rests_.open()) {
    open.resting = true;
    open.position = rest->position();
    open.elapsed_s = rest->length_s();
    open.values = rest->dwell.values;
    RunningMoments settled;
    for (const auto* block : rest->series.between(rest->start_s + learnt_.settle_s, rest->end_s)) {
      settled.merge(block->values);
    }
    open.mean = settled.count() > 0 ? settled.mean() : std::numeric_limits<double>::quiet_NaN();
  }
  return open;
}

std::vector<std::string> DwellFinder::remarks() const {
  if (!handing_out_) {
    return {};
  }
  const StepResponse& response = learnt_.response;
  const std::string settling = "settling of " + seconds_text(learnt_.settle_s);
  std::vector<std::string> remarks;
  if (rests_.options().settle_s) {
    remarks.push_back(settling + " as stated");
  } else if (learnt_.listed) {
    remarks.push_back(settling + " as listed");
  } else if (response.seen) {
    remarks.push_back(settling + " from the response to " + count_text(learnt_.steps, "step") +
                      ": delay " + seconds_text(response.delay_s) + ", time constant " +
                      seconds_text(response.time_constant_s) + "; eddies after the steps leave " +
                      seconds_text(response.settle_low_s) + " to " +
                      seconds_text(response.settle_high_s) + " possible");
  } else if (response.noise < 0.25) {
    remarks.push_back("no settling is to be seen after " + count_text(learnt_.steps, "step") +
                      "; nothing was dropped");
  } else {
    remarks.emplace_back(
        "settling could not be determined: the steps are too small against the turbulence; nothing was "
        "dropped (state a settling time if the sensor is slow)");
  }
  if (response.seen && learnt_.settle_s < response.settle_low_s) {
    remarks.push_back("the readings need " + seconds_text(response.settle_low_s) +
                      " or more to settle, longer than the " + seconds_text(learnt_.settle_s) +
                      " dropped");
  }
  remarks.insert(remarks.end(), parked_words_.begin(), parked_words_.end());
  return remarks;
}

std::vector<std::string> DwellFinder::warnings() const {
  std::vector<std::string> words = rests_.warnings();
  std::size_t named = 0;
  for (const UnusedRest& rest : unused_) {
    if (named++ == rests_named) {
      words.push_back("in all " + std::to_string(unused_.size()) + " rests were not used");
      break;
    }
    words.push_back("not used: at " + place_text(rest.position, rests_.options().motion) +
                    (rest.first_line > 0 ? ", lines " + std::to_string(rest.first_line) + " to " +
                                               std::to_string(rest.last_line)
                                         : std::string()) +
                    ": " + rest.reason);
  }
  return words;
}

}  // namespace sweepflux
