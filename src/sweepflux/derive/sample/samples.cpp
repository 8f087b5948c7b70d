#include "sweepflux/derive/sample/samples.hpp"

#include "sweepflux/base/parallel.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/answerable.hpp"
#include "sweepflux/derive/sample/placed_reading_private.hpp"
#include "sweepflux/derive/sample/repeats.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace sweepflux {
namespace {

constexpr double same_plane_m = 0.001;
constexpr double little_freedom = 10.0;   ///< fewer: the noise is mostly assumed, and said to be
constexpr double own_noise_spread = 0.3;  ///< of ln(noise) between the planes of one survey

/// A plane in the making.
struct Draft {
  PlaneSamples plane;
  std::vector<CorrectedSweep> sweeps;
};

std::vector<std::vector<std::size_t>> sweeps_by_plane(const Survey& survey) {
  std::vector<std::size_t> order(survey.sweeps.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return survey.sweeps[a].distance_m < survey.sweeps[b].distance_m;
  });
  std::vector<std::vector<std::size_t>> planes;
  for (const std::size_t i : order) {
    const double nearest = planes.empty() ? 0.0 : survey.sweeps[planes.back().front()].distance_m;
    if (planes.empty() || survey.sweeps[i].distance_m - nearest > same_plane_m) {
      planes.push_back({i});
    } else {
      planes.back().push_back(i);
    }
  }
  for (std::vector<std::size_t>& plane : planes) {
    std::sort(plane.begin(), plane.end(), [&](std::size_t a, std::size_t b) {
      const double ha = survey.sweeps[a].height_m;
      const double hb = survey.sweeps[b].height_m;
      return ha != hb ? ha < hb : a < b;
    });
  }
  return planes;
}

Draft draft_plane(const Survey& survey,
                  const std::vector<std::size_t>& members,
                  std::vector<std::string>& faults) {
  Draft draft;
  PlaneSamples& plane = draft.plane;
  double distance_m = survey.sweeps[members.front()].distance_m;
  for (const std::size_t i : members) {
    distance_m = std::min(distance_m, survey.sweeps[i].distance_m);
  }
  plane = plane_without_samples(survey, distance_m);
  if (survey.air.ambient_speed_m_s) {
    plane.common.ambient_m_s = survey.air.ambient_speed_m_s->standard_uncertainty;
  }
  for (const std::size_t i : members) {
    draft.sweeps.push_back(
        correct_sweep(survey, survey.sweeps[i], plane.downstream_m, plane.remarks, faults));
  }
  return draft;
}

