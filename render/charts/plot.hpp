#pragma once

#include "render/canvas/axes.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/measured.hpp"

#include <functional>
#include <map>
#include <string>
#include <vector>

namespace sweepflux::render {

/// One value of a line. Without an interval low_95 == high_95; where the value is not a number
/// nothing is drawn.
struct PlotPoint {
  double x = 0.0;
  Estimate y;
  std::string hover;
};

/// One line of a chart.
struct PlotLine {
  std::string name;  ///< written beside its last point, once for all lines of that name
  int style = 0;
  double weight = 2.0;
  std::vector<PlotPoint> points;  ///< x rising
  bool marks = true;              ///< a marker and an error bar a point; false: a band
};

/// A wished value, as a level line with its name.
struct LevelMark {
  double value = 0.0;
  std::string words;
};

/// One panel of lines with their names beside them.
struct Plot {
  std::string title = {};
  std::string subtitle = {};
  std::function<Axis(double room)> x = {};  ///< the axis for so much room [px]
  std::string y_title = {};
  std::vector<PlotLine> lines = {};
  std::vector<LevelMark> levels = {};
  std::vector<LegendEntry> legend = {};  ///< further entries
  std::string remark = {};
  std::string description = {};
  double width = full_width;
};

/// Draws it; the vertical axis starts at zero. Bands are drawn for up to four lines; above that
/// they would hide each other. The legend holds what is drawn and nothing else.
///
/// @throws InputError  there is no line with a point
[[nodiscard]] Canvas draw_plot(const Plot& plot);

/// Range of the values, with their intervals where those are drawn.
[[nodiscard]] Range value_range(const std::vector<PlotLine>& lines, bool with_bands = true);

/// Lines and marks on a panel. Marks at one place whose error
/// bars would cover each other stand side by side.
void draw_lines(Canvas& canvas, const Panel& panel, const std::vector<PlotLine>& lines);

/// A name beside a panel with its line's marker, joined to the place in it that it belongs to.
struct SideName {
  Point at;
  std::string words;
  LineStyle style;
};
/// Room that names need to the right of a panel [px], never more than a third of the width.
[[nodiscard]] double side_name_room(const std::vector<std::string>& names, double canvas_width);
/// Height of a panel below which its names would touch.
[[nodiscard]] double side_name_height(std::size_t names);
/// Writes each name once, at the height of its place or as near as its neighbours allow.
void draw_side_names(Canvas& canvas, const Panel& panel, std::vector<SideName> names);

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
/// a dash and a marker; a setting is a weight, heavier in the order of first appearance.
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
[[nodiscard]] LinesShown lines_shown(const std::vector<FanSetting>& lines,
                                     const std::vector<double>& largest);

}  // namespace sweepflux::render
