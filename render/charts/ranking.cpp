#include "render/charts/ranking.hpp"

#include "render/canvas/axes.hpp"
#include "render/canvas/number_text.hpp"
#include "render/canvas/text_size.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

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
      const double x = margin(canvas) + place_room - 7.0;
      canvas.polyline({{x + 5.0, from + 6.0}, {x, from + 6.0}, {x, to - 6.0}, {x + 5.0, to - 6.0}},
                      {ink(), 1.4, {}});
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
  return text + input.remark;
}

std::vector<LegendEntry> legend_of(bool shared) {
  std::vector<LegendEntry> legend{interval_entry("95 % interval", true)};
  if (shared) {
    legend.push_back(
        {[](Canvas& to, const Box& box) {
           const double x = middle_of(box).x;
           to.polyline({{x + 5.0, box.top}, {x, box.top}, {x, box.bottom}, {x + 5.0, box.bottom}},
                       {ink(), 1.4, {}});
         },
         "no difference at 95 %"});
  }
  return legend;
}

}  // namespace

Canvas draw_ranking(const RankingInput& input) {
  if (input.bars.empty()) {
    throw InputError("a ranking needs a bar at least");
  }
  Canvas canvas;
  canvas.width = input.width;
  canvas.description = describe(input);
  const bool above = names_over_bars(input.width) ||
                     std::any_of(input.bars.begin(), input.bars.end(), [](const RankedBar& bar) {
                       return text_width(name_of(bar), plain_text) > widest_name;
                     });
  const double row_height = above ? 44.0 : input.bars.size() > 20 ? 22.0 : 30.0;
  const double top = draw_heading(canvas, input.title, input.subtitle) + 4.0;
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
  panel.y = {{0.0, 1.0}, false, {}, {}, {}};
  draw_grid(canvas, panel);
  for (std::size_t i = 0; i < input.bars.size(); ++i) {
    const RankedBar& bar = input.bars[i];
    const double row = top + row_height * static_cast<double>(i);
    const double middle = row + (above ? 31.0 : 0.5 * row_height);
    const double baseline = above ? row + 16.0 : middle + 0.36 * plain_text;
    Text name{
        {above ? left + 5.0 : panel.box.left - 10.0, baseline},
        shorten(bar.name,
                plain_text,
                false,
                (above ? right - left - value_room - 12.0 : widest_name) -
                    (bar.predicted ? text_width(" *", plain_text) : 0.0)) +
            (bar.predicted ? " *" : ""),
        plain_text,
        above ? Anchor::start : Anchor::end};
    name.seam = paper();
    Text value{{right, baseline}, values[i], smallest_text, Anchor::end};
    value.seam = paper();
    canvas.text(std::move(name));
    draw_bar(canvas, panel, input, bar, middle);
    canvas.text(std::move(value));
  }
  draw_places(canvas, input, top, row_height, place_room);
  draw_axes(canvas, panel);
  draw_foot(canvas, legend_of(shared), {input.remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
