
#include "render/canvas/write_png.hpp"
#include "sweepflux/base/error.hpp"
#include "tests/render/decode_png.hpp"
#include "tests/render/sample_pictures.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

namespace sweepflux::render {
namespace {

Image chequered(bool opaque) {
  Image image(13, 7);
  for (std::size_t row = 0; row < image.height; ++row) {
    for (std::size_t column = 0; column < image.width; ++column) {
      const auto value = static_cast<std::uint8_t>(20 * column + row);
      image.set(column,
                row,
                {value, static_cast<std::uint8_t>(255 - value), 7},
                opaque ? std::uint8_t{255} : static_cast<std::uint8_t>(30 * row));
    }
  }
  return image;
}

/// Names of the chunks [ISO/IEC 15948, 5.3], in file order.
std::vector<std::string> chunks(const std::vector<std::uint8_t>& bytes) {
  std::vector<std::string> names;
  for (std::size_t at = 8; at + 12 <= bytes.size();) {
    const std::size_t length = std::size_t{bytes[at]} << 24U | std::size_t{bytes[at + 1]} << 16U |
                               std::size_t{bytes[at + 2]} << 8U | bytes[at + 3];
    names.emplace_back(bytes.begin() + static_cast<std::ptrdiff_t>(at + 4),
                       bytes.begin() + static_cast<std::ptrdiff_t>(at + 8));
    at += 12 + length;
  }
  return names;
}

TEST(Png, GivesBackThePixelsItWasGiven) {
  for (const bool opaque : {true, false}) {
    const Image image = chequered(opaque);
    const Image back = decode_png(encode_png(image));
    EXPECT_EQ(back.width, image.width);
    EXPECT_EQ(back.height, image.height);
    EXPECT_EQ(back.rgba, image.rgba);
  }
}

TEST(Png, CarriesItsSizeTitleAndDescription) {
  const PngNotes notes{192.0, "Herb loft, heron — Stufe 3", "flow 0.6 m³/s"};
  PngNotes back;
  (void)decode_png(encode_png(chequered(true), notes), &back);
  EXPECT_NEAR(back.dots_per_inch, 192.0, 0.02);
  EXPECT_EQ(back.title, notes.title);
  EXPECT_EQ(back.description, notes.description);
}

TEST(Png, SaysSrgbAndNothingElseAboutColourOrTime) {
  const std::vector<std::string> names = chunks(encode_png(chequered(true), {96.0, "a", "b"}));
  const std::vector<std::string> allowed{"IHDR", "sRGB", "pHYs", "iTXt", "IDAT", "IEND"};
  for (const std::string& name : names) {
    EXPECT_NE(std::find(allowed.begin(), allowed.end(), name), allowed.end()) << name;
  }
  EXPECT_EQ(std::count(names.begin(), names.end(), "sRGB"), 1);
  EXPECT_EQ(std::count(names.begin(), names.end(), "pHYs"), 1);
}

TEST(Png, IsTheSameByteForByteEachTime) {
  const Canvas canvas = draw_plane_map(test::sample_map({}));
  EXPECT_EQ(write_png(canvas), write_png(canvas));
}

TEST(Png, RefusesPixelsThatDoNotFit) {
  Image image = chequered(true);
  image.rgba.pop_back();
  EXPECT_THROW((void)encode_png(image), InputError);
  EXPECT_THROW((void)encode_png(Image{}), InputError);
}

TEST(Png, RefusesAFileThatIsCutShortOrNone) {
  std::vector<std::uint8_t> bytes = encode_png(chequered(true));
  bytes.resize(bytes.size() / 2);
  EXPECT_THROW((void)decode_png(bytes), InputError);
  const std::vector<std::uint8_t> text{'n', 'o', ' ', 'p', 'n', 'g', '!', '!', '!'};
  EXPECT_THROW((void)decode_png(text), InputError);
}

TEST(Png, OfAPictureHasTheResolutionAskedFor) {
  Canvas canvas;
  canvas.width = 300.0;
  canvas.height = 200.0;
  canvas.title = "a title";
  PngNotes notes;
  const Image image = decode_png(write_png(canvas, 144.0), &notes);
  EXPECT_EQ(image.width, 450U);
  EXPECT_EQ(image.height, 300U);
  EXPECT_NEAR(notes.dots_per_inch, 144.0, 0.02);
  EXPECT_EQ(notes.title, "a title");
  PngNotes other;
  (void)decode_png(write_png(canvas, 96.0, "another"), &other);
  EXPECT_EQ(other.title, "another");
  EXPECT_THROW((void)write_png(canvas, 0.0), InputError);
  EXPECT_THROW((void)write_png(canvas, std::nan("")), InputError);
}

TEST(Png, OfEveryPicturePassesPngcheck) {
  if (std::system("pngcheck -h >/dev/null 2>&1") != 0) {
    GTEST_SKIP() << "skipped: pngcheck is not installed";
  }
  const auto folder = test::scratch_folder();
  for (const auto& [name, canvas] : test::sample_pictures(1.0, "Herb loft")) {
    const auto file = folder / "picture.png";
    const std::vector<std::uint8_t> bytes = write_png(canvas, 96.0);
    std::ofstream(file, std::ios::binary)
        .write(reinterpret_cast<const char*>(bytes.data()),
               static_cast<std::streamsize>(bytes.size()));
    EXPECT_EQ(std::system(("pngcheck -q '" + file.string() + "'").c_str()), 0) << name;
  }
}

}  // namespace
}  // namespace sweepflux::render
