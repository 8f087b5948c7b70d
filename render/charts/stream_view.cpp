#include "render/charts/stream_view.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux::render {
namespace {

constexpr std::size_t grid_columns = 480;
constexpr std::size_t grid_rows = 480;

void sort_and_check(std::vector<StreamStation>& stations) {
  if (stations.size() < 2) {
    throw InputError("a view of the stream needs two planes at least");
  }
  std::stable_sort(
      stations.begin(), stations.end(), [](const auto& a, const auto& b) { return a.x_m < b.x_m; });
  for (std::size_t i = 0; i < stations.size(); ++i) {
    const StreamStation& s = stations[i];
    const std::size_t n = s.at_m.size();
    if (n < 2 || s.speed_m_s.size() != n || (!s.support.empty() && s.support.size() != n)) {
      throw InputError("the cut at " + number_text(s.x_m) +
                       " m: lists must be equally long, two or more");
    }
    if (i > 0 && !(s.x_m > stations[i - 1].x_m)) {
      throw InputError("two cuts at " + number_text(s.x_m) + " m");
    }
  }
}

/// Value and support of a cut; not-a-number beyond its ends.
FieldValue cut_at(const StreamStation& s, double at) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  if (!(at >= s.at_m.front() && at <= s.at_m.back())) {
    return {nan, 0.0};
  }
  const auto next = std::upper_bound(s.at_m.begin(), s.at_m.end() - 1, at);
  const auto i = static_cast<std::size_t>(std::max<std::ptrdiff_t>(next - s.at_m.begin(), 1));
  const double t = (at - s.at_m[i - 1]) / (s.at_m[i] - s.at_m[i - 1]);
  const auto mix = [i, t](const std::vector<double>& list) {
    return (1.0 - t) * list[i - 1] + t * list[i];
  };
  return {mix(s.speed_m_s), s.support.empty() ? 1.0 : mix(s.support)};
}

/// The place that lies in the window of `to` as `at` lies in a window between two others.
double same_place(const StreamStation& to, Range window, double at) {
  const double share = (at - window.low) / window.width();
  return to.at_m.front() + std::clamp(share, 0.0, 1.0) * (to.at_m.back() - to.at_m.front());
}

FieldValue between(const StreamStation& a, const StreamStation& b, double t, double at) {
  const auto mix = [t](double from, double to) { return (1.0 - t) * from + t * to; };
  // What was swept grows from the window of one plane to that of the next.
  const Range window{mix(a.at_m.front(), b.at_m.front()), mix(a.at_m.back(), b.at_m.back())};
  if (!(at >= window.low - 1e-9 && at <= window.high + 1e-9)) {
    return {std::numeric_limits<double>::quiet_NaN(), 0.0};
  }
  const FieldValue edge_a = cut_at(a, same_place(a, window, at));
  const FieldValue edge_b = cut_at(b, same_place(b, window, at));
  // The stream itself keeps its shape over its half width. Where that leads out of one window the
  // other speaks alone, and where it leads out of both, far in the outer region, each window's own
  // share.
  const bool scaled = a.half_width_m > 0.0 && b.half_width_m > 0.0;
  const double half = scaled ? mix(a.half_width_m, b.half_width_m) : 1.0;
  const double share = (at - mix(a.centre_m, b.centre_m)) / half;
  const FieldValue from = cut_at(a, a.centre_m + share * (scaled ? a.half_width_m : 1.0));
  const FieldValue to = cut_at(b, b.centre_m + share * (scaled ? b.half_width_m : 1.0));
  double value = mix(from.value, to.value);
  if (std::isnan(from.value) && std::isnan(to.value)) {
    value = mix(edge_a.value, edge_b.value);
  } else if (std::isnan(value)) {
    value = std::isnan(from.value) ? to.value : from.value;
  }
  return {value, mix(edge_a.support, edge_b.support)};
}

std::vector<std::vector<Point>> line_of(const Panel& panel,
                                        const std::vector<StreamStation>& stations,
                                        double widths) {
  std::vector<std::vector<Point>> lines;
  std::vector<Point> line;
  for (const StreamStation& s : stations) {
    if (widths != 0.0 && !(s.half_width_m > 0.0)) {
      continue;
    }
    line.push_back(panel.at(s.x_m, s.centre_m + widths * s.half_width_m));
  }
  if (line.size() > 1) {
    lines.push_back(std::move(line));
  }
  return lines;
}

void draw_marks(Canvas& canvas,
                const Panel& panel,
                const StreamViewInput& input,
                const std::vector<StreamStation>& stations) {
  for (const StreamStation& s : stations) {
    const double x = panel.px(s.x_m);
    canvas.line(
        {x, panel.py(s.at_m.back())}, {x, panel.py(s.at_m.front())}, {muted(0.7), 1.0, {1.5, 3.0}});
  }
  for (const double side : {-1.0, 1.0}) {
    cased_line(canvas, line_of(panel, stations, side), {fixed(mark_colour()), 1.6, {7.0, 4.0}});
  }
  // Broken, so that a dip at the hub is seen through it.
  cased_line(canvas, line_of(panel, stations, 0.0), {fixed(mark_colour()), 1.2, {3.0, 5.0}});
  if (input.outlet_half_m > 0.0) {
    const double x = panel.px(input.outlet_x_m);
    canvas.line({x, panel.py(input.outlet_centre_m - input.outlet_half_m)},
                {x, panel.py(input.outlet_centre_m + input.outlet_half_m)},
                {ink(), 5.0, {}});
  }
}

