#include "render/charts/profiles.hpp"

#include "render/canvas/axes.hpp"
#include "render/canvas/number_text.hpp"
#include "render/charts/chart.hpp"
#include "render/charts/grid_field.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

namespace sweepflux::render {
namespace {

constexpr double profiles_width = 720.0;
constexpr double profiles_panel_height = 340.0;
constexpr double profiles_panel_gap = 34.0;

enum class Cut { across, upright };

void check_line(const ProfileLine& line) {
  const std::size_t n = line.at_m.size();
  const auto fits = [n](const std::vector<double>& list, bool may_be_empty) {
    return list.size() == n || (may_be_empty && list.empty());
  };
  if (n == 0 || !fits(line.speed_m_s, false) || !fits(line.half_interval_m_s, true) ||
      !fits(line.support, true)) {
    throw InputError("profile \"" + line.name +
                     "\": lists of places, speeds, intervals and "
                     "support must be equally long and not empty");
  }
}

Range speed_range(const ProfilesInput& input) {
  Range range{0.0, 0.0};
  for (const std::vector<ProfileLine>* lines : {&input.across, &input.upright}) {
    for (const ProfileLine& line : *lines) {
      for (std::size_t i = 0; i < line.at_m.size(); ++i) {
        const double half = line.half_interval_m_s.empty() ? 0.0 : line.half_interval_m_s[i];
        const double speed = line.speed_m_s[i];
        if (std::isfinite(speed + half)) {
          // A band may dip below zero; speed scales start at zero unless a speed itself is lower.
          range = join(range, {speed, speed + half});
        }
      }
      for (const ProfileLine::Dot& dot : line.readings) {
        range = join(range, {dot.speed_m_s, dot.speed_m_s});
      }
    }
  }
  return range;
}

Range place_range(const std::vector<ProfileLine>& lines) {
  Range range = range_of(lines.front().at_m);
  for (const ProfileLine& line : lines) {
    range = join(range, range_of(line.at_m));
  }
  return range;
}

Point place(const Panel& panel, Cut cut, double at, double speed) {
  return cut == Cut::across ? panel.at(at, speed) : panel.at(speed, at);
}

void draw_line_band(Canvas& canvas, const Panel& panel, Cut cut, const ProfileLine& line) {
  if (line.half_interval_m_s.empty()) {
    return;
  }
  std::vector<Point> low;
  std::vector<Point> high;
  const auto flush = [&] {
    draw_band(canvas, low, high, series(line.style, 0.16));
    low.clear();
    high.clear();
  };
  for (std::size_t i = 0; i < line.at_m.size(); ++i) {
    const double half = line.half_interval_m_s[i];
    if (!std::isfinite(line.speed_m_s[i] + half)) {
      flush();
      continue;
    }
    low.push_back(place(panel, cut, line.at_m[i], line.speed_m_s[i] - half));
    high.push_back(place(panel, cut, line.at_m[i], line.speed_m_s[i] + half));
  }
  flush();
}

void draw_profile(Canvas& canvas, const Panel& panel, Cut cut, const ProfileLine& line) {
  const LineStyle style = line_style(line.style);
  std::vector<Point> run;
  bool supported = true;
  const auto flush = [&] {
    if (run.size() > 1) {
      const Stroke strong{style.paint, line.weight, style.dashes};
      const Stroke faint{series(line.style, 0.5), 0.5 * line.weight, style.dashes};
      canvas.polyline(run, supported ? strong : faint);
    }
  };
  for (std::size_t i = 0; i < line.at_m.size(); ++i) {
    const bool here = line.support.empty() || line.support[i] >= least_support;
    if (!std::isfinite(line.speed_m_s[i])) {
      flush();
      run.clear();
      continue;
    }
    const Point p = place(panel, cut, line.at_m[i], line.speed_m_s[i]);
    if (here != supported && !run.empty()) {
      run.push_back(p);
      flush();
      run.clear();
    }
    supported = here;
    run.push_back(p);
  }
  flush();
}

/// An arrowhead towards lower speed: the true value lies on that side.
void draw_below(Canvas& canvas, Cut cut, Point at, const Paint& paint, const std::string& hover) {
  constexpr double r = 2.6;
  if (cut == Cut::across) {
    canvas.polyline(
        {{at.x - r, at.y}, {at.x, at.y + r}, {at.x + r, at.y}}, {paint, 1.2, {}}, hover);
  } else {
    canvas.polyline(
        {{at.x, at.y - r}, {at.x - r, at.y}, {at.x, at.y + r}}, {paint, 1.2, {}}, hover);
  }
}

void draw_dots(Canvas& canvas, const Panel& panel, Cut cut, const ProfileLine& line) {
  const Marker marker = line_style(line.style).marker;
  for (const ProfileLine::Dot& dot : line.readings) {
    const Point at = place(panel, cut, dot.at_m, dot.speed_m_s);
    if (!panel.box.grown(0.5).contains(at)) {
      continue;
    }
    const std::string told = line.name + ", " + fixed_text(dot.at_m, 3) +
                             " m: " + (dot.below ? "below " : "") + number_text(dot.speed_m_s) +
                             " m/s";
    if (dot.below) {
      draw_below(canvas, cut, at, series(line.style, 0.85), told);
    } else {
      draw_marker(canvas, marker, at, 5.0, series(line.style, 0.85), told);
    }
  }
}

void draw_cut(Canvas& canvas, const Panel& panel, Cut cut, const ProfilesInput& input) {
  const std::vector<ProfileLine>& lines = cut == Cut::across ? input.across : input.upright;
  draw_grid(canvas, panel);
  canvas.items.emplace_back(ClipBegin{panel.box});
  for (const ProfileLine& line : lines) {
    draw_line_band(canvas, panel, cut, line);
  }
  if (input.starting_speed_m_s) {
    const double v = *input.starting_speed_m_s;
    const bool level = cut == Cut::across;
    const Stroke dotted{muted(), 1.2, {2.0, 3.0}};
    canvas.line(level ? Point{panel.box.left, panel.py(v)} : Point{panel.px(v), panel.box.top},
                level ? Point{panel.box.right, panel.py(v)} : Point{panel.px(v), panel.box.bottom},
                dotted);
  }
  if (cut == Cut::upright && input.floor_m && *input.floor_m > panel.y.range.low) {
    const double y = panel.py(*input.floor_m);
    canvas.box({panel.box.left, y, panel.box.right, panel.box.bottom}, rule());
    canvas.line({panel.box.left, y}, {panel.box.right, y}, {ink(), 2.0, {}});
  }
  for (const ProfileLine& line : lines) {
    draw_profile(canvas, panel, cut, line);
  }
  canvas.items.emplace_back(ClipEnd{});
  for (const ProfileLine& line : lines) {
    draw_dots(canvas, panel, cut, line);
  }
  draw_axes(canvas, panel);
}

/// What the lines of a picture hold, and so what a legend has to explain.
struct Content {
  bool bands = false;
  bool faint = false;
  bool dots = false;
  bool below = false;
};

Content content_of(const ProfilesInput& input) {
  Content content;
  for (const std::vector<ProfileLine>* lines : {&input.across, &input.upright}) {
    for (const ProfileLine& line : *lines) {
      content.bands = content.bands || !line.half_interval_m_s.empty();
      for (const double support : line.support) {
        content.faint = content.faint || support < least_support;
      }
      for (const ProfileLine::Dot& dot : line.readings) {
        content.dots = content.dots || !dot.below;
        content.below = content.below || dot.below;
      }
    }
  }
  return content;
}

double middle_of(const Box& box) { return 0.5 * (box.top + box.bottom); }

LegendEntry entry_of(const ProfileLine& line) {
  const LineStyle style = line_style(line.style);
  const double weight = line.weight;
  const bool marked = !line.readings.empty();
  return {
      [style, weight, marked](Canvas& canvas, const Box& box) {
        const double y = middle_of(box);
        canvas.line({box.left, y}, {box.right, y}, {style.paint, weight, style.dashes});
        if (marked) {
          draw_marker(canvas, style.marker, {0.5 * (box.left + box.right), y}, 7.0, style.paint);
        }
      },
      line.name};
}

/// Three marks in a row.
LegendEntry marks_entry(const std::function<void(Canvas&, Point)>& mark, std::string words) {
  return {[mark](Canvas& canvas, const Box& box) {
            for (const double dx : {6.0, 15.0, 24.0}) {
              mark(canvas, {box.left + dx, middle_of(box)});
            }
          },
          std::move(words)};
}

std::vector<LegendEntry> legend_of(const ProfilesInput& input) {
  std::vector<LegendEntry> entries;
  const std::vector<ProfileLine>& lines = input.across.empty() ? input.upright : input.across;
  for (const ProfileLine& line : lines) {
    entries.push_back(entry_of(line));
  }
  const Content content = content_of(input);
  if (content.bands) {
    entries.push_back(band_entry(series(lines.front().style, 0.25), input.band_words));
  }
  if (content.dots) {
    entries.push_back(marks_entry(
        [](Canvas& canvas, Point at) { draw_marker(canvas, Marker::disc, at, 5.0, muted()); },
        "readings near the cut"));
  }
  if (content.below) {
    entries.push_back(marks_entry(
        [](Canvas& canvas, Point at) { draw_below(canvas, Cut::across, at, muted(), {}); },
        "under starting speed"));
  }
  if (content.faint) {
    entries.push_back(
        line_entry({muted(0.6), {}, Marker::disc}, 1.0, "thin: no sweep supports this"));
  }
  if (input.starting_speed_m_s) {
    entries.push_back(line_entry({muted(), {2.0, 3.0}, Marker::disc}, 1.2, "the probe starts"));
  }
  return entries;
}

std::string describe(const ProfilesInput& input) {
  std::string text = "Speed along straight cuts, with a line each for: ";
  for (const ProfileLine& line : input.across.empty() ? input.upright : input.across) {
    const Range range = range_of(line.speed_m_s);
    text += line.name + " (up to " + number_text(range.high) + " m/s); ";
  }
  return text + input.remark;
}

}  // namespace

Canvas draw_profiles(const ProfilesInput& input) {
  if (input.across.empty() && input.upright.empty()) {
    throw InputError("profiles need a line at least");
  }
  for (const std::vector<ProfileLine>* lines : {&input.across, &input.upright}) {
    std::for_each(lines->begin(), lines->end(), check_line);
  }
  Canvas canvas;
  canvas.width = profiles_width;
  canvas.description = describe(input);
  const double top = draw_heading(canvas, input.title, input.subtitle) + y_title_room;
  const Range speeds = speed_range(input);
  const bool both = !input.across.empty() && !input.upright.empty();
  double left = page_margin;
  double bottom = top;
  if (!input.across.empty()) {
    Panel panel{{},
                exact_axis(place_range(input.across), 8, "across y [m]"),
                axis_from_zero(speeds, 6, "speed [m/s]")};
    const double from = left + y_label_room(panel.y);
    const double to = both ? 0.57 * profiles_width : profiles_width - page_margin - 8.0;
    panel.box = {from, top, to, top + profiles_panel_height};
    draw_cut(canvas, panel, Cut::across, input);
    bottom = panel.box.bottom + x_label_room(panel.x);
    left = to + profiles_panel_gap;
  }
  if (!input.upright.empty()) {
    Panel panel{{},
                axis_from_zero(speeds, both ? 4 : 6, "speed [m/s]"),
                exact_axis(place_range(input.upright), 8, "height z [m]")};
    panel.box = {left + y_label_room(panel.y),
                 top,
                 profiles_width - page_margin - 8.0,
                 top + profiles_panel_height};
    draw_cut(canvas, panel, Cut::upright, input);
    bottom = panel.box.bottom + x_label_room(panel.x);
  }
  draw_foot(canvas, legend_of(input), {input.remark}, bottom);
  return canvas;
}

}  // namespace sweepflux::render
