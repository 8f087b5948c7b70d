#include "render/charts/trace_chart.hpp"

#include "render/canvas/axes.hpp"
#include "render/charts/chart.hpp"
#include "render/canvas/number_text.hpp"
#include "render/canvas/text_size.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double canvas_width = 860.0;
constexpr double panel_height = 300.0;
constexpr double name_row = 18.0;

void check_input(const TraceChartInput& input) {
  if (input.time_s.empty() || input.time_s.size() != input.speed_m_s.size()) {
    throw InputError("a trace has " + std::to_string(input.time_s.size()) + " times and " +
                     std::to_string(input.speed_m_s.size()) + " speeds");
  }
  if (!std::is_sorted(input.time_s.begin(), input.time_s.end())) {
    throw InputError("the times of a trace must not fall");
  }
}

/// Polylines between gaps; in each half pixel the first, lowest, highest and last point remain.
std::vector<std::vector<Point>> thin(const Panel& panel, const TraceChartInput& input) {
  std::vector<std::vector<Point>> lines(1);
  std::vector<Point> bin;
  const auto flush = [&] {
    if (bin.size() > 4) {
      const auto higher = [](Point a, Point b) { return a.y < b.y; };
      auto top = std::min_element(bin.begin(), bin.end(), higher);
      auto bottom = std::max_element(bin.begin(), bin.end(), higher);
      if (bottom < top) {
        std::swap(top, bottom);
      }
      bin = {bin.front(), *top, *bottom, bin.back()};
    }
    lines.back().insert(lines.back().end(), bin.begin(), bin.end());
    bin.clear();
  };
  for (std::size_t i = 0; i < input.time_s.size(); ++i) {
    if (!std::isfinite(input.speed_m_s[i])) {
      flush();
      if (!lines.back().empty()) {
        lines.emplace_back();
      }
      continue;
    }
    const Point p = panel.at(input.time_s[i], input.speed_m_s[i]);
    if (!bin.empty() && std::floor(2.0 * p.x) != std::floor(2.0 * bin.front().x)) {
      flush();
    }
    bin.push_back(p);
  }
  flush();
  if (lines.back().empty()) {
    lines.pop_back();
  }
  return lines;
}

void shade(Canvas& canvas, const Panel& panel, const TraceDwell& dwell) {
  const double start = panel.px(dwell.start_s);
  const double settled = panel.px(dwell.settled_s);
  const double end = panel.px(dwell.end_s);
  canvas.box({start, panel.box.top, settled, panel.box.bottom}, rule());
  if (dwell.used) {
    const std::string told = dwell.name + ": " + number_text(dwell.mean_m_s) +
                             " m/s, standard error " + number_text(dwell.standard_error_m_s, 2) +
                             " m/s";
    canvas.box({settled, panel.box.top, end, panel.box.bottom}, series(0, 0.16), {}, told);
  }
}

void draw_mean(Canvas& canvas, const Panel& panel, const TraceDwell& dwell) {
  const double from = panel.px(dwell.settled_s);
  const double to = panel.px(dwell.end_s);
  const double twice = 2.0 * dwell.standard_error_m_s;
  const double middle = 0.5 * (from + to);
  canvas.line(
      {from, panel.py(dwell.mean_m_s)}, {to, panel.py(dwell.mean_m_s)}, {series(1), 2.8, {}});
  draw_error_bar(canvas,
                 {middle, panel.py(dwell.mean_m_s - twice)},
                 {middle, panel.py(dwell.mean_m_s + twice)},
                 series(1),
                 3.0);
}

void draw_names(Canvas& canvas, const Panel& panel, const std::vector<TraceDwell>& dwells) {
  double taken = -1e300;
  for (const TraceDwell& dwell : dwells) {
    const double middle = 0.5 * (panel.px(dwell.settled_s) + panel.px(dwell.end_s));
    const double half = 0.5 * text_width(dwell.name, smallest_text);
    if (dwell.name.empty() || middle - half < taken + 6.0 || middle - half < panel.box.left ||
        middle + half > panel.box.right) {
      continue;
    }
    taken = middle + half;
    canvas.text({{middle, panel.box.top - 6.0},
                 dwell.name,
                 smallest_text,
                 Anchor::middle,
                 false,
                 0.0,
                 muted()});
  }
}

