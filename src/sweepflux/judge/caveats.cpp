#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/caveats_private.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace sweepflux {
namespace {

void few_heights(const PlaneField& field, std::vector<std::string>& out) {
  const std::size_t own = field.frame.heights_m.size();
  if (field.pooled_weight > 0.5 && field.rows_m.size() > 4) {
    return;
  }
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
                  " heights were swept: a shape that falls between them stays unseen");
  }
}

/// Does the outermost sweep still carry much of what the strongest carries?
void not_bracketed(const PlaneSamples& samples,
                   const PlaneField& field,
                   std::vector<std::string>& out) {
  if (field.frame.heights_m.size() < 2) {
    return;
  }
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
    const bool floor = field.frame.has_floor &&
                       row.first - field.frame.floor_m < 1.5 * field.frame.row_gap_m &&
                       std::string(where) == "lowest";
    if (share > 0.2 && !floor) {
      out.push_back("the stream is not bracketed: the " + std::string(where) + " sweep at " +
                    metres_text(row.first) + " still has " + percent_text(share) +
                    " of the strongest sweep's momentum; sweep " + what +
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

std::vector<std::string> plane_caveats(const Survey& survey,
                                       const PlaneSamples& samples,
                                       const PlaneField& field,
                                       const PlaneFlux& flux,
                                       const StreamShape& shape) {
  std::vector<std::string> out;
  few_heights(field, out);
  not_bracketed(samples, field, out);
  if (shape.peak_at_edge) {
    out.push_back(
        "the largest speed lies at the border of the swept window: the peak may be "
        "outside it");
  }
  if (flux.beyond[0] > 0.4) {
    out.push_back(percent_text(flux.beyond[0]) +
                  " of the flow lies beyond the readings or under the probe's starting speed: "
                  "that part is inferred from the shape");
  }
  const auto weight_of = [&](Candidate candidate) {
    double weight = 0.0;
    for (const WeightedPart& part : field.parts) {
      if (part.candidate == candidate) {
        weight += part.weight;
      }
    }
    return weight;
  };
  if (weight_of(Candidate::three_cores) + weight_of(Candidate::four_cores) > 0.5) {
    out.push_back(
        "only a sum of three or four cores describes the readings: such a stream may hold more "
        "between the sweeps than they show; look at the map before you use a single centre or "
        "half width");
  }
  if (weight_of(Candidate::two_cores) > 0.5) {
    out.push_back(
        "two cores, or one that is drawn out, describe the readings better than one round "
        "core: look at the map before you "
        "use a single centre or half width");
  }
  if (field.misfit > 1.5) {
    out.push_back("no simple shape describes the stream (misfit " + format_number(field.misfit, 2) +
                  " times the noise): what lies between the sweeps is less sure, and the intervals "
                  "are widened for it");
  }
  const bool floor_named = survey.room.floor_m.has_value();
  const double reach = shape.centre.z_m - 2.5 * shape.half_width_z_m;
  if (!floor_named && reach < 0.0) {
    out.push_back("the stream probably touches the floor (its skirt would reach " +
                  metres_text(-reach) +
                  " below it); name it as [room] floor = \"0 m\" if there is one");
  }
  const double size = std::max(survey.outlet.extent_y_m(), survey.outlet.extent_z_m());
  if (size > 0.0 && samples.downstream_m < size) {
    out.push_back(
        "the plane is nearer than one outlet width (" + metres_text(samples.downstream_m) +
        "): reverse flow, pressure and swirl count there, so momentum and thrust need not "
        "agree");
  }
  return out;
}

}  // namespace sweepflux
