#include "render/canvas/axes.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double tick_length = 5.0;
constexpr double label_gap = 4.0;
constexpr double tick_text = smallest_text;

/// Ticks at multiples of `step` inside the range, with as many decimals as the step has.
void put_ticks(Axis& axis, double step) {
  axis.ticks.clear();
  axis.labels.clear();
  const double slack = 1e-9 * step;
  const double first = std::ceil((axis.range.low - slack) / step);
  const double last = std::floor((axis.range.high + slack) / step);
  const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
  const double largest = std::max(std::fabs(axis.range.low), std::fabs(axis.range.high));
  const bool plain = decimals <= 4 && largest < 1e5;
  const int digits = 1 + static_cast<int>(std::floor(std::log10(largest / step) + 1e-9));
  for (double i = first; i <= last; i += 1.0) {
    const double value = i * step;
    axis.ticks.push_back(value);
    axis.labels.push_back(plain ? fixed_text(value, decimals) : number_text(value, digits));
  }
}

double nice_floor(double value) {
  const double power = std::pow(10.0, std::floor(std::log10(value) + 1e-12));
  const double leading = value / power + 1e-9;
  return power * (leading >= 5.0 ? 5.0 : leading >= 2.0 ? 2.0 : 1.0);
}

double nice_above(double value) {
  const double power = std::pow(10.0, std::floor(std::log10(value) + 1e-12));
  const double leading = value / power - 1e-9;
  return power * (leading <= 1.0 ? 1.0 : leading <= 2.0 ? 2.0 : leading <= 5.0 ? 5.0 : 10.0);
}

Range with_width(Range range) {
  if (range.width() > 1e-12 * std::max(std::fabs(range.low), std::fabs(range.high))) {
    return range;
  }
  const double around = range.low == 0.0 ? 0.5 : 0.5 * std::fabs(range.low);
  return {range.low - around, range.high + around};
}

double x_label_height(const Axis& x) {
  double height = tick_text;
  for (const std::string& label : x.labels) {
    height = std::max(height, x.upright ? text_width(label, tick_text) : 0.0);
  }
  return height;
}

void draw_x_labels(Canvas& canvas, const Panel& panel) {
  const double top = panel.box.bottom + tick_length + label_gap;
  // The box of a text keeps room for accents, which may pass between upright labels.
  const double gap = panel.x.upright ? -0.06 * tick_text : 5.0;
  double taken = -1e300;
  for (std::size_t i = 0; i < panel.x.ticks.size(); ++i) {
    Text label{{panel.px(panel.x.ticks[i]), top + 0.76 * tick_text},
               panel.x.labels[i],
               tick_text,
               Anchor::middle};
    if (panel.x.upright) {
      label = {{label.at.x + 0.36 * tick_text, top}, label.words, tick_text, Anchor::end};
      label.turn_deg = 90.0;
    }
    Box box = text_box(label);
    const double over = box.right - (canvas.width - 2.0);
    if (over > 0.0) {
      label.at.x -= over;
      box = text_box(label);
    }
    if (label.words.empty() || box.left < taken + gap) {
      continue;
    }
    taken = box.right;
    canvas.text(std::move(label));
  }
  if (!panel.x.title.empty()) {
    canvas.text({{0.5 * (panel.box.left + panel.box.right),
                  top + x_label_height(panel.x) - 0.24 * tick_text + 1.45 * plain_text},
                 panel.x.title,
                 plain_text,
                 Anchor::middle});
  }
}

void draw_y_labels(Canvas& canvas, const Panel& panel) {
  double taken = 1e300;
  for (std::size_t i = 0; i < panel.y.ticks.size(); ++i) {
    Text label{
        {panel.box.left - tick_length - label_gap, panel.py(panel.y.ticks[i]) + 0.36 * tick_text},
        panel.y.labels[i],
        tick_text,
        Anchor::end};
    const Box box = text_box(label);
    if (label.words.empty() || box.bottom > taken) {
      continue;
    }
    taken = box.top;
    canvas.text(std::move(label));
  }
  if (!panel.y.title.empty()) {
    canvas.text({{panel.box.left - y_label_room(panel.y), panel.box.top - 11.0},
                 panel.y.title,
                 plain_text});
  }
}

}  // namespace

