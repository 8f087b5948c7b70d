#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/thrust/thrust.hpp"
#include "sweepflux/judge/plausibility_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

namespace sweepflux {
namespace {

constexpr double rho_kg_m3 = 1.2;  // a first look needs no better
constexpr double most_power_w = 1e4;
constexpr double tails = 10.0;  // degrees of freedom

/// Three digits, and never a power of ten in a sentence.
std::string plain(double value) {
  return value < 1000.0 ? format_number(value, 3) : format_number(std::round(value), 15);
}

std::string newtons(double force_n) { return plain(force_n) + " N"; }
std::string watts(double power_w) { return plain(power_w) + " W"; }

/// Room fans' proportions spread over ratios, so that logarithms are compared.
double log_z(double value, double usual, double spread) { return std::log(value / usual) / spread; }

/// Of two spreads, the one on the value's side.
double log_z(double value, double usual, double spread_down, double spread_up) {
  return log_z(value, usual, value < usual ? spread_down : spread_up);
}

/// Of a first look at so many heights, as a logarithm; more where one or two heights miss the
/// middle.
double momentum_spread(const PlaneLook& p, const Outlet& outlet) {
  if (p.heights >= 3) {
    return p.heights >= 5 ? 0.2 : 0.3;
  }
  const double off = (p.centre_z_m - outlet.centre_height_m) /
                     usual_half_width_m(outlet.extent_z_m(), p.downstream_m);
  return 0.5 + 2.0 * off * off;
}

/// A low momentum flux or a small width is no news where one or two heights may miss what a stream
/// of several cores carries, or where a faint stream hides under the starting speed.
double missed_spread(const PlaneLook& p, double spread, double start_m_s) {
  return std::max({spread, p.heights < 3 ? 1.0 : 0.0, 2.5 * start_m_s / p.peak_m_s});
}

class Clues {
 public:
  explicit Clues(const Survey& survey)
      : survey_(survey), outlet_(survey.outlet), look_(look_at_readings(survey)) {
    if (survey.balance) {
      try {
        thrust_n_ = derive_thrust(*survey.balance).thrust_n.value;
      } catch (const InputError&) {  // whoever derives it reports its fault
      }
    }
    if (outlet_.power_w && outlet_.power_w->value > 0.0) {
      power_w_ = outlet_.power_w->value;
    }
    area_m2_ = outlet_.area_m2();
  }

  std::vector<Clue> collect() {
    stated_sizes();
    strengths();
    for (const PlaneLook& plane : look_.planes) {
      geometry(plane);
    }
    between_planes();
    probe();
    return std::move(clues_);
  }

 private:
  /// Keeps the worst of each kind.
  void add(const char* kind, double z, std::string text, bool impossible = false) {
    if (!std::isfinite(z)) {
      return;
    }
    const auto same =
        std::find_if(clues_.begin(), clues_.end(), [&](const Clue& c) { return c.kind == kind; });
    Clue clue{kind, z, impossible, std::move(text), false};
    clue.only_if_strange = clue.kind == "silence" || clue.kind == "turn" ||
                           clue.kind == "behind the outlet" || clue.kind == "lowest reading";
    if (same == clues_.end()) {
      clues_.push_back(std::move(clue));
    } else if (std::pair(clue.impossible, std::abs(z)) >
               std::pair(same->impossible, std::abs(same->z))) {
      *same = std::move(clue);
    }
  }

