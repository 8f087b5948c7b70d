#pragma once

#include "render/charts/chart.hpp"
#include "sweepflux/base/measured.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// One contribution to the uncertainty.
struct BudgetBar {
  std::string source;
  double flow_share = 0.0;      ///< standard uncertainty of the volume flow / the volume flow
  double momentum_share = 0.0;  ///< the same of the momentum flux
};

struct BudgetBarsInput : PictureWords {
  std::vector<BudgetBar> sources;  ///< drawn in this order
  BudgetBar all;                   ///< taken together; its `source` names the row
};

/// The uncertainty budget: a pair of level bars a source, volume flow and momentum flux, on one
/// scale, and a last row for all together.
///
/// @throws InputError  there is no source, or a share is negative or not a number
[[nodiscard]] Canvas draw_budget_bars(const BudgetBarsInput& input);

struct RankedBar {
  std::string name;
  Estimate value;
  int place = 1;  ///< equal for bars that do not differ at 95 %
  int style = 0;  ///< a fan's hue
  bool predicted = false;  ///< drawn hollow
};

struct RankingInput : PictureWords {
  std::string value_title;  ///< "volume flow at 1.50 m [m³/s]"
  std::string unit;
  std::vector<RankedBar> bars;  ///< best first; equal places stand together
};

/// Level bars with error bars for the 95 % intervals, best on top; where there is
/// little width, or a name is long, names and values stand over the bars. A name that is predicted
/// carries " *", also where it is shortened. Bars that share a place are
/// held together by a bracket and their place carries "=".
///
/// @throws InputError  there is no bar
[[nodiscard]] Canvas draw_ranking(const RankingInput& input);

}  // namespace sweepflux::render
