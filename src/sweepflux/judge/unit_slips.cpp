#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/plausibility_private.hpp"

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

double* address_of(std::optional<double>& value) { return value ? &*value : nullptr; }

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
  void add(const std::string& name,
           const std::string& meant,
           const std::string& stated,
           const std::string& where,
           double more_cost,
           const std::function<void(Survey&, double)>& scale) {
    const double factor = factor_of(meant) / factor_of(stated);
    slips_.push_back({name + " in " + meant + ", not in " + stated,
                      "state " + meant + " for " + where,
                      cost_of(meant, stated) + more_cost,
                      [factor, scale](Survey& s) { scale(s, factor); }});
  }

  /// Every pair of units that a value could have been mixed up by.
  void pairs(const Words& units,
             const std::string& name,
             const std::string& where,
             double more_cost,
             const std::function<void(Survey&, double)>& scale) {
    for (const char* meant : units) {
      for (const char* stated : units) {
        // Of speeds one is m/s: nobody mixes up two others.
        const bool speeds_alone = &units == &speeds && meant != units[0] && stated != units[0];
        if (std::string_view(meant) != stated && !speeds_alone) {
          add(name, meant, stated, where, more_cost, scale);
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
      const std::vector<Sweep>& sweeps = survey_.sweeps;
      const auto states_it = [&](const Sweep& s) { return s.*unit == one; };
      const auto first = std::find_if(sweeps.begin(), sweeps.end(), states_it);
      const auto files = std::count_if(sweeps.begin(), sweeps.end(), states_it);
      const std::string where = "the column " + role + " of " + first->file.string() +
                                (files > 1 ? " and " + std::to_string(files - 1) + " more" : "") +
                                ", in its heading or under [columns.units]";
      if (!find_unit(one)) {
        pairs(units, name, where, 0.0, scale_all);
        continue;
      }
      for (const char* meant : units) {
        if (std::abs(std::log(factor_of(meant) / factor_of(one))) > 1e-3) {
          add(name, meant, one, where, 0.0, scale_all);
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

  void sizes() {
    using Size = double* (*)(Survey&);  // nullptr: not stated
    const std::pair<std::string, Size> all[] = {
        {outlet_key("diameter"), [](Survey& s) { return &s.outlet.diameter_m; }},
        {outlet_key("width"), [](Survey& s) { return &s.outlet.width_m; }},
        {outlet_key("height"), [](Survey& s) { return &s.outlet.height_m; }},
        {"outlet.centre_height", [](Survey& s) { return &s.outlet.centre_height_m; }},
        {"outlet.ahead_of_axis", [](Survey& s) { return &s.outlet.ahead_of_axis_m; }},
        {"probe.head_diameter", [](Survey& s) { return &s.probe.head_diameter_m; }},
        {"rig.distance_uncertainty", [](Survey& s) { return &s.rig.distance_uncertainty_m; }},
        {"room.width", [](Survey& s) { return address_of(s.room.width_m); }},
        {"room.height", [](Survey& s) { return address_of(s.room.height_m); }},
        {"room.length", [](Survey& s) { return address_of(s.room.length_m); }}};
    Survey stated = survey_;
    for (const auto& [key, size] : all) {
      if (const double* const value = size(stated); value != nullptr && *value != 0.0) {
        pairs(lengths, key + " is", key, 0.0, [of = size](Survey& s, double f) { *of(s) *= f; });
      }
    }
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
