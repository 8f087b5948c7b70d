#include "sweepflux/judge/caveats_private.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace sweepflux {
namespace {

void few_heights(std::size_t own, std::vector<std::string>& out) {
  if (own == 1) {
    out.push_back(
        "only one height was swept: how the stream varies with height is assumed, not measured. "
        "Sweep at least two more heights, about 1.6 half widths apart");
  } else if (own == 2) {
    out.push_back(
        "only two heights were swept: the vertical extent of the stream is mostly assumed. "
        "Sweep at least one more");
  } else if (own <= 4) {
    out.push_back("only " + std::to_string(own) +
                  " heights were swept: what lies between them is assumed from the outlet and from "
                  "the usual shape of jets");
  }
}

/// Does the outermost sweep still carry much of what the strongest carries?
void not_bracketed(const PlaneSamples& samples,
                   const std::vector<double>& heights,
                   std::vector<std::string>& out) {
  if (heights.size() < 2) {
    return;
  }
  const double gap = (heights.back() - heights.front()) / static_cast<double>(heights.size() - 1);
  std::map<double, std::pair<double, double>> rows;  // height: sum of u^2, count
  double side_low = 0.0, side_high = 0.0, peak = 0.0;
  const Window& w = samples.window;
  for (const Sample& s : samples.samples) {
    const double u = s.censored ? 0.0 : s.speed_m_s;
    auto& row = rows[samples.sweeps[static_cast<std::size_t>(s.sweep)].height_m];
    row.first += u * u;
    row.second += 1.0;
    peak = std::max(peak, u);
    const double near = 0.04 * w.width_m();
    if (s.at.y_m < w.y_min_m + near) {
      side_low = std::max(side_low, u);
    }
    if (s.at.y_m > w.y_max_m - near) {
      side_high = std::max(side_high, u);
    }
  }
  double top = 0.0;
  for (const auto& [height, row] : rows) {
    top = std::max(top, row.first / row.second);
  }
  const auto check = [&](const std::pair<const double, std::pair<double, double>>& row,
                         const char* where,
                         const char* what) {
    const double share = row.second.first / row.second.second / top;
    const bool floor = samples.floor_m && row.first - *samples.floor_m < 1.5 * gap &&
                       std::string(where) == "lowest";
    if (share > 0.2 && !floor) {
      out.push_back("the stream is not bracketed: the " + std::string(where) + " sweep at " +
                    metres_text(row.first) + " still has " + percent_text(share) +
                    " of the strongest sweep's momentum flux; sweep " + what +
                    ", or the totals rest on an assumed shape");
    }
  };
  check(*rows.begin(), "lowest", "lower");
  check(*rows.rbegin(), "highest", "higher");
  for (const auto& [value, side] : {std::pair{side_low, "left"}, std::pair{side_high, "right"}}) {
    if (value > 0.2 * peak) {
      out.push_back("the " + std::string(side) + " end of the sweeps still reads " +
                    percent_text(value / peak) + " of the peak: turn further to that side");
    }
  }
}

}  // namespace

std::string reason_to_withhold(const PlaneResult& plane, const PlaneDraws& draws) {
  const double inside = momentum_share_inside(draws);
  if (inside < bracketed_share) {
    return "the readings do not bracket a stream: only " + percent_text(inside) +
           " of its momentum flux would lie inside the window that was read";
  }
  const Estimate& m = plane.momentum_flux_n;
  if (m.high_95 > 6.0 * std::max(m.low_95, 0.0)) {
    return "the readings leave the momentum flux open between " + format_number(m.low_95, 2) +
           " and " + format_number(m.high_95, 2) + " N (95 %)";
  }
  return {};
}

std::vector<std::string> plane_caveats(const Survey& survey,
                                       const PlaneSamples& samples,
                                       const PlaneResult& plane,
                                       const StreamPosterior* posterior) {
  std::vector<std::string> out;
  if (!plane.withheld.empty()) {
    out.push_back("no number for the whole plane: " + plane.withheld +
                  "; sweep farther to both sides, higher and lower");
  }
  const std::vector<double> heights = swept_heights_m(samples);
  few_heights(heights.size(), out);
  not_bracketed(samples, heights, out);
  if (plane.withheld.empty() && heights.size() > 1 && plane.flow_extrapolated > 0.4) {
    out.push_back(percent_text(plane.flow_extrapolated) +
                  " of the flow lies outside the window that was read or under the probe's starting "
                  "speed: that part is extrapolated");
  }
  if (posterior != nullptr) {
    double several = 0.0;
    for (std::size_t d = 0; d < posterior->draws(); ++d) {
      several += posterior->extras(d).cores > 1 ? 1.0 : 0.0;
    }
    several /= static_cast<double>(posterior->draws());
    if (several > 0.5) {
      out.push_back("the readings indicate more than one core (" + percent_text(several) +
                    " of the draws): look at the map before you use a single centre or half width");
    }
  }
  const bool floor_named = survey.room.floor_m.has_value();
  const double reach = plane.centre.z_m - 2.5 * plane.half_width_z_m;
  if (!floor_named && reach < 0.0) {
    out.push_back("the stream probably touches the floor (its outer region would reach " +
                  metres_text(-reach) +
                  " below it); name it as [room] floor = \"0 m\" if there is one");
  }
  const double size = std::max(survey.outlet.extent_y_m(), survey.outlet.extent_z_m());
  if (size > 0.0 && samples.downstream_m < size) {
    out.push_back("the plane is nearer than one outlet width (" + metres_text(samples.downstream_m) +
                  "): reverse flow, pressure and swirl count there, so momentum flux and thrust need "
                  "not agree");
  }
  return out;
}

}  // namespace sweepflux
