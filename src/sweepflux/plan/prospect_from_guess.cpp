#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/plan/views_private.hpp"

#include <algorithm>

namespace sweepflux {

Prospect prospect_from_guess(const Survey& survey, const PlanOptions& options) {
  Prospect p;
  p.density_kg_m3 = air_density_kg_m3(survey.air).value;
  std::vector<double> distances = survey.plan.distances_m;
  if (distances.empty()) {
    const std::size_t count = options.budget_s.value_or(3600.0) > 2.6 * 3600.0 ? 2 : 1;
    ProposedDistances proposed = propose_distances(survey, count);
    distances = proposed.distances_m;
    p.reasons = proposed.reasons;
  }
  std::sort(distances.begin(), distances.end());
  std::vector<StreamGuess> guesses;
  for (const double d : distances) {
    const StreamGuess g = guess_stream(survey, d);
    if (g.peak_m_s <= 1.5 * survey.probe.starting_speed_m_s) {
      throw NumericalError("at " + format_number(d) + " m the stream is expected to peak at " +
                           format_number(g.peak_m_s, 2) +
                           " m/s, too near the probe's starting speed: go nearer, or use a probe "
                           "that starts lower");
    }
    for (const std::string& c : distance_caveats(survey, g)) {
      p.caveats.push_back(c);
    }
    p.planes.push_back(plane_about(survey, g, {}));
    guesses.push_back(g);
  }
  add_candidates(p);
  OpenStream open =
      open_stream(p, survey, guesses, std::vector<double>(guesses.size(), 1.0), options.threads);
  std::vector<Outlook::Plane> planes(guesses.size());
  for (std::size_t j = 0; j < guesses.size(); ++j) {
    planes[j] = foreseen_plane(survey, guesses[j], open, j);
  }
  p.outlook = std::make_unique<Outlook>(std::move(planes),
                                        std::vector<Outlook::View>{std::move(open.view)});
  return p;
}

}  // namespace sweepflux
