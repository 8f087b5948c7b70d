#include "render/charts/heat.hpp"

#include "render/canvas/text.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace sweepflux::render {
namespace {

constexpr double faintest = 0.30;  ///< opacity where nothing was measured nearby

double opacity_of(double support) {
  const double t = std::clamp((support - 0.3) / 0.4, 0.0, 1.0);
  return faintest + (1.0 - faintest) * t * t * (3.0 - 2.0 * t);
}

/// Where a place on the canvas lies in the field.
double across_at(const Panel& panel, double x) {
  return panel.x.range.low + (x - panel.box.left) / panel.box.width() * panel.x.range.width();
}
double up_at(const Panel& panel, double y) {
  return panel.y.range.low + (panel.box.bottom - y) / panel.box.height() * panel.y.range.width();
}

/// The field's part of the panel, as an image.
Image paint_field(const Panel& panel,
                  const GridField& field,
                  const HeatScale& scale,
                  std::optional<double> floor,
                  const Box& box,
                  HeatContent& content) {
  const auto pixels = [](double px) {
    return static_cast<std::size_t>(std::clamp(std::ceil(px * raster_pixels_per_px), 1.0, 4000.0));
  };
  Image image(pixels(box.width()), pixels(box.height()));
  const double per_column = box.width() / static_cast<double>(image.width);
  const double per_row = box.height() / static_cast<double>(image.height);
  for (std::size_t row = 0; row < image.height; ++row) {
    const double y = box.top + (static_cast<double>(row) + 0.5) * per_row;
    const double up = up_at(panel, y);
    if (floor && up < *floor) {
      continue;
    }
    for (std::size_t column = 0; column < image.width; ++column) {
      const double x = box.left + (static_cast<double>(column) + 0.5) * per_column;
      const FieldValue found = look_up(field, across_at(panel, x), up);
      if (std::isnan(found.value)) {
        continue;
      }
      const bool beyond = scale.beyond(found.value);
      content.beyond = content.beyond || (beyond && found.support >= least_support);
      const Colour colour = beyond ? scale.beyond_colour() : scale.colour(found.value);
      image.set(column,
                row,
                colour,
                static_cast<std::uint8_t>(std::lround(255.0 * opacity_of(found.support))));
    }
  }
  return image;
}

Paint contour_paint(Colour beneath) { return fixed(readable_on(beneath), 0.75); }

struct LevelLines {
  double level = 0.0;
  std::vector<std::vector<Point>> lines;  ///< longest first
};

class LabelPlacer {
 public:
  LabelPlacer(const Box& room,
              std::vector<Box> quiet,
              Point heart,
              const std::vector<LevelLines>& contours)
      : room_(room), taken_(std::move(quiet)), heart_(heart), contours_(contours) {}

  /// One label for the longest line of a level, at the best free place: clear of other labels, of
  /// marks and of the lines of other levels. Empty when no place is free.
  std::optional<Text> place(const LevelLines& own, const std::string& words, Colour beneath);

 private:
  static constexpr double label_size = smallest_text;
  static constexpr double shortest_line = 60.0;

  /// Smaller is better: near the ray that climbs to the right from the peak, so that the labels of
  /// nested lines stand in a row.
  [[nodiscard]] double badness(Point p) const {
    const double dx = p.x - heart_.x;
    const double dy = heart_.y - p.y;
    return std::fabs(std::atan2(dy, dx) - 0.6);
  }

  [[nodiscard]] bool crosses_another(const Box& box, const LevelLines& own) const {
    for (const LevelLines& other : contours_) {
      for (const std::vector<Point>& line : other.lines) {
        if (&other != &own &&
            std::any_of(line.begin(), line.end(), [&](Point p) { return box.contains(p); })) {
          return true;
        }
      }
    }
    return false;
  }

  Box room_;
  std::vector<Box> taken_;
  Point heart_;
  const std::vector<LevelLines>& contours_;
};

double length_of(const std::vector<Point>& line) {
  double length = 0.0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    length += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
  }
  return length;
}

