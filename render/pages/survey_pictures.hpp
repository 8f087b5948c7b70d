#pragma once

#include "render/charts/bars.hpp"
#include "render/charts/plane_map.hpp"
#include "render/charts/profiles.hpp"
#include "render/charts/stream_chart.hpp"
#include "render/charts/stream_view.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace sweepflux::render {

/// One picture of a survey's result.
struct SurveyPicture {
  enum class Kind { speed_map, uncertainty_map, budget, profiles, stream, side_view, top_view };
  Kind kind = Kind::speed_map;
  std::size_t plane = 0;  ///< index into SurveyResult::planes, for the first three kinds
  Canvas canvas;          ///< for a file of its own
  Canvas page;            ///< for half the width of a page
  Canvas slim;            ///< for phones and paper
};

/// All pictures that a result gives: maps and budget of each plane (one colour scale and
/// equal metres for all planes), then profiles and the chart along the stream, and from two planes
/// on the two views of the stream. Planes without a map are left out of what needs one.
[[nodiscard]] std::vector<SurveyPicture> draw_survey(const SurveyResult& result);

/// The same as inputs, for callers that want to change something before drawing.
[[nodiscard]] HeatScale scale_of(const SurveyResult& result, Palette palette);
[[nodiscard]] PlaneMapInput speed_map_of(const SurveyResult& result, std::size_t plane);
[[nodiscard]] PlaneMapInput uncertainty_map_of(const SurveyResult& result, std::size_t plane);
[[nodiscard]] BudgetBarsInput budget_of(const SurveyResult& result, std::size_t plane);
[[nodiscard]] ProfilesInput profiles_of(const SurveyResult& result);
[[nodiscard]] StreamChartInput stream_of(const SurveyResult& result);
[[nodiscard]] StreamViewInput view_of(const SurveyResult& result, bool from_above);

/// A cut through the centre of a plane, with the readings that lie within a fifth of the half
/// width from it; the band is the map's 95 % interval.
/// @param level  false: upright
[[nodiscard]] ProfileLine cut_of(const PlaneResult& plane, bool level);

/// A canvas in both formats.
struct WrittenPicture {
  std::string svg;
  std::vector<std::uint8_t> png;
};

/// Writes many pictures on several threads; the bytes do not depend on their number.
///
/// @param threads  0: as many as the machine has
[[nodiscard]] std::vector<WrittenPicture> write_pictures(std::span<const SurveyPicture> pictures,
                                                         int threads = 0);

}  // namespace sweepflux::render
