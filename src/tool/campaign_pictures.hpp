#pragma once

#include "render/pages/campaign_page.hpp"
#include "sweepflux/rank/compare.hpp"

#include <string>
#include <utility>
#include <vector>

namespace sweepflux::tool {

/// The pictures of a comparison for its page, and the same under their file names without ending:
/// "thrust", "ranking-flow-1.5m", "profiles-1.5m", "thrust-against-power", "thrust-against-sound", "growth", "throw".
struct CampaignDrawings {
  render::CampaignPictures for_page;
  std::vector<std::pair<std::string, render::Canvas>> files;
};

[[nodiscard]] CampaignDrawings draw_campaign(const Comparison& comparison,
                                             const std::string& title);

}  // namespace sweepflux::tool
