#include "render/charts/plot.hpp"

#include "render/canvas/cubic.hpp"
#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace sweepflux::render {
namespace {

constexpr double marker_size = 8.0;
constexpr double name_height = 16.0;
constexpr std::size_t most_bands = 4;

/// Between a panel and the names beside it [px].
double leader_room(double canvas_width) { return is_slim(canvas_width) ? 20.0 : 32.0; }

/// A point with its place on the canvas.
struct Mark {
  std::size_t line = 0;
  std::size_t point = 0;
  Point at;
  double top = 0.0;  ///< of marker and error bar
  double bottom = 0.0;
};

bool can_be_drawn(const PlotPoint& p) { return std::isfinite(p.x) && std::isfinite(p.y.value); }

std::vector<Mark> place(const Panel& panel, const std::vector<PlotLine>& lines) {
  std::vector<Mark> marks;
  for (std::size_t l = 0; l < lines.size(); ++l) {
    for (std::size_t i = 0; i < lines[l].points.size(); ++i) {
      const PlotPoint& p = lines[l].points[i];
      if (can_be_drawn(p)) {
        const Point at = panel.at(p.x, p.y.value);
        const double r = 0.6 * marker_size;
        marks.push_back({l,
                         i,
                         at,
                         std::min(at.y - r, panel.py(p.y.high_95)),
                         std::max(at.y + r, panel.py(p.y.low_95))});
      }
    }
  }
  return marks;
}

/// Spreads marks with error bars that stand on each other at one place. Marks at places of their
/// own stay there, near as those may be: a mark is read off where it stands.
void set_apart(const Panel& panel, const std::vector<PlotLine>& lines, std::vector<Mark>& marks) {
  constexpr double apart = 11.0;
  constexpr double one_place = 2.5;
  std::vector<Mark*> order;
  for (Mark& m : marks) {
    if (lines[m.line].marks) {
      order.push_back(&m);
    }
  }
  std::stable_sort(
      order.begin(), order.end(), [](const Mark* a, const Mark* b) { return a->at.x < b->at.x; });
  // Farther off than a quarter of the way to the next place, marks would be read at another one.
  double widest = 44.0;
  for (std::size_t k = 1; k < order.size(); ++k) {
    const double gap = order[k]->at.x - order[k - 1]->at.x;
    widest = gap > 0.75 * apart ? std::min(widest, 0.5 * gap) : widest;
  }
  for (std::size_t from = 0; from < order.size();) {
    std::size_t to = from + 1;
    while (to < order.size() && order[to]->at.x - order[from]->at.x < one_place) {
      ++to;
    }
    // At one place only those that touch upwards and downwards need to move.
    std::vector<Range> bars;
    for (std::size_t k = from; k < to; ++k) {
      bars.push_back({order[k]->top, order[k]->bottom});
    }
    const std::vector<std::size_t> slot = free_slots(bars);
    const auto slots = static_cast<double>(1 + *std::max_element(slot.begin(), slot.end()));
    const double step = std::min(apart, widest / slots);
    for (std::size_t k = from; k < to; ++k) {
      const double off = static_cast<double>(slot[k - from]) - 0.5 * (slots - 1.0);
      order[k]->at.x = std::clamp(order[k]->at.x + step * off, panel.box.left, panel.box.right);
    }
    from = to;
  }
}

bool has_interval(const PlotPoint& p) { return p.y.high_95 > p.y.low_95; }

bool bands_fit(const std::vector<PlotLine>& lines) {
  return static_cast<std::size_t>(std::count_if(
             lines.begin(), lines.end(), [](const PlotLine& l) { return !l.marks; })) <= most_bands;
}

void draw_mark(Canvas& canvas, const Panel& panel, const PlotLine& line, const Mark& mark) {
  const LineStyle style = line_style(line.style);
  const PlotPoint& p = line.points[mark.point];
  if (!line.marks) {
    // A finger or a pointer needs something to rest on.
    if (mark.point % std::max<std::size_t>(1, line.points.size() / 8) == 0) {
      canvas.dot(mark.at, 9.0, {}, {}, p.hover);
    }
    return;
  }
  if (has_interval(p)) {
    draw_error_bar(
        canvas, {mark.at.x, panel.py(p.y.low_95)}, {mark.at.x, panel.py(p.y.high_95)}, style.paint);
  }
  draw_marker(canvas, style.marker, mark.at, marker_size, style.paint, p.hover);
}

/// A curve through places with x rising; too few of them would show as a polygon.
std::vector<Point> smooth(const std::vector<Point>& places) {
  constexpr std::size_t enough = 240;
  std::vector<double> x, y;
  for (const Point p : places) {
    if (!x.empty() && !(p.x > x.back())) {
      return places;
    }
    x.push_back(p.x);
    y.push_back(p.y);
  }
  if (x.size() < 4 || x.size() >= enough) {
    return places;
  }
  const Cubic curve(x, y, Cubic::Slopes::monotone);
  std::vector<Point> fine;
  for (std::size_t i = 0; i < enough; ++i) {
    const double at = x.front() + (x.back() - x.front()) * static_cast<double>(i) /
                                      static_cast<double>(enough - 1);
    fine.push_back({at, curve.at(at)});
  }
  return fine;
}

void draw_plot_band(Canvas& canvas, const Panel& panel, const PlotLine& line) {
  std::vector<Point> low, high;
  for (const PlotPoint& p : line.points) {
    if (can_be_drawn(p) && has_interval(p)) {
      low.push_back(panel.at(p.x, p.y.low_95));
      high.push_back(panel.at(p.x, p.y.high_95));
    }
  }
  draw_band(canvas, smooth(low), smooth(high), series(line.style, 0.16));
}

void draw_levels(Canvas& canvas, const Panel& panel, const std::vector<LevelMark>& levels) {
  for (const LevelMark& level : levels) {
    const double y = panel.py(level.value);
    canvas.line({panel.box.left, y}, {panel.box.right, y}, {ink(), 1.0, {2.0, 3.0}});
  }
}

/// On their lines near the left edge, side by side where they would touch.
void name_levels(Canvas& canvas, const Panel& panel, const std::vector<LevelMark>& levels) {
  std::vector<Box> taken;
  for (const LevelMark& level : levels) {
    Text words = on_paper({{panel.box.left + 6.0, panel.py(level.value) + 0.36 * smallest_text},
                           level.words,
                           smallest_text});
    for (const Box& other : taken) {
      if (text_box(words).grown(1.0).overlaps(other)) {
        words.at.x = other.right + 10.0;
      }
    }
    const Box box = text_box(words);
    taken.push_back(box);
    canvas.box({box.left - 3.0, box.top, box.right + 3.0, box.bottom}, paper());
    canvas.text(std::move(words));
  }
}

std::vector<LegendEntry> legend_of(const Plot& plot) {
  bool bars = false;
  bool bands = false;
  for (const PlotLine& line : plot.lines) {
    for (const PlotPoint& p : line.points) {
      (line.marks ? bars : bands) |= has_interval(p);
    }
  }
  std::vector<LegendEntry> entries = plot.legend;
  if (bars) {
    entries.push_back(interval_entry("95 % interval"));
  }
  if (bands && bands_fit(plot.lines)) {
    entries.push_back(band_entry(muted(0.25), "95 % interval"));
  }
  return entries;
}

}  // namespace

