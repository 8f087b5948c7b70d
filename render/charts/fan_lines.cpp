#include "render/charts/fan_lines.hpp"

#include <algorithm>
#include <cstddef>
#include <map>

namespace sweepflux::render {
namespace {

constexpr std::size_t most_lines = 24;

}  // namespace

int FirstMet::number(const std::string& word) {
  const auto found = std::find(words_.begin(), words_.end(), word);
  const auto place = found - words_.begin();
  if (found == words_.end()) {
    words_.push_back(word);
  }
  return static_cast<int>(place);
}

int style_of(const FanStyles& styles, FirstMet& met, const std::string& fan) {
  const auto found = styles.find(fan);
  return found != styles.end() ? found->second : met.number(fan);
}

std::vector<FanLook> fan_looks(const std::vector<FanSetting>& lines, const FanStyles& styles) {
  constexpr double thinnest = 1.2;
  constexpr double thickest = 3.4;
  FirstMet fans, settings;
  std::map<std::string, std::size_t> lines_of;
  bool several = false;
  for (const FanSetting& line : lines) {
    settings.number(line.setting);
    several = ++lines_of[line.fan] > 1 || several;
  }
  // A weight tells settings of one fan apart; where each has one line there is nothing to tell.
  const bool weighted = several && settings.size() > 1;
  const double step =
      weighted ? (thickest - thinnest) / static_cast<double>(settings.size() - 1) : 0.0;
  std::vector<FanLook> looks;
  for (const FanSetting& line : lines) {
    const double weight =
        weighted ? thinnest + step * settings.number(line.setting) : 2.0;
    looks.push_back({style_of(styles, fans, line.fan), weight, line.name()});
  }
  return looks;
}

std::vector<FanSetting> chosen(const std::vector<FanSetting>& lines,
                               const std::vector<std::size_t>& shown) {
  std::vector<FanSetting> some;
  for (const std::size_t i : shown) {
    some.push_back(lines[i]);
  }
  return some;
}

LinesShown lines_shown(const std::vector<FanSetting>& lines, const std::vector<double>& largest) {
  LinesShown shown;
  FirstMet fans;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto fan = static_cast<std::size_t>(fans.number(lines[i].fan));
    if (lines.size() <= most_lines || fan == shown.lines.size()) {
      shown.lines.push_back(i);
    } else if (largest[i] > largest[shown.lines[fan]]) {
      shown.lines[fan] = i;
    }
  }
  if (shown.lines.size() < lines.size()) {
    shown.legend.push_back({{},
                            "of each fan the setting with the highest line, " +
                                std::to_string(shown.lines.size()) + " of " +
                                std::to_string(lines.size())});
  }
  return shown;
}

}  // namespace sweepflux::render
