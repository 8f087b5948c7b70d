#include "sweepflux/base/parallel.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/plan/prior_field_private.hpp"
#include "sweepflux/plan/views_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr Eigen::Index places_a_candidate = 9;
constexpr double stops_a_sweep = 21.0;
constexpr std::size_t heights_a_plane = 25;
constexpr double reach_y = 2.2, reach_z = 3.0;  // half widths that candidates span

std::vector<WantedSweep> wanted_sweeps(const Prospect& p, std::size_t known_planes) {
  std::vector<WantedSweep> wanted;
  for (const CandidateSweep& c : p.candidates) {
    const ExpectedStream& s = p.planes[c.plane].stream;
    WantedSweep w;
    w.plane = c.plane < known_planes ? c.plane : WantedSweep::elsewhere;
    w.y = Array::LinSpaced(places_a_candidate,
                           s.centre_y_m - reach_y * s.half_width_y_m,
                           s.centre_y_m + reach_y * s.half_width_y_m);
    w.z = Array::Constant(places_a_candidate, c.height_m);
    wanted.push_back(w);
  }
  return wanted;
}

/// Relative doubt of flow (0) or momentum (1) that no sweep takes away, known before any: probe,
/// distance. A drift of the room's air that nobody read is told beside the plan.
double common_share(const Survey& survey, const StreamGuess& g, int which) {
  const double scale = (which == 0 ? 1.0 : 2.0) * survey.probe.scale_uncertainty;
  const double offset =
      share_of_offset(which == 0, survey.probe.offset_uncertainty_m_s, g.peak_m_s);
  const double stretch =
      survey.rig.motion == Motion::swivel ? survey.rig.distance_uncertainty_m / g.distance_m : 0.0;
  return std::hypot(std::hypot(scale, offset), stretch);
}

}  // namespace

double share_of_offset(bool of_flow, double offset_m_s, double peak_m_s) {
  return (of_flow ? std::log(20.0) : 4.0) * offset_m_s / peak_m_s;
}

std::vector<Known> integrate(const SurveyField& field,
                             const std::vector<double>& starting_speeds_m_s,
                             int threads) {
  std::vector<Known> known(field.planes.size());
  std::vector<PlaneToIntegrate> planes;
  for (std::size_t j = 0; j < known.size(); ++j) {
    known[j].nodes = make_nodes(field.planes[j]);
    planes.push_back({&field.planes[j], &known[j].nodes, starting_speeds_m_s[j]});
  }
  std::vector<PlaneFlux> fluxes = integrate_planes(planes, threads);
  for (std::size_t j = 0; j < known.size(); ++j) {
    known[j].flux = std::move(fluxes[j]);
  }
  return known;
}

Prospect::Plane plane_about(const Survey& survey,
                            const StreamGuess& stream,
                            std::vector<double> taken_m) {
  const HeightRange range = possible_heights(survey, stream, reach_z);
  Prospect::Plane plane;
  plane.distance_m = stream.distance_m;
  plane.stream = {
      stream.centre_y_m, stream.centre_height_m, stream.half_width_y_m, stream.half_width_z_m};
  plane.peak_m_s = stream.peak_m_s;
  plane.taken_m = std::move(taken_m);
  plane.low_m = range.low_m;
  plane.high_m = range.high_m;
  return plane;
}

void add_candidates(Prospect& p) {
  for (std::size_t j = 0; j < p.planes.size(); ++j) {
    const Prospect::Plane& plane = p.planes[j];
    for (std::size_t i = 0; i < heights_a_plane; ++i) {
      const double h = plane.low_m + (plane.high_m - plane.low_m) * static_cast<double>(i) /
                                         static_cast<double>(heights_a_plane - 1);
      p.candidates.push_back({j, h});
    }
  }
}

Outlook::View ask(const Prospect& p,
                  const SurveyField& field,
                  const std::vector<Known>& known,
                  std::vector<double> weights,
                  ReadingModel readings,
                  int threads) {
  const std::vector<WantedSweep> wanted = wanted_sweeps(p, known.size());
  std::vector<SweepPosterior> posteriors(known.size());
  parallel_for(known.size(), threads, [&](std::size_t j) {
    posteriors[j] = foretell(field.planes[j], j, known[j].nodes, known[j].flux, wanted, 1);
  });
  readings.per_place = stops_a_sweep / static_cast<double>(places_a_candidate);
  return {std::move(weights), std::move(posteriors), std::move(readings)};
}

ReadingModel usual_readings(const Survey& survey) {
  return {survey.probe.starting_speed_m_s, 0.01, 1.0, [](double speed_m_s) {
            return std::hypot(0.05, 0.03 * speed_m_s);
          }};
}

OpenStream open_stream(const Prospect& prospect,
                       const Survey& survey,
                       const std::vector<StreamGuess>& streams,
                       std::vector<double> weights,
                       int threads) {
  Prospect p;
  p.planes = prospect.planes;
  p.candidates = prospect.candidates;
  const std::size_t candidates = p.candidates.size();
  for (std::size_t j = 0; j < p.planes.size(); ++j) {
    if (p.planes[j].blank_m.empty()) {
      for (const double height : p.planes[j].taken_m) {
        p.candidates.push_back({j, height});
      }
    }
  }
  const SurveyField field = prior_field(survey, streams);
  std::vector<Known> known = integrate(field, std::vector<double>(streams.size(), 0.0), threads);
  Outlook::View view = ask(p, field, known, std::move(weights), usual_readings(survey), threads);
  for (std::size_t c = candidates; c < p.candidates.size(); ++c) {
    view.make(c);
  }
  std::vector<std::array<double, 2>> left;
  for (std::size_t j = 0; j < streams.size(); ++j) {
    left.push_back({view.left(j, 0), view.left(j, 1)});
  }
  view.begin();
  return {std::move(known), std::move(view), std::move(left)};
}

Outlook::Plane foreseen_plane(const Survey& survey,
                              const StreamGuess& stream,
                              const OpenStream& open,
                              std::size_t plane) {
  const PlaneFlux& flux = open.known[plane].flux;
  Outlook::Plane p;
  for (std::size_t k = 0; k < 2; ++k) {
    p.value[k] = flux.value[k];
    p.own_sd[k] = flux.within[k] * std::sqrt(open.left[plane][k]);
    p.common_sd[k] = flux.value[k] * common_share(survey, stream, static_cast<int>(k));
  }
  return p;
}

}  // namespace sweepflux