int FirstMet::number(const std::string& word) {
  const auto place = std::find(words_.begin(), words_.end(), word) - words_.begin();
  if (static_cast<std::size_t>(place) == words_.size()) {
    words_.push_back(word);
  }
  return static_cast<int>(place);
}

Range value_range(const std::vector<PlotLine>& lines, bool with_bands) {
  Range range{0.0, 0.0};
  for (const PlotLine& line : lines) {
    for (const PlotPoint& p : line.points) {
      if (can_be_drawn(p)) {
        const bool whole = line.marks || with_bands;
        const std::vector<double> ends{
            p.y.value, whole ? p.y.low_95 : p.y.value, whole ? p.y.high_95 : p.y.value};
        range = join(range, range_of(ends));
      }
    }
  }
  return range;
}

void draw_lines(Canvas& canvas, const Panel& panel, const std::vector<PlotLine>& lines) {
  std::vector<Mark> marks = place(panel, lines);
  set_apart(panel, lines, marks);
  std::vector<std::vector<Point>> paths(lines.size());
  for (const Mark& m : marks) {
    paths[m.line].push_back(m.at);
  }
  for (std::size_t l = 0; l < lines.size(); ++l) {
    if (!lines[l].marks && bands_fit(lines)) {
      draw_plot_band(canvas, panel, lines[l]);
    }
  }
  for (std::size_t l = 0; l < lines.size(); ++l) {
    const LineStyle style = line_style(lines[l].style);
    if (paths[l].size() > 1) {
      canvas.polyline(lines[l].marks ? std::move(paths[l]) : smooth(paths[l]),
                      {style.paint, lines[l].weight, style.dashes});
    }
  }
  for (const Mark& m : marks) {
    draw_mark(canvas, panel, lines[m.line], m);
  }
}