  /// Lengths and the like as they stand in the survey.
  void stated_sizes() {
    if (area_m2_ > 0.0) {
      const double d = std::sqrt(4.0 / std::numbers::pi * area_m2_);
      add("size of the outlet",
          log_z(d, 0.3, 0.65),
          "an outlet of " + format_number(outlet_.extent_y_m(), 3) + " m across and " +
              format_number(outlet_.extent_z_m(), 3) + " m up",
          d > 10.0 || d < 5e-3);
      add("place of the axis",
          outlet_.ahead_of_axis_m / (0.5 * d + 0.1),
          "an outlet " + metres_text(outlet_.ahead_of_axis_m) + " ahead of the axis");
    }
    if (outlet_.centre_height_m > 0.0) {
      add("height of the outlet",
          log_z(outlet_.centre_height_m, 0.9, 0.75, 0.68),
          "an outlet " + format_number(outlet_.centre_height_m, 3) + " m above the floor");
    }
    if (power_w_) {
      add("electrical power", log_z(*power_w_, 30.0, 1.6, 1.3), "a fan of " + watts(*power_w_));
    }
    if (thrust_n_) {
      add("thrust", log_z(*thrust_n_, 0.6, 1.5), "a thrust of " + newtons(*thrust_n_));
    }
    const Room& room = survey_.room;
    for (const auto& [value, name, usual, spread] :
         {std::tuple{room.width_m, "width of the room", 5.0, 0.9},
          {room.length_m, "length of the room", 6.0, 0.9},
          {room.height_m, "height of the room", 2.8, 0.6}}) {
      if (value) {
        add(name,
            log_z(*value, usual, spread),
            "a room " + format_number(*value, 3) + " m in " + std::string(name).substr(0, 6));
      }
    }
    const double celsius = survey_.air.temperature_k.value - 273.15;
    add("temperature", (celsius - 20.0) / 10.0, "air of " + format_number(celsius, 3) + " degC");
  }

  [[nodiscard]] double start_m_s() const { return survey_.probe.starting_speed_m_s; }

  void energy(double carried_w, double margin, const std::string& stream) {
    const double bound = power_w_.value_or(most_power_w);
    const bool rough = margin >= 3.0;  // what is known of so few heights may be off by as much
    add("kinetic power",
        carried_w > bound ? (rough ? 2.5 : 4.0) : 0.0,
        stream + " carries a kinetic power of " + watts(carried_w) + " at least, more than " +
            (power_w_ ? "the " + watts(bound) + " that the fan takes"
                      : "any room fan takes (" + watts(bound) + ")"),
        carried_w > margin * bound);
  }

  /// The kinetic power that a force needs from the outlet at least.
  [[nodiscard]] double least_power_w(double force_n) const {
    return 0.5 * std::pow(force_n, 1.5) / std::sqrt(rho_kg_m3 * area_m2_);
  }

  void outlet_strength(double force_n, double spread, const std::string& what) {
    if (!(area_m2_ > 0.0) || !(force_n > 0.0)) {
      return;
    }
    const double speed = std::sqrt(force_n / (rho_kg_m3 * area_m2_));
    add("speed at the outlet",
        log_z(speed, 3.5, std::hypot(0.65, 0.5 * spread)),
        what + " means " + format_number(speed, 3) + " m/s at the outlet");
    const double least = least_power_w(force_n);
    if (power_w_) {
      add("share of the power",
          log_z(least / *power_w_,
                0.04,
                std::hypot(1.5, 1.5 * spread),
                std::hypot(1.0, 1.5 * spread)),
          what + " takes " + watts(least) + " at the outlet, " + percent_text(least / *power_w_) +
              " of the fan's " + watts(*power_w_));
    }
    energy(least, spread > 0.0 ? (spread < 0.4 ? 2.0 : 4.0) : 1.2, what);
  }

  void strengths() {
    if (thrust_n_) {
      outlet_strength(*thrust_n_, 0.0, "a thrust of " + newtons(*thrust_n_));
    }
    for (const PlaneLook& p : look_.planes) {
      const double momentum_flux_n = rho_kg_m3 * p.momentum_m4_s2;
      const double spread = momentum_spread(p, outlet_);
      const std::string what =
          "a stream of about " + newtons(momentum_flux_n) + " at " + metres_text(p.distance_m);
      energy(rho_kg_m3 * p.power_m5_s3, p.heights < 3 ? 3.0 : 1.5, what);
      if (thrust_n_) {
        const double ratio = momentum_flux_n / *thrust_n_;
        const double missed = missed_spread(p, spread, start_m_s());
        add("momentum flux and thrust",
            log_z(ratio, 0.95, std::hypot(0.2, missed), std::hypot(0.2, spread)),
            "a momentum flux of about " + newtons(momentum_flux_n) + " at " +
                metres_text(p.distance_m) + " against a thrust of " + newtons(*thrust_n_),
            ratio > 30.0 || (ratio < 1.0 / 30.0 && p.heights >= 5));
      } else {
        outlet_strength(momentum_flux_n, spread, what);
      }
    }
  }

