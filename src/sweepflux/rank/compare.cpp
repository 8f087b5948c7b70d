#include "sweepflux/rank/compare.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/rank/combine_entries.hpp"
#include "sweepflux/rank/comparison_private.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

constexpr double usual_distance_m = 2.0;  // when no map says otherwise

void check(const std::vector<FanAtSetting>& entries, const CompareOptions& options) {
  if (entries.empty()) {
    throw InputError("nothing to compare: name at least one survey, result or session");
  }
  for (const FanAtSetting& e : entries) {
    if (e.fan.empty()) {
      throw InputError(e.source + ": no fan is named, so there is nothing to compare it by");
    }
  }
  for (const double d : options.distances_m) {
    if (!(d > 0.0) || !std::isfinite(d)) {
      throw InputError("distances must be above zero");
    }
  }
  for (const double v : options.wished_speeds_m_s) {
    if (!(v > 0.0) || !std::isfinite(v)) {
      throw InputError("wished speeds must be above zero");
    }
  }
}

/// By fan (order of first appearance), its changes after it, then setting.
void sort_entries(std::vector<FanAtSetting>& entries) {
  std::vector<std::string> fans;
  for (const FanAtSetting& e : entries) {
    if (std::find(fans.begin(), fans.end(), e.fan) == fans.end()) {
      fans.push_back(e.fan);
    }
  }
  const auto index = [&](const FanAtSetting& e) {
    return std::find(fans.begin(), fans.end(), e.fan) - fans.begin();
  };
  std::stable_sort(
      entries.begin(), entries.end(), [&](const FanAtSetting& a, const FanAtSetting& b) {
        if (index(a) != index(b)) {
          return index(a) < index(b);
        }
        if (a.variant != b.variant) {
          return a.variant < b.variant;
        }
        const auto na = setting_number(a.setting), nb = setting_number(b.setting);
        if (na && nb) {
          return *na < *nb;
        }
        return na.has_value() && !nb;  // names stay in the order in which they were stated
      });
}

/// The distance that most entries have a plane at; the nearer one of equals.
double commonest_distance(const std::vector<FanAtSetting>& entries) {
  double best = usual_distance_m;
  std::size_t most = 0;
  for (const FanAtSetting& e : entries) {
    for (const PlaneFacts& p : e.planes) {
      const auto count = static_cast<std::size_t>(
          std::count_if(entries.begin(), entries.end(), [&](const FanAtSetting& other) {
            return plane_at(other, p.downstream_m) != nullptr;
          }));
      if (count > most || (count == most && p.downstream_m < best)) {
        most = count;
        best = p.downstream_m;
      }
    }
  }
  return best;
}

void add_rankings(Comparison& c) {
  for (std::size_t k = 0; k < c.distances_m.size(); ++k) {
    std::vector<std::optional<StreamPrediction>> guesses(c.entries.size());
    for (const PredictedStream& f : c.predicted) {
      guesses[f.entry] = f.along[k];
    }
    for (const Criterion criterion : setting_criteria) {
      const bool once = criterion == Criterion::thrust || criterion == Criterion::thrust_per_watt;
      if (once && k > 0) {
        continue;
      }
      Ranking ranking = rank_by(criterion, c.entries, c.distances_m[k], guesses, c.options.shared);
      if (!ranking.rows.empty()) {
        c.rankings.push_back(std::move(ranking));
      } else {
        c.warnings.push_back("No ranking by " + words_of(criterion) +
                             ": no entry states what it needs.");
      }
    }
  }
}

/// Fans at one level of sound; nothing is said where no level was stated.
void add_sound(Comparison& c) {
  c.equal_sounds = equal_sound(
      c.entries, c.distances_m.front(), c.predicted, c.options.sound_level_db);
  for (const Criterion criterion : {Criterion::thrust_at_sound, Criterion::flow_at_sound}) {
    Ranking ranking = rank_at_sound(criterion, c.equal_sounds, c.distances_m.front());
    if (!ranking.rows.empty()) {
      c.rankings.push_back(std::move(ranking));
    }
  }
}

