#pragma once

#include "render/pages/page.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux::render {

/// The pictures of a survey; whatever is missing has no place on the page.
struct SurveyPictures {
  std::vector<PagePicture> planes;       ///< speed, one a plane
  std::vector<PagePicture> uncertainty;  ///< one a plane
  std::optional<PagePicture> profiles;
  std::optional<PagePicture> along;  ///< flow and momentum flux against distance
  std::optional<PagePicture> side;   ///< the stream seen from the side
  std::optional<PagePicture> top;    ///< ... and from above
  std::vector<PagePicture> budget;   ///< bars, one a plane
};

struct PageOptions {
  std::string command;                ///< that makes this page again, as typed; empty: not stated
  std::string program = "sweepflux";  ///< name and version, for the footer
  std::vector<std::string> files;     ///< written beside the page, for those who calculate on
};

/// The page of one survey: summary, cautions, flow and momentum flux of each plane, pictures,
/// uncertainty, what was left out and why, how to repeat it.
[[nodiscard]] std::string survey_page(const SurveyResult& result,
                                      const SurveyPictures& pictures,
                                      const PageOptions& options = {});

/// Volume flow, momentum flux and kinetic power: a table each with its 95 % intervals and, where
/// there are any, the numbers inside the window; then the reasons for what is missing.
void add_plane_numbers(Page& page, std::span<const PlaneResult> planes);

/// "17, 23 to 25" for rising line numbers.
[[nodiscard]] std::string line_ranges(std::vector<std::size_t> lines);

}  // namespace sweepflux::render
