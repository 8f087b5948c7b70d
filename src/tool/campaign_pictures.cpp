#include "tool/campaign_pictures.hpp"

#include "render/charts/bars.hpp"
#include "render/charts/fan_charts.hpp"
#include "render/pages/campaign_parts.hpp"
#include "render/pages/html_text.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <span>
#include <utility>

namespace sweepflux::tool {
namespace {

using render::PagePicture;

/// Bars of a ranking that are drawn in its file and on a page, where a sheet of paper has room for
/// so many; more are read in its table.
constexpr std::size_t most_bars = 24;
constexpr std::size_t most_page_bars = 15;

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

/// A hue a fan, the same in all charts; what was changed at it has another dash and marker.
render::FanStyles styles_of(const Comparison& c) {
  render::FanStyles styles;
  std::vector<std::string> fans;
  std::map<std::string, int> changes;
  for (const FanAtSetting& e : c.entries) {
    if (std::find(fans.begin(), fans.end(), e.fan) == fans.end()) {
      fans.push_back(e.fan);
    }
    if (!styles.contains(e.series())) {
      const auto fan = std::find(fans.begin(), fans.end(), e.fan) - fans.begin();
      styles[e.series()] = static_cast<int>(fan) + render::series_colours() * changes[e.fan]++;
    }
  }
  return styles;
}

std::string dashed(std::string words) {
  std::replace(words.begin(), words.end(), ' ', '-');
  return words;
}

std::optional<Drawing> thrust_picture(const Comparison& c, const std::string& title) {
  render::ThrustChartInput input;
  input.title = "Thrust at each setting";
  input.subtitle = title;
  input.styles = styles_of(c);
  for (const std::string& fan : c.fans) {
    render::SettingLine line{fan, {}};
    for (const FanAtSetting& e : c.entries) {
      if (e.series() == fan && e.thrust_n) {
        line.points.push_back({e.setting, *e.thrust_n});
      }
    }
    if (!line.points.empty()) {
      input.fans.push_back(std::move(line));
    }
  }
  if (input.fans.empty()) {
    return std::nullopt;
  }
  return draw_in_forms(input, render::draw_thrust_chart, "Thrust against setting, a line a fan.");
}

/// Nothing where there is no line.
std::optional<Drawing> distance_picture(const render::DistanceChartInput& input,
                                        std::string caption) {
  if (input.lines.empty()) {
    return std::nullopt;
  }
  return draw_in_forms(input, render::draw_distance_chart, std::move(caption));
}

/// Thrust against something that a meter shows of each setting, a line a fan.
template <typename Meter>
std::optional<Drawing> thrust_against(render::DistanceChartInput input,
                                      const Comparison& c,
                                      const std::string& caption,
                                      Meter meter) {
  input.value_title = "thrust [N]";
  input.unit = "N";
  input.styles = styles_of(c);
  for (const std::string& fan : c.fans) {
    std::vector<std::pair<double, Estimate>> points;
    for (const FanAtSetting& e : c.entries) {
      const std::optional<double> shown = e.series() == fan ? meter(e) : std::nullopt;
      if (shown && e.thrust_n) {
        points.emplace_back(*shown, *e.thrust_n);
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
  return distance_picture(input, caption);
}

std::optional<Drawing> power_picture(const Comparison& c, const std::string& title) {
  render::DistanceChartInput input;
  input.title = "Thrust against electrical power";
  input.subtitle = title;
  input.distance_title = "electrical power [W]";
  input.distance_unit = "W";
  return thrust_against(std::move(input),
                        c,
                        "Thrust against electrical power, a line a fan.",
                        [](const FanAtSetting& e) {
                          return e.power_w ? std::optional(e.power_w->value) : std::nullopt;
                        });
}

std::optional<Drawing> sound_picture(const Comparison& c) {
  std::optional<double> meter_m;
  for (const FanAtSetting& e : c.entries) {
    meter_m = meter_m || !e.sound ? meter_m : std::optional(e.sound->distance_m);
  }
  if (!c.equal_sounds.empty()) {
    meter_m = c.equal_sounds.front().distance_m;
  }
  if (!meter_m) {
    return std::nullopt;
  }
  render::DistanceChartInput input;
  input.title = "Thrust against sound level";
  input.subtitle = "A-weighted, read " + format_number(*meter_m, 3) + " m from the fan";
  input.distance_title = "sound level [dB(A)]";
  input.distance_unit = "dB(A)";
  input.from_zero = false;
  return thrust_against(std::move(input),
                        c,
                        "Thrust against A-weighted sound level, a line a fan: higher at the same "
                        "level is better. Levels hold for one meter at one place in one room.",
                        [&](const FanAtSetting& e) {
                          return e.sound && near_distance(e.sound->distance_m, *meter_m)
                                     ? std::optional(e.sound->level_db.value)
                                     : std::nullopt;
                        });
}

/// @param most  bars; the remark says how many are left out
render::RankingInput ranking_input(const Comparison& c, const Ranking& ranking, std::size_t most) {
  const render::DisplayUnit shown = render::display_unit(ranking.criterion);
  render::RankingInput input;
  input.title = render::heading_of(ranking);
  const bool lowest = ranking.criterion == Criterion::lowest_centreline_speed;
  input.value_title =
      (lowest ? "centreline speed" : words_of(ranking.criterion)) + " [" + shown.unit + "]";
  input.unit = shown.unit;
  const render::FanStyles styles = styles_of(c);
  bool predicted = false;
  const std::size_t drawn = std::min(ranking.rows.size(), most);
  for (const Ranked& r : std::span(ranking.rows).first(drawn)) {
    predicted = predicted || r.predicted;
    input.bars.push_back({r.where.empty() ? c.entries[r.entry].name() : r.where,
                          scaled(r.value, shown.scale),
                          static_cast<int>(r.place),
                          styles.at(c.entries[r.entry].series()),
                          r.predicted});
  }
  std::string remark = predicted ? "* predicted from thrust and outlet, not from a map" : "";
  if (drawn < ranking.rows.size()) {
    remark += (predicted ? ". " : "") + std::string("The first ") + std::to_string(drawn) + " of " +
              std::to_string(ranking.rows.size()) + "; the table has all";
  }
  input.remark = remark;
  return input;
}

Drawing ranking_picture(const Comparison& c, const Ranking& ranking) {
  const render::RankingInput input = ranking_input(c, ranking, most_page_bars);
  Drawing drawing = draw_in_forms(
      input,
      render::draw_ranking,
      input.title + "." + (input.remark.empty() ? input.remark : " " + input.remark + "."));
  drawing.file = render::draw_ranking(ranking_input(c, ranking, most_bars));
  return drawing;
}

std::optional<Drawing> overlay_picture(const Comparison& c, double downstream_m) {
  render::OverlayInput input;
  input.title = "Across the stream";
  input.subtitle =
      format_number(downstream_m, 4) + " m from the outlet, at the height of each stream's centre";
  input.styles = styles_of(c);
  bool lone = false, carried = false;
  for (const ShownProfile& p : c.profiles) {
    if (p.downstream_m == downstream_m) {
      const FanAtSetting& e = c.entries[p.entry];
      lone = lone || !p.profile.from_map;
      carried = carried || p.carried_from_m.has_value();
      render::ProfileLine line;
      line.at_m = p.profile.across_m;
      line.speed_m_s = p.profile.speed_m_s;
      line.low_m_s = p.profile.low_m_s;
      line.high_m_s = p.profile.high_m_s;
      input.curves.push_back(
          {e.series(), e.setting, std::move(line), {}, e.name() + (p.carried_from_m ? " *" : "")});
    }
  }
  if (input.curves.empty()) {
    return std::nullopt;
  }
  std::string remark = carried ? "* predicted: carried here from the nearest mapped plane by the "
                                 "fan's fitted spread and decay; less certain than a map."
                               : "";
  if (lone) {
    remark += std::string(remark.empty() ? "" : " ") +
              "Lines without a band are one sweep as read, at its own height.";
  }
  input.remark = remark;
  return draw_in_forms(input,
                       render::draw_overlay,
                       "Speed across the streams " + input.subtitle + ", seen facing the fan." +
                           (remark.empty() ? "" : " " + remark));
}

std::optional<Drawing> growth_picture(const Comparison& c) {
  render::DistanceChartInput input;
  input.styles = styles_of(c);
  input.title = "How the flow grows";
  input.value_title = "volume flow [m\xC2\xB3/s]";
  input.unit = "m\xC2\xB3/s";
  for (const FanAtSetting& e : c.entries) {
    render::DistanceLine line{e.series(), e.setting, {}, {}, true, e.name()};
    for (const PlaneFacts& p : e.planes) {
      line.distance_m.push_back(p.downstream_m);
      line.value.push_back(p.volume_flow_m3_s);
    }
    if (!line.value.empty()) {
      input.lines.push_back(std::move(line));
    }
  }
  return distance_picture(
      input, "Measured flow against distance: it grows by the room air that is entrained.");
}

std::optional<Drawing> throw_picture(const Comparison& c) {
  render::DistanceChartInput input;
  input.styles = styles_of(c);
  input.title = "Throw";
  input.subtitle = "predicted for a free stream in still air, not measured";
  input.value_title = "centreline speed [m/s]";
  input.unit = "m/s";
  for (const PredictedStream& f : c.predicted) {
    const FanAtSetting& e = c.entries[f.entry];
    render::DistanceLine line{e.series(), e.setting, {}, {}, false, e.name()};
    for (const StreamPrediction& p : f.curve) {
      line.distance_m.push_back(p.downstream_m);
      line.value.push_back(p.centre_speed_m_s);
    }
    input.lines.push_back(std::move(line));
  }
  for (const double v : c.options.wished_speeds_m_s) {
    input.levels.push_back({v, format_number(v, 3) + " m/s"});
  }
  return distance_picture(
      input,
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
  page.sound = keep("thrust-against-sound", sound_picture(c));
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