std::vector<SweepLine> lines_of(const Draft& draft) {
  std::vector<SweepLine> lines;
  for (const CorrectedSweep& sweep : draft.sweeps) {
    SweepLine line;
    for (const PlacedReading& r : sweep.readings) {
      line.position.push_back(r.position);
      line.speed_m_s.push_back(r.speed_m_s);
      line.usable.push_back(!r.censored);
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

void name_strays(const Draft& draft, const Scatter& found, std::vector<std::string>& remarks) {
  for (const StrayReading& stray : found.strays) {
    const CorrectedSweep& sweep = draft.sweeps[stray.line];
    const PlacedReading& r = sweep.readings[stray.reading];
    remarks.push_back(sweep.placed.name + ": line " + std::to_string(r.line) + " reads " +
                      format_number(r.speed_m_s, 3) + " m/s where its neighbours predict " +
                      format_number(stray.expected_m_s, 3) + " m/s; used all the same");
  }
}

/// Each plane's noise; what all planes say together is where a plane with few readings stays.
void find_noise(std::vector<Draft>& drafts, int threads) {
  std::vector<SweepLine> all;
  for (const Draft& draft : drafts) {
    std::vector<SweepLine> own = lines_of(draft);
    std::move(own.begin(), own.end(), std::back_inserter(all));
  }
  const Scatter together = find_scatter(all, {}, 0.6, threads);
  std::vector<Scatter> each(drafts.size(), together);
  if (drafts.size() > 1) {
    parallel_for(drafts.size(), threads, [&](std::size_t j) {
      each[j] = find_scatter(lines_of(drafts[j]), together.model, own_noise_spread, 1);
    });
  }
  for (std::size_t j = 0; j < drafts.size(); ++j) {
    Draft& draft = drafts[j];
    const Scatter& found = each[j];
    draft.plane.noise = found.model;
    draft.plane.noise_freedom = found.freedom;
    name_strays(draft, found, draft.plane.remarks);
    if (together.freedom < little_freedom) {
      draft.plane.remarks.emplace_back(
          "too few readings to find their noise from the scatter; it is mostly assumed");
    }
  }
}

void add_samples(const Survey& survey,
                 const CorrectedSweep& sweep,
                 int index,
                 PlaneSamples& plane) {
  std::vector<double> speeds;
  for (const PlacedReading& r : sweep.readings) {
    speeds.push_back(r.speed_m_s);
  }
  const std::vector<double> smooth = running_mean(speeds);
  const double rounding = survey.probe.resolution_m_s / std::sqrt(12.0);
  for (std::size_t i = 0; i < sweep.readings.size(); ++i) {
    const PlacedReading& r = sweep.readings[i];
    // What scatters along the sweep holds the rounding and the noise within a dwell already.
    const double scatter = plane.noise.sd_m_s(smooth[i]) / std::sqrt(r.repeats);
    const double stated = std::hypot(r.stated_error_m_s, rounding * r.slope);
    Sample sample;
    sample.at = r.at;
    sample.speed_m_s = r.speed_m_s * r.to_plane;
    sample.noise_m_s = std::max(scatter, stated) * r.to_plane;
    sample.censored = r.censored;
    sample.sideways = r.sideways;
    sample.sweep = index;
    sample.line = r.line;
    plane.samples.push_back(sample);
  }
}

Window window_of(const std::vector<Sample>& samples) {
  Window w{samples.front().at.y_m,
           samples.front().at.y_m,
           samples.front().at.z_m,
           samples.front().at.z_m};
  for (const Sample& s : samples) {
    w.y_min_m = std::min(w.y_min_m, s.at.y_m);
    w.y_max_m = std::max(w.y_max_m, s.at.y_m);
    w.z_min_m = std::min(w.z_min_m, s.at.z_m);
    w.z_max_m = std::max(w.z_max_m, s.at.z_m);
  }
  return w;
}

PlaneSamples finish_plane(const Survey& survey, Draft draft) {
  PlaneSamples& plane = draft.plane;
  std::vector<double> heights;
  for (std::size_t i = 0; i < draft.sweeps.size(); ++i) {
    CorrectedSweep& sweep = draft.sweeps[i];
    add_samples(survey, sweep, static_cast<int>(i), plane);
    heights.push_back(sweep.placed.height_m);
    plane.sweeps.push_back(std::move(sweep.placed));
  }
  plane.window = window_of(plane.samples);
  plane.sweep_gain_sd = find_sweep_gains(plane.samples, heights).sd;
  return std::move(plane);
}

}  // namespace

std::vector<PlaneSamples> derive_samples(const Survey& survey, int threads) {
  std::vector<std::string> faults;
  for (const LoggedSweep& log : survey.logs) {
    faults.push_back(log.file.string() + ": is a raw log, call reduce_logs first");
  }
  std::vector<Draft> drafts;
  for (const std::vector<std::size_t>& members : sweeps_by_plane(survey)) {
    drafts.push_back(draft_plane(survey, members, faults));
    const Draft& draft = drafts.back();
    const bool empty = std::all_of(draft.sweeps.begin(),
                                   draft.sweeps.end(),
                                   [](const CorrectedSweep& s) { return s.readings.empty(); });
    if (empty && faults.empty()) {
      faults.push_back(survey.sweeps[members.front()].file.string() +
                       ": none of its plane's sweeps has a usable reading; leave the plane out or "
                       "measure it again");
    }
  }
  if (!faults.empty()) {
    std::string all;
    for (const std::string& fault : faults) {
      all += (all.empty() ? "" : "\n") + fault;
    }
    throw InputError(all);
  }
  find_noise(drafts, threads);
  std::vector<PlaneSamples> planes;
  for (Draft& draft : drafts) {
    planes.push_back(finish_plane(survey, std::move(draft)));
  }
  return planes;
}

}  // namespace sweepflux
