#pragma once

#include "render/canvas/canvas.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// One source of doubt.
struct BudgetBar {
  std::string source;
  double flow_share = 0.0;      ///< standard uncertainty of the volume flow / the volume flow
  double momentum_share = 0.0;  ///< the same of the momentum
};

struct BudgetBarsInput {
  std::string title;
  std::string subtitle;
  std::vector<BudgetBar> sources;  ///< drawn in this order
  BudgetBar all;                   ///< taken together; its `source` names the row
  std::string remark;
};

/// Where the doubt comes from: two columns of level bars, volume flow and momentum, on one scale,
/// and a last row for all together.
///
/// @throws InputError  there is no source, or a share is negative or not a number
[[nodiscard]] Canvas draw_budget_bars(const BudgetBarsInput& input);

}  // namespace sweepflux::render