/// A line that encloses, or runs along, too little to be seen as more than a scratch.
bool sliver(const std::vector<Point>& line, bool closed) {
  constexpr double narrowest = 8.0;
  constexpr double shortest = 30.0;
  double area = 0.0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    area += 0.5 * (line[i - 1].x * line[i].y - line[i].x * line[i - 1].y);
  }
  const double length = length_of(line);
  // A ring of area A and length L is about 2 A / L wide when it is long and thin.
  return length < shortest || (closed && 2.0 * std::fabs(area) < 0.5 * narrowest * length);
}

std::optional<Text> LabelPlacer::place(const LevelLines& own,
                                       const std::string& words,
                                       Colour beneath) {
  const std::vector<Point>& line = own.lines.front();
  if (length_of(line) < shortest_line) {
    return std::nullopt;
  }
  const double width = text_width(words, label_size);
  const Box inside = room_.grown(-3.0);
  double best = 1e300;
  Point where;
  for (const Point p : line) {
    const Box box{p.x - width / 2.0 - 2.0, p.y - 7.5, p.x + width / 2.0 + 2.0, p.y + 7.5};
    const bool fits =
        inside.contains({box.left, box.top}) && inside.contains({box.right, box.bottom});
    const auto touches = [&box](const Box& other) { return box.overlaps(other); };
    const double score = badness(p);
    if (fits && score < best && std::none_of(taken_.begin(), taken_.end(), touches) &&
        !crosses_another(box, own)) {
      best = score;
      where = p;
    }
  }
  if (best > 1e299) {
    return std::nullopt;
  }
  taken_.push_back(
      {where.x - width / 2.0 - 6.0, where.y - 13.0, where.x + width / 2.0 + 6.0, where.y + 13.0});
  Text label{{where.x, where.y + 0.36 * label_size}, words, label_size, Anchor::middle};
  label.paint = fixed(readable_on(beneath));
  label.seam = fixed(beneath);
  return label;
}

/// A line without what runs under a label.
std::vector<std::vector<Point>> cut_out(const std::vector<Point>& line, const Box& label) {
  std::vector<std::vector<Point>> pieces(1);
  for (const Point p : line) {
    if (!label.contains(p)) {
      pieces.back().push_back(p);
    } else if (!pieces.back().empty()) {
      pieces.emplace_back();
    }
  }
  std::erase_if(pieces, [](const std::vector<Point>& piece) { return piece.size() < 2; });
  return pieces;
}

/// The highest supported value's place on the canvas.
Point heart_of(const Panel& panel, const GridField& field) {
  double best = -1e300;
  Point heart = middle_of(panel.box);
  for (std::size_t row = 0; row < field.rows; ++row) {
    for (std::size_t column = 0; column < field.columns; ++column) {
      const double value = field.value(column, row);
      if (std::isfinite(value) && value > best && field.support_at(column, row) >= least_support) {
        best = value;
        heart =
            panel.at(field.across(static_cast<double>(column)), field.up(static_cast<double>(row)));
      }
    }
  }
  return heart;
}

void draw_contours(Canvas& canvas,
                   const Panel& panel,
                   const GridField& field,
                   const HeatScale& scale,
                   const Box& covered,
                   const std::vector<Box>& quiet) {
  std::vector<LevelLines> contours;
  for (const double level : scale.levels) {
    LevelLines found{level, {}};
    for (const Contour& contour : trace_contours(field, level, least_support)) {
      std::vector<Point> line;
      for (const Contour::Vertex& vertex : contour.points) {
        line.push_back(panel.at(vertex.across, vertex.up));
      }
      if (contour.closed) {
        line.push_back(line.front());
      }
      if (!sliver(line, contour.closed)) {
        found.lines.push_back(std::move(line));
      }
    }
    if (!found.lines.empty()) {
      contours.push_back(std::move(found));
    }
  }
  LabelPlacer placer(covered, quiet, heart_of(panel, field), contours);
  std::vector<Text> labels;
  for (auto found = contours.rbegin(); found != contours.rend(); ++found) {
    const Colour beneath = scale.colour(found->level);
    if (auto label = placer.place(*found, level_text(scale, found->level), beneath)) {
      const std::vector<Point> whole = std::move(found->lines.front());
      found->lines.erase(found->lines.begin());
      for (std::vector<Point>& piece : cut_out(whole, text_box(*label).grown(1.0))) {
        found->lines.push_back(std::move(piece));
      }
      labels.push_back(*std::move(label));
    }
  }
  for (const LevelLines& found : contours) {
    if (!found.lines.empty()) {
      canvas.polylines(
          found.lines,
          {contour_paint(scale.colour(found.level)), found.level == 0.0 ? 1.8 : 1.0, {}});
    }
  }
  for (Text& label : labels) {
    canvas.text(std::move(label));
  }
}

