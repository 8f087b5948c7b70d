#include "render/charts/profile_peaks.hpp"

#include <algorithm>
#include <cstddef>

namespace sweepflux::render {
namespace {

/// Highest place of a line on a panel, and its number there.
struct Peak {
  Point at{0.0, 1e300};
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

}  // namespace

void draw_peak_bars(Canvas& canvas, const Panel& panel, const std::vector<ProfileLine>& lines) {
  constexpr double apart = 10.0;
  constexpr double cap = 3.0;
  std::vector<std::vector<Range>> taken;
  for (const ProfileLine& line : lines) {
    const Peak peak = peak_of(panel, line);
    if (line.low_m_s.empty() || peak.at.y > 1e299) {
      continue;
    }
    const Range bar{panel.py(line.high_m_s[peak.place]) - 2.0,
                    panel.py(std::max(line.low_m_s[peak.place], 0.0)) + 2.0};
    std::size_t slot = 0;
    const auto free = [&](const std::vector<Range>& bars) {
      return std::none_of(bars.begin(), bars.end(), [&](const Range& other) {
        return bar.low < other.high && other.low < bar.high;
      });
    };
    while (slot < taken.size() && !free(taken[slot])) {
      ++slot;
    }
    taken.resize(std::max(taken.size(), slot + 1));
    taken[slot].push_back(bar);
    const double x = panel.box.right - cap - 2.0 - apart * static_cast<double>(slot);
    draw_error_bar(
        canvas, {x, bar.low + 2.0}, {x, bar.high - 2.0}, line_style(line.style).paint, cap);
  }
}

std::vector<SideName> peak_names(const Panel& panel, const std::vector<ProfileLine>& lines) {
  std::vector<SideName> names;
  FirstMet met;
  for (const ProfileLine& line : lines) {
    const std::size_t before = met.size();
    const auto number = static_cast<std::size_t>(met.number(line.name));
    const Point peak = peak_of(panel, line).at;
    if (met.size() > before) {
      names.push_back({peak, line.name, line_style(line.style)});
    } else if (peak.y < names[number].at.y) {
      names[number].at = peak;
    }
  }
  return names;
}

}  // namespace sweepflux::render
