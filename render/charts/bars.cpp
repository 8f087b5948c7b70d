#include "render/charts/bars.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sweepflux::render {
namespace {

/// A chart of rows has names beside its bars, or over them where it has so little width.
bool names_over_bars(double width) { return width < 600.0; }

/// The upright axis of rows: nothing is written on it.
const Axis rows_axis{{0.0, 1.0}, false, {}, {}, {}};

constexpr double half_row = 13.0;
constexpr double pair_gap = 10.0;
constexpr double widest_source = 290.0;
constexpr double share_room = 58.0;

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

constexpr double bar_height = 15.0;
constexpr double widest_name = 190.0;

Range value_range(const RankingInput& input) {
  Range range{0.0, 0.0};
  for (const RankedBar& bar : input.bars) {
    const std::vector<double> ends{bar.value.value, bar.value.low_95, bar.value.high_95};
    range = join(range, range_of(ends));
  }
  return range;
}

/// "0.901 ± 0.091 m³/s" a bar, all with one number of decimals.
std::vector<std::string> value_texts(const RankingInput& input) {
  std::vector<double> uncertainties;
  for (const RankedBar& bar : input.bars) {
    uncertainties.push_back(bar.value.standard_uncertainty);
  }
  const int decimals = column_decimals(uncertainties, 2);
  std::vector<std::string> texts;
  for (const RankedBar& bar : input.bars) {
    texts.push_back(decimals < 0
                        ? estimate_text(bar.value, input.unit)
                        : with_unit(fixed_text(bar.value.value, decimals) + "\u00A0±\u00A0" +
                                        fixed_text(bar.value.standard_uncertainty, decimals),
                                    input.unit));
  }
  return texts;
}

/// Open to the right.
void draw_bracket(Canvas& canvas, double x, double from, double to) {
  canvas.polyline({{x + 5.0, from}, {x, from}, {x, to}, {x + 5.0, to}}, {ink(), 1.4, {}});
}

/// Place numbers, and a bracket beside those that share one.
void draw_places(
    Canvas& canvas, const RankingInput& input, double top, double row_height, double place_room) {
  for (std::size_t i = 0; i < input.bars.size();) {
    std::size_t end = i + 1;
    while (end < input.bars.size() && input.bars[end].place == input.bars[i].place) {
      ++end;
    }
    const double from = top + row_height * static_cast<double>(i);
    const double to = top + row_height * static_cast<double>(end);
    const bool shared = end - i > 1;
    canvas.text({{margin(canvas), 0.5 * (from + to) + 0.36 * plain_text},
                 std::to_string(input.bars[i].place) + (shared ? "=" : ""),
                 plain_text,
                 Anchor::start,
                 true});
    if (shared) {
      draw_bracket(canvas, margin(canvas) + place_room - 7.0, from + 6.0, to - 6.0);
    }
    i = end;
  }
}

void draw_bar(Canvas& canvas,
              const Panel& panel,
              const RankingInput& input,
              const RankedBar& bar,
              double middle) {
  const std::string value = estimate_text(bar.value, input.unit);
  const double zero = panel.px(0.0);
  const double end = panel.px(bar.value.value);
  canvas.box({std::min(zero, end),
              middle - bar_height / 2.0,
              std::max(zero, end),
              middle + bar_height / 2.0},
             series(bar.style, bar.predicted ? 0.12 : 0.45),
             bar.predicted ? Stroke{series(bar.style), 1.0, {3.0, 2.0}} : Stroke{},
             bar.name + ": " + value);
  canvas.line({end, middle - bar_height / 2.0},
              {end, middle + bar_height / 2.0},
              {series(bar.style), 2.4, {}});
  draw_error_bar(
      canvas, {panel.px(bar.value.low_95), middle}, {panel.px(bar.value.high_95), middle}, ink());
}

/// With a mark where it is predicted.
std::string name_of(const RankedBar& bar) { return bar.name + (bar.predicted ? " *" : ""); }

std::string describe(const RankingInput& input) {
  std::string text = "Ranking by " + input.value_title + ". ";
  for (const RankedBar& bar : input.bars) {
    text += "Place " + std::to_string(bar.place) + ": " + bar.name + ", " +
            estimate_text(bar.value, input.unit) + ". ";
  }
  return text;
}

std::vector<LegendEntry> legend_of(bool shared) {
  std::vector<LegendEntry> legend{interval_entry("95 % interval", true)};
  if (shared) {
    legend.push_back({[](Canvas& canvas, const Box& box) {
                        draw_bracket(canvas, middle_of(box).x, box.top, box.bottom);
                      },
                      "no difference at 95 %"});
  }
  return legend;
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
  const double top = draw_heading(canvas, input) + 4.0;
  const double left = margin(canvas) + (above ? 2.0 : name_room + 12.0);
  const double right = canvas.width - margin(canvas) - share_room;
  const double pitch = 2.0 * half_row + pair_gap + (above ? 17.0 : 0.0);
  const double height = pitch * static_cast<double>(rows.size()) + 6.0;
  const Panel panel{
      {left, top, right, top + height},
      rounded_axis({0.0, largest > 0.0 ? 100.0 * largest : 1.0},
                   static_cast<int>((right - left) / 55.0),
                   is_slim(input.width) ? "standard uncertainty [%]"
                                        : "standard uncertainty as a share of the value [%]"),
      rows_axis};
  draw_grid(canvas, panel);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool total = i + 1 == rows.size();
    double y = top + pitch * static_cast<double>(i) + 0.5 * pair_gap + (total ? 4.0 : 0.0);
    if (total) {
      canvas.line(
          {margin(canvas), y - 0.5 * pair_gap}, {right, y - 0.5 * pair_gap}, {muted(), 1.0, {}});
    }
    canvas.text(on_paper({{above ? left + 4.0 : left - 10.0,
                           above ? y + 0.8 * plain_text : y + half_row + 0.36 * plain_text},
                          shorten(rows[i].source,
                                  plain_text,
                                  total,
                                  above ? right + share_room - left - 6.0 : widest_source),
                          plain_text,
                          above ? Anchor::start : Anchor::end,
                          total}));
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
      canvas.text(on_paper({{end + 6.0, y + 0.5 * half_row + 0.34 * smallest_text},
                            value,
                            smallest_text,
                            Anchor::start,
                            total}));
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

Canvas draw_ranking(const RankingInput& input) {
  if (input.bars.empty()) {
    throw InputError("a ranking needs a bar at least");
  }
  Canvas canvas = canvas_for(input, describe(input));
  const bool above = names_over_bars(input.width) ||
                     std::any_of(input.bars.begin(), input.bars.end(), [](const RankedBar& bar) {
                       return text_width(name_of(bar), plain_text) > widest_name;
                     });
  const double row_height = above ? 44.0 : input.bars.size() > 20 ? 22.0 : 30.0;
  const double top = draw_heading(canvas, input) + 4.0;
  double name_room = 0.0;
  double value_room = 0.0;
  double place_room = 0.0;
  bool shared = false;
  const std::vector<std::string> values = value_texts(input);
  for (std::size_t i = 0; i < input.bars.size(); ++i) {
    const RankedBar& bar = input.bars[i];
    name_room = std::max(name_room, std::min(widest_name, text_width(name_of(bar), plain_text)));
    value_room = std::max(value_room, text_width(values[i], smallest_text));
    shared = shared || (i > 0 && input.bars[i - 1].place == bar.place);
    place_room =
        std::max(place_room, text_width(std::to_string(bar.place) + "=", plain_text, true) + 12.0);
  }
  const double left = margin(canvas) + place_room;
  const double right = canvas.width - margin(canvas);
  Panel panel;
  panel.box = {left + (above ? 0.0 : name_room + 10.0),
               top,
               right - (above ? 8.0 : value_room + 16.0),
               top + row_height * static_cast<double>(input.bars.size())};
  panel.x = axis_from_zero(value_range(input),
                           std::max(3, static_cast<int>(panel.box.width() / 60.0)),
                           input.value_title);
  panel.y = rows_axis;
  draw_grid(canvas, panel);
  for (std::size_t i = 0; i < input.bars.size(); ++i) {
    const RankedBar& bar = input.bars[i];
    const double row = top + row_height * static_cast<double>(i);
    const double middle = row + (above ? 31.0 : 0.5 * row_height);
    const double baseline = above ? row + 16.0 : middle + 0.36 * plain_text;
    const std::string mark = bar.predicted ? " *" : "";
    const double name_width = (above ? right - left - value_room - 12.0 : widest_name) -
                              (bar.predicted ? text_width(mark, plain_text) : 0.0);
    canvas.text(on_paper({{above ? left + 5.0 : panel.box.left - 10.0, baseline},
                          shorten(bar.name, plain_text, false, name_width) + mark,
                          plain_text,
                          above ? Anchor::start : Anchor::end}));
    draw_bar(canvas, panel, input, bar, middle);
    canvas.text(on_paper({{right, baseline}, values[i], smallest_text, Anchor::end}));
  }
  draw_places(canvas, input, top, row_height, place_room);
  draw_axes(canvas, panel);
  draw_foot(canvas, legend_of(shared), {input.remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