void draw_floor(Canvas& canvas, const Panel& panel, double floor) {
  const double y = panel.py(floor);
  const Box bed{panel.box.left, y, panel.box.right, panel.box.bottom};
  canvas.box(bed, rule());
  canvas.line({bed.left, y}, {bed.right, y}, {ink(), 2.0, {}});
  if (bed.height() > 18.0 && bed.width() > 60.0) {
    const Point middle = middle_of(bed);
    canvas.text(
        {{middle.x, middle.y + 0.36 * smallest_text}, "floor", smallest_text, Anchor::middle});
  }
}

}  // namespace

void draw_hatching(Canvas& canvas,
                   const Box& box,
                   const std::function<bool(Point)>& inside,
                   const Paint& paint) {
  constexpr double apart = 8.0;
  constexpr double step = 1.5;
  std::vector<std::vector<Point>> lines;
  // Lines x + y = constant, so that they climb to the right; the same for any box.
  const double first = std::ceil((box.left + box.top) / apart) * apart;
  for (double sum = first; sum < box.right + box.bottom; sum += apart) {
    const double from = std::max(box.left, sum - box.bottom);
    const double to = std::min(box.right, sum - box.top);
    double start = from;
    bool drawing = false;
    for (double x = from; x <= to + step; x += step) {
      const bool in = x <= to && inside({x, sum - x});
      if (in && !drawing) {
        start = x;
      } else if (!in && drawing && x - step > start) {
        lines.push_back({{start, sum - start}, {x - step, sum - x + step}});
      }
      drawing = in;
    }
  }
  if (!lines.empty()) {
    canvas.polylines(std::move(lines), {paint, 1.0, {}});
  }
}

HeatContent draw_heat(Canvas& canvas,
                      const Panel& panel,
                      const GridField& field,
                      const HeatScale& scale,
                      std::optional<double> floor,
                      const std::vector<Box>& quiet) {
  check(field);
  HeatContent content;
  const Range across = field.across_range();
  const Range up = field.up_range();
  const Box covered{std::max(panel.box.left, panel.px(across.low)),
                    std::max(panel.box.top, panel.py(up.high)),
                    std::min(panel.box.right, panel.px(across.high)),
                    std::min(panel.box.bottom, panel.py(up.low))};
  canvas.picture(covered, paint_field(panel, field, scale, floor, covered, content));
  const auto unsupported = [&](Point p) {
    const double up_here = up_at(panel, p.y);
    if (floor && up_here < *floor) {
      return false;
    }
    const FieldValue found = look_up(field, across_at(panel, p.x), up_here);
    return std::isnan(found.value) || found.support < least_support;
  };
  const std::size_t before = canvas.items.size();
  draw_hatching(canvas, covered, unsupported, muted(0.55));
  content.unsupported = canvas.items.size() > before;
  if (covered.width() < panel.box.width() - 1.0 || covered.height() < panel.box.height() - 1.0) {
    canvas.box(covered, {}, {muted(0.6), 0.8, {}});
  }
  canvas.items.emplace_back(ClipBegin{panel.box});
  draw_contours(canvas, panel, field, scale, covered, quiet);
  if (floor && *floor > panel.y.range.low) {
    draw_floor(canvas, panel, *floor);
  }
  canvas.items.emplace_back(ClipEnd{});
  return content;
}

void add_heat_legend(std::vector<LegendEntry>& entries,
                     const HeatContent& content,
                     const HeatScale& scale) {
  if (content.unsupported) {
    entries.push_back({[](Canvas& canvas, const Box& box) {
                         draw_hatching(
                             canvas, box, [](Point) { return true; }, muted());
                         canvas.box(box, {}, {muted(), 0.8, {}});
                       },
                       "no sweep supports this"});
  }
  if (scale.one_valued()) {
    entries.push_back(band_entry(fixed(scale.colour(scale.range.low)), "one value everywhere"));
  }
  if (content.beyond) {
    entries.push_back(band_entry(fixed(scale.beyond_colour()), "above the scale"));
  }
}

}  // namespace sweepflux::render