double side_name_room(const std::vector<std::string>& names, double canvas_width) {
  double widest = 0.0;
  for (const std::string& name : names) {
    widest = std::max(widest, text_width(name, smallest_text));
  }
  return widest == 0.0
             ? 0.0
             : std::min(widest + 2.0, canvas_width / 3.0) + leader_room(canvas_width);
}

void add_highest(std::vector<SideName>& names, const SideName& name) {
  const auto found = std::find_if(
      names.begin(), names.end(), [&](const SideName& n) { return n.words == name.words; });
  if (found == names.end()) {
    names.push_back(name);
  } else if (name.at.y < found->at.y) {
    found->at = name.at;
  }
}

double side_name_height(std::size_t names) { return name_height * static_cast<double>(names); }

void draw_side_names(Canvas& canvas, const Panel& panel, std::vector<SideName> names) {
  std::stable_sort(names.begin(), names.end(), [](const SideName& a, const SideName& b) {
    return a.at.y < b.at.y;
  });
  // Down from the top as near as the one above allows, then up again from the bottom.
  std::vector<double> y;
  for (const SideName& name : names) {
    y.push_back(y.empty() ? name.at.y : std::max(name.at.y, y.back() + name_height));
  }
  double lowest = panel.box.bottom;
  for (std::size_t i = y.size(); i-- > 0; lowest = y[i] - name_height) {
    y[i] = std::min(y[i], lowest);
  }
  const double left = panel.box.right + leader_room(canvas.width);
  const double room = canvas.width - left - 2.0;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const LineStyle& style = names[i].style;
    Paint faint = style.paint;
    faint.opacity = 0.6;
    const Point bend{std::max(panel.box.right, names[i].at.x), names[i].at.y};
    canvas.polyline({{names[i].at.x + 6.0, names[i].at.y}, bend, {left - 14.0, y[i]}},
                    {faint, 0.8, {1.5, 2.5}});
    draw_marker(canvas, style.marker, {left - 8.0, y[i]}, 7.0, style.paint);
    canvas.text({{left, y[i] + 0.36 * smallest_text},
                 shorten(names[i].words, smallest_text, false, room),
                 smallest_text});
  }
}

Canvas draw_plot(const Plot& plot) {
  FirstMet met;
  Canvas canvas = canvas_for(plot, plot.description);
  const bool bands = bands_fit(plot.lines);
  Range values = value_range(plot.lines, bands);
  for (const LevelMark& level : plot.levels) {
    values = join(values, {0.0, level.value});
  }
  bool any = false;
  for (const PlotLine& line : plot.lines) {
    met.number(line.name);
    any = any || std::any_of(line.points.begin(), line.points.end(), can_be_drawn);
  }
  if (!any) {
    throw InputError("a chart needs a line with a point at least");
  }
  const double top = draw_heading(canvas, plot) + y_title_room;
  const double room = side_name_room(met.words(), plot.width);
  const double right = plot.width - margin(canvas) - (room > 0.0 ? room - margin(canvas) : 8.0);
  const double height = std::max(is_slim(plot.width) ? 250.0 : 320.0, side_name_height(met.size()));
  Panel panel;
  panel.y = axis_from_zero({values.low, 1.03 * values.high}, 6, plot.y_title);
  panel.box = {margin(canvas) + y_label_room(panel.y), top, right, top + height};
  panel.x = plot.x(panel.box.width());
  draw_grid(canvas, panel);
  draw_levels(canvas, panel, plot.levels);
  draw_lines(canvas, panel, plot.lines);
  name_levels(canvas, panel, plot.levels);
  std::vector<SideName> sides;
  for (const PlotLine& line : plot.lines) {
    const bool ends = !line.points.empty() && can_be_drawn(line.points.back());
    const Point end = ends ? panel.at(line.points.back().x, line.points.back().y.value) : nowhere;
    if (!line.name.empty()) {
      add_highest(sides, {end, line.name, line_style(line.style)});
    }
  }
  std::erase_if(sides, [](const SideName& side) { return side.at.y >= nowhere.y; });
  draw_side_names(canvas, panel, std::move(sides));
  draw_axes(canvas, panel);
  draw_foot(canvas, legend_of(plot), {plot.remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