std::vector<LegendEntry> legend_of(const TraceChartInput& input) {
  std::vector<LegendEntry> entries{line_entry({ink(0.85), {}, Marker::disc}, 1.0, "as logged")};
  if (!input.dwells.empty()) {
    entries.push_back(band_entry(series(0, 0.2), "dwell"));
    entries.push_back(band_entry(rule(), "settling, dropped"));
    entries.push_back(
        {[](Canvas& canvas, const Box& box) {
           const Point c{0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)};
           canvas.line({box.left + 4.0, c.y}, {box.right - 4.0, c.y}, {series(1), 2.8, {}});
           draw_error_bar(canvas, {c.x, box.bottom}, {c.x, box.top}, series(1), 3.0);
         },
         "mean ± 2 standard errors"});
  }
  if (input.starting_speed_m_s) {
    entries.push_back(line_entry({muted(), {2.0, 3.0}, Marker::disc}, 1.2, "the probe starts"));
  }
  return entries;
}

Range speed_range(const TraceChartInput& input) {
  Range range = join({0.0, 0.0}, range_of(input.speed_m_s));
  for (const TraceDwell& dwell : input.dwells) {
    const double twice = 2.0 * dwell.standard_error_m_s;
    const std::vector<double> ends{dwell.mean_m_s - twice, dwell.mean_m_s + twice};
    const Range own = range_of(ends);
    range.high = std::max(range.high, own.high);
  }
  return range;
}

}  // namespace

Canvas draw_trace_chart(const TraceChartInput& input) {
  check_input(input);
  Canvas canvas;
  canvas.width = canvas_width;
  const auto used = std::count_if(
      input.dwells.begin(), input.dwells.end(), [](const TraceDwell& d) { return d.used; });
  canvas.description = "Speed against time, " + std::to_string(input.time_s.size()) +
                       " values over " + number_text(input.time_s.back() - input.time_s.front()) +
                       " s, " + std::to_string(input.dwells.size()) + " dwells, " +
                       std::to_string(used) + " of them used. " + input.remark;
  const double top = draw_heading(canvas, input.title, input.subtitle) + y_title_room +
                     (input.dwells.empty() ? 0.0 : name_row);
  Panel panel;
  panel.y = axis_from_zero(speed_range(input), 6, {});
  panel.x = exact_axis({input.time_s.front(), input.time_s.back()}, 10, "time [s]");
  panel.box = {page_margin + y_label_room(panel.y),
               top,
               canvas_width - page_margin - 8.0,
               top + panel_height};
  canvas.text({{page_margin, top - 11.0 - (input.dwells.empty() ? 0.0 : name_row)},
               "speed [m/s]",
               plain_text});
  canvas.items.emplace_back(ClipBegin{panel.box});
  for (const TraceDwell& dwell : input.dwells) {
    shade(canvas, panel, dwell);
  }
  if (input.starting_speed_m_s) {
    const double y = panel.py(*input.starting_speed_m_s);
    canvas.line({panel.box.left, y}, {panel.box.right, y}, {muted(), 1.2, {2.0, 3.0}});
  }
  Path trace;
  trace.lines = thin(panel, input);
  trace.stroke = {ink(0.85), 0.9, {}};
  canvas.items.emplace_back(std::move(trace));
  for (const TraceDwell& dwell : input.dwells) {
    if (dwell.used) {
      draw_mean(canvas, panel, dwell);
    }
  }
  canvas.items.emplace_back(ClipEnd{});
  draw_axes(canvas, panel);
  draw_names(canvas, panel, input.dwells);
  draw_foot(canvas, legend_of(input), {input.remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
