#include "sweepflux/rank/compare.hpp"

#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
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

std::vector<std::string> fans_of(const std::vector<FanAtSetting>& entries) {
  std::vector<std::string> fans;
  for (const FanAtSetting& e : entries) {
    if (std::find(fans.begin(), fans.end(), e.fan) == fans.end()) {
      fans.push_back(e.fan);
    }
  }
  return fans;
}

void sort_entries(std::vector<FanAtSetting>& entries, const std::vector<std::string>& fans) {
  const auto index = [&](const FanAtSetting& e) {
    return std::find(fans.begin(), fans.end(), e.fan) - fans.begin();
  };
  std::stable_sort(
      entries.begin(), entries.end(), [&](const FanAtSetting& a, const FanAtSetting& b) {
        if (index(a) != index(b)) {
          return index(a) < index(b);
        }
        const auto na = setting_number(a.setting), nb = setting_number(b.setting);
        if (na && nb) {
          return *na < *nb;
        }
        return !na && !nb ? a.setting < b.setting : na.has_value();
      });
}

/// Entries of one fan at one setting get the folder of their source, or their number, as a mark.
void tell_apart(std::vector<FanAtSetting>& entries) {
  for (std::size_t i = 0; i < entries.size(); ++i) {
    std::vector<FanAtSetting*> same;
    for (FanAtSetting& other : entries) {
      if (other.fan == entries[i].fan && other.setting == entries[i].setting) {
        same.push_back(&other);
      }
    }
    if (same.size() < 2 || !entries[i].apart.empty()) {
      continue;
    }
    for (std::size_t k = 0; k < same.size(); ++k) {
      const std::filesystem::path source(same[k]->source);
      same[k]->apart = source.parent_path().filename().string();
    }
    std::vector<std::string> marks;
    for (std::size_t k = 0; k < same.size(); ++k) {
      std::string& mark = same[k]->apart;
      if (mark.empty() || std::find(marks.begin(), marks.end(), mark) != marks.end()) {
        mark = (mark.empty() ? "no. " : mark + " no. ") + std::to_string(k + 1);
      }
      marks.push_back(mark);
    }
  }
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

/// What drives the stream of an entry: its balance, else the momentum of its planes.
std::optional<Measured> thrust_of(const FanAtSetting& fan) {
  if (fan.thrust_n && fan.thrust_n->value > 0.0) {
    return Measured{fan.thrust_n->value, fan.thrust_n->standard_uncertainty};
  }
  double sum = 0.0, u = 0.0;
  for (const PlaneFacts& p : fan.planes) {
    sum += p.momentum_flux_n.value;
    u = std::max(u, p.momentum_flux_n.standard_uncertainty);
  }
  const double mean = fan.planes.empty() ? 0.0 : sum / static_cast<double>(fan.planes.size());
  return mean > 0.0 ? std::optional<Measured>({mean, u}) : std::nullopt;
}

/// The planes of every setting of a fan, each with the thrust that drives it.
std::vector<PlaneForLaw> shapes_of(const std::vector<FanAtSetting>& entries,
                                   const std::string& fan) {
  std::vector<PlaneForLaw> shapes;
  for (const FanAtSetting& e : entries) {
    if (e.fan != fan) {
      continue;
    }
    for (const PlaneFacts& p : e.planes) {
      PlaneForLaw s;
      s.downstream_m = p.downstream_m;
      s.peak_speed_m_s = p.peak_speed_m_s;
      s.half_width_m = std::sqrt(std::max(0.0, p.half_width_y_m * p.half_width_z_m));
      s.volume_flow_m3_s = {p.volume_flow_m3_s.value, p.volume_flow_m3_s.standard_uncertainty};
      s.momentum_flux_n = {p.momentum_flux_n.value, p.momentum_flux_n.standard_uncertainty};
      if (e.thrust_n && e.thrust_n->value > 0.0) {
        s.thrust_n = Measured{e.thrust_n->value, e.thrust_n->standard_uncertainty};
      }
      if (s.downstream_m > 0.0 && s.peak_speed_m_s > 0.0 && s.half_width_m > 0.0 &&
          s.volume_flow_m3_s.value > 0.0 && s.momentum_flux_n.value > 0.0) {
        shapes.push_back(s);
      }
    }
  }
  return shapes;
}

/// An outlet of the same fan, from any entry that tells one.
std::optional<Outlet> outlet_of(const std::vector<FanAtSetting>& entries,
                                const FanAtSetting& wanted) {
  if (wanted.outlet) {
    return wanted.outlet;
  }
  for (const FanAtSetting& e : entries) {
    if (e.fan == wanted.fan && e.outlet) {
      return e.outlet;
    }
  }
  return std::nullopt;
}

/// What drives the stream of an entry, when enough of it is known.
std::optional<StreamSource> source_of(const std::vector<FanAtSetting>& entries, std::size_t index) {
  const FanAtSetting& fan = entries[index];
  const auto thrust = thrust_of(fan);
  const auto outlet = outlet_of(entries, fan);
  if (!thrust || !outlet || !fan.density_kg_m3 || !(outlet->area_m2() > 0.0)) {
    return std::nullopt;
  }
  return StreamSource{*thrust, *fan.density_kg_m3, *outlet, fan.room};
}

std::optional<PredictedStream> predict(const std::vector<FanAtSetting>& entries,
                                 std::size_t index,
                                 const std::vector<double>& distances_m,
                                 const CompareOptions& options) {
  const FanAtSetting& fan = entries[index];
  const std::optional<StreamSource> maybe = source_of(entries, index);
  if (!maybe) {
    return std::nullopt;
  }
  const StreamSource& source = *maybe;
  const Outlet* outlet = &source.outlet;
  const std::vector<PlaneForLaw> planes = shapes_of(entries, fan.fan);
  PredictedStream f;
  f.entry = index;
  f.shape = planes.empty() ? textbook_law(*outlet) : fit_law(planes, *fan.density_kg_m3, *outlet);
  for (const double d : distances_m) {
    f.along.push_back(predict_stream(source, f.shape, d));
  }
  for (const double v : options.wished_speeds_m_s) {
    f.throws.push_back(throw_of(source, f.shape, v));
  }
  f.conditions = prediction_conditions(source, f.shape);
  return f;
}

/// Adds each stream's curve over the same distances: out to where the middle one of the wished
/// speeds is reached by the strongest, but past the distances asked for and not for ever.
void add_curves(Comparison& c) {
  constexpr int steps = 48;
  double far = 1.5 * c.distances_m.back();
  for (const PredictedStream& f : c.predicted) {
    if (!f.throws.empty() && f.throws[f.throws.size() / 2].downstream_m) {
      far = std::max(far, 1.2 * f.throws[f.throws.size() / 2].downstream_m->value);
    }
  }
  far = std::min(far, std::max(12.0, 1.5 * c.distances_m.back()));
  for (PredictedStream& f : c.predicted) {
    const StreamSource source = *source_of(c.entries, f.entry);
    for (int i = 1; i <= steps; ++i) {
      f.curve.push_back(predict_stream(source, f.shape, far * i / steps));
    }
  }
}

std::string joined(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    text += i == 0 ? "" : (i + 1 == names.size() ? " and " : ", ");
    text += names[i];
  }
  return text;
}

