#include "sweepflux/rank/equal_sound.hpp"

#include "sweepflux/base/quantiles.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// The distance of the meter that most entries share; the nearer of equals.
double common_meter_distance(std::span<const FanAtSetting> entries) {
  double best = 0.0;
  std::ptrdiff_t most = 0;
  for (const FanAtSetting& e : entries) {
    if (!e.sound) {
      continue;
    }
    const auto count = std::count_if(entries.begin(), entries.end(), [&](const FanAtSetting& o) {
      return o.sound && near_distance(o.sound->distance_m, e.sound->distance_m);
    });
    if (count > most || (count == most && e.sound->distance_m < best)) {
      most = count;
      best = e.sound->distance_m;
    }
  }
  return best;
}

/// Entries of one series with a level at the meter's distance, softest first.
std::vector<std::size_t> settings_of(std::span<const FanAtSetting> entries,
                                     const std::string& series,
                                     double meter_m) {
  std::vector<std::size_t> settings;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const FanAtSetting& e = entries[i];
    if (e.series() == series && e.sound && near_distance(e.sound->distance_m, meter_m)) {
      settings.push_back(i);
    }
  }
  std::stable_sort(settings.begin(), settings.end(), [&](std::size_t a, std::size_t b) {
    return entries[a].sound->level_db.value < entries[b].sound->level_db.value;
  });
  return settings;
}

std::vector<std::string> series_of(std::span<const FanAtSetting> entries) {
  std::vector<std::string> series;
  for (const FanAtSetting& e : entries) {
    if (e.sound && std::find(series.begin(), series.end(), e.series()) == series.end()) {
      series.push_back(e.series());
    }
  }
  return series;
}

/// Between the softer and the louder setting, w from 0 to 1; the level's uncertainty by the slope.
std::optional<Estimate> between(const std::optional<Estimate>& softer,
                                const std::optional<Estimate>& louder,
                                double w,
                                double span_db,
                                double level_u_db) {
  if (!softer || !louder || !(softer->value > 0.0) || !(louder->value > 0.0)) {
    return std::nullopt;
  }
  const double rise = std::log(louder->value / softer->value);
  const double value = softer->value * std::exp(w * rise);
  const double own = std::hypot((1.0 - w) * softer->standard_uncertainty / softer->value,
                                w * louder->standard_uncertainty / louder->value);
  const double of_level = span_db > 0.0 ? level_u_db * rise / span_db : 0.0;
  return symmetric_estimate(value, value * std::hypot(own, of_level));
}

struct Flow {
  std::optional<Estimate> value;
  bool predicted = false;
};

Flow flow_of(const FanAtSetting& e,
             std::size_t index,
             double downstream_m,
             std::span<const PredictedStream> predicted) {
  if (const PlaneFacts* plane = plane_at(e, downstream_m)) {
    const double carry = downstream_m / plane->downstream_m;
    const Estimate& q = plane->volume_flow_m3_s;
    return {symmetric_estimate(q.value * carry, q.standard_uncertainty * carry), false};
  }
  const PredictedStream* f = predicted_of(predicted, index);
  return f ? Flow{predict_stream(f->source, f->shape, downstream_m).volume_flow_m3_s, true}
           : Flow{};
}

}  // namespace

std::optional<double> common_sound_level(std::span<const FanAtSetting> entries) {
  const double meter_m = common_meter_distance(entries);
  std::optional<double> best;
  std::ptrdiff_t most = 0;
  double best_off = 0.0;
  std::vector<double> levels;
  for (const FanAtSetting& e : entries) {
    if (e.sound && near_distance(e.sound->distance_m, meter_m)) {
      levels.push_back(e.sound->level_db.value);
    }
  }
  std::sort(levels.begin(), levels.end());
  const std::vector<std::string> series = series_of(entries);
  for (const double level : levels) {
    const auto count = std::count_if(series.begin(), series.end(), [&](const std::string& name) {
      const auto settings = settings_of(entries, name, meter_m);
      return !settings.empty() && entries[settings.front()].sound->level_db.value <= level &&
             entries[settings.back()].sound->level_db.value >= level;
    });
    const double off = std::abs(level - levels[levels.size() / 2]);
    if (count > most || (count == most && off < best_off)) {
      most = count;
      best = level;
      best_off = off;
    }
  }
  return best;
}

