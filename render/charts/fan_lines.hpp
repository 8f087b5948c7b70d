#pragma once

#include "render/charts/chart.hpp"

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace sweepflux::render {

/// Numbers for words in the order in which they are first met.
class FirstMet {
 public:
  int number(const std::string& word);
  [[nodiscard]] std::size_t size() const { return words_.size(); }
  [[nodiscard]] const std::vector<std::string>& words() const { return words_; }

 private:
  std::vector<std::string> words_;
};

/// Style numbers (line_style) of fans by name.
using FanStyles = std::map<std::string, int>;

/// How the lines of several fans at several settings look and what they are called: a fan is a hue,
/// a dash and a marker; a setting is a weight, heavier in the order of first appearance, where
/// a fan has several lines.
struct FanLook {
  int style = 0;
  double weight = 2.0;
  std::string name;
};
struct FanSetting {
  std::string fan;
  std::string setting;
  std::string label = {};  ///< where it is not called "heron at 3"

  [[nodiscard]] std::string name() const {
    return !label.empty() ? label : setting.empty() ? fan : fan + " at " + setting;
  }
};
/// @param styles  of fans that look the same in all charts of a page; others in their order
[[nodiscard]] std::vector<FanLook> fan_looks(const std::vector<FanSetting>& lines,
                                             const FanStyles& styles = {});

/// The style given for a fan, else its number among those met.
[[nodiscard]] int style_of(const FanStyles& styles, FirstMet& met, const std::string& fan);

/// Which lines a chart has room for: all, or where they are more than 24 one a fan, that of the
/// largest value (as many values as lines); and the legend's entry that says so.
struct LinesShown {
  std::vector<std::size_t> lines;
  std::vector<LegendEntry> legend;
};
[[nodiscard]] std::vector<FanSetting> chosen(const std::vector<FanSetting>& lines,
                                             const std::vector<std::size_t>& shown);
[[nodiscard]] LinesShown lines_shown(const std::vector<FanSetting>& lines,
                                     const std::vector<double>& largest);

}  // namespace sweepflux::render