std::string head_of(const Ranking& ranking) {
  const std::string at =
      ranking.downstream_m ? " at " + format_number(*ranking.downstream_m, 3) + " m" : "";
  switch (ranking.criterion) {
    case Criterion::thrust:
      return "Highest thrust";
    case Criterion::flow:
      return "Most air" + at;
    case Criterion::thrust_per_watt:
      return "Most thrust per watt";
    case Criterion::flow_per_watt:
      return "Most air per watt" + at;
    case Criterion::lowest_centreline_speed:
      return "Lowest centreline speed" + at;
  }
  return {};
}

/// "not different from teal at 3 and wren at 2 at 95 %", or how many when there are many.
std::string equal_words(const Ranking& ranking, const std::vector<FanAtSetting>& entries) {
  constexpr std::size_t most_named = 4;
  std::vector<std::string> others;
  for (std::size_t i = 1; i < ranking.rows.size() && ranking.rows[i].place == 1; ++i) {
    others.push_back(entries[ranking.rows[i].entry].name());
  }
  if (others.empty()) {
    return {};
  }
  if (others.size() + 1 == entries.size() && others.size() > 1) {
    return ", not different from all others at 95 %";
  }
  return ", not different from " +
         (others.size() <= most_named ? joined(others) : std::to_string(others.size()) + " others") + " at 95 %";
}

