#include "tool/map_pictures.hpp"

#include "render/html_text.hpp"
#include "render/plane_map.hpp"
#include "render/survey_page.hpp"
#include "render/write_png.hpp"
#include "render/write_svg.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/record/tables.hpp"

#include <algorithm>
#include <string_view>

namespace sweepflux::tool {
namespace {

render::GridField to_grid(const PlaneMap& map, const std::vector<double>& values) {
  render::GridField field;
  field.across_min = map.y_min_m;
  field.up_min = map.z_min_m;
  field.across_step = map.step_m;
  field.up_step = map.step_m;
  field.columns = map.ny;
  field.rows = map.nz;
  field.values = values;
  field.support = map.support;
  return field;
}

/// One scale for all planes, so that their colours can be compared.
std::optional<render::HeatScale> common_scale(render::Palette palette,
                                              const std::vector<PlaneResult>& planes,
                                              std::vector<double> PlaneMap::*values) {
  std::optional<render::Range> all;
  for (const PlaneResult& plane : planes) {
    const auto range = render::supported_range(to_grid(plane.map, plane.map.*values));
    if (range && all) {
      all = render::Range{std::min(all->low, range->low), std::max(all->high, range->high)};
    } else if (range) {
      all = range;
    }
  }
  return all ? std::optional(render::make_scale(palette, *all)) : std::nullopt;
}

std::vector<render::ReadingDot> to_dots(const PlaneSamples& samples) {
  std::vector<render::ReadingDot> dots;
  for (const Sample& sample : samples.samples) {
    dots.push_back({sample.at,
                    sample.speed_m_s,
                    sample.censored ? render::ReadingDot::Kind::below_start
                                    : render::ReadingDot::Kind::measured});
  }
  return dots;
}

std::string fact(const char* name, const Estimate& estimate, const char* unit) {
  return std::string(name) + " " +
         render::pretty(
             format_with_uncertainty(estimate.value, estimate.standard_uncertainty, unit));
}

render::PlaneMapInput plane_input(const SurveyResult& result, const PlaneResult& plane) {
  render::PlaneMapInput input;
  input.title = result.survey.title;
  input.subtitle = "Plane at " + distance_text(plane.distance_m) + " m, facing the fan";
  input.readings = to_dots(plane.samples);
  input.outlet = render::OutletOutline{result.survey.outlet.shape == OutletShape::round,
                                       plane.samples.outlet_centre,
                                       plane.samples.outlet_half_y_m,
                                       plane.samples.outlet_half_z_m};
  input.centre = plane.centre;
  input.floor_m = plane.samples.floor_m;
  input.facts = {"peak " + format_number(plane.peak_speed_m_s, 3) + " m/s",
                 fact("flow", plane.volume_flow_m3_s, "m3/s"),
                 fact("momentum", plane.momentum_flux_n, "N")};
  input.remark = "\xC2\xB1 is one standard uncertainty.";
  return input;
}

/// Draws, and looks now and then whether it shall go on.
class Studio {
 public:
  Studio(ResultFolder& folder, const Progress& progress, std::size_t count)
      : folder_(folder), progress_(progress), count_(count) {}

  void add_png(const std::string& name, const render::Canvas& canvas) {
    step();
    const std::vector<std::uint8_t> bytes = render::write_png(canvas);
    folder_.add(name, std::string(bytes.begin(), bytes.end()));
  }
  void add_svg(const std::string& name, const render::Canvas& canvas) {
    folder_.add(name, render::write_svg(canvas));
  }

 private:
  void step() {
    if (progress_.stop_wanted && progress_.stop_wanted()) {
      throw Interrupted("stopped; nothing was written");
    }
    if (progress_.report) {
      progress_.report("drawing", static_cast<double>(drawn_) / static_cast<double>(count_));
    }
    ++drawn_;
  }

  ResultFolder& folder_;
  const Progress& progress_;
  std::size_t count_;
  std::size_t drawn_ = 0;
};

}  // namespace

void add_map_pictures(const SurveyResult& result,
                      const std::string& command,
                      ResultFolder& folder,
                      const Progress& progress) {
  const auto speed_scale =
      common_scale(render::Palette::speed, result.planes, &PlaneMap::speed_m_s);
  const auto doubt_scale =
      common_scale(render::Palette::uncertainty, result.planes, &PlaneMap::uncertainty_m_s);
  Studio studio(folder, progress, 2 * result.planes.size());
  render::SurveyPictures pictures;
  for (const PlaneResult& plane : result.planes) {
    const std::string name = "plane-" + distance_text(plane.distance_m) + "m";
    render::PlaneMapInput input = plane_input(result, plane);
    input.field = to_grid(plane.map, plane.map.speed_m_s);
    input.scale = speed_scale;
    pictures.planes.push_back({render::draw_plane_map(input), input.subtitle + ": speed"});
    studio.add_png(name + ".png", pictures.planes.back().canvas);
    studio.add_svg(name + ".svg", pictures.planes.back().canvas);

    input.field = to_grid(plane.map, plane.map.uncertainty_m_s);
    input.palette = render::Palette::uncertainty;
    input.scale = doubt_scale;
    input.value_title = "uncertainty [m/s]";
    pictures.uncertainty.push_back(
        {render::draw_plane_map(input), input.subtitle + ": standard uncertainty of the speed"});
    studio.add_png(name + "-uncertainty.png", pictures.uncertainty.back().canvas);
  }
  render::PageOptions options;
  options.command = command;
  options.program = "sweepflux " SWEEPFLUX_VERSION;
  options.files = folder.names();
  folder.add("report.html", render::survey_page(result, pictures, options));
}

}  // namespace sweepflux::tool
