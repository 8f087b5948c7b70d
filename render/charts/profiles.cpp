#include "render/charts/profiles.hpp"

#include "render/canvas/cubic.hpp"
#include "render/canvas/text.hpp"
#include "render/charts/grid_field.hpp"
#include "render/charts/plot.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double cut_gap = 30.0;
constexpr double side_by_side_from = 600.0;
constexpr std::size_t smooth_places = 240;
constexpr std::size_t most_cut_bands = 6;

enum class Cut { across, upright };

bool bands_fit(const std::vector<ProfileLine>& lines) { return lines.size() <= most_cut_bands; }

void check_line(const ProfileLine& line) {
  const std::size_t n = line.at_m.size();
  const auto fits = [n](const std::vector<double>& list, bool may_be_empty) {
    return list.size() == n || (may_be_empty && list.empty());
  };
  if (n == 0 || !fits(line.speed_m_s, false) || !fits(line.low_m_s, true) ||
      line.high_m_s.size() != line.low_m_s.size() || !fits(line.support, true)) {
    throw InputError("profile \"" + line.name +
                     "\": lists of places, speeds, intervals and "
                     "support must be equally long and not empty");
  }
}

/// The same line at enough places to look smooth; a line without a band is raw readings and stays.
ProfileLine smooth(const ProfileLine& line) {
  const std::size_t n = line.at_m.size();
  const auto all_finite = [](const std::vector<double>& list) {
    return std::all_of(list.begin(), list.end(), [](double v) { return std::isfinite(v); });
  };
  if (line.low_m_s.empty() || n < 4 || n >= 200 || !all_finite(line.speed_m_s) ||
      !all_finite(line.low_m_s) || !all_finite(line.high_m_s)) {
    return line;
  }
  // Each edge by its distance from the line, which keeps both on their sides of it.
  const auto distances = [&](const std::vector<double>& edge) {
    std::vector<double> out;
    for (std::size_t i = 0; i < n; ++i) {
      out.push_back(edge[i] - line.speed_m_s[i]);
    }
    return Cubic(line.at_m, out, Cubic::Slopes::monotone);
  };
  const Cubic speed(line.at_m, line.speed_m_s, Cubic::Slopes::smooth);
  const Cubic below = distances(line.low_m_s), above = distances(line.high_m_s);
  ProfileLine fine = line.without_places();
  for (std::size_t i = 0, nearest = 0; i < smooth_places; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(smooth_places - 1);
    const double at = line.at_m.front() + share * (line.at_m.back() - line.at_m.front());
    while (nearest + 1 < n &&
           std::fabs(line.at_m[nearest + 1] - at) <= std::fabs(line.at_m[nearest] - at)) {
      ++nearest;
    }
    fine.at_m.push_back(at);
    fine.speed_m_s.push_back(speed.at(at));
    fine.low_m_s.push_back(fine.speed_m_s.back() + below.at(at));
    fine.high_m_s.push_back(fine.speed_m_s.back() + above.at(at));
    if (!line.support.empty()) {
      fine.support.push_back(line.support[nearest]);
    }
  }
  return fine;
}

