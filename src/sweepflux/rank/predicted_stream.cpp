#include "sweepflux/rank/comparison_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// What drives the stream of an entry: its balance, else the momentum of its planes.
std::optional<Measured> drive_of(const FanAtSetting& fan) {
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
template <typename Wanted>
std::vector<PlaneForLaw> shapes_of(const std::vector<FanAtSetting>& entries, Wanted wanted) {
  std::vector<PlaneForLaw> shapes;
  for (const FanAtSetting& e : entries) {
    if (!wanted(e)) {
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

/// An outlet of the same fan, from any entry that states one.
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
  const auto thrust = drive_of(fan);
  const auto outlet = outlet_of(entries, fan);
  if (!thrust || !outlet || !fan.density_kg_m3 || !(outlet->area_m2() > 0.0)) {
    return std::nullopt;
  }
  return StreamSource{*thrust, *fan.density_kg_m3, *outlet, fan.room};
}

}  // namespace

std::optional<PredictedStream> predict_entry(const std::vector<FanAtSetting>& entries,
                                             std::size_t index,
                                             const std::vector<double>& distances_m,
                                             const CompareOptions& options) {
  const FanAtSetting& fan = entries[index];
  const std::optional<StreamSource> maybe = source_of(entries, index);
  if (!maybe) {
    return std::nullopt;
  }
  const StreamSource& source = *maybe;
  std::vector<PlaneForLaw> planes = shapes_of(
      entries, [&](const FanAtSetting& e) { return e.series() == fan.series(); });
  if (planes.empty()) {  // a change to a fan is better predicted from its maps than from a textbook
    planes = shapes_of(entries, [&](const FanAtSetting& e) { return e.fan == fan.fan; });
  }
  PredictedStream f;
  f.entry = index;
  f.source = source;
  f.planes = planes.size();
  f.shape = planes.empty() ? textbook_law(source.outlet)
                           : fit_law(planes, *fan.density_kg_m3, source.outlet);
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
  constexpr int steps = 200;
  double far = 1.5 * c.distances_m.back();
  for (const PredictedStream& f : c.predicted) {
    if (!f.throws.empty() && f.throws[f.throws.size() / 2].downstream_m) {
      far = std::max(far, 1.2 * f.throws[f.throws.size() / 2].downstream_m->value);
    }
  }
  far = std::min(far, std::max(12.0, 1.5 * c.distances_m.back()));
  for (PredictedStream& f : c.predicted) {
    for (int i = 1; i <= steps; ++i) {
      f.curve.push_back(predict_stream(f.source, f.shape, far * i / steps));
    }
  }
}

}  // namespace sweepflux