bool same_seat(const Seat& a, const Seat& b) {
  return a.distance_m == b.distance_m && a.across_m == b.across_m && a.height_m == b.height_m &&
         a.speed_m_s == b.speed_m_s;
}

/// Of the entry itself, else the one seat that all files of its fan state, else of all fans: a
/// session at the balance states none, and its settings are asked about all the same.
std::optional<Seat> seat_of(const Comparison& c, const FanAtSetting& e) {
  if (c.options.seat || e.seat) {
    return c.options.seat ? c.options.seat : e.seat;
  }
  for (const bool same_fan : {true, false}) {
    std::vector<const Seat*> stated;
    for (const FanAtSetting& other : c.entries) {
      if (other.seat && (!same_fan || other.fan == e.fan)) {
        stated.push_back(&*other.seat);
      }
    }
    if (!stated.empty()) {
      const bool one = std::all_of(stated.begin(), stated.end(), [&](const Seat* seat) {
        return same_seat(*seat, *stated.front());
      });
      return one ? std::optional(*stated.front()) : std::nullopt;
    }
  }
  return std::nullopt;
}

void add_seats(Comparison& c) {
  for (std::size_t i = 0; i < c.entries.size(); ++i) {
    if (const std::optional<Seat> seat = seat_of(c, c.entries[i])) {
      if (auto row = speed_at_seat(c.entries, i, c.predicted, *seat)) {
        c.seats.push_back(std::move(*row));
      } else {
        c.warnings.push_back(c.entries[i].name() +
                             ": no speed at the seat, since neither a map nor thrust, outlet and "
                             "air are known");
      }
    }
  }
  c.seat_choices = choose_for_seat(c.entries, c.seats);
}

void add_equal_thrust(Comparison& c) {
  for (std::size_t a = 0; a < c.fans.size(); ++a) {
    for (std::size_t b = 0; b < c.fans.size(); ++b) {
      if (a == b) {
        continue;
      }
      auto pairs = equal_thrust_of(c.entries, c.fans[a], c.fans[b], c.options.shared.same_balance);
      c.equal_thrust.insert(c.equal_thrust.end(), pairs.begin(), pairs.end());
    }
  }
}

}  // namespace

Comparison compare(std::vector<FanAtSetting> entries, const CompareOptions& options) {
  check(entries, options);
  Comparison c;
  c.options = options;
  c.entries = combine_entries(std::move(entries));
  sort_entries(c.entries);
  for (const FanAtSetting& e : c.entries) {
    if (std::find(c.fans.begin(), c.fans.end(), e.series()) == c.fans.end()) {
      c.fans.push_back(e.series());
    }
  }
  c.distances_m = options.distances_m;
  if (c.distances_m.empty()) {
    c.distances_m = {commonest_distance(c.entries)};
  }
  std::sort(c.distances_m.begin(), c.distances_m.end());
  for (std::size_t i = 0; i < c.entries.size(); ++i) {
    if (auto f = predict_entry(c.entries, i, c.distances_m, options)) {
      c.predicted.push_back(std::move(*f));
    }
    Growth growth = growth_of(c.entries[i]);
    growth.entry = i;
    if (growth.planes > 0) {
      c.growths.push_back(std::move(growth));
    }
  }
  add_curves(c);
  add_rankings(c);
  add_sound(c);
  add_equal_thrust(c);
  c.variants = compare_variants(c.entries, options.shared);
  c.probe_check = check_campaign(c.entries);
  add_seats(c);
  for (const double distance : c.distances_m) {
    for (ShownProfile& p : profiles_at(c.entries, c.predicted, distance)) {
      c.profiles.push_back(std::move(p));
    }
  }
  say_summary(c);
  say_warnings(c);
  return c;
}

}  // namespace sweepflux