Range speed_range(const ProfilesInput& input) {
  Range range{0.0, 0.0};
  for (const std::vector<ProfileLine>* lines : {&input.across, &input.upright}) {
    for (const ProfileLine& line : *lines) {
      for (std::size_t i = 0; i < line.at_m.size(); ++i) {
        const double speed = line.speed_m_s[i];
        const double high = line.high_m_s.empty() ? speed : line.high_m_s[i];
        if (std::isfinite(speed) && std::isfinite(high)) {
          // A band may dip below zero; speed scales start at zero unless a speed itself is lower.
          range = join(range, {speed, high});
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
  if (line.low_m_s.empty()) {
    return;
  }
  std::vector<Point> low, high;
  const auto flush = [&] {
    draw_band(canvas, low, high, series(line.style, 0.16));
    low.clear();
    high.clear();
  };
  for (std::size_t i = 0; i < line.at_m.size(); ++i) {
    if (!std::isfinite(line.low_m_s[i]) || !std::isfinite(line.high_m_s[i])) {
      flush();
      continue;
    }
    low.push_back(place(panel, cut, line.at_m[i], line.low_m_s[i]));
    high.push_back(place(panel, cut, line.at_m[i], line.high_m_s[i]));
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
  const std::vector<Point> arrow =
      cut == Cut::across ? std::vector<Point>{{at.x - r, at.y}, {at.x, at.y + r}, {at.x + r, at.y}}
                         : std::vector<Point>{{at.x, at.y - r}, {at.x - r, at.y}, {at.x, at.y + r}};
  canvas.polyline(arrow, {paint, 1.2, {}}, hover);
}

void draw_dots(Canvas& canvas, const Panel& panel, Cut cut, const ProfileLine& line) {
  const Marker marker = line_style(line.style).marker;
  for (const ProfileLine::Dot& dot : line.readings) {
    const Point at = place(panel, cut, dot.at_m, dot.speed_m_s);
    if (!panel.box.grown(0.5).contains(at)) {
      continue;
    }
    const std::string words = line.name + ", " + fixed_text(dot.at_m, 3) +
                              " m: " + (dot.below ? "below " : "") + number_text(dot.speed_m_s) +
                              " m/s";
    if (dot.below) {
      draw_below(canvas, cut, at, series(line.style, 0.85), words);
    } else {
      draw_marker(canvas, marker, at, 5.0, series(line.style, 0.85), words);
    }
  }
}

void draw_cut(Canvas& canvas, const Panel& panel, Cut cut, const ProfilesInput& input) {
  const std::vector<ProfileLine>& lines = cut == Cut::across ? input.across : input.upright;
  draw_grid(canvas, panel);
  canvas.items.emplace_back(ClipBegin{panel.box});
  for (const ProfileLine& line : lines) {
    if (bands_fit(lines)) {
      draw_line_band(canvas, panel, cut, line);
    }
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

/// Highest place of a line on a panel, and its number there.
struct Peak {
  Point at = nowhere;
  std::size_t place = 0;
};

Peak peak_of(const Panel& panel, const ProfileLine& line) {
  Peak peak;
  for (std::size_t i = 0; i < line.at_m.size(); ++i) {
    const Point p = panel.at(line.at_m[i], line.speed_m_s[i]);
    if (p.y < peak.at.y) {
      peak = {p, i};
    }
  }
  return peak;
}

/// The interval of each line's peak as a bar at the panel's right end, on the leader to its name:
/// in place of bands where those would hide each other. Bars that would touch stand side by side.
void draw_peak_bars(Canvas& canvas, const Panel& panel, const std::vector<ProfileLine>& lines) {
  constexpr double apart = 10.0;
  constexpr double cap = 3.0;
  std::vector<Range> bars;
  std::vector<int> styles;
  for (const ProfileLine& line : lines) {
    const Peak peak = peak_of(panel, line);
    if (!line.low_m_s.empty() && peak.at.y < nowhere.y) {
      bars.push_back({panel.py(line.high_m_s[peak.place]) - 2.0,
                      panel.py(std::max(line.low_m_s[peak.place], 0.0)) + 2.0});
      styles.push_back(line.style);
    }
  }
  const std::vector<std::size_t> slots = free_slots(bars);
  for (std::size_t i = 0; i < bars.size(); ++i) {
    const double x = panel.box.right - cap - 2.0 - apart * static_cast<double>(slots[i]);
    draw_error_bar(
        canvas, {x, bars[i].low + 2.0}, {x, bars[i].high - 2.0}, line_style(styles[i]).paint, cap);
  }
}

/// What the lines of a picture hold, and so what a legend has to explain.
struct Content {
  bool bands = false;
  bool bars = false;  ///< in place of bands
  bool faint = false;
  bool dots = false;
  bool below = false;
};

Content content_of(const ProfilesInput& input) {
  Content content;
  for (const std::vector<ProfileLine>* lines : {&input.across, &input.upright}) {
    for (const ProfileLine& line : *lines) {
      (bands_fit(*lines) ? content.bands : content.bars) |= !line.low_m_s.empty();
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

std::vector<LegendEntry> legend_of(const ProfilesInput& input) {
  std::vector<LegendEntry> entries = input.legend;
  const std::vector<ProfileLine>& lines = input.across.empty() ? input.upright : input.across;
  for (const ProfileLine& line : lines) {
    if (!input.names_at_peaks) {
      entries.push_back(
          line_entry(line_style(line.style), line.weight, line.name, !line.readings.empty()));
    }
  }
  const Content content = content_of(input);
  if (content.bands) {
    entries.push_back(band_entry(muted(0.25), "95 % interval"));
  }
  if (content.bars) {
    entries.push_back(interval_entry("95 % interval of the peak"));
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
    text += line.name + " (up to " + number_text(range_of(line.speed_m_s).high) + " m/s); ";
  }
  return text;
}

}  // namespace

Canvas draw_profiles(const ProfilesInput& given) {
  if (given.across.empty() && given.upright.empty()) {
    throw InputError("profiles need a line at least");
  }
  ProfilesInput input = given;
  for (std::vector<ProfileLine>* lines : {&input.across, &input.upright}) {
    for (ProfileLine& line : *lines) {
      check_line(line);
      line = smooth(line);
      if (!bands_fit(*lines) && !input.names_at_peaks) {
        line.low_m_s.clear();
        line.high_m_s.clear();
      }
    }
  }
  Canvas canvas = canvas_for(input, describe(input));
  double top = draw_heading(canvas, input) + y_title_room;
  const Range speeds = speed_range(input);
  const bool both = !input.across.empty() && !input.upright.empty();
  const bool beside = both && input.width >= side_by_side_from && !input.names_at_peaks;
  const double left = margin(canvas);
  const double right = canvas.width - left - 8.0;
  const auto ticks = [](double room) { return std::clamp(static_cast<int>(room / 55.0), 3, 8); };
  double panel_height = is_slim(input.width) ? 230.0 : both && !beside ? 270.0 : 340.0;
  double from = left;
  double bottom = top;
  if (!input.across.empty()) {
    Panel panel{{}, {}, axis_from_zero(speeds, 6, "speed [m/s]")};
    panel.box = {left + y_label_room(panel.y), top, beside ? 0.57 * canvas.width : right, top};
    FirstMet names;
    for (const ProfileLine& line : input.across) {
      names.number(line.name);
    }
    if (input.names_at_peaks) {
      panel.box.right -= side_name_room(names.words(), canvas.width) - 8.0;
      panel_height = std::max(panel_height, side_name_height(names.size()));
    }
    panel.box.bottom += panel_height;
    panel.x = exact_axis(place_range(input.across), ticks(panel.box.width()), "across y [m]");
    draw_cut(canvas, panel, Cut::across, input);
    if (input.names_at_peaks) {
      if (!bands_fit(input.across)) {
        draw_peak_bars(canvas, panel, input.across);
      }
      std::vector<SideName> sides;
      for (const ProfileLine& line : input.across) {
        add_highest(sides, {peak_of(panel, line).at, line.name, line_style(line.style)});
      }
      draw_side_names(canvas, panel, std::move(sides));
    }
    bottom = panel.box.bottom + x_label_room(panel.x);
    from = beside ? panel.box.right + cut_gap : left;
    top = beside ? top : bottom + 12.0 + y_title_room;
  }
  if (!input.upright.empty()) {
    Panel panel{{}, {}, exact_axis(place_range(input.upright), 8, "height z [m]")};
    panel.box = {from + y_label_room(panel.y), top, right, top + panel_height};
    panel.x = axis_from_zero(speeds, ticks(panel.box.width()), "speed [m/s]");
    draw_cut(canvas, panel, Cut::upright, input);
    bottom = panel.box.bottom + x_label_room(panel.x);
  }
  draw_foot(canvas, legend_of(input), {input.remark}, bottom);
  return canvas;
}

}  // namespace sweepflux::render