  void geometry(const PlaneLook& p) {
    const double x = p.downstream_m;
    const std::string at = " at " + metres_text(p.distance_m);
    add("distance", log_z(x, 1.7, 0.75), "a distance of " + metres_text(p.distance_m), x > 100.0);
    const double usual_y = usual_half_width_m(outlet_.extent_y_m(), x);
    const double usual_z = usual_half_width_m(outlet_.extent_z_m(), x);
    for (const auto& [seen, usual, kind, way] :
         {std::tuple{p.half_width_y_m, usual_y, "width across", " m across"},
          {p.half_width_z_m, usual_z, "width upwards", " m up"}}) {
      if (seen > 0.0) {
        const double ratio = seen / usual;
        const double hidden = 2.0 * start_m_s() / p.peak_m_s;
        add(kind,
            log_z(ratio, 1.1, std::max(p.heights < 3 ? 0.55 : 0.4, hidden), 0.4),
            "a stream of half width " + format_number(seen, 2) + way + at +
                ", where jets of such an outlet have " + format_number(usual, 2) + " m",
            ratio > 12.0 || (ratio < 1.0 / 12.0 && hidden < 0.5));
      }
    }
    if (p.middle_height_m > 0.0) {
      add("height of the sweeps",
          log_z(p.middle_height_m, 0.9, 0.7),
          "sweeps about " + format_number(p.middle_height_m, 3) + " m above the floor" + at);
    }
    const double off_z = p.centre_z_m - outlet_.centre_height_m;
    add("height of the stream",
        off_z / (0.15 * x + 0.3 * outlet_.extent_z_m() + 0.05),
        "a stream " + format_number(std::abs(off_z), 2) + " m " +
            (off_z > 0.0 ? "above" : "below") + " the outlet's centre" + at,
        std::abs(off_z) > 5.0 * x + outlet_.extent_z_m());
    add("direction of the stream",
        p.centre_y_m / (0.2 * x + 0.3 * outlet_.extent_y_m() + 0.05),
        "a stream " + format_number(std::abs(p.centre_y_m), 2) + " m beside the axis" + at);
    add("width of the sweeps",
        log_z(p.window_y_m / usual_y, 5.0, 0.8),
        "sweeps " + format_number(p.window_y_m, 3) + " m wide" + at);
    if (p.window_z_m > 0.0) {
      add("span of the heights",
          log_z(p.window_z_m / usual_z, p.places > 2 ? 4.0 : 2.0, p.places > 2 ? 0.8 : 1.0),
          std::to_string(p.places) + " heights within " + format_number(p.window_z_m, 3) + " m" +
              at,
          p.window_z_m > 200.0 * usual_z);
    }
    if (area_m2_ > 0.0) {
      const double diameters = x / std::sqrt(4.0 / std::numbers::pi * area_m2_);
      add("distance in outlets",
          log_z(diameters, 4.5, 0.9),
          "a plane " + format_number(diameters, 3) + " outlet diameters away",
          diameters > 400.0);
    }
    if (survey_.rig.distance_uncertainty_m > 0.0) {
      add("uncertainty of the distance",
          std::max(0.0, log_z(survey_.rig.distance_uncertainty_m / x, 0.02, 0.9)),
          "a distance uncertain by " + metres_text(survey_.rig.distance_uncertainty_m));
    }
    if (survey_.probe.head_diameter_m > 0.0) {
      add("head of the probe",
          std::max(0.0, log_z(survey_.probe.head_diameter_m / usual_y, 0.3, 0.6)),
          "a head of " + metres_text(survey_.probe.head_diameter_m) +
              " in a stream of half width " + format_number(usual_y, 2) + " m");
    }
    if (survey_.air.ambient_speed_m_s && survey_.air.ambient_speed_m_s->value > 0.0) {
      add("ambient speed",
          std::max(
              0.0,
              log_z(survey_.air.ambient_speed_m_s->value / std::max(p.peak_m_s, 1.0), 0.1, 0.7)),
          "an ambient speed of " + format_number(survey_.air.ambient_speed_m_s->value, 3) + " m/s");
    }
  }

