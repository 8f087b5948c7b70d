#pragma once

#include "render/canvas/axes.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/measured.hpp"

#include <functional>
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
struct Plot : PictureWords {
  std::function<Axis(double room)> x = {};  ///< the axis for so much room [px]
  std::string y_title = {};
  std::vector<PlotLine> lines = {};
  std::vector<LevelMark> levels = {};
  std::vector<LegendEntry> legend = {};  ///< further entries
  std::string description = {};
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
/// Under everything.
inline constexpr Point nowhere{0.0, 1e300};
/// Adds a name; one that is there already gets the higher of both places.
void add_highest(std::vector<SideName>& names, const SideName& name);
/// Room that names need to the right of a panel [px], never more than a third of the width.
[[nodiscard]] double side_name_room(const std::vector<std::string>& names, double canvas_width);
/// Height of a panel below which its names would touch.
[[nodiscard]] double side_name_height(std::size_t names);
/// Writes each name once, at the height of its place or as near as its neighbours allow.
void draw_side_names(Canvas& canvas, const Panel& panel, std::vector<SideName> names);

}  // namespace sweepflux::render
