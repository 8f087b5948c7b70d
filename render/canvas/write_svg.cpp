#include "render/canvas/write_svg.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <initializer_list>
#include <span>
#include <string_view>
#include <utility>

namespace sweepflux::render {
namespace {

std::string escape(std::string_view words) {
  std::string safe;
  for (const char c : clean_utf8(words)) {
    const std::string_view entity = xml_entity(c);
    safe += entity.empty() ? std::string_view(&c, 1) : entity;
  }
  return safe;
}

class Writer {
 public:
  Writer(const SvgOptions& options, const Canvas& canvas)
      : options_(options),
        top_(options.embedded ? canvas.page_top : 0.0),
        bottom_(options.embedded && canvas.page_bottom > 0.0 ? canvas.page_bottom : canvas.height) {
  }

  void head(const Canvas& canvas);
  void operator()(const Path& path);
  void operator()(const Circle& circle);
  void operator()(const Text& text);
  void operator()(const Picture& picture);
  void operator()(const ClipBegin& clip);
  void operator()(const ClipEnd&) { out_ += "</g>\n"; }
  std::string finish() { return std::move(out_) + "</svg>\n"; }

 private:
  /// Hundredths of a pixel, without trailing zeros.
  void number(double value);
  void numbers(std::span<const double> values) {
    for (std::size_t i = 0; i < values.size(); ++i) {
      out_ += i > 0 ? " " : "";
      number(values[i]);
    }
  }
  void attribute(std::string_view name, double value) {
    open(name);
    number(value);
    out_ += '"';
  }
  void attributes(std::initializer_list<std::pair<std::string_view, double>> all) {
    for (const auto& [name, value] : all) {
      attribute(name, value);
    }
  }
  void attributes(const Box& box) {
    attributes({{"x", box.left}, {"y", box.top}, {"width", box.width()}, {"height", box.height()}});
  }
  void attribute(std::string_view name, std::string_view value) {
    open(name);
    out_ += value;
    out_ += '"';
  }
  void open(std::string_view name) {
    out_ += ' ';
    out_ += name;
    out_ += "=\"";
  }
  [[nodiscard]] std::string colour(const Paint& paint) const;
  void fill(const Paint& paint);
  void stroke(const Stroke& stroke);
  void named_text(std::string_view name, std::string_view id_end, const std::string& words) {
    out_ += '<';
    out_ += name;
    attribute("id", options_.id_prefix + std::string(id_end));
    out_ += '>';
    out_ += escape(words);
    out_ += "</";
    out_ += name;
    out_ += ">\n";
  }
  void close(std::string_view name, const std::string& hover);

