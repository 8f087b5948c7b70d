#include "render/pages/survey_pictures.hpp"

#include "render/canvas/text.hpp"
#include "render/canvas/write_png.hpp"
#include "render/canvas/write_svg.hpp"
#include "sweepflux/base/parallel.hpp"

#include <cmath>
#include <functional>

namespace sweepflux::render {
namespace {

constexpr const char* plus_minus_words = "± standard uncertainty (k = 1).";
constexpr double near_share = 0.2;  ///< of the half width: how far a reading may lie from a cut

std::string title_of(const SurveyResult& result) {
  const Survey& survey = result.survey;
  if (!survey.title.empty()) {
    return survey.title;
  }
  return survey.setting.empty() ? survey.fan : survey.fan + ", " + survey.setting;
}

std::string from_where(const SurveyResult& result) {
  return result.survey.rig.motion == Motion::swivel ? "the turntable's axis" : "the outlet";
}

std::string distance_words(const PlaneResult& plane) {
  return with_unit(fixed_text(plane.distance_m, 2), "m");
}

bool has_map(const PlaneResult& plane) {
  return plane.map.ny > 0 && plane.map.nz > 0 &&
         plane.map.speed_m_s.size() == plane.map.ny * plane.map.nz;
}

GridField field_of(const PlaneMap& map, const std::vector<double>& values) {
  return {map.y_min_m, map.z_min_m, map.step_m, map.step_m, map.ny, map.nz, values, map.support};
}

PlaneMapInput map_of(const SurveyResult& result, std::size_t index) {
  const PlaneResult& plane = result.planes.at(index);
  PlaneMapInput input;
  input.title = title_of(result);
  input.floor_m = plane.samples.floor_m;
  // Equal metres for all planes: each picture covers what any of them covers.
  for (const PlaneResult& other : result.planes) {
    if (has_map(other)) {
      const GridField field = field_of(other.map, {});
      input.across = join(input.across.value_or(field.across_range()), field.across_range());
      input.up = join(input.up.value_or(field.up_range()), field.up_range());
    }
  }
  const PlaneSamples& samples = plane.samples;
  if (samples.outlet_half_y_m > 0.0 && samples.outlet_half_z_m > 0.0) {
    input.outlet = OutletOutline{result.survey.outlet.shape == OutletShape::round,
                                 samples.outlet_centre,
                                 samples.outlet_half_y_m,
                                 samples.outlet_half_z_m};
  }
  input.centre = plane.centre;
  for (const Sample& sample : plane.samples.samples) {
    input.readings.push_back({sample.at, sample.speed_m_s, sample.censored});
  }
  return input;
}

std::string warnings_of(const PlaneResult& plane) {
  std::string text;
  for (const std::string& warning : plane.warnings) {
    text += (text.empty() ? "Note: " : " Note: ") + warning + ".";
  }
  return text;
}

double share_of(double uncertainty, double value) {
  return value != 0.0 ? std::fabs(uncertainty / value) : 0.0;
}

}  // namespace

HeatScale scale_of(const SurveyResult& result, Palette palette) {
  Range range{1e300, -1e300};
  for (const PlaneResult& plane : result.planes) {
    if (!has_map(plane)) {
      continue;
    }
    const GridField field = field_of(
        plane.map, palette == Palette::speed ? plane.map.speed_m_s : plane.map.uncertainty_m_s);
    if (const std::optional<Range> own = supported_range(field)) {
      range = join(range, *own);
    }
  }
  return make_scale(palette, range.low <= range.high ? range : Range{});
}

PlaneMapInput speed_map_of(const SurveyResult& result, std::size_t index) {
  const PlaneResult& plane = result.planes.at(index);
  PlaneMapInput input = map_of(result, index);
  input.subtitle =
      "speed " + distance_words(plane) + " from " + from_where(result) + ", seen facing the fan";
  input.field = field_of(plane.map, plane.map.speed_m_s);
  input.scale = scale_of(result, Palette::speed);
  input.facts = {"peak " + with_unit(number_text(plane.peak_speed_m_s), "m/s")};
  if (std::isfinite(plane.volume_flow_m3_s.value)) {
    input.facts.push_back("flow " + estimate_text(plane.volume_flow_m3_s, "m³/s"));
  }
  if (std::isfinite(plane.momentum_flux_n.value)) {
    input.facts.push_back("momentum flux " + estimate_text(plane.momentum_flux_n, "N"));
  }
  const std::string warnings = warnings_of(plane);
  input.remark = join_facts(input.facts).find("±") != std::string::npos ? plus_minus_words : "";
  input.remark += (input.remark.empty() || warnings.empty() ? "" : " ") + warnings;
  return input;
}

PlaneMapInput uncertainty_map_of(const SurveyResult& result, std::size_t index) {
  const PlaneResult& plane = result.planes.at(index);
  PlaneMapInput input = map_of(result, index);
  input.subtitle = "standard uncertainty of the speed " + distance_words(plane) + " from " +
                   from_where(result) + ", seen facing the fan";
  input.field = field_of(plane.map, plane.map.uncertainty_m_s);
  input.palette = Palette::uncertainty;
  input.value_title = "uncertainty [m/s]";
  input.scale = scale_of(result, Palette::uncertainty);
  return input;
}

BudgetBarsInput budget_of(const SurveyResult& result, std::size_t index) {
  const PlaneResult& plane = result.planes.at(index);
  BudgetBarsInput input;
  input.title = title_of(result);
  input.subtitle =
      "uncertainty budget, plane " + distance_words(plane) + " from " + from_where(result);
  const double flow = plane.volume_flow_m3_s.value;
  const double momentum = plane.momentum_flux_n.value;
  for (const BudgetRow& row : plane.budget) {
    input.sources.push_back({row.source,
                             share_of(row.volume_flow_m3_s, flow),
                             share_of(row.momentum_flux_n, momentum)});
  }
  input.all = {"all together",
               share_of(plane.volume_flow_m3_s.standard_uncertainty, flow),
               share_of(plane.momentum_flux_n.standard_uncertainty, momentum)};
  return input;
}

ProfileLine cut_of(const PlaneResult& plane, bool level) {
  const PlaneMap& map = plane.map;
  const GridField speed = field_of(map, map.speed_m_s), low = field_of(map, map.low_m_s),
                  high = field_of(map, map.high_m_s);
  ProfileLine line;
  line.name = distance_words(plane);
  const std::size_t count = level ? map.ny : map.nz;
  for (std::size_t i = 0; i < count; ++i) {
    const double step = map.step_m * static_cast<double>(i);
    const PlanePoint at = level ? PlanePoint{map.y_min_m + step, plane.centre.z_m}
                                : PlanePoint{plane.centre.y_m, map.z_min_m + step};
    const FieldValue found = look_up(speed, at.y_m, at.z_m);
    line.at_m.push_back(level ? at.y_m : at.z_m);
    line.speed_m_s.push_back(found.value);
    line.support.push_back(found.support);
    if (!map.low_m_s.empty()) {
      line.low_m_s.push_back(look_up(low, at.y_m, at.z_m).value);
      line.high_m_s.push_back(look_up(high, at.y_m, at.z_m).value);
    }
  }
  const double near = near_share * (level ? plane.half_width_z_m : plane.half_width_y_m);
  for (const Sample& sample : plane.samples.samples) {
    const double off = level ? sample.at.z_m - plane.centre.z_m : sample.at.y_m - plane.centre.y_m;
    if (std::fabs(off) <= near) {
      line.readings.push_back(
          {level ? sample.at.y_m : sample.at.z_m, sample.speed_m_s, sample.censored});
    }
  }
  return line;
}

ProfilesInput profiles_of(const SurveyResult& result) {
  ProfilesInput input;
  input.title = title_of(result);
  input.subtitle = "speed along level and upright cuts through the centre of each plane";
  input.remark = "Distances are from " + from_where(result) + ".";
  if (result.survey.probe.starting_speed_m_s > 0.0) {
    input.starting_speed_m_s = result.survey.probe.starting_speed_m_s;
  }
  input.floor_m = result.survey.room.floor_m;
  int style = 0;
  for (const PlaneResult& plane : result.planes) {
    if (has_map(plane)) {
      input.across.push_back(cut_of(plane, true));
      input.upright.push_back(cut_of(plane, false));
      input.across.back().style = style;
      input.upright.back().style = style++;
    }
  }
  return input;
}

StreamChartInput stream_of(const SurveyResult& result) {
  StreamChartInput input;
  input.title = title_of(result);
  input.subtitle = "volume flow and momentum flux along the stream";
  input.distance_title = "distance from " + from_where(result) + " [m]";
  input.thrust_n = result.thrust_n;
  for (const PlaneResult& plane : result.planes) {
    input.points.push_back({plane.distance_m, plane.volume_flow_m3_s, plane.momentum_flux_n});
  }
  return input;
}

StreamViewInput view_of(const SurveyResult& result, bool from_above) {
  const Outlet& outlet = result.survey.outlet;
  StreamViewInput input;
  input.title = title_of(result);
  input.subtitle = from_above ? "the stream from above, level cuts through its centre"
                              : "the stream from the side, upright cuts through its centre";
  input.from_above = from_above;
  input.scale = scale_of(result, Palette::speed);
  input.outlet_x_m = outlet.ahead_of_axis_m;
  input.outlet_centre_m = from_above ? 0.0 : outlet.centre_height_m;
  input.outlet_half_m = 0.5 * (from_above ? outlet.extent_y_m() : outlet.extent_z_m());
  input.floor_m = from_above ? std::nullopt : result.survey.room.floor_m;
  input.remark = "Between the measured planes the speed is interpolated.";
  for (const PlaneResult& plane : result.planes) {
    if (!has_map(plane) || (from_above ? plane.map.ny : plane.map.nz) < 2) {
      continue;
    }
    ProfileLine line = cut_of(plane, from_above);
    input.stations.push_back({outlet.ahead_of_axis_m + plane.downstream_m,
                              std::move(line.at_m),
                              std::move(line.speed_m_s),
                              std::move(line.support),
                              from_above ? plane.centre.y_m : plane.centre.z_m,
                              from_above ? plane.half_width_y_m : plane.half_width_z_m});
  }
  return input;
}

std::vector<SurveyPicture> draw_survey(const SurveyResult& result) {
  using Kind = SurveyPicture::Kind;
  std::vector<SurveyPicture> pictures;
  std::vector<std::function<Canvas(double width)>> draw;
  const auto add = [&](Kind kind, std::size_t plane, const auto& input, auto how) {
    pictures.push_back({kind, plane, {}, {}, {}});
    draw.push_back([input, how](double width) {
      auto sized = input;
      sized.width = width;
      return how(sized);
    });
  };
  std::size_t maps = 0;
  for (std::size_t i = 0; i < result.planes.size(); ++i) {
    const PlaneResult& plane = result.planes[i];
    if (has_map(plane)) {
      ++maps;
      add(Kind::speed_map, i, speed_map_of(result, i), draw_plane_map);
      add(Kind::uncertainty_map, i, uncertainty_map_of(result, i), draw_plane_map);
    }
    if (!plane.budget.empty()) {
      add(Kind::budget, i, budget_of(result, i), draw_budget_bars);
    }
  }
  if (maps > 0) {
    add(Kind::profiles, 0, profiles_of(result), draw_profiles);
  }
  if (!result.planes.empty()) {
    add(Kind::stream, 0, stream_of(result), draw_stream_chart);
  }
  if (maps > 1) {
    add(Kind::side_view, 0, view_of(result, false), draw_stream_view);
    add(Kind::top_view, 0, view_of(result, true), draw_stream_view);
  }
  // A single plane has the page to itself.
  const double page_width = maps > 1 ? half_width : full_width;
  parallel_for(3 * pictures.size(), 0, [&](std::size_t task) {
    const std::size_t i = task / 3;
    switch (task % 3) {
      case 0:
        pictures[i].canvas = draw[i](full_width);
        break;
      case 1:
        pictures[i].page = draw[i](pictures[i].kind == Kind::speed_map ? page_width : half_width);
        break;
      default:
        pictures[i].slim = draw[i](phone_width);
    }
  });
  return pictures;
}

std::vector<WrittenPicture> write_pictures(std::span<const SurveyPicture> pictures, int threads) {
  std::vector<WrittenPicture> written(pictures.size());
  // Two tasks a picture, the pixels of all of them first: they take longest, and no thread should
  // be left with one at the end.
  const std::size_t count = pictures.size();
  parallel_for(2 * count, threads, [&](std::size_t task) {
    const Canvas& canvas = pictures[task % count].canvas;
    if (task < count) {
      written[task].png = write_png(canvas);
    } else {
      written[task - count].svg = write_svg(canvas);
    }
  });
  return written;
}

}  // namespace sweepflux::render
