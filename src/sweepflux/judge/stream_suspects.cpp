#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/suspects_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

/// Distance in diameters of a round outlet of the same area.
double in_diameters(const CheckedPlanes& c, const PlaneResult& plane) {
  const double area = c.survey.outlet.area_m2();
  return area > 0.0 ? plane.downstream_m / std::sqrt(4.0 * area / std::numbers::pi) : 0.0;
}

/// The mean speed squared leaves out u'^2 and the pressure: 2.3 to 6.2 % of the momentum flux in one
/// developed round jet [Panchapakesan 1993], 11.5 % in another [Hussein 1994]. They build up over
/// the first eight diameters or so; that they do so evenly is a rule of thumb.
Suspect turbulence(const CheckedPlanes& c) {
  Suspect s{"turbulence and pressure", {}, {}, 1.0, false};
  for (const PlaneResult* plane : c.planes) {
    const double x = in_diameters(c, *plane);
    const double developed = x > 0.0 ? std::min(1.0, x / 8.0) : 1.0;
    s.shift.push_back({-0.12 * developed, -0.02 * developed});
    s.text.push_back(
        "Turbulence and pressure act on the balance but are not in the momentum flux of the mean speed: " +
        share_text(s.shift.back()) + " at " + format_number(x, 2) +
        " outlet diameters (2 to 12 % in developed round jets).");
  }
  return s;
}

/// Swirl sucks at the plane: pressure -rho w^2 / 2 makes -4.5 % of the momentum flux for w / u = 0.3, which
/// the map does not see, so it reads high. A hub's wake and slanted flow make vanes read low. Both
/// die out along the stream; as one over the square of the distance is a rule of thumb.
Suspect swirl(const CheckedPlanes& c) {
  Suspect s{"swirl and the hub's wake", {}, {}, 0.85, false};
  for (const PlaneResult* plane : c.planes) {
    const double x = in_diameters(c, *plane);
    const double left = x > 2.0 ? 4.0 / (x * x) : 1.0;
    s.shift.push_back(x > 0.0 ? ShareRange{-0.10 * left, 0.05 * left} : ShareRange{});
    std::string text = "At " + format_number(x, 2) +
                       " outlet diameters swirl and the hub's wake may move the ratio by " +
                       share_text(s.shift.back()) +
                       ": slanted flow makes the probe read low, the swirl's suction is not seen.";
    if (x < 1.0) {
      text += " So close to the outlet momentum flux and thrust need not agree at all.";
    }
    s.text.push_back(text);
  }
  return s;
}

double section_m2(const Room& room) {
  if (!room.width_m || !room.height_m) {
    return 0.0;
  }
  return *room.width_m * (*room.height_m - room.floor_m.value_or(0.0));
}

Suspect room(const CheckedPlanes& c) {
  Suspect s{"return flow of the room", {}, {}, 0.95, false};
  const double section = section_m2(c.survey.room);
  for (const PlaneResult* plane : c.planes) {
    if (section <= 0.0) {
      s.shift.push_back({});
      s.text.emplace_back();
      continue;
    }
    const ShareRange kept = confined_momentum_share(plane->downstream_m, section);
    s.shift.push_back({kept.low - 1.0, kept.high - 1.0});
    s.text.push_back("Entrained air comes back through the rest of the room's " +
                     format_number(section, 3) +
                     " m2 and takes momentum flux from the stream: " + share_text(s.shift.back()) +
                     " at " + format_number(plane->downstream_m, 3) + " m.");
  }
  return s;
}

/// The stream meets the floor when its edge, two and a half half widths out, does. What friction
/// takes then is common practice, no published source.
Suspect floor_friction(const CheckedPlanes& c) {
  Suspect s{"friction at the floor", {}, {}, 0.8, false};
  for (const PlaneResult* plane : c.planes) {
    const double clear_m = c.survey.room.floor_m ? plane->centre.z_m - *c.survey.room.floor_m : 0.0;
    const double edge_m = 2.5 * plane->half_width_z_m;
    if (!(clear_m > 0.0) || !(edge_m > clear_m)) {
      s.shift.push_back({});
      s.text.emplace_back();
      continue;
    }
    s.shift.push_back({-0.05 * std::min(1.0, edge_m / clear_m - 1.0), 0.0});
    s.text.push_back("The stream's edge reaches " + format_number(edge_m, 2) +
                     " m down and its centre stands " + format_number(clear_m, 2) +
                     " m above the floor: friction may take " + percent_text(-s.shift.back().low) +
                     ".");
  }
  return s;
}

}  // namespace

std::vector<Suspect> stream_suspects(const CheckedPlanes& checked) {
  return {turbulence(checked), room(checked), swirl(checked), floor_friction(checked)};
}

}  // namespace sweepflux
