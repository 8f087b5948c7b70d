#include "render/charts/schedule_chart.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double logarithmic_from = 15.0;  ///< ratio of the largest to the smallest uncertainty

std::string percent(double share) { return with_unit(number_text(100.0 * share, 2), "%"); }

void check_input(const ScheduleChartInput& input) {
  if (input.plan.empty()) {
    throw InputError("a chart of a schedule needs a sweep at least");
  }
  if (input.knee && *input.knee >= input.plan.size()) {
    throw InputError("the knee is sweep " + std::to_string(*input.knee + 1) + " of " +
                     std::to_string(input.plan.size()));
  }
  for (const auto* steps : {&input.plan, &input.evenly_spaced}) {
    for (const ScheduleStep& step : *steps) {
      if (!(step.relative_uncertainty > 0.0) ||
          !std::isfinite(step.relative_uncertainty + step.minutes)) {
        throw InputError("an uncertainty to expect must be a number > 0");
      }
    }
  }
}

Panel make_panel(const Canvas& canvas, const ScheduleChartInput& input, double top) {
  Range minutes{0.0, input.budget_minutes.value_or(0.0)};
  Range shares{1e300, 0.0};
  for (const auto* steps : {&input.plan, &input.evenly_spaced}) {
    for (const ScheduleStep& step : *steps) {
      minutes = join(minutes, {step.minutes, step.minutes});
      shares = join(shares, {step.relative_uncertainty, step.relative_uncertainty});
    }
  }
  if (input.target && *input.target > 0.0) {
    shares = join(shares, {*input.target, *input.target});
  }
  const std::string title =
      std::string(is_slim(canvas.width) ? "uncertainty of " : "expected uncertainty of ") +
      input.quantity + " [%]";
  const Range percents{100.0 * shares.low, 100.0 * shares.high};
  Panel panel;
  panel.x = exact_axis({0.0, std::max(1.05 * minutes.high, 1.0)},
                       static_cast<int>(canvas.width / 72.0),
                       "time at the rig [min]");
  panel.y = percents.high > logarithmic_from * percents.low
                ? logarithmic_axis(percents, title)
                : rounded_axis({0.0, percents.high}, 6, title);
  panel.box = {margin(canvas) + y_label_room(panel.y),
               top,
               canvas.width - margin(canvas) - 8.0,
               top + (is_slim(canvas.width) ? 250.0 : 320.0)};
  return panel;
}

void draw_steps(Canvas& canvas,
                const Panel& panel,
                const std::vector<ScheduleStep>& steps,
                int number,
                double weight) {
  const LineStyle style = line_style(number);
  std::vector<Point> line;
  for (const ScheduleStep& step : steps) {
    line.push_back(panel.at(step.minutes, 100.0 * step.relative_uncertainty));
  }
  canvas.polyline(line, {style.paint, weight, style.dashes});
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const ScheduleStep& step = steps[i];
    draw_marker(canvas,
                style.marker,
                line[i],
                7.0,
                style.paint,
                "sweep " + std::to_string(i + 1) + (step.where.empty() ? "" : ", " + step.where) +
                    ", after " + number_text(step.minutes) +
                    " min: " + percent(step.relative_uncertainty));
  }
}

void draw_ring(Canvas& canvas, Point at) { canvas.dot(at, 8.0, {}, {ink(), 1.8, {}}); }

void draw_wishes(Canvas& canvas, const Panel& panel, const ScheduleChartInput& input) {
  if (input.target) {
    const double y = panel.py(100.0 * *input.target);
    canvas.line({panel.box.left, y}, {panel.box.right, y}, {muted(), 1.4, {2.0, 3.0}});
  }
  if (input.budget_minutes) {
    const double x = panel.px(*input.budget_minutes);
    canvas.line({x, panel.box.top}, {x, panel.box.bottom}, {muted(), 1.4, {9.0, 3.0}});
  }
}

std::vector<LegendEntry> legend_of(const ScheduleChartInput& input) {
  std::vector<LegendEntry> entries{
      line_entry(line_style(0), 2.2, "this plan, a mark a sweep", true)};
  if (!input.evenly_spaced.empty()) {
    entries.push_back(line_entry(line_style(1), 1.6, "evenly spaced heights", true));
  }
  if (input.knee) {
    const ScheduleStep& step = input.plan[*input.knee];
    entries.push_back({[](Canvas& canvas, const Box& box) { draw_ring(canvas, middle_of(box)); },
                       "further sweeps gain little after " + std::to_string(*input.knee + 1) +
                           (*input.knee == 0 ? " sweep, " : " sweeps, ") +
                           number_text(step.minutes, 2) + " min, " +
                           percent(step.relative_uncertainty)});
  }
  const auto line = [](std::vector<double> dashes, std::string words) {
    return line_entry({muted(), std::move(dashes), Marker::disc}, 1.4, std::move(words));
  };
  if (input.target) {
    entries.push_back(line({2.0, 3.0}, "target " + percent(*input.target)));
  }
  if (input.budget_minutes) {
    entries.push_back(
        line({9.0, 3.0}, "time at hand, " + number_text(*input.budget_minutes) + " min"));
  }
  return entries;
}

std::string describe(const ScheduleChartInput& input) {
  const ScheduleStep& first = input.plan.front();
  const ScheduleStep& last = input.plan.back();
  std::string text = "Uncertainty of " + input.quantity + " to expect, from " +
                     percent(first.relative_uncertainty) + " after " + number_text(first.minutes) +
                     " min to " + percent(last.relative_uncertainty) + " after " +
                     number_text(last.minutes) + " min and " + std::to_string(input.plan.size()) +
                     " sweeps. ";
  if (!input.evenly_spaced.empty()) {
    const ScheduleStep& even = input.evenly_spaced.back();
    text += "Evenly spaced heights come to " + percent(even.relative_uncertainty) + " after " +
            number_text(even.minutes) + " min. ";
  }
  return text;
}

}  // namespace

Canvas draw_schedule_chart(const ScheduleChartInput& input) {
  check_input(input);
  Canvas canvas = canvas_for(input, describe(input));
  const double top = draw_heading(canvas, input) + y_title_room;
  const Panel panel = make_panel(canvas, input, top);
  draw_grid(canvas, panel);
  draw_wishes(canvas, panel, input);
  draw_steps(canvas, panel, input.evenly_spaced, 1, 1.6);
  draw_steps(canvas, panel, input.plan, 0, 2.2);
  if (input.knee) {
    const ScheduleStep& step = input.plan[*input.knee];
    draw_ring(canvas, panel.at(step.minutes, 100.0 * step.relative_uncertainty));
  }
  draw_axes(canvas, panel);
  draw_foot(canvas, legend_of(input), {input.remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
