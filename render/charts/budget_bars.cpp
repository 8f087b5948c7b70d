#include "render/charts/budget_bars.hpp"

#include "render/canvas/axes.hpp"
#include "render/canvas/number_text.hpp"
#include "render/canvas/text_size.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>

namespace sweepflux::render {
namespace {

constexpr double budget_width = 720.0;
constexpr double budget_row_height = 26.0;
constexpr double budget_bar_height = 15.0;
constexpr double budget_widest_name = 265.0;
constexpr double column_gap = 34.0;
constexpr double value_room = 58.0;

using Pick = double (*)(const BudgetBar&);
double flow_of(const BudgetBar& bar) { return bar.flow_share; }
double momentum_of(const BudgetBar& bar) { return bar.momentum_share; }

std::vector<BudgetBar> rows_of(const BudgetBarsInput& input) {
  std::vector<BudgetBar> rows = input.sources;
  rows.push_back(input.all);
  return rows;
}

void draw_column(
    Canvas& canvas, const Panel& panel, const std::vector<BudgetBar>& rows, Pick pick, int style) {
  draw_grid(canvas, panel);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool total = i + 1 == rows.size();
    const double middle =
        panel.box.top + budget_row_height * (static_cast<double>(i) + 0.5) + (total ? 6.0 : 0.0);
    const double end = panel.px(100.0 * pick(rows[i]));
    canvas.box(
        {panel.box.left, middle - budget_bar_height / 2.0, end, middle + budget_bar_height / 2.0},
        series(style, total ? 1.0 : 0.55),
        {},
        rows[i].source + ": " + share_text(pick(rows[i])));
    Text words{{end + 6.0, middle + 0.36 * smallest_text},
               share_text(pick(rows[i])),
               smallest_text,
               Anchor::start,
               total};
    words.seam = paper();
    canvas.text(std::move(words));
  }
  draw_axes(canvas, panel);
  canvas.text({{panel.box.left, panel.box.top - 9.0},
               style == 0 ? "volume flow" : "momentum",
               plain_text,
               Anchor::start,
               true});
}

}  // namespace

Canvas draw_budget_bars(const BudgetBarsInput& input) {
  if (input.sources.empty()) {
    throw InputError("a budget needs a source at least");
  }
  const std::vector<BudgetBar> rows = rows_of(input);
  double largest = 0.0;
  double name_room = 0.0;
  std::string told = "Standard uncertainty by source, as a share of the value. ";
  for (const BudgetBar& row : rows) {
    if (!(row.flow_share >= 0.0 && row.momentum_share >= 0.0 &&
          row.flow_share + row.momentum_share < 1e9)) {
      throw InputError("share of \"" + row.source + "\" in the budget must be a number >= 0");
    }
    largest = std::max({largest, row.flow_share, row.momentum_share});
    name_room =
        std::max(name_room, std::min(budget_widest_name, text_width(row.source, plain_text, true)));
    told += row.source + ": flow " + share_text(row.flow_share) + ", momentum " +
            share_text(row.momentum_share) + ". ";
  }
  Canvas canvas;
  canvas.width = budget_width;
  canvas.description = told + input.remark;
  const double top = draw_heading(canvas, input.title, input.subtitle) + y_title_room;
  const double left = page_margin + name_room + 12.0;
  const double width = 0.5 * (budget_width - page_margin - left - column_gap) - value_room;
  const double height = budget_row_height * static_cast<double>(rows.size()) + 12.0;
  const Axis axis =
      rounded_axis({0.0, largest > 0.0 ? 100.0 * largest : 1.0}, 4, "standard uncertainty [%]");
  const Axis none{{0.0, 1.0}, false, {}, {}, {}};
  const Panel flow{{left, top, left + width, top + height}, axis, none};
  const double second = flow.box.right + value_room + column_gap;
  const Panel momentum{{second, top, second + width, top + height}, axis, none};
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool total = i + 1 == rows.size();
    const double middle =
        top + budget_row_height * (static_cast<double>(i) + 0.5) + (total ? 6.0 : 0.0);
    canvas.text({{left - 10.0, middle + 0.36 * plain_text},
                 shorten(rows[i].source, plain_text, total, budget_widest_name),
                 plain_text,
                 Anchor::end,
                 total});
  }
  const double cut = top + height - budget_row_height - 3.0;
  canvas.line({page_margin, cut}, {budget_width - page_margin, cut}, {muted(), 1.0, {}});
  draw_column(canvas, flow, rows, flow_of, 0);
  draw_column(canvas, momentum, rows, momentum_of, 1);
  draw_foot(canvas, {}, {input.remark}, flow.box.bottom + x_label_room(axis));
  return canvas;
}

}  // namespace sweepflux::render
