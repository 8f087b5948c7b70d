#pragma once

#include "render/charts/chart.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// Speed along one straight cut through a plane.
struct ProfileLine {
  std::string name;                       ///< for the legend
  int style = 0;                          ///< number in the family of line styles
  double weight = 2.0;                    ///< width of the line [px]
  std::vector<double> at_m;               ///< rising
  std::vector<double> speed_m_s;          ///< as many
  std::vector<double> low_m_s, high_m_s;  ///< edges of the band, as many; both empty: no band
  std::vector<double> support;  ///< 0 to 1, as many; empty: 1. Below 1/2 the line is faint
  struct Dot {
    double at_m = 0.0;
    double speed_m_s = 0.0;
    bool below = false;  ///< under the probe's starting speed: known only to lie below speed_m_s
  };
  std::vector<Dot> readings;  ///< near the cut

  /// The same line without its places.
  [[nodiscard]] ProfileLine without_places() const {
    ProfileLine bare = *this;
    for (std::vector<double>* list :
         {&bare.at_m, &bare.speed_m_s, &bare.low_m_s, &bare.high_m_s, &bare.support}) {
      list->clear();
    }
    return bare;
  }
};

struct ProfilesInput : PictureWords {
  std::vector<ProfileLine> across = {};           ///< against y
  std::vector<ProfileLine> upright = {};          ///< against z; empty: only the other panel
  std::optional<double> starting_speed_m_s = {};  ///< of the probe, as a dotted line
  std::optional<double> floor_m = {};
  bool names_at_peaks = false;           ///< names beside the level cut, in place of the legend's
  std::vector<LegendEntry> legend = {};  ///< further entries
};

/// Profiles of several planes or fans over each other: the level cut with speed upwards, the
/// upright cut with height upwards, one speed scale for both. Bands are drawn for up to six lines;
/// of more lines with names at their peaks, the interval of each peak stands at the panel's right.
/// From 600 px of width on the two cuts stand side by side.
/// A line with a band that has fewer than 200 places is drawn as a smooth curve through them.
///
/// @throws InputError  sizes do not fit, or there is no line
[[nodiscard]] Canvas draw_profiles(const ProfilesInput& input);

}  // namespace sweepflux::render