  /// A jet keeps its momentum flux.
  void between_planes() {
    for (std::size_t i = 1; i < look_.planes.size(); ++i) {
      const PlaneLook& a = look_.planes[i - 1];
      const PlaneLook& b = look_.planes[i];
      const double spread =
          std::hypot(std::hypot(missed_spread(a, momentum_spread(a, outlet_), start_m_s()),
                                missed_spread(b, momentum_spread(b, outlet_), start_m_s())),
                     0.3);
      add("momentum flux along the stream",
          std::log(b.momentum_m4_s2 / a.momentum_m4_s2) / spread,
          "a momentum flux of about " + newtons(rho_kg_m3 * a.momentum_m4_s2) + " at " +
              metres_text(a.distance_m) + " and " + newtons(rho_kg_m3 * b.momentum_m4_s2) + " at " +
              metres_text(b.distance_m));
    }
  }

  void probe() {
    const double start = survey_.probe.starting_speed_m_s;
    if (start > 0.0) {
      add("starting speed",
          log_z(start, 0.25, 1.0),
          "a starting speed of " + format_number(start, 3) + " m/s");
    }
    const FaintReadings& faint = look_.faint;
    if (faint.lowest_m_s > 0.0 && start > 0.0) {
      const bool high = faint.lowest_m_s > start;
      const double chance = high ? faint.log_chance_high : faint.log_chance_low;
      const double z = std::min(std::sqrt(2.0 * std::max(0.0, -chance - 1.0)), 6.0);
      // A probe may show lower speeds than can be relied on.
      const bool shows_lower = faint.lowest_m_s < start / 1.7;
      add("lowest reading",
          high          ? z
          : shows_lower ? -std::min(z, 5.0)
                        : 0.0,
          "no reading between zero and " + format_number(faint.lowest_m_s, 2) +
              " m/s where the sweeps come up from zero, of a probe that starts at " +
              format_number(start, 2) + " m/s");
    }
    if (look_.silent) {
      add("silence",
          look_.fastest_m_s < start / 3.0 ? 8.0 : 5.0,
          "a fastest reading of " + format_number(look_.fastest_m_s, 2) +
              " m/s, of a probe that starts at " + format_number(start, 2) + " m/s");
    }
    if (look_.nearest_m <= 0.0) {
      add("behind the outlet",
          8.0,
          "a probe " + format_number(-look_.nearest_m, 3) + " m behind the outlet's plane");
    }
    if (look_.widest_turn_rad > 80.0 * degree_rad) {
      add("turn",
          8.0,
          "sweeps that turn the fan by up to " +
              format_number(look_.widest_turn_rad / degree_rad, 3) + " degrees from the probe");
    }
    for (const auto& [truth, shown] : survey_.probe.calibration) {
      if (truth > 0.0 && shown > 0.0) {
        add("calibration",
            log_z(shown / truth, 1.0, 0.25),
            "a calibration that shows " + format_number(shown, 3) + " m/s at " +
                format_number(truth, 3) + " m/s");
      }
    }
  }

  const Survey& survey_;
  const Outlet& outlet_;
  FirstLook look_;
  std::optional<double> thrust_n_;
  std::optional<double> power_w_;
  double area_m2_ = 0.0;
  std::vector<Clue> clues_;
};

}  // namespace

std::vector<Clue> clues_of(const Survey& survey) { return Clues(survey).collect(); }

double strangeness(const Clue& clue) {
  return 0.5 * (tails + 1.0) * std::log1p(clue.z * clue.z / tails);
}

double strangeness(const std::vector<Clue>& clues) {
  double sum = 0.0;
  for (const Clue& clue : clues) {
    sum += strangeness(clue);
  }
  return sum;
}

}  // namespace sweepflux
