#include "tool/campaign_pictures.hpp"

#include "render/charts/distance_chart.hpp"
#include "render/charts/overlay.hpp"
#include "render/charts/ranking.hpp"
#include "render/charts/thrust_chart.hpp"
#include "render/pages/campaign_parts.hpp"
#include "render/pages/html_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <optional>

namespace sweepflux::tool {
namespace {

using render::PagePicture;

const char* const bars_hold_95 = "Error bars hold 95 %.";

std::string dashed(std::string words) {
  std::replace(words.begin(), words.end(), ' ', '-');
  return words;
}

/// One line a fan of what the entries tell of a quantity.
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

std::optional<PagePicture> thrust_picture(const Comparison& c, const std::string& title) {
  render::ThrustChartInput input;
  input.title = "Thrust at each setting";
  input.subtitle = title;
  input.fans = lines_of(c, [](const FanAtSetting& e) { return e.thrust_n; });
  input.remark = bars_hold_95;
  if (input.fans.empty()) {
    return std::nullopt;
  }
  return PagePicture{draw_thrust_chart(input),
                     "Thrust against setting, a line a fan. The same numbers stand in the table."};
}

PagePicture ranking_picture(const Comparison& c, const Ranking& ranking) {
  const render::DisplayUnit shown = render::display_unit(ranking.criterion);
  render::RankingInput input;
  input.title = render::heading_of(ranking);
  const bool breeze = ranking.criterion == Criterion::gentlest_breeze;
  input.value_title =
      (breeze ? "centre speed" : words_of(ranking.criterion)) + " [" + shown.unit + "]";
  input.unit = shown.unit;
  bool foretold = false;
  for (const Ranked& r : ranking.rows) {
    Estimate e = r.value;
    for (double* part : {&e.value, &e.standard_uncertainty, &e.low_95, &e.high_95}) {
      *part *= shown.scale;
    }
    foretold = foretold || r.predicted;
    input.bars.push_back(
        {c.entries[r.entry].name() + (r.predicted ? " *" : ""), e, static_cast<int>(r.place)});
  }
  input.remark = foretold ? "* foretold from thrust and outlet, not from a map" : "";
  return {draw_ranking(input),
          std::string("A bracket holds what cannot be told apart.") +
              (foretold ? " Foretold: from thrust and outlet, not from a map." : "")};
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
  render::ProfileLine line;
  line.at_m = profile.across_m;
  line.speed_m_s = profile.speed_m_s;
  for (const double u : profile.uncertainty_m_s) {
    line.half_interval_m_s.push_back(normal_95 * u);
  }
  return line;
}

std::optional<PagePicture> overlay_picture(const Comparison& c, double downstream_m) {
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
  if (lone) {
    input.remark = "Lines without a band are one sweep as read, at its own height.";
  }
  return PagePicture{draw_overlay(input),
                     "Speed across the streams at equal distance, facing the fan."};
}

std::optional<PagePicture> growth_picture(const Comparison& c) {
  render::DistanceChartInput input;
  input.title = "How the flow grows";
  input.value_title = "volume flow [m\xC2\xB3/s]";
  input.unit = "m\xC2\xB3/s";
  input.remark = bars_hold_95;
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
  return PagePicture{draw_distance_chart(input),
                     "Measured flow against distance: what comes on "
                     "top of the outlet's own air is room air."};
}

std::optional<PagePicture> reach_picture(const Comparison& c) {
  render::DistanceChartInput input;
  input.title = "How far the breeze reaches";
  input.subtitle = "foretold, not measured";
  input.value_title = "speed at the stream's centre [m/s]";
  input.unit = "m/s";
  input.remark = "Foretold for a free stream in still air. Bands hold 95 %.";
  for (const Foretold& f : c.foretold) {
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
  return PagePicture{draw_distance_chart(input),
                     "Speed at the centre of the stream against distance, foretold from thrust and "
                     "outlet, and from the fan's own map where there is one."};
}

}  // namespace

CampaignDrawings draw_campaign(const Comparison& c, const std::string& title) {
  CampaignDrawings drawings;
  const auto keep = [&](const std::string& name, const std::optional<PagePicture>& picture) {
    if (picture) {
      drawings.files.emplace_back(name, picture->canvas);
    }
    return picture;
  };
  render::CampaignPictures& page = drawings.for_page;
  page.thrust = keep("thrust", thrust_picture(c, title));
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
    if (auto picture = overlay_picture(c, distance)) {
      page.profiles.push_back(*keep("profiles-" + format_number(distance, 6) + "m", picture));
    }
  }
  page.growth = keep("growth", growth_picture(c));
  page.reach = keep("reach", reach_picture(c));
  return drawings;
}

}  // namespace sweepflux::tool
