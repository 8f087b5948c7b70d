#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/plan/plan_words_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {

std::string target_name(PlanTarget of) {
  switch (of) {
    case PlanTarget::momentum:
      return "momentum flux";
    case PlanTarget::flow:
      return "flow";
    case PlanTarget::map:
      return "the map (momentum flux shown)";
  }
  return "";
}

std::string minutes_text(double minutes) {
  return format_number(std::ceil(minutes), 4) + " minutes";
}

std::string interval_text(double share) {
  return share * coverage > 1.0 ? "more than 100 %" : "+-" + percent_text(coverage * share);
}

std::string what_holds(const PlanPlane& plane,
                       const Prospect& prospect,
                       std::size_t index,
                       PlanTarget of) {
  struct Part {
    double share;
    const char* name;
    const char* helps;
  };
  const std::size_t which = of == PlanTarget::flow ? 0 : 1;
  const CommonShares& common = plane.common[which];
  const double drift = prospect.share_of_drift(index, which);
  const double total = prospect.share(index, which);
  const double shape = std::sqrt(std::max(total * total - common.variance() - drift * drift, 0.0));
  std::vector<Part> parts = {
      {common.scale, "the probe's scale", "have the probe calibrated"},
      {common.distance, "the distance", "measure the distance more closely"},
      {common.density, "the density of the air", "measure temperature and pressure"},
      {common.head, "the size of the probe's head", "use a smaller probe"},
      {drift,
       "the room's drift and the offset of the readings",
       "read the air with the fan off, and state it as ambient_speed under [air]"},
      {shape,
       "what further sweeps do not show of the stream",
       "repeat sweeps, or read for longer at each stop"}};
  std::stable_sort(
      parts.begin(), parts.end(), [](const Part& a, const Part& b) { return a.share > b.share; });
  std::string out;
  for (const Part& p : parts) {
    if (p.share > 0.1 * total) {
      out +=
          (out.empty() ? "" : ", ") + std::string(p.name) + " " + percent_text(coverage * p.share);
    }
  }
  return out + ". What helps most: " + parts.front().helps;
}

std::vector<std::string> plan_reasons(const Survey& survey,
                                      const std::vector<PlanPlane>& planes,
                                      const PlanOptions& options) {
  std::vector<std::string> out;
  if (survey.sweeps.empty() && survey.plan.distances_m.empty()) {
    out = planned_distances(survey, options.budget_s).reasons;
  }
  for (const PlanPlane& p : planes) {
    if (!survey.sweeps.empty() && p.swept_m.empty()) {
      out.push_back("at " + metres_text(p.stream.distance_m) +
                    " no sweep was made yet: predicted from the other distances, as a jet that "
                    "keeps its momentum flux");
    }
  }
  if (planes.size() > 1) {
    out.emplace_back(
        "heights differ from distance to distance: the planes share one stream, and the "
        "same heights again would add next to nothing");
  }
  return out;
}

std::vector<std::string> plan_caveats(const Survey& survey, const std::vector<PlanPlane>& planes) {
  std::vector<std::string> out;
  for (const PlanPlane& p : planes) {
    if (p.silent) {
      out.push_back("at " + metres_text(p.stream.distance_m) +
                    " no reading rose above the probe's starting speed: the stream is sought "
                    "elsewhere; see that the fan runs and the probe faces it");
    }
    if (p.swept_m.empty()) {
      const std::vector<std::string> of_distance = distance_caveats(survey, p.stream);
      out.insert(out.end(), of_distance.begin(), of_distance.end());
    }
  }
  return out;
}

}  // namespace sweepflux