  const SvgOptions& options_;
  double top_;
  double bottom_;
  std::string out_;
  int clips_ = 0;
};

void Writer::number(double value) {
  const double rounded = std::round(value * 100.0) / 100.0 + 0.0;  // no minus zero
  std::array<char, 64> digits{};
  const auto end = std::to_chars(
      digits.data(), digits.data() + digits.size(), rounded, std::chars_format::fixed, 2);
  std::string_view text(digits.data(), static_cast<std::size_t>(end.ptr - digits.data()));
  text = text.substr(0, text.find_last_not_of('0') + 1);
  if (text.back() == '.') {
    text.remove_suffix(1);
  }
  out_ += text;
}

std::string Writer::colour(const Paint& paint) const {
  const std::string name = variable_name(paint);
  const std::string value = hex(resolve(paint));
  if (!options_.embedded || name.empty()) {
    return value;
  }
  return "var(" + name + "," + value + ")";
}

void Writer::fill(const Paint& paint) {
  if (!paint.visible()) {
    attribute("fill", "none");
    return;
  }
  attribute("fill", colour(paint));
  if (paint.opacity < 1.0) {
    attribute("fill-opacity", paint.opacity);
  }
}

void Writer::stroke(const Stroke& stroke) {
  if (!stroke.paint.visible() || !(stroke.width > 0.0)) {
    return;
  }
  attribute("stroke", colour(stroke.paint));
  attribute("stroke-width", stroke.width);
  if (stroke.paint.opacity < 1.0) {
    attribute("stroke-opacity", stroke.paint.opacity);
  }
  if (!stroke.dashes.empty()) {
    open("stroke-dasharray");
    numbers(stroke.dashes);
    out_ += '"';
  }
}

void Writer::close(std::string_view name, const std::string& hover) {
  if (hover.empty()) {
    out_ += "/>\n";
    return;
  }
  out_ += "><title>";
  out_ += escape(hover);
  out_ += "</title></";
  out_ += name;
  out_ += ">\n";
}

void Writer::head(const Canvas& canvas) {
  if (!options_.embedded) {
    out_ += "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
  }
  out_ +=
      "<svg xmlns=\"http://www.w3.org/2000/svg\" "
      "xmlns:xlink=\"http://www.w3.org/1999/xlink\"";
  const double height = bottom_ - top_;
  attributes({{"width", canvas.width}, {"height", height}});
  open("viewBox");
  numbers(std::array{0.0, top_, canvas.width, height});
  out_ += '"';
  attribute("role", "img");
  attribute("aria-labelledby", options_.id_prefix + "-title " + options_.id_prefix + "-desc");
  // A font with the same widths comes second, for machines without the first.
  open("font-family");
  out_ += '\'';
  out_ += font_family;
  out_ += "',Verdana,sans-serif\"";
  attribute("stroke-linejoin", "round");
  if (options_.embedded) {
    attribute("style", "width:100%;height:auto");
  }
  out_ += ">\n";
  named_text("title", "-title", canvas.title);
  named_text("desc", "-desc", canvas.description);
  if (!options_.embedded) {
    out_ += "<rect";
    attributes({{"width", canvas.width}, {"height", canvas.height}});
    fill(paper());
    out_ += "/>\n";
  }
}

void Writer::operator()(const Path& path) {
  out_ += "<path d=\"";
  for (const std::vector<Point>& line : path.lines) {
    char letter = 'M';
    for (const Point p : line) {
      out_ += letter;
      numbers(std::array{p.x, p.y});
      letter = 'L';
    }
    if (path.closed) {
      out_ += 'Z';
    }
  }
  out_ += '"';
  fill(path.fill);
  stroke(path.stroke);
  close("path", path.hover);
}

void Writer::operator()(const Circle& circle) {
  out_ += "<circle";
  attributes({{"cx", circle.centre.x}, {"cy", circle.centre.y}, {"r", circle.radius}});
  fill(circle.fill);
  stroke(circle.stroke);
  if (!circle.hover.empty() && !circle.fill.visible() && !circle.stroke.paint.visible()) {
    attribute("pointer-events", "all");
  }
  close("circle", circle.hover);
}

void Writer::operator()(const Text& text) {
  if (text.at.y < top_ || text.at.y > bottom_) {
    return;
  }
  out_ += "<text";
  attributes({{"x", text.at.x}, {"y", text.at.y}, {"font-size", text.size}});
  if (text.anchor != Anchor::start) {
    attribute("text-anchor", text.anchor == Anchor::end ? "end" : "middle");
  }
  if (text.bold) {
    attribute("font-weight", "bold");
  }
  fill(text.paint);
  if (text.seam.visible()) {
    attribute("stroke", colour(text.seam));
    attribute("stroke-width", 3.0);
    attribute("paint-order", "stroke");
  }
  if (text.turn_deg != 0.0) {
    out_ += " transform=\"rotate(";
    numbers(std::array{-text.turn_deg, text.at.x, text.at.y});
    out_ += ")\"";
  }
  out_ += '>';
  out_ += escape(text.words);
  out_ += "</text>\n";
}

void Writer::operator()(const Picture& picture) {
  out_ += "<image";
  attributes(picture.box);
  attribute("preserveAspectRatio", "none");
  open("xlink:href");
  out_ += "data:image/png;base64,";
  out_ += picture.packed.empty() ? png_base64(picture.image) : picture.packed;
  out_ += '"';
  close("image", picture.hover);
}

void Writer::operator()(const ClipBegin& clip) {
  const std::string id = options_.id_prefix + "-clip-" + std::to_string(++clips_);
  out_ += "<clipPath";
  attribute("id", id);
  out_ += "><rect";
  attributes(clip.box);
  out_ += "/></clipPath>\n<g";
  attribute("clip-path", "url(#" + id + ")");
  out_ += ">\n";
}

bool good_id(std::string_view id) {
  const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
  return !id.empty() && letter(id.front()) && std::all_of(id.begin(), id.end(), [&](char c) {
    return letter(c) || (c >= '0' && c <= '9') || c == '-';
  });
}

}  // namespace

std::string write_svg(const Canvas& canvas, const SvgOptions& options) {
  if (!good_id(options.id_prefix)) {
    throw InputError("id prefix is \"" + options.id_prefix +
                     "\", must start with a letter and hold letters, digits and '-' only");
  }
  Writer writer(options, canvas);
  writer.head(canvas);
  for (const Item& item : canvas.items) {
    std::visit(writer, item);
  }
  return writer.finish();
}

}  // namespace sweepflux::render