/// "Highest thrust: heron at 9, 1.23 +- 0.02 N, not different from teal at 9 at 95 %."
std::string summary_of(const Ranking& ranking, const std::vector<FanAtSetting>& entries) {
  const Ranked& first = ranking.rows.front();
  std::string unit = unit_of(ranking.criterion);
  double scale = 1.0;
  if (ranking.criterion == Criterion::thrust_per_watt) {
    unit = "mN/W", scale = 1e3;
  } else if (ranking.criterion == Criterion::flow_per_watt) {
    unit = "l/s/W", scale = 1e3;
  }
  return head_of(ranking) + (first.predicted ? " (predicted): " : ": ") +
         entries[first.entry].name() + ", " +
         format_with_uncertainty(
             first.value.value * scale, first.value.standard_uncertainty * scale, unit) +
         equal_words(ranking, entries) + ".";
}

void add_rankings(Comparison& c) {
  for (std::size_t k = 0; k < c.distances_m.size(); ++k) {
    std::vector<std::optional<StreamPrediction>> guesses(c.entries.size());
    for (const PredictedStream& f : c.predicted) {
      guesses[f.entry] = f.along[k];
    }
    for (const Criterion criterion : every_criterion) {
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

void add_summary(Comparison& c) {
  for (const Ranking& ranking : c.rankings) {
    if (c.entries.size() > 1) {
      c.summary.push_back(summary_of(ranking, c.entries));
    }
  }
  std::map<std::pair<std::string, std::string>, bool> said;
  for (const EqualThrust& p : c.equal_thrust) {
    const std::pair<std::string, std::string> pair = std::minmax(p.fan, p.other);
    if (p.match == ThrustMatch::between && !said[pair]) {
      said[pair] = true;
      c.summary.push_back("Equal thrust: " + p.words + ".");
    }
  }
}

void add_warnings(Comparison& c) {
  for (const FanAtSetting& e : c.entries) {
    for (const std::string& w : e.warnings) {
      c.warnings.push_back(e.name() + ": " + w);
    }
    for (const PlaneFacts& p : e.planes) {
      for (const std::string& w : p.warnings) {
        c.warnings.push_back(e.name() + ", " + format_number(p.distance_m, 3) + " m: " + w);
      }
    }
    for (const LoneSweep& s : e.lone_sweeps) {
      c.warnings.push_back(e.name() + ", " + format_number(s.distance_m, 3) +
                           " m: only its profile is used, because " + s.why_no_map);
    }
    if (e.left_out > 0) {
      c.warnings.push_back(e.name() + ": " + std::to_string(e.left_out) +
                           (e.left_out == 1 ? " reading gave no value and was left out"
                                            : " readings gave no value and were left out"));
    }
  }
}

}  // namespace

Comparison compare(std::vector<FanAtSetting> entries, const CompareOptions& options) {
  check(entries, options);
  Comparison c;
  c.options = options;
  c.fans = fans_of(entries);
  sort_entries(entries, c.fans);
  tell_apart(entries);
  c.entries = std::move(entries);
  c.distances_m = options.distances_m;
  if (c.distances_m.empty()) {
    c.distances_m = {commonest_distance(c.entries)};
  }
  std::sort(c.distances_m.begin(), c.distances_m.end());
  for (std::size_t i = 0; i < c.entries.size(); ++i) {
    if (auto f = predict(c.entries, i, c.distances_m, options)) {
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
  add_equal_thrust(c);
  add_summary(c);
  add_warnings(c);
  return c;
}

}  // namespace sweepflux
