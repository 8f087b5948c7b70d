#include "sweepflux/derive/log/rest_lengths.hpp"

#include "sweepflux/base/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <span>

namespace sweepflux {
namespace {

constexpr double least_share_of_usual = 0.3;
constexpr double shortest_stop_s = 0.5;  // where there are longer rests
constexpr std::size_t long_rests_not_counted = 3;
constexpr std::size_t enough_stops = 4;
constexpr double least_times_usual = 3.0;  // of a rest that stands out
constexpr double deviations = 4.0;         // likewise, robust ones

}  // namespace

RestLengths judge_rest_lengths(std::vector<double> lengths_s) {
  RestLengths result;
  std::erase_if(lengths_s, [](double length_s) { return !(length_s > 0.0); });
  std::sort(lengths_s.begin(), lengths_s.end());
  const std::span<const double> all = lengths_s;
  std::span<const double> stops;
  double most = -1.0;
  bool shorter = false;  // stops as well
  for (std::size_t begin = 0, end = 0; begin < all.size(); begin = end) {
    end = begin + 1;
    while (end < all.size() && least_share_of_usual * all[end] <= all[end - 1]) {
      ++end;
    }
    const std::span<const double> part = all.subspan(begin, end - begin);
    const double usual_s = median(part);
    const bool too_short = usual_s < shortest_stop_s && end < all.size();
    const std::size_t taken_off = shorter ? std::min(part.size(), long_rests_not_counted) : 0;
    const double time_s = too_short ? 0.0 : static_cast<double>(part.size() - taken_off) * usual_s;
    shorter = shorter || !too_short;
    if (time_s > most) {
      most = time_s;
      stops = part;
    }
  }
  if (stops.empty()) {
    return result;
  }
  std::vector<double> logs;
  for (const double length_s : stops) {
    logs.push_back(std::log(length_s));
  }
  result.usual_s = median(stops);
  result.shortest_s = least_share_of_usual * result.usual_s;
  result.parked_s = result.usual_s * std::exp(std::max(std::log(least_times_usual),
                                                       deviations * robust_scale(logs)));
  result.enough = stops.size() >= enough_stops;
  return result;
}

}  // namespace sweepflux
