#include "sweepflux/derive/log/dwells.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t rests_to_spare_lengths = 6;
constexpr std::size_t rests_to_spare_steps = 12;

}  // namespace

/// The first rest and the last one say when the log was started and stopped. Where there are enough
/// others, these two are not used: for lengths from six rests on, for steps, which are dearer, from
/// twelve.
std::size_t DwellFinder::spared_ends(std::size_t rests, std::size_t enough) const {
  return !rests_.by_list() && rests >= enough ? 1 : 0;
}

/// Lengths of the rests that were seen whole: without the ends, and without those whose first or
/// last rows were lost.
std::vector<double> DwellFinder::whole_lengths() const {
  std::vector<const Rest*> rests;
  for (const Rest& rest : held_) {
    if (!is_passing(rest)) {
      rests.push_back(&rest);
    }
  }
  std::vector<double> lengths;
  const std::size_t spared = spared_ends(rests.size(), rests_to_spare_lengths);
  for (std::size_t i = spared; i + spared < rests.size(); ++i) {
    const bool cut = rests[i]->after_break || (i + 1 < rests.size() && rests[i + 1]->after_break);
    if (rests_.by_list() || !cut) {
      lengths.push_back(rests[i]->length_s());
    }
  }
  return lengths;
}

/// So long that three rests in four last longer. A pause makes a rest longer, never shorter, and so
/// seldom moves the quartile.
double DwellFinder::lower_quartile_of_rests() const {
  std::vector<double> lengths = whole_lengths();
  if (lengths.empty()) {
    return 0.0;
  }
  std::sort(lengths.begin(), lengths.end());
  const double at = 0.25 * static_cast<double>(lengths.size() - 1);
  const auto below = static_cast<std::size_t>(at);
  const std::size_t above = std::min(below + 1, lengths.size() - 1);
  return std::lerp(lengths[below], lengths[above], at - static_cast<double>(below));
}

std::vector<StepRecord> DwellFinder::step_records(double window_s) const {
  std::vector<const Rest*> rests;
  for (const Rest& rest : held_) {
    if (!is_passing(rest) && !rest.series.empty()) {
      rests.push_back(&rest);
    }
  }
  std::vector<StepRecord> records;
  const std::size_t spared = spared_ends(rests.size(), rests_to_spare_steps);
  for (std::size_t i = 1 + spared; i + spared < rests.size(); ++i) {
    const Rest& last = *rests[i - 1];
    const Rest& rest = *rests[i];
    if (rest.after_break) {
      continue;
    }
    // Not up to its end: an eddy that lasts over the move would pass for a slow response.
    const double from_s =
        std::max(last.start_s + 0.4 * last.length_s(), last.end_s - 0.6 * window_s);
    const double before = settled_level(last.series, from_s, last.end_s - 0.2 * window_s);
    const bool in_head =
        rest.head && rest.head->blocks().back().last_time_s >= rest.start_s + window_s;
    records.push_back({in_head ? &*rest.head : &rest.series,
                       rest.start_s,
                       rests_.by_list() ? 0.0 : rest.start_s - last.end_s,
                       before});
  }
  return records;
}

RestLengths DwellFinder::judge_lengths() const {
  std::vector<double> lengths;
  for (const Rest& rest : held_) {
    if (stands(rest)) {
      lengths.push_back(rest.length_s());
    }
  }
  if (spared_ends(lengths.size(), rests_to_spare_lengths) > 0) {
    lengths = {lengths.begin() + 1, lengths.end() - 1};
  }
  return judge_rest_lengths(std::move(lengths));
}

double DwellFinder::learn_response() {
  const double rest_s = lower_quartile_of_rests();
  // On a ladder, so that one rest more or less does not move it; its steps are at no round times.
  const double window_s =
      rest_s > 0.0 ? 0.93 * std::pow(1.25, std::floor(std::log(rest_s / 0.93) / std::log(1.25)))
                   : 0.0;
  const std::vector<StepRecord> records = step_records(window_s);
  learnt_.response = find_step_response(records, window_s);
  learnt_.steps = records.size();
  return window_s;
}

void DwellFinder::learn(bool for_preview) {
  const RestLengths judged = judge_lengths();
  learnt_.usual_rest_s = judged.usual_s;
  learnt_.parked_s = judged.enough && !rests_.by_list() ? judged.parked_s : 0.0;
  learnt_.shortest_s = rests_.by_list() ? 0.0 : judged.shortest_s;
  const double window_s = learn_response();
  const StepResponse& response = learnt_.response;
  const double listed = held_.empty() ? 0.0 : held_.front().listed_settle_s;
  learnt_.listed = false;
  learnt_.settle_s = 0.0;
  if (rests_.options().settle_s) {
    learnt_.settle_s = *rests_.options().settle_s;
  } else if (listed > 0.0) {
    learnt_.settle_s = listed;
    learnt_.listed = true;
  } else if (response.seen) {
    learnt_.settle_s = chosen_settling(response, window_s);
  } else if (for_preview) {
    learnt_.settle_s = rests_.options().assumed_settle_s;
  }
}

}  // namespace sweepflux
