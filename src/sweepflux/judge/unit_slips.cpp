#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/unit_slips_private.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <string_view>
#include <utility>

namespace sweepflux {
namespace {

using Words = std::vector<const char*>;

constexpr double usual_cost = 4.0;
constexpr double rare = 1.5;  // on top

const Words speeds{"m/s", "ft/min", "km/h", "mph", "kn", "ft/s"};
const Words lengths{"m", "mm", "cm", "in", "ft"};
const Words forces{"N", "g", "kg", "oz", "lb", "mN"};
const Words powers{"W", "kW", "mW"};
const Words angles{"deg", "rad"};

double factor_of(std::string_view unit) { return find_unit(unit)->factor; }

/// Whether one of both is what most people write, or both belong to one system.
double cost_of(std::string_view meant, std::string_view stated) {
  const auto odd = [](std::string_view unit) {
    return unit == "ft/s" || unit == "in" || unit == "ft" || unit == "oz" || unit == "lb" ||
           unit == "mN" || unit == "mW";
  };
  const bool no_si = factor_of(meant) != 1.0 && factor_of(stated) != 1.0;
  const bool speed = find_unit(meant)->dimension == Dimension::speed;
  return (speed ? 2.6 : usual_cost) + (odd(meant) || odd(stated) ? rare : 0.0) +
         (no_si ? 0.5 * rare : 0.0);
}

std::string file_text(const Sweep& sweep) { return sweep.file.string(); }

class Slips {
 public:
  Slips(const Survey& survey, Place place) : survey_(survey), place_(place) {}

  std::vector<UnitSlip> collect() {
    columns();
    places();
    sizes();
    rest();
    return std::move(slips_);
  }

 private:
  /// Every pair of units that a value could have been mixed up by.
  void pairs(const Words& units,
             const std::string& name,
             const std::string& where,
             double more_cost,
             const std::function<void(Survey&, double)>& scale) {
    for (const char* meant : units) {
      for (const char* stated : units) {
        const double factor = factor_of(meant) / factor_of(stated);
        // Of speeds one is m/s: nobody mixes up two others.
        const bool speeds_alone = &units == &speeds && meant != units[0] && stated != units[0];
        if (std::string_view(meant) != stated && !speeds_alone) {
          slips_.push_back({name + " in " + meant + ", not in " + stated,
                            "state " + std::string(meant) + " for " + where,
                            cost_of(meant, stated) + more_cost,
                            [factor, scale](Survey& s) { scale(s, factor); }});
        }
      }
    }
  }

  /// Of a column, whose unit is known as a rule: a slip for all files that state the same.
  void column(const Words& units,
              const std::string& name,
              const std::string& role,
              std::string Sweep::*unit,
              const std::function<void(Reading&, double)>& scale) {
    std::set<std::string> stated;
    for (const Sweep& sweep : survey_.sweeps) {
      stated.insert(sweep.*unit);
    }
    for (const std::string& one : stated) {
      const auto scale_all = [one, unit, scale](Survey& s, double factor) {
        for (Sweep& sweep : s.sweeps) {
          if (sweep.*unit == one) {
            for (Reading& r : sweep.readings) {
              scale(r, factor);
            }
          }
        }
      };
      const auto first = std::find_if(survey_.sweeps.begin(),
                                      survey_.sweeps.end(),
                                      [&](const Sweep& s) { return s.*unit == one; });
      const auto files = std::count_if(survey_.sweeps.begin(),
                                       survey_.sweeps.end(),
                                       [&](const Sweep& s) { return s.*unit == one; });
      const std::string where = "the column " + role + " of " + file_text(*first) +
                                (files > 1 ? " and " + std::to_string(files - 1) + " more" : "") +
                                ", in its heading or under [columns.units]";
      const std::optional<UnitScale> scale_stated = find_unit(one);
      if (!scale_stated) {
        pairs(units, name, where, 0.0, scale_all);
        continue;
      }
      for (const char* meant : units) {
        const double factor = factor_of(meant) / scale_stated->factor;
        if (std::abs(std::log(factor)) > 1e-3) {
          slips_.push_back({name + " in " + meant + ", not in " + one,
                            "state " + std::string(meant) + " for " + where,
                            cost_of(meant, one),
                            [factor, scale_all](Survey& s) { scale_all(s, factor); }});
        }
      }
    }
  }

  void columns() {
    column(speeds, "the speeds are", "speed", &Sweep::speed_unit, [](Reading& r, double f) {
      r.speed_m_s *= f;
    });
    const auto scale = [](Reading& r, double f) { r.position *= f; };
    if (survey_.rig.motion == Motion::swivel) {
      column(angles, "the angles are", "angle", &Sweep::position_unit, scale);
    } else {
      column(lengths, "the places across are", "across", &Sweep::position_unit, scale);
    }
  }

