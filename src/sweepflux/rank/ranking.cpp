#include "sweepflux/rank/ranking.hpp"

#include "sweepflux/base/quantiles.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace sweepflux {
namespace {

struct CriterionNames {
  const char* words;
  const char* unit;
  const char* leader;
};

const CriterionNames& names_of(Criterion criterion) {
  static constexpr CriterionNames names[] = {
      // in the order of Criterion
      {"thrust", "N", "Highest thrust"},
      {"flow", "m3/s", "Most air"},
      {"thrust per watt", "N/W", "Most thrust per watt"},
      {"flow per watt", "m3/s/W", "Most air per watt"},
      {"lowest centreline speed", "m/s", "Lowest centreline speed"},
      {"thrust at equal sound level", "N", "Highest thrust"},
      {"flow at equal sound level", "m3/s", "Most air"}};
  return names[static_cast<std::size_t>(criterion)];
}

/// The row of an entry as far as the criterion itself goes; place and index come later.
using MaybeRow = std::optional<Ranked>;

MaybeRow thrust_row(const FanAtSetting& fan, const SharedErrors& shared) {
  if (!fan.thrust_n) {
    return std::nullopt;
  }
  Ranked row;
  row.value = *fan.thrust_n;
  row.shared = shared.same_balance ? fan.lever_share : 0.0;
  return row;
}

/// The flow grows in proportion to the distance, so a map a little off is carried there.
MaybeRow flow_row(const FanAtSetting& fan,
                  double downstream_m,
                  const std::optional<StreamPrediction>& predicted,
                  const SharedErrors& shared) {
  Ranked row;
  if (const PlaneFacts* plane = plane_at(fan, downstream_m)) {
    const double carry = downstream_m / plane->downstream_m;
    row.value = scaled(plane->volume_flow_m3_s, carry);
    row.shared = shared.same_probe ? plane->probe_share_of_flow : 0.0;
    return row;
  }
  if (predicted) {
    row.value = predicted->volume_flow_m3_s;
    row.predicted = true;
    return row;
  }
  return std::nullopt;
}

/// The centre speed goes with the square root of the momentum, hence half its relative uncertainty.
MaybeRow centreline_row(const FanAtSetting& fan,
                        double downstream_m,
                        const std::optional<StreamPrediction>& predicted,
                        const SharedErrors& shared) {
  Ranked row;
  const PlaneFacts* plane = plane_at(fan, downstream_m);
  if (plane && plane->momentum_flux_n.value > 0.0) {
    const double speed = plane->peak_speed_m_s * plane->downstream_m / downstream_m;
    const double relative =
        0.5 * plane->momentum_flux_n.standard_uncertainty / plane->momentum_flux_n.value;
    row.value = symmetric_estimate(speed, speed * relative);
    row.shared = shared.same_probe ? 0.5 * plane->probe_share_of_momentum : 0.0;
    return row;
  }
  if (predicted) {
    row.value = predicted->centre_speed_m_s;
    row.predicted = true;
    return row;
  }
  return std::nullopt;
}

MaybeRow per_watt(MaybeRow row, const std::optional<Measured>& power) {
  if (!row || !power || !(power->value > 0.0)) {
    return std::nullopt;
  }
  const double value = row->value.value / power->value;
  const double relative =
      row->value.value != 0.0 ? row->value.standard_uncertainty / std::abs(row->value.value) : 0.0;
  row->value = symmetric_estimate(
      value, std::abs(value) * std::hypot(relative, power->standard_uncertainty / power->value));
  return row;
}

double own_variance(const Ranked& row) {
  const double shared = row.shared * row.value.value;
  const double u = row.value.standard_uncertainty;
  return std::max(0.0, u * u - shared * shared);
}

bool smaller_is_better(Criterion criterion) {
  return criterion == Criterion::lowest_centreline_speed;
}

}  // namespace

void place_rows(Ranking& ranking) {
  const double sign = smaller_is_better(ranking.criterion) ? -1.0 : 1.0;
  std::stable_sort(ranking.rows.begin(), ranking.rows.end(), [&](const Ranked& a, const Ranked& b) {
    return sign * a.value.value > sign * b.value.value;
  });
  // A place takes in whoever does not differ from all that stand on it; the next opens a place of
  // its own.
  std::size_t first = 0;
  for (std::size_t i = 0; i < ranking.rows.size(); ++i) {
    const bool equals_all = std::all_of(
        ranking.rows.begin() + static_cast<std::ptrdiff_t>(first),
        ranking.rows.begin() + static_cast<std::ptrdiff_t>(i),
        [&](const Ranked& better) { return !difference_of(better, ranking.rows[i]).different; });
    if (!equals_all) {
      first = i;
    }
    ranking.rows[i].place = first + 1;
  }
  const auto note = [&](std::size_t better, std::size_t worse) {
    Difference d = difference_of(ranking.rows[better], ranking.rows[worse]);
    d.better = better;
    d.worse = worse;
    ranking.differences.push_back(d);
  };
  for (std::size_t i = 0; i + 1 < ranking.rows.size(); ++i) {
    note(i, i + 1);
  }
  for (std::size_t i = 2; i < ranking.rows.size(); ++i) {
    note(0, i);
  }
}

Difference difference_of(const Ranked& better, const Ranked& worse) {
  const double gap = better.value.value - worse.value.value;
  // A common relative error scales both, so it scales the gap; only what both share counts.
  const double shared = std::min(better.shared, worse.shared);
  Ranked a = better, b = worse;
  a.shared = b.shared = shared;
  const double u = std::sqrt(own_variance(a) + own_variance(b) + gap * gap * shared * shared);
  Difference d;
  d.difference = symmetric_estimate(gap, u);
  d.different = std::abs(gap) > normal_95 * u;
  return d;
}

Ranking rank_by(Criterion criterion,
                std::span<const FanAtSetting> entries,
                double downstream_m,
                std::span<const std::optional<StreamPrediction>> predicted,
                const SharedErrors& shared) {
  Ranking ranking;
  ranking.criterion = criterion;
  const bool at_distance =
      criterion != Criterion::thrust && criterion != Criterion::thrust_per_watt;
  if (at_distance) {
    ranking.downstream_m = downstream_m;
  }
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const FanAtSetting& fan = entries[i];
    const std::optional<StreamPrediction> none;
    const std::optional<StreamPrediction>& guess = i < predicted.size() ? predicted[i] : none;
    MaybeRow row;
    switch (criterion) {
      case Criterion::thrust:
        row = thrust_row(fan, shared);
        break;
      case Criterion::flow:
        row = flow_row(fan, downstream_m, guess, shared);
        break;
      case Criterion::thrust_per_watt:
        row = per_watt(thrust_row(fan, shared), fan.power_w);
        break;
      case Criterion::flow_per_watt:
        row = per_watt(flow_row(fan, downstream_m, guess, shared), fan.power_w);
        break;
      case Criterion::lowest_centreline_speed:
        row = centreline_row(fan, downstream_m, guess, shared);
        break;
      case Criterion::thrust_at_sound:
      case Criterion::flow_at_sound:
        break;  // of fans, not of settings: rank_at_sound
    }
    if (row) {
      row->entry = i;
      ranking.rows.push_back(*row);
    } else {
      ranking.missing.push_back(i);
    }
  }
  place_rows(ranking);
  return ranking;
}

std::string words_of(Criterion criterion) { return names_of(criterion).words; }

std::string unit_of(Criterion criterion) { return names_of(criterion).unit; }

std::string leader_of(Criterion criterion) { return names_of(criterion).leader; }

}  // namespace sweepflux
