#include "render/canvas/write_png.hpp"
#include "render/charts/fan_charts.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

// Outside check: pngcheck, by others than the library that wrote the file (Debian package
// pngcheck).

namespace sweepflux::render {
namespace {

TEST(png_checker, a_written_chart_has_no_fault) {
  if (std::system("command -v pngcheck >/dev/null 2>&1") != 0) {
    GTEST_SKIP() << "skipped: no pngcheck here";
  }
  DistanceChartInput input;
  input.title = "Flow";
  input.value_title = "flow [m\xC2\xB3/s]";
  input.unit = "m\xC2\xB3/s";
  input.lines = {
      {"heron", "3", {1.0, 2.0}, {{0.3, 0.02, 0.26, 0.34}, {0.5, 0.03, 0.44, 0.56}}, true}};
  const auto png = write_png(draw_distance_chart(input));
  const auto file = test::scratch_folder() / "chart.png";
  std::ofstream(file, std::ios::binary)
      .write(reinterpret_cast<const char*>(png.data()), static_cast<std::streamsize>(png.size()));
  EXPECT_EQ(std::system(("pngcheck -q '" + file.string() + "'").c_str()), 0);
  std::ofstream(file, std::ios::binary | std::ios::in).seekp(60).put('\x7F');
  EXPECT_NE(std::system(("pngcheck -q '" + file.string() + "' >/dev/null").c_str()), 0);
}

}  // namespace
}  // namespace sweepflux::render