double Axis::share(double value) const {
  if (logarithmic) {
    return std::log(value / range.low) / std::log(range.high / range.low);
  }
  return (value - range.low) / range.width();
}

double nice_step(double width, int most) { return nice_above(width / std::max(1, most)); }

Axis exact_axis(Range range, int most_ticks, std::string title) {
  Axis axis;
  axis.range = with_width(range);
  axis.title = std::move(title);
  // A scale needs two labels to be read.
  for (int most = most_ticks; axis.ticks.size() < 2; ++most) {
    put_ticks(axis, nice_step(axis.range.width(), most));
  }
  return axis;
}

Axis rounded_axis(Range range, int most_ticks, std::string title) {
  Axis axis;
  range = with_width(range);
  const double step = nice_step(range.width(), most_ticks);
  axis.range = {step * std::floor(range.low / step + 1e-9),
                step * std::ceil(range.high / step - 1e-9)};
  axis.title = std::move(title);
  put_ticks(axis, step);
  return axis;
}

Axis axis_from_zero(Range range, int most_ticks, std::string title) {
  Axis axis =
      rounded_axis({0.0, range.high > 0.0 ? range.high : 1.0}, most_ticks, std::move(title));
  axis.range.low = 0.0;
  if (range.low < 0.0) {
    const double step = nice_step(axis.range.width(), most_ticks);
    axis.range.low = range.low - 0.02 * axis.range.width();
    put_ticks(axis, step);
  }
  return axis;
}

Axis logarithmic_axis(Range range, std::string title) {
  if (!(range.low > 0.0)) {
    throw InputError("a logarithmic axis cannot start at " + number_text(range.low));
  }
  Axis axis;
  axis.logarithmic = true;
  axis.title = std::move(title);
  axis.range = {nice_floor(range.low), nice_above(range.high)};
  if (axis.range.high <= axis.range.low * 1.5) {
    axis.range.high = nice_above(axis.range.low * 1.5);
  }
  for (double tick = axis.range.low; tick <= axis.range.high * (1.0 + 1e-9);
       tick = nice_above(tick * 1.5)) {
    axis.ticks.push_back(tick);
    axis.labels.push_back(number_text(tick, 1));
  }
  return axis;
}

Range range_of(std::span<const double> values) {
  Range range{1e300, -1e300};
  for (const double value : values) {
    if (std::isfinite(value)) {
      range.low = std::min(range.low, value);
      range.high = std::max(range.high, value);
    }
  }
  return range.low <= range.high ? range : Range{};
}

Range join(Range a, Range b) { return {std::min(a.low, b.low), std::max(a.high, b.high)}; }

double y_label_room(const Axis& y) {
  double widest = 0.0;
  for (const std::string& label : y.labels) {
    widest = std::max(widest, text_width(label, tick_text));
  }
  return widest + tick_length + label_gap;
}

double x_label_room(const Axis& x) {
  const double labels = tick_length + label_gap + x_label_height(x);
  return x.title.empty() ? labels : labels + 1.45 * plain_text + 3.0;
}

void draw_grid(Canvas& canvas, const Panel& panel) {
  const Stroke line{rule(), 1.0, {}};
  for (const double tick : panel.x.ticks) {
    const double x = panel.px(tick);
    canvas.line({x, panel.box.top}, {x, panel.box.bottom}, line);
  }
  for (const double tick : panel.y.ticks) {
    const double y = panel.py(tick);
    canvas.line({panel.box.left, y}, {panel.box.right, y}, line);
  }
}

void draw_axes(Canvas& canvas, const Panel& panel, const AxesLook& look) {
  const Stroke line{ink(), 1.2, {}};
  const Box& box = panel.box;
  if (look.frame) {
    canvas.box(box, {}, line);
  } else {
    canvas.polyline({{box.left, box.top}, {box.left, box.bottom}, {box.right, box.bottom}}, line);
  }
  for (const double tick : panel.x.ticks) {
    const double x = panel.px(tick);
    canvas.line({x, box.bottom}, {x, box.bottom + tick_length}, line);
  }
  for (const double tick : panel.y.ticks) {
    const double y = panel.py(tick);
    canvas.line({box.left - tick_length, y}, {box.left, y}, line);
  }
  if (look.x_labels) {
    draw_x_labels(canvas, panel);
  }
  draw_y_labels(canvas, panel);
}

}  // namespace sweepflux::render