std::vector<LegendEntry> legend_of(const StreamViewInput& input,
                                   const HeatContent& content,
                                   const HeatScale& scale) {
  std::vector<LegendEntry> entries;
  if (input.outlet_half_m > 0.0) {
    entries.push_back({[](Canvas& to, const Box& box) {
                         const double x = middle_of(box).x;
                         to.line({x, box.top}, {x, box.bottom}, {ink(), 5.0, {}});
                       },
                       "outlet"});
  }
  entries.push_back(line_entry({ink(), {3.0, 5.0}, Marker::disc}, 1.2, "centre"));
  entries.push_back(line_entry({ink(), {7.0, 4.0}, Marker::disc}, 1.6, "half the peak speed"));
  entries.push_back(line_entry({muted(), {1.5, 3.0}, Marker::disc}, 1.0, "measured planes"));
  add_heat_legend(entries, content, scale);
  return entries;
}

Range up_range(const StreamViewInput& input, const GridField& field) {
  Range up = field.up_range();
  if (input.outlet_half_m > 0.0) {
    up = join(up,
              {input.outlet_centre_m - 1.1 * input.outlet_half_m,
               input.outlet_centre_m + 1.1 * input.outlet_half_m});
  }
  if (input.floor_m) {
    up.low = std::min(up.low, *input.floor_m - 0.04 * up.width());
  }
  return up;
}

}  // namespace

GridField blend_stations(std::vector<StreamStation> stations,
                         std::size_t columns,
                         std::size_t rows) {
  sort_and_check(stations);
  GridField field;
  Range up{1e300, -1e300};
  for (const StreamStation& s : stations) {
    up = join(up, {s.at_m.front(), s.at_m.back()});
  }
  field.columns = std::max<std::size_t>(columns, 2);
  field.rows = std::max<std::size_t>(rows, 2);
  field.across_min = stations.front().x_m;
  field.up_min = up.low;
  field.across_step =
      (stations.back().x_m - stations.front().x_m) / static_cast<double>(field.columns - 1);
  field.up_step = up.width() / static_cast<double>(field.rows - 1);
  for (std::size_t row = 0; row < field.rows; ++row) {
    std::size_t i = 0;
    for (std::size_t column = 0; column < field.columns; ++column) {
      const double x = field.across(static_cast<double>(column));
      while (i + 2 < stations.size() && x > stations[i + 1].x_m) {
        ++i;
      }
      const double t =
          std::clamp((x - stations[i].x_m) / (stations[i + 1].x_m - stations[i].x_m), 0.0, 1.0);
      const FieldValue found =
          between(stations[i], stations[i + 1], t, field.up(static_cast<double>(row)));
      field.values.push_back(found.value);
      field.support.push_back(found.support);
    }
  }
  return field;
}

Canvas draw_stream_view(const StreamViewInput& given) {
  StreamViewInput input = given;
  if (input.from_above) {
    input.floor_m.reset();
  }
  sort_and_check(input.stations);
  const GridField field = blend_stations(input.stations, grid_columns, grid_rows);
  const HeatScale scale =
      input.scale ? *input.scale
                  : make_scale(Palette::speed, supported_range(field).value_or(Range{}));
  const double first = std::min(0.0, input.outlet_x_m);
  const double last = input.stations.back().x_m;
  const Range across{first - 0.03 * (last - first), last + 0.03 * (last - first)};
  const HeatWords words{
      "downstream x [m]", input.from_above ? "across y [m]" : "height z [m]", "speed [m/s]"};
  HeatLayout layout = lay_out_heat(across, up_range(input, field), words, scale, input.width);
  Canvas canvas;
  canvas.width = layout.width;
  const double top = draw_heading(canvas, input) + y_title_room;
  layout.move_down(top);
  canvas.description = "Speed along the stream, interpolated between planes";
  for (const StreamStation& s : input.stations) {
    canvas.description += "; at " + number_text(s.x_m) + " m up to " +
                          number_text(range_of(s.speed_m_s).high) + " m/s, half width " +
                          number_text(s.half_width_m) + " m";
  }
  canvas.description += ". " + input.remark;
  std::vector<Box> quiet;
  for (const double side : {-1.0, 0.0, 1.0}) {
    keep_clear(quiet, line_of(layout.panel, input.stations, side));
  }
  const HeatContent content = draw_heat(canvas, layout.panel, field, scale, input.floor_m, quiet);
  canvas.items.emplace_back(ClipBegin{layout.panel.box});
  draw_marks(canvas, layout.panel, input, input.stations);
  canvas.items.emplace_back(ClipEnd{});
  draw_axes(canvas, layout.panel, {.frame = true});
  draw_colour_bar(canvas, layout.bar, scale, words.value, content.beyond);
  draw_foot(canvas, legend_of(input, content, scale), {input.remark}, layout.bottom);
  return canvas;
}

}  // namespace sweepflux::render
