#include "render/charts/budget_bars.hpp"

#include "render/canvas/axes.hpp"
#include "render/canvas/number_text.hpp"
#include "render/canvas/text_size.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double half_row = 13.0;
constexpr double pair_gap = 10.0;
constexpr double widest_source = 290.0;
constexpr double value_room = 58.0;

struct Quantity {
  const char* name;
  double BudgetBar::*share;
  int style;
};
constexpr std::array<Quantity, 2> quantities{
    {{"volume flow", &BudgetBar::flow_share, 0}, {"momentum flux", &BudgetBar::momentum_share, 1}}};

/// One number of decimals for all: two digits of the largest share. Never "0 %".
std::string share_text(double share, double largest) {
  const double top = 100.0 * largest;
  const int decimals =
      top > 0.0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(top))), 0, 4) : 0;
  if (share == 0.0) {
    return "-";  // the source does not act on this quantity
  }
  const double least = std::pow(10.0, -decimals);
  return (100.0 * share < 0.5 * least ? "< " : "") +
         with_unit(fixed_text(std::max(100.0 * share, least), decimals), "%");
}

}  // namespace

Canvas draw_budget_bars(const BudgetBarsInput& input) {
  if (input.sources.empty()) {
    throw InputError("a budget needs a source at least");
  }
  std::vector<BudgetBar> rows = input.sources;
  rows.push_back(input.all);
  double largest = 0.0;
  double name_room = 0.0;
  for (const BudgetBar& row : rows) {
    if (!(row.flow_share >= 0.0 && row.momentum_share >= 0.0 &&
          row.flow_share + row.momentum_share < 1e9)) {
      throw InputError("share of \"" + row.source + "\" in the budget must be a number >= 0");
    }
    largest = std::max({largest, row.flow_share, row.momentum_share});
    name_room =
        std::max(name_room, std::min(widest_source, text_width(row.source, plain_text, true)));
  }
  Canvas canvas;
  canvas.width = input.width;
  canvas.description = "Standard uncertainty by source, as a share of the value. ";
  const bool above = names_over_bars(input.width);
  const double top = draw_heading(canvas, input.title, input.subtitle) + 4.0;
  const double left = margin(canvas) + (above ? 2.0 : name_room + 12.0);
  const double right = canvas.width - margin(canvas) - value_room;
  const double pitch = 2.0 * half_row + pair_gap + (above ? 17.0 : 0.0);
  const double height = pitch * static_cast<double>(rows.size()) + 6.0;
  const Panel panel{
      {left, top, right, top + height},
      rounded_axis({0.0, largest > 0.0 ? 100.0 * largest : 1.0},
                   static_cast<int>((right - left) / 55.0),
                   is_slim(input.width) ? "standard uncertainty [%]"
                                        : "standard uncertainty as a share of the value [%]"),
      {{0.0, 1.0}, false, {}, {}, {}}};
  draw_grid(canvas, panel);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool total = i + 1 == rows.size();
    double y = top + pitch * static_cast<double>(i) + 0.5 * pair_gap + (total ? 4.0 : 0.0);
    if (total) {
      canvas.line(
          {margin(canvas), y - 0.5 * pair_gap}, {right, y - 0.5 * pair_gap}, {muted(), 1.0, {}});
    }
    Text name{{above ? left + 4.0 : left - 10.0,
               above ? y + 0.8 * plain_text : y + half_row + 0.36 * plain_text},
              shorten(rows[i].source,
                      plain_text,
                      total,
                      above ? right + value_room - left - 6.0 : widest_source),
              plain_text,
              above ? Anchor::start : Anchor::end,
              total};
    name.seam = paper();
    canvas.text(std::move(name));
    y += above ? 17.0 : 0.0;
    canvas.description += rows[i].source + ": ";
    for (const Quantity& q : quantities) {
      const double share = rows[i].*q.share;
      const std::string value = share_text(share, largest);
      const double end = panel.px(100.0 * share);
      canvas.box({left, y, end, y + half_row - 1.0},
                 series(q.style, total ? 1.0 : 0.55),
                 {},
                 rows[i].source + ", " + q.name + ": " + value);
      Text words{{end + 6.0, y + 0.5 * half_row + 0.34 * smallest_text},
                 value,
                 smallest_text,
                 Anchor::start,
                 total};
      words.seam = paper();
      canvas.text(std::move(words));
      canvas.description += std::string(q.name) + " " + value + ". ";
      y += half_row;
    }
  }
  canvas.description += input.remark;
  draw_axes(canvas, panel);
  std::vector<LegendEntry> legend;
  for (const Quantity& q : quantities) {
    legend.push_back(band_entry(series(q.style, 0.75), q.name));
  }
  draw_foot(canvas, legend, {input.remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