  void places() {
    pairs(lengths, "the distances are", "distance of the sweeps", 0.0, [](Survey& s, double f) {
      for (Sweep& sweep : s.sweeps) {
        sweep.distance_m *= f;
      }
    });
    pairs(lengths, "the heights are", "height of the sweeps", 0.0, [](Survey& s, double f) {
      for (Sweep& sweep : s.sweeps) {
        sweep.height_m *= f;
      }
    });
    std::set<double> distances, heights;
    for (const Sweep& sweep : survey_.sweeps) {
      distances.insert(sweep.distance_m);
      heights.insert(sweep.height_m);
    }
    const auto single = [&](double Sweep::*place, double value, const std::string& name) {
      pairs(lengths,
            "the " + name + " " + format_number(value, 4) + " m is",
            "that " + name,
            rare,
            [place, value](Survey& s, double f) {
              for (Sweep& sweep : s.sweeps) {
                sweep.*place *= sweep.*place == value ? f : 1.0;
              }
            });
    };
    if (distances.size() > 1) {
      single(&Sweep::distance_m, *distances.begin(), "distance");
      single(&Sweep::distance_m, *distances.rbegin(), "distance");
    }
    if (heights.size() > 1) {
      single(&Sweep::height_m, *heights.begin(), "height");
      single(&Sweep::height_m, *heights.rbegin(), "height");
    }
  }

  /// "outlet.diameter", or "outlet_diameter" of a session's [[fan]].
  [[nodiscard]] std::string outlet_key(const std::string& name) const {
    return place_ == Place::survey ? "outlet." + name : "outlet_" + name;
  }

  void length(const std::string& key, bool there, const std::function<double&(Survey&)>& of) {
    if (there) {
      pairs(lengths, key + " is", key, 0.0, [of](Survey& s, double f) { of(s) *= f; });
    }
  }

  void sizes() {
    const Outlet& o = survey_.outlet;
    length(outlet_key("diameter"), o.diameter_m > 0.0, [](Survey& s) -> double& {
      return s.outlet.diameter_m;
    });
    length(outlet_key("width"), o.width_m > 0.0, [](Survey& s) -> double& {
      return s.outlet.width_m;
    });
    length(outlet_key("height"), o.height_m > 0.0, [](Survey& s) -> double& {
      return s.outlet.height_m;
    });
    length("outlet.centre_height", o.centre_height_m > 0.0, [](Survey& s) -> double& {
      return s.outlet.centre_height_m;
    });
    length("outlet.ahead_of_axis", o.ahead_of_axis_m != 0.0, [](Survey& s) -> double& {
      return s.outlet.ahead_of_axis_m;
    });
    length("probe.head_diameter", survey_.probe.head_diameter_m > 0.0, [](Survey& s) -> double& {
      return s.probe.head_diameter_m;
    });
    length("rig.distance_uncertainty",
           survey_.rig.distance_uncertainty_m > 0.0,
           [](Survey& s) -> double& { return s.rig.distance_uncertainty_m; });
    length("room.width", survey_.room.width_m.has_value(), [](Survey& s) -> double& {
      return *s.room.width_m;
    });
    length("room.height", survey_.room.height_m.has_value(), [](Survey& s) -> double& {
      return *s.room.height_m;
    });
    length("room.length", survey_.room.length_m.has_value(), [](Survey& s) -> double& {
      return *s.room.length_m;
    });
  }

  void rest() {
    if (survey_.outlet.power_w) {
      const std::string key = place_ == Place::survey ? "outlet.power" : "the setting's power";
      pairs(
          powers, key + " is", key, 0.0, [](Survey& s, double f) { s.outlet.power_w->value *= f; });
    }
    if (survey_.balance) {
      pairs(forces,
            "the balance reads",
            "the readings and zeros of the balance",
            0.0,
            [](Survey& s, double f) {
              for (double& reading : s.balance->readings_n) {
                reading *= f;
              }
              s.balance->zero_before_n *= f;
              s.balance->zero_after_n *= f;
            });
    }
    pairs(speeds,
          "probe.starting_speed is",
          "probe.starting_speed",
          2.0 * rare,
          [](Survey& s, double f) { s.probe.starting_speed_m_s *= f; });
    if (survey_.air.ambient_speed_m_s) {
      pairs(speeds, "air.ambient_speed is", "air.ambient_speed", 0.0, [](Survey& s, double f) {
        s.air.ambient_speed_m_s->value *= f;
      });
    }
    if (survey_.rig.motion == Motion::swivel && survey_.rig.angle_zero_rad != 0.0) {
      pairs(angles, "rig.angle_zero is", "rig.angle_zero", 0.0, [](Survey& s, double f) {
        s.rig.angle_zero_rad *= f;
      });
    }
    slips_.push_back({"the temperature is in degF, not in degC",
                      "state degF for air.temperature",
                      usual_cost,
                      [](Survey& s) {
                        const double shown = s.air.temperature_k.value - 273.15;
                        s.air.temperature_k.value = 273.15 + (shown - 32.0) / 1.8;
                      }});
    slips_.push_back({"the temperature is in degC, not in degF",
                      "state degC for air.temperature",
                      usual_cost,
                      [](Survey& s) {
                        s.air.temperature_k.value =
                            273.15 + 1.8 * (s.air.temperature_k.value - 273.15) + 32.0;
                      }});
    if (!survey_.probe.calibration.empty()) {
      for (const bool truth : {true, false}) {
        pairs(speeds,
              std::string("the ") + (truth ? "true" : "indicated") +
                  " speeds of probe.calibration are",
              "them",
              rare,
              [truth](Survey& s, double f) {
                for (auto& pair : s.probe.calibration) {
                  (truth ? pair.first : pair.second) *= f;
                }
              });
      }
    }
  }

  const Survey& survey_;
  Place place_;
  std::vector<UnitSlip> slips_;
};

}  // namespace

std::vector<UnitSlip> possible_slips(const Survey& survey, Place place) {
  return Slips(survey, place).collect();
}

}  // namespace sweepflux
