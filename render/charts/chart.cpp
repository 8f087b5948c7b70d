#include "render/charts/chart.hpp"

#include "render/canvas/text.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

/// Paragraphs of plain text, wrapped to `width`.
/// @return where the next thing may start (y)
double draw_paragraphs(Canvas& canvas,
                       const std::vector<std::string>& paragraphs,
                       Point top_left,
                       double width) {
  double y = top_left.y;
  for (const std::string& paragraph : paragraphs) {
    for (const std::string& line : wrap_text(paragraph, plain_text, false, width, 6)) {
      canvas.text({{top_left.x, y + 0.8 * plain_text}, line, plain_text});
      y += 1.35 * plain_text;
    }
  }
  return y;
}

/// Entries in rows from left to right, as many as fit.
/// @return where the next thing may start (y)
double draw_legend(Canvas& canvas,
                   const std::vector<LegendEntry>& entries,
                   Point top_left,
                   double width) {
  constexpr double row_height = 20.0;
  constexpr double gap = 7.0;
  constexpr double between = 20.0;
  if (entries.empty()) {
    return top_left.y;
  }
  Point at = top_left;
  for (const LegendEntry& entry : entries) {
    const double sample = entry.sample ? legend_sample_width + gap : 0.0;
    const double most = width - sample;
    const std::vector<std::string> lines = wrap_text(entry.words, smallest_text, false, most, 3);
    double widest = 0.0;
    for (const std::string& line : lines) {
      widest = std::max(widest, text_width(line, smallest_text));
    }
    const double wide = sample + widest;
    if (at.x > top_left.x && at.x + wide > top_left.x + width) {
      at = {top_left.x, at.y + row_height};
    }
    double middle = at.y + row_height / 2.0;
    if (entry.sample) {
      entry.sample(canvas,
                   {at.x,
                    middle - legend_sample_height / 2.0,
                    at.x + legend_sample_width,
                    middle + legend_sample_height / 2.0});
    }
    for (const std::string& line : lines) {
      canvas.text({{at.x + sample, middle + 0.36 * smallest_text}, line, smallest_text});
      middle += 1.2 * smallest_text;
    }
    if (lines.size() > 1) {
      at.y += 1.2 * smallest_text * static_cast<double>(lines.size() - 1);
    }
    at.x += wide + between;
  }
  return at.y + row_height + 4.0;
}

}  // namespace

double draw_heading(Canvas& canvas, const PictureWords& words) {
  const double width = canvas.width - 2.0 * margin(canvas);
  double y = margin(canvas);
  const auto put = [&](const std::string& text, double size, bool bold, const Paint& paint) {
    for (const std::string& line : wrap_text(text, size, bold, width, is_slim(width) ? 3 : 2)) {
      canvas.text({{margin(canvas), y + 0.8 * size}, line, size, Anchor::start, bold, 0.0, paint});
      y += 1.3 * size;
    }
  };
  put(words.title, title_text, true, ink());
  put(words.subtitle, plain_text, false, muted());
  if (canvas.title.empty()) {
    canvas.title = clean_utf8(words.title + (words.subtitle.empty() ? "" : ": " + words.subtitle));
  }
  canvas.page_top = y + 1.0;
  return y + 6.0;
}

void draw_foot(Canvas& canvas,
               const std::vector<LegendEntry>& entries,
               const std::vector<std::string>& paragraphs,
               double top) {
  const double left = margin(canvas);
  const double width = canvas.width - 2.0 * left;
  const double y = draw_legend(canvas, entries, {left, top + 10.0}, width);
  canvas.page_bottom = y + 2.0;
  canvas.height = std::ceil(draw_paragraphs(canvas, paragraphs, {left, y + 4.0}, width) + left);
}

std::string join_facts(const std::vector<std::string>& facts) {
  std::string line;
  for (const std::string& fact : facts) {
    line += (line.empty() ? "" : " · ") + fact;
  }
  return line;
}

LegendEntry line_entry(const LineStyle& style, double width, std::string words, bool marked) {
  return {[style, width, marked](Canvas& canvas, const Box& box) {
            const Point middle = middle_of(box);
            canvas.line(
                {box.left, middle.y}, {box.right, middle.y}, {style.paint, width, style.dashes});
            if (marked) {
              draw_marker(canvas, style.marker, middle, 7.0, style.paint);
            }
          },
          std::move(words)};
}

LegendEntry marks_entry(std::function<void(Canvas&, Point)> mark, std::string words) {
  return {[mark = std::move(mark)](Canvas& canvas, const Box& box) {
            for (const double dx : {-9.0, 0.0, 9.0}) {
              mark(canvas, {middle_of(box).x + dx, middle_of(box).y});
            }
          },
          std::move(words)};
}

LegendEntry band_entry(const Paint& fill, std::string words) {
  return {[fill](Canvas& canvas, const Box& box) { canvas.box(box, fill); }, std::move(words)};
}

LegendEntry interval_entry(std::string words, bool level) {
  return {[level](Canvas& canvas, const Box& box) {
            const Point c = middle_of(box);
            draw_error_bar(canvas,
                           level ? Point{box.left, c.y} : Point{c.x, box.bottom},
                           level ? Point{box.right, c.y} : Point{c.x, box.top},
                           ink());
          },
          std::move(words)};
}

void draw_error_bar(Canvas& canvas, Point low, Point high, const Paint& paint, double cap) {
  const double along_x = high.x - low.x;
  const double along_y = high.y - low.y;
  if (along_x == 0.0 && along_y == 0.0) {
    return;
  }
  const bool level = std::abs(along_x) > std::abs(along_y);
  const double dx = level ? 0.0 : cap;
  const double dy = level ? cap : 0.0;
  canvas.polylines({{low, high},
                    {{low.x - dx, low.y - dy}, {low.x + dx, low.y + dy}},
                    {{high.x - dx, high.y - dy}, {high.x + dx, high.y + dy}}},
                   {paint, 1.5, {}});
}

void draw_band(Canvas& canvas,
               const std::vector<Point>& low,
               const std::vector<Point>& high,
               const Paint& fill) {
  std::vector<Point> outline = low;
  outline.insert(outline.end(), high.rbegin(), high.rend());
  if (outline.size() > 2) {
    canvas.polygon(std::move(outline), fill);
  }
}

std::vector<std::size_t> free_slots(const std::vector<Range>& intervals) {
  std::vector<std::size_t> slots;
  for (const Range& mine : intervals) {
    const auto taken = [&](std::size_t slot) {
      for (std::size_t i = 0; i < slots.size(); ++i) {
        if (slots[i] == slot && intervals[i].low < mine.high && mine.low < intervals[i].high) {
          return true;
        }
      }
      return false;
    };
    std::size_t slot = 0;
    while (taken(slot)) {
      ++slot;
    }
    slots.push_back(slot);
  }
  return slots;
}

}  // namespace sweepflux::render
