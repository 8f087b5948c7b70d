#include "tool/campaign_pictures.hpp"

#include "render/charts/distance_chart.hpp"
#include "render/charts/overlay.hpp"
#include "render/charts/ranking.hpp"
#include "render/charts/thrust_chart.hpp"
#include "render/pages/campaign_parts.hpp"
#include "render/pages/html_text.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <optional>

namespace sweepflux::tool {
namespace {

using render::PagePicture;

/// A picture for a file and, drawn again, for a page.
struct Drawing {
  render::Canvas file;
  PagePicture page;
};

template <typename Input>
Drawing draw_in_forms(Input input, render::Canvas (*draw)(const Input&), std::string caption) {
  const auto at = [&](double width) {
    input.width = width;
    return draw(input);
  };
  return {at(render::full_width),
          {at(render::half_width), std::move(caption), at(render::phone_width)}};
}

std::string dashed(std::string words) {
  std::replace(words.begin(), words.end(), ' ', '-');
  return words;
}

/// One line a fan of a quantity of the entries.
std::vector<render::SettingLine> lines_of(const Comparison& c,
                                          std::optional<Estimate> (*pick)(const FanAtSetting&)) {
  std::vector<render::SettingLine> lines;
  for (const std::string& fan : c.fans) {
    render::SettingLine line{fan, {}};
    for (const FanAtSetting& e : c.entries) {
      if (const auto value = e.fan == fan ? pick(e) : std::nullopt) {
        line.points.push_back({e.setting, *value});
      }
    }
    if (!line.points.empty()) {
      lines.push_back(std::move(line));
    }
  }
  return lines;
}

std::optional<Drawing> thrust_picture(const Comparison& c, const std::string& title) {
  render::ThrustChartInput input;
  input.title = "Thrust at each setting";
  input.subtitle = title;
  input.fans = lines_of(c, [](const FanAtSetting& e) { return e.thrust_n; });
  if (input.fans.empty()) {
    return std::nullopt;
  }
  return draw_in_forms(input, render::draw_thrust_chart, "Thrust against setting, a line a fan.");
}

std::optional<Drawing> power_picture(const Comparison& c, const std::string& title) {
  render::DistanceChartInput input;
  input.title = "Thrust against electrical power";
  input.subtitle = title;
  input.value_title = "thrust [N]";
  input.unit = "N";
  input.distance_title = "electrical power [W]";
  input.distance_unit = "W";
  for (const std::string& fan : c.fans) {
    std::vector<std::pair<double, Estimate>> points;
    for (const FanAtSetting& e : c.entries) {
      if (e.fan == fan && e.power_w && e.thrust_n) {
        points.emplace_back(e.power_w->value, *e.thrust_n);
      }
    }
    std::stable_sort(points.begin(), points.end(), [](const auto& a, const auto& b) {
      return a.first < b.first;
    });
    render::DistanceLine line{fan, "", {}, {}, true};
    for (const auto& [power, thrust] : points) {
      line.distance_m.push_back(power);
      line.value.push_back(thrust);
    }
    if (!points.empty()) {
      input.lines.push_back(std::move(line));
    }
  }
  if (input.lines.empty()) {
    return std::nullopt;
  }
  return draw_in_forms(
      input, render::draw_distance_chart, "Thrust against electrical power, a line a fan.");
}

Drawing ranking_picture(const Comparison& c, const Ranking& ranking) {
  const render::DisplayUnit shown = render::display_unit(ranking.criterion);
  render::RankingInput input;
  input.title = render::heading_of(ranking);
  const bool lowest = ranking.criterion == Criterion::lowest_centreline_speed;
  input.value_title =
      (lowest ? "centreline speed" : words_of(ranking.criterion)) + " [" + shown.unit + "]";
  input.unit = shown.unit;
  bool predicted = false;
  for (const Ranked& r : ranking.rows) {
    Estimate e = r.value;
    for (double* part : {&e.value, &e.standard_uncertainty, &e.low_95, &e.high_95}) {
      *part *= shown.scale;
    }
    predicted = predicted || r.predicted;
    input.bars.push_back(
        {c.entries[r.entry].name() + (r.predicted ? " *" : ""), e, static_cast<int>(r.place)});
  }
  const std::string remark = predicted ? "* predicted from thrust and outlet, not from a map" : "";
  input.remark = remark;
  return draw_in_forms(input,
                       render::draw_ranking,
                       input.title + "." + (predicted ? " " + remark + "." : std::string()));
}

const Profile* profile_at(const FanAtSetting& e, double downstream_m) {
  const PlaneFacts* plane = plane_at(e, downstream_m);
  if (plane && plane->profile) {
    return &*plane->profile;
  }
  for (const LoneSweep& s : e.lone_sweeps) {
    if (near_distance(s.downstream_m, downstream_m)) {
      return &s.profile;
    }
  }
  return nullptr;
}

render::ProfileLine line_of(const Profile& profile) {
  constexpr double k95 = 1.959963984540054;
  render::ProfileLine line;
  line.at_m = profile.across_m;
  line.speed_m_s = profile.speed_m_s;
  for (const double u : profile.uncertainty_m_s) {
    line.half_interval_m_s.push_back(k95 * u);
  }
  return line;
}

std::optional<Drawing> overlay_picture(const Comparison& c, double downstream_m) {
  render::OverlayInput input;
  input.title = "Across the stream";
  input.subtitle =
      format_number(downstream_m, 4) + " m from the outlet, at the height of each stream's centre";
  bool lone = false;
  for (const FanAtSetting& e : c.entries) {
    if (const Profile* profile = profile_at(e, downstream_m)) {
      lone = lone || !profile->from_map;
      input.curves.push_back({e.fan, e.setting, line_of(*profile), {}});
    }
  }
  if (input.curves.empty()) {
    return std::nullopt;
  }
  const std::string remark =
      lone ? "Lines without a band are one sweep as read, at its own height." : "";
  input.remark = remark;
  return draw_in_forms(input,
                       render::draw_overlay,
                       "Speed across the streams " + input.subtitle + ", seen facing the fan." +
                           (lone ? " " + remark : ""));
}

std::optional<Drawing> growth_picture(const Comparison& c) {
  render::DistanceChartInput input;
  input.title = "How the flow grows";
  input.value_title = "volume flow [m\xC2\xB3/s]";
  input.unit = "m\xC2\xB3/s";
  for (const FanAtSetting& e : c.entries) {
    render::DistanceLine line{e.fan, e.setting, {}, {}, true};
    for (const PlaneFacts& p : e.planes) {
      line.distance_m.push_back(p.downstream_m);
      line.value.push_back(p.volume_flow_m3_s);
    }
    if (!line.value.empty()) {
      input.lines.push_back(std::move(line));
    }
  }
  if (input.lines.empty()) {
    return std::nullopt;
  }
  return draw_in_forms(
      input,
      render::draw_distance_chart,
      "Measured flow against distance: it grows by the room air that is entrained.");
}

std::optional<Drawing> throw_picture(const Comparison& c) {
  render::DistanceChartInput input;
  input.title = "Throw";
  input.subtitle = "predicted for a free stream in still air, not measured";
  input.value_title = "centreline speed [m/s]";
  input.unit = "m/s";
  for (const PredictedStream& f : c.predicted) {
    const FanAtSetting& e = c.entries[f.entry];
    render::DistanceLine line{e.fan, e.setting, {}, {}, false};
    for (const StreamPrediction& p : f.curve) {
      line.distance_m.push_back(p.downstream_m);
      line.value.push_back(p.centre_speed_m_s);
    }
    input.lines.push_back(std::move(line));
  }
  if (input.lines.empty()) {
    return std::nullopt;
  }
  for (const double v : c.options.wished_speeds_m_s) {
    input.levels.push_back({v, format_number(v, 3) + " m/s"});
  }
  return draw_in_forms(
      input,
      render::draw_distance_chart,
      "Centreline speed against distance, predicted for a free stream in still air: "
      "from thrust and outlet, and from the fan's own map where there is one.");
}

}  // namespace

CampaignDrawings draw_campaign(const Comparison& c, const std::string& title) {
  CampaignDrawings drawings;
  const auto keep = [&](const std::string& name, std::optional<Drawing> drawing) {
    std::optional<PagePicture> picture;
    if (drawing) {
      drawings.files.emplace_back(name, std::move(drawing->file));
      picture = std::move(drawing->page);
    }
    return picture;
  };
  render::CampaignPictures& page = drawings.for_page;
  page.thrust = keep("thrust", thrust_picture(c, title));
  page.power = keep("thrust-against-power", power_picture(c, title));
  for (const Ranking& ranking : c.rankings) {
    std::string name = "ranking-" + dashed(words_of(ranking.criterion));
    if (ranking.downstream_m) {
      name += "-" + format_number(*ranking.downstream_m, 6) + "m";
    }
    if (c.entries.size() > 1) {
      page.rankings.push_back(*keep(name, ranking_picture(c, ranking)));
    }
  }
  for (const double distance : c.distances_m) {
    if (auto picture =
            keep("profiles-" + format_number(distance, 6) + "m", overlay_picture(c, distance))) {
      page.profiles.push_back(*std::move(picture));
    }
  }
  page.growth = keep("growth", growth_picture(c));
  page.throw_chart = keep("throw", throw_picture(c));
  return drawings;
}

}  // namespace sweepflux::tool
