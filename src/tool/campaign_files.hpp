#pragma once

#include "render/pages/survey_page.hpp"
#include "sweepflux/rank/ranking.hpp"
#include "sweepflux/record/folder.hpp"
#include "tool/campaign_pictures.hpp"

#include <span>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// Each drawing as SVG and PNG.
void add_drawings(const CampaignDrawings& drawings, ResultFolder& folder);

/// What the foot of a page says: the command, the program, the files beside it.
[[nodiscard]] render::PageOptions page_options(std::string command, std::vector<std::string> files);

/// The command line of `compare`, as typed in a shell.
[[nodiscard]] std::string compare_line(std::span<const std::string> paths,
                                       std::span<const std::string> distances,
                                       std::span<const std::string> speeds,
                                       const SharedErrors& shared);

/// A word of a shell's command line, quoted when it must be.
[[nodiscard]] std::string shell_word(const std::string& word);

}  // namespace sweepflux::tool
