#pragma once

#include "render/canvas/canvas.hpp"
#include "sweepflux/base/measured.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

struct RankedBar {
  std::string name;
  Estimate value;
  int place = 1;  ///< equal for bars that do not differ at 95 %
  int style = 0;  ///< a fan's hue
  bool predicted = false;  ///< drawn hollow
};

struct RankingInput {
  std::string title;
  std::string subtitle;
  std::string value_title;  ///< "volume flow at 1.50 m [m³/s]"
  std::string unit;
  std::vector<RankedBar> bars;  ///< best first; equal places stand together
  std::string remark;
  double width = full_width;
};

/// Level bars with error bars for the 95 % intervals, best on top; where there is
/// little width, or a name is long, names and values stand over the bars. A name that is predicted
/// carries " *", also where it is shortened. Bars that share a place are
/// held together by a bracket and their place carries "=".
///
/// @throws InputError  there is no bar
[[nodiscard]] Canvas draw_ranking(const RankingInput& input);

}  // namespace sweepflux::render