std::vector<EqualSound> equal_sound(std::span<const FanAtSetting> entries,
                                    double downstream_m,
                                    std::span<const PredictedStream> predicted,
                                    std::optional<double> level_db) {
  std::vector<EqualSound> fans;
  const double meter_m = common_meter_distance(entries);
  level_db = level_db ? level_db : common_sound_level(entries);
  if (!level_db) {
    return fans;
  }
  for (const std::string& series : series_of(entries)) {
    const std::vector<std::size_t> settings = settings_of(entries, series, meter_m);
    for (std::size_t i = 0; i < settings.size(); ++i) {
      // A level on a setting is that setting; else the pair that holds it.
      const std::size_t softer = settings[i];
      const FanAtSetting& a = entries[softer];
      const double la = a.sound->level_db.value;
      const bool on_it = la == *level_db;
      if (!on_it && i + 1 == settings.size()) {
        break;
      }
      const std::size_t louder = on_it ? softer : settings[i + 1];
      const FanAtSetting& b = entries[louder];
      const double span_db = b.sound->level_db.value - la;
      if (!on_it && !(la < *level_db && *level_db < la + span_db)) {
        continue;
      }
      const double w = on_it ? 0.0 : (*level_db - la) / span_db;
      // The slope at a setting itself is that to a neighbour.
      const std::size_t other = i + 1 < settings.size() ? settings[i + 1] : settings[i > 0 ? i - 1 : 0];
      EqualSound fan{series, *level_db, meter_m, w < 0.5 ? softer : louder, {}, {}, {}, false};
      fan.where = on_it ? a.name() : series + " between " + a.setting + " and " + b.setting;
      const double u_db =
          std::max(a.sound->level_db.standard_uncertainty, b.sound->level_db.standard_uncertainty);
      const FanAtSetting& far = on_it ? entries[other] : b;
      const double far_db = far.sound->level_db.value - la;
      const Flow qa = flow_of(a, softer, downstream_m, predicted);
      const Flow qb = flow_of(far, on_it ? other : louder, downstream_m, predicted);
      fan.thrust_n = between(a.thrust_n, far.thrust_n, w, std::abs(far_db), u_db);
      fan.flow_m3_s = between(qa.value, qb.value, w, std::abs(far_db), u_db);
      fan.flow_predicted = qa.predicted || (!on_it && qb.predicted);
      fans.push_back(std::move(fan));
      break;
    }
  }
  return fans;
}

Ranking rank_at_sound(Criterion criterion, std::span<const EqualSound> fans, double downstream_m) {
  Ranking ranking;
  ranking.criterion = criterion;
  if (criterion == Criterion::flow_at_sound) {
    ranking.downstream_m = downstream_m;
  }
  for (const EqualSound& fan : fans) {
    const bool flow = criterion == Criterion::flow_at_sound;
    ranking.sound_level_db = fan.level_db;
    if (const auto& value = flow ? fan.flow_m3_s : fan.thrust_n) {
      Ranked row;
      row.entry = fan.entry;
      row.value = *value;
      row.predicted = flow && fan.flow_predicted;
      row.where = fan.where;
      ranking.rows.push_back(std::move(row));
    }
  }
  place_rows(ranking);
  return ranking;
}

std::vector<std::string> sound_cautions() {
  return {
      "A sound level holds for its distance, its room and its meter only: in a live room the same "
      "fan reads several decibels more than in the open, and walls near by add to it.",
      "Levels compare fans when one meter stood at one distance in one room, out of the stream, "
      "and the room without the fan was 10 dB below the reading (within 3 dB the reading is mostly "
      "room).",
      "A-weighted levels do not distinguish a hum or a whine from a rush: two fans of one level may annoy "
      "differently."};
}

}  // namespace sweepflux
