// Draws a field that comes from no survey: any values on a grid.
#include <cmath>
#include <fstream>
#include <render/charts/plane_map.hpp>
#include <render/canvas/write_png.hpp>
#include <render/canvas/write_svg.hpp>

int main() {
  sweepflux::render::PlaneMapInput input;
  input.title = "Two draughts";
  input.subtitle = "a formula, not a measurement";
  input.field = {.across_min = -1.0,
                 .up_min = 0.0,
                 .across_step = 0.05,
                 .up_step = 0.05,
                 .columns = 41,
                 .rows = 31,
                 .values = {},
                 .support = {}};
  for (std::size_t row = 0; row < input.field.rows; ++row) {
    for (std::size_t column = 0; column < input.field.columns; ++column) {
      const double y = input.field.across(static_cast<double>(column));
      const double z = input.field.up(static_cast<double>(row)) - 0.7;
      input.field.values.push_back(2.0 * std::exp(-8.0 * ((y - 0.4) * (y - 0.4) + z * z)) +
                                   1.5 * std::exp(-8.0 * ((y + 0.4) * (y + 0.4) + z * z)));
    }
  }
  const sweepflux::render::Canvas canvas = sweepflux::render::draw_plane_map(input);
  std::ofstream("draughts.svg") << sweepflux::render::write_svg(canvas);
  const auto png = sweepflux::render::write_png(canvas);
  std::ofstream("draughts.png", std::ios::binary)
      .write(reinterpret_cast<const char*>(png.data()), static_cast<std::streamsize>(png.size()));
}
