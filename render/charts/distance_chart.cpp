#include "render/charts/distance_chart.hpp"

#include "render/canvas/number_text.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cstddef>
#include <limits>
#include <utility>

namespace sweepflux::render {

Canvas draw_distance_chart(const DistanceChartInput& input) {
  if (input.lines.empty()) {
    throw InputError("a chart against distance needs a line at least");
  }
  std::vector<FanSetting> names;
  std::vector<double> largest;
  double nearest = std::numeric_limits<double>::infinity();
  double farthest = 0.0;
  for (const DistanceLine& line : input.lines) {
    if (line.distance_m.empty() || line.distance_m.size() != line.value.size()) {
      throw InputError("a line against distance needs a value for each distance");
    }
    names.push_back({line.fan, line.setting, line.label});
    nearest = std::min(nearest, range_of(line.distance_m).low);
    farthest = std::max(farthest, range_of(line.distance_m).high);
    largest.push_back(line.value.back().value);
  }
  Plot plot{input.title, input.subtitle, {}, input.value_title};
  plot.x = [&](double room) {
    const double around = 0.06 * std::max(farthest - nearest, 1.0);
    const Range range = input.from_zero ? Range{0.0, 1.04 * farthest}
                                        : Range{nearest - around, farthest + around};
    return exact_axis(range, static_cast<int>(room / 62.0), input.distance_title);
  };
  plot.levels = input.levels;
  plot.remark = input.remark;
  plot.width = input.width;
  plot.description = input.value_title + " against " + input.distance_title + ". ";
  LinesShown shown = lines_shown(names, largest);
  plot.legend = std::move(shown.legend);
  const std::vector<FanLook> looks = fan_looks(chosen(names, shown.lines), input.styles);
  for (std::size_t n = 0; n < shown.lines.size(); ++n) {
    const std::size_t i = shown.lines[n];
    const DistanceLine& line = input.lines[i];
    const FanLook& look = looks[n];
    plot.lines.push_back({look.name, look.style, look.weight, {}, line.measured});
    for (std::size_t k = 0; k < line.value.size(); ++k) {
      const std::string words = with_unit(number_text(line.distance_m[k]), input.distance_unit) +
                                ": " + estimate_text(line.value[k], input.unit);
      plot.lines.back().points.push_back(
          {line.distance_m[k], line.value[k], names[i].name() + ", " + words});
      if (k == 0 || k + 1 == line.value.size()) {
        plot.description += (k == 0 ? names[i].name() + ", " : std::string("to ")) + words + "; ";
      }
    }
  }
  return draw_plot(plot);
}

}  // namespace sweepflux::render
