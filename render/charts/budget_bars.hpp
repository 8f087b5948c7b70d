#pragma once

#include "render/canvas/canvas.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// One contribution to the uncertainty.
struct BudgetBar {
  std::string source;
  double flow_share = 0.0;      ///< standard uncertainty of the volume flow / the volume flow
  double momentum_share = 0.0;  ///< the same of the momentum flux
};

struct BudgetBarsInput {
  std::string title;
  std::string subtitle;
  std::vector<BudgetBar> sources;  ///< drawn in this order
  BudgetBar all;                   ///< taken together; its `source` names the row
  std::string remark;
  double width = full_width;
};

/// The uncertainty budget: a pair of level bars a source, volume flow and momentum flux, on one
/// scale, and a last row for all together.
///
/// @throws InputError  there is no source, or a share is negative or not a number
[[nodiscard]] Canvas draw_budget_bars(const BudgetBarsInput& input);

}  // namespace sweepflux::render
