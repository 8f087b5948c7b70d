#pragma once

#include "render/pages/page.hpp"
#include "render/pages/survey_page.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/compare.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// The pictures of a comparison; whatever is missing has no place on the page.
struct CampaignPictures {
  std::optional<PagePicture> thrust;       ///< thrust against setting, a line a fan
  std::optional<PagePicture> power;        ///< thrust against electrical power
  std::optional<PagePicture> sound;        ///< thrust against sound level
  std::vector<PagePicture> rankings;       ///< same order as Comparison::rankings, or empty
  std::vector<PagePicture> profiles;       ///< overlaid, one a distance
  std::optional<PagePicture> growth;       ///< flow against distance
  std::optional<PagePicture> throw_chart;  ///< centreline speed against distance, predicted
};

/// The page of a comparison: summary, thrust per setting, rankings, equal thrust,
/// sound, profiles, growth, throw (marked as predicted), seat, agreement of measurements, the check
/// of the probe, what was left out, how to repeat it.
[[nodiscard]] std::string campaign_page(const std::string& title,
                                        const Comparison& comparison,
                                        const CampaignPictures& pictures,
                                        const PageOptions& options = {});

/// The page of a balance session: the same, with the lever, the repeats and the zeros of each
/// setting.
[[nodiscard]] std::string session_page(const BalanceSession& session,
                                       const SessionThrust& thrust,
                                       const Comparison& comparison,
                                       const CampaignPictures& pictures,
                                       const PageOptions& options = {});

/// A ranking's values in a unit that reads well: "mN/W" for N/W, "l/s/W" for m3/s/W.
struct DisplayUnit {
  std::string unit;
  double scale = 1.0;
};
[[nodiscard]] DisplayUnit display_unit(Criterion criterion);

}  // namespace sweepflux::render
