#include "tests/bench/support/any_survey.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/known_fields.hpp"
#include "tests/support/make_survey.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>

namespace sweepflux::bench {
namespace {

using test::Dice;

constexpr double pi = std::numbers::pi;

double log_uniform(Dice& dice, double low, double high) {
  return low * std::pow(high / low, dice.uniform());
}

double log_normal(Dice& dice, double middle, double spread) {
  return middle * std::exp(dice.normal(spread));
}

std::size_t any_of(Dice& dice, std::size_t count) { return dice.any() % count; }

/// Power from the thrust and a share of it that leaves the outlet; room, ambient speed, balance:
/// each there or not.
void finish(Survey& survey, double thrust_n, double share, Dice& dice) {
  const double least = 0.5 * std::pow(thrust_n, 1.5) / std::sqrt(1.2 * survey.outlet.area_m2());
  if (dice.uniform() < 0.7) {
    const double power = std::min(least / share, std::max(500.0, 2.0 * least)) +
                         dice.uniform(0.0, 1.0);  // and the electronics
    survey.outlet.power_w = Measured{power, 0.02 * power};
  }
  survey.balance.reset();
  if (dice.uniform() < 0.6) {
    Balance balance;
    balance.resolution_n = 0.001 * 9.80665;
    balance.zero_given = true;
    const double shown = thrust_n * (1.0 + dice.normal(0.02));
    balance.readings_n.assign(3, shown);
    survey.balance = balance;
  }
  if (dice.uniform() < 0.3) {
    survey.air.ambient_speed_m_s = Measured{dice.uniform(0.0, 0.08), 0.03};
  }
  if (dice.uniform() < 0.5) {
    survey.room.width_m = dice.uniform(3.0, 9.0);
    survey.room.height_m = dice.uniform(2.3, 4.0);
  }
  survey.air.temperature_k.value = 273.15 + dice.uniform(12.0, 30.0);
  const bool swivel = survey.rig.motion == Motion::swivel;
  for (Sweep& sweep : survey.sweeps) {
    sweep.speed_unit = "m/s";
    sweep.position_unit = swivel ? "deg" : "m";
  }
}

struct Jet {
  double u0 = 0.0, hy = 0.0, hz = 0.0;  ///< peak and half widths in the plane
  std::size_t profile = 0;
  double hub = 0.0;  ///< depth of a dip in the middle

  [[nodiscard]] double speed(double y, double z) const {
    const double q = y * y / (hy * hy) + z * z / (hz * hz);
    double shape = 0.0;
    if (profile == 0) {
      shape = std::exp2(-q);
    } else if (profile == 1) {
      shape = std::pow(1.0 + 0.4142 * q, -2.0);
    } else if (profile == 2) {
      const double edge = std::sqrt(q) * 0.44103;
      shape = edge < 1.0 ? std::pow(1.0 - std::pow(edge, 1.5), 2.0) : 0.0;
    } else {
      shape = std::exp2(-q * q);  // flat, as close to an outlet
    }
    return u0 * shape * (1.0 - hub * std::exp2(-4.0 * q));
  }
};

/// Momentum over density, by sums on a fine grid.
double momentum_of(const Jet& jet) {
  double sum = 0.0;
  constexpr int n = 120;
  const double dy = 8.0 * jet.hy / n, dz = 8.0 * jet.hz / n;
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      sum += std::pow(jet.speed((i + 0.5) * dy - 4.0 * jet.hy, (j + 0.5) * dz - 4.0 * jet.hz), 2);
    }
  }
  return sum * dy * dz;
}

Survey handbook_survey(std::uint64_t seed) {
  Dice dice(seed * 7919 + 17);
  Survey survey;
  survey.file = "survey.toml";
  survey.fan = "any";
  survey.setting = std::to_string(seed);
  Outlet& o = survey.outlet;
  if (dice.uniform() < 0.2) {
    o.shape = OutletShape::slot;
    o.width_m = dice.uniform(0.03, 0.1);
    o.height_m = dice.uniform(0.4, 1.0);
    o.centre_height_m = 0.5 * o.height_m + dice.uniform(0.2, 0.6);
  } else {
    o.diameter_m = log_uniform(dice, 0.1, 0.75);
    o.centre_height_m = dice.uniform(0.4, 1.4);
  }
  const double size = std::sqrt(4.0 / pi * o.area_m2());
  const bool swivel = dice.uniform() < 0.65;
  survey.rig.motion = swivel ? Motion::swivel : Motion::traverse;
  o.ahead_of_axis_m = swivel && dice.uniform() < 0.7 ? dice.uniform(0.05, 0.35) * size : 0.0;
  Probe& probe = survey.probe;
  const bool vane = dice.uniform() < 0.6;
  probe.kind = vane ? ProbeKind::vane : ProbeKind::thermal;
  probe.response = vane ? Response::cosine : Response::flat;
  probe.starting_speed_m_s = vane ? dice.uniform(0.15, 0.45) : dice.uniform(0.05, 0.15);
  probe.head_diameter_m = vane ? (dice.uniform() < 0.5 ? 0.07 : 0.03) : 0.005;
  probe.scale_uncertainty = 0.03;
  probe.offset_uncertainty_m_s = 0.03;
  probe.resolution_m_s = 0.01;
  const double speed = std::clamp(log_normal(dice, 3.5, 0.5), 1.0, 12.0);
  const double thrust_n = 1.2 * o.area_m2() * speed * speed;
  const double spread = dice.uniform(0.075, 0.15);
  const double lost = dice.uniform(0.85, 1.03);
  const double gain = 1.0 + dice.normal(0.03);
  const double tilt = dice.normal(0.06);
  const double aside = dice.normal(0.04);
  const std::size_t profile = any_of(dice, 3);
  const int planes = 1 + static_cast<int>(any_of(dice, 3));
  const int heights = 1 + static_cast<int>(any_of(dice, 9));
  const int stops = 13 + 4 * static_cast<int>(any_of(dice, 13));
  const double noise = dice.uniform(0.01, 0.06);
  double x = dice.uniform(1.5, 5.0) * size + dice.uniform(0.1, 0.6);
  for (int p = 0; p < planes; ++p, x *= dice.uniform(1.25, 1.8)) {
    Jet jet;
    jet.profile = x < 3.0 * size ? (dice.uniform() < 0.5 ? 3 : profile) : profile;
    jet.hub = x < 3.0 * size && o.shape == OutletShape::round ? dice.uniform(0.0, 0.7) : 0.0;
    jet.hy = std::hypot(0.42 * o.extent_y_m(), spread * x);
    jet.hz = std::hypot(0.42 * o.extent_z_m(), spread * x);
    jet.u0 = 1.0;
    jet.u0 = std::sqrt(lost * thrust_n / 1.2 / momentum_of(jet));
    const double middle_z = o.centre_height_m + tilt * x;
    const double middle_y = aside * x;
    const double reach = dice.uniform(1.2, 2.2);
    const double wide = std::min(dice.uniform(1.8, 3.5) * jet.hy / x, 1.0);  // tangent
    const double turn = swivel ? dice.uniform(-0.05, 0.05) : 0.0;
    for (int h = 0; h < heights; ++h) {
      const double share = heights > 1 ? 2.0 * h / (heights - 1.0) - 1.0 : 0.0;
      Sweep sweep;
      sweep.name = "p" + std::to_string(p) + "-" + std::to_string(h) + ".csv";
      sweep.file = "sweeps/" + sweep.name;
      sweep.distance_m = swivel ? x + o.ahead_of_axis_m : x;
      sweep.height_m = std::max(o.centre_height_m + share * reach * jet.hz, 0.02 + 0.05 * h);
      sweep.height_m = std::round(sweep.height_m * 1e3) * 1e-3;
      const double drift = gain * (1.0 + dice.normal(0.01));
      for (int i = 0; i < stops; ++i) {
        const double at = 2.0 * i / (stops - 1.0) - 1.0;
        Reading r;
        double y = 0.0, u = 0.0;
        if (swivel) {
          const double seen = at * std::atan(wide) + turn;  // where the fan sees the probe
          r.position = -seen;
          const double there = sweep.distance_m * std::cos(seen) - o.ahead_of_axis_m;
          y = sweep.distance_m * std::sin(seen) * x / there;
          u = jet.speed(y - middle_y, sweep.height_m - middle_z) * x / there;
          u *= probe.response == Response::cosine ? std::cos(seen) : 1.0;
        } else {
          y = r.position = at * wide * x;
          u = jet.speed(y - middle_y, sweep.height_m - middle_z);
        }
        u = drift * u * (1.0 + dice.normal(noise)) + dice.normal(0.03);
        r.speed_m_s = u >= probe.starting_speed_m_s ? std::round(u * 100.0) / 100.0 : 0.0;
        r.line = static_cast<std::size_t>(i) + 2;
        sweep.readings.push_back(r);
      }
      survey.sweeps.push_back(std::move(sweep));
    }
  }
  finish(survey, thrust_n, std::clamp(log_normal(dice, 0.05, 0.8), 0.005, 0.5), dice);
  return survey;
}

const test::KnownField& any_field(Dice& dice) {
  const std::vector<const std::vector<test::KnownField>*> lists = {&test::known_fields(),
                                                                   &test::drawn_fields(),
                                                                   &test::published_fields(),
                                                                   &test::spoiled_fields()};
  std::size_t total = 0;
  for (const auto* list : lists) {
    total += list->size();
  }
  std::size_t which = any_of(dice, total);
  for (const auto* list : lists) {
    if (which < list->size()) {
      return (*list)[which];
    }
    which -= list->size();
  }
  return lists.front()->front();
}

/// All lengths times `longer`, all speeds of the air times `faster`.
void enlarge(Survey& survey, double longer, double faster) {
  for (double* length : {&survey.outlet.diameter_m,
                         &survey.outlet.width_m,
                         &survey.outlet.height_m,
                         &survey.outlet.centre_height_m,
                         &survey.outlet.ahead_of_axis_m}) {
    *length *= longer;
  }
  if (survey.room.floor_m) {
    *survey.room.floor_m *= longer;
  }
  survey.probe.starting_speed_m_s *= faster;
  survey.probe.offset_uncertainty_m_s *= faster;
  for (Sweep& sweep : survey.sweeps) {
    sweep.distance_m *= longer;
    sweep.height_m *= longer;
    for (Reading& r : sweep.readings) {
      r.speed_m_s *= faster;
      r.position *= survey.rig.motion == Motion::traverse ? longer : 1.0;
    }
  }
}

Survey known_survey(std::uint64_t seed) {
  Dice dice(seed * 104729 + 3);
  const test::KnownField& field = any_field(dice);
  const double longer = log_uniform(dice, 0.4, 2.2);
  const double faster = log_uniform(dice, 0.5, 2.5);
  test::SurveyPlan plan;
  plan.seed = seed;
  plan.motion = dice.uniform() < 0.65 ? Motion::swivel : Motion::traverse;
  plan.distances_m = dice.uniform() < 0.5   ? std::vector<double>{1.8}
                     : dice.uniform() < 0.5 ? std::vector<double>{1.4, 2.2}
                                            : std::vector<double>{1.4, 1.8, 2.2};
  plan.count = 1 + static_cast<int>(any_of(dice, 9));
  plan.angles = 15 + 2 * static_cast<int>(any_of(dice, 24));
  plan.span_deg = dice.uniform(16.0, 30.0);
  plan.pivot_m = plan.motion == Motion::swivel && dice.uniform() < 0.5 ? 0.11 : 0.0;
  plan.starting_speed_m_s = dice.uniform(0.1, 0.45) / faster;
  plan.noise_m_s = 0.04 / faster;
  plan.offset_uncertainty_m_s = 0.03 / faster;
  const double thrust_n = 1.2 * field.exact(plan.distances_m.front()).momentum_over_density_m4_s2 /
                          dice.uniform(0.86, 1.0) * std::pow(longer * faster, 2);
  Survey survey = make_survey(field, plan);
  enlarge(survey, longer, faster);
  survey.probe.head_diameter_m = dice.uniform() < 0.5 ? 0.03 : 0.07;
  finish(survey, thrust_n, log_uniform(dice, 0.008, 0.35), dice);
  return survey;
}

double factor_of(std::string_view unit) { return find_unit(unit)->factor; }

struct Mix {
  const char* meant;
  const char* stated;
  [[nodiscard]] double factor() const { return factor_of(stated) / factor_of(meant); }
  [[nodiscard]] std::string fits() const {
    return std::string("in ") + meant + ", not in " + stated;
  }
};

Mix any_mix(Dice& dice, const std::vector<Mix>& mixes) { return mixes[any_of(dice, mixes.size())]; }

Mistake mistake_speeds(Survey& survey, Dice& dice) {
  const Mix mix = any_mix(dice,
                          {{"ft/min", "m/s"},
                           {"m/s", "ft/min"},
                           {"km/h", "m/s"},
                           {"m/s", "km/h"},
                           {"mph", "m/s"},
                           {"m/s", "mph"},
                           {"kn", "m/s"},
                           {"m/s", "kn"}});
  const bool si = std::string_view(mix.stated) == "m/s";
  for (Sweep& sweep : survey.sweeps) {
    sweep.speed_unit = mix.stated;
    for (Reading& r : sweep.readings) {
      r.speed_m_s *= mix.factor();
    }
  }
  return {std::string("speed ") + (si ? mix.meant : mix.stated) + (si ? "" : ", reversed"),
          mix.fits()};
}

const std::vector<Mix> length_mixes{
    {"mm", "m"}, {"m", "mm"}, {"cm", "m"}, {"m", "cm"}, {"mm", "cm"}, {"cm", "mm"}};

Mistake mistake_positions(Survey& survey, Dice& dice) {
  const bool swivel = survey.rig.motion == Motion::swivel;
  const Mix mix =
      swivel ? any_mix(dice, {{"deg", "rad"}, {"rad", "deg"}}) : any_mix(dice, length_mixes);
  for (Sweep& sweep : survey.sweeps) {
    sweep.position_unit = mix.stated;
    for (Reading& r : sweep.readings) {
      r.position *= mix.factor();
    }
  }
  return {swivel ? "angle" : "across", mix.fits()};
}

Mistake mistake_length(Survey& survey, Dice& dice) {
  const Mix mix = any_mix(dice, length_mixes);
  Outlet& o = survey.outlet;
  const double f = mix.factor();
  std::string group;
  switch (any_of(dice, 4)) {
    case 0:
      group = "distance";
      for (Sweep& sweep : survey.sweeps) {
        sweep.distance_m *= f;
      }
      break;
    case 1:
      group = "heights";
      for (Sweep& sweep : survey.sweeps) {
        sweep.height_m *= f;
      }
      break;
    case 2:
      group = "outlet size";
      (o.shape == OutletShape::round ? o.diameter_m
       : dice.uniform() < 0.5        ? o.width_m
                                     : o.height_m) *= f;
      break;
    default:
      group = "outlet height";
      o.centre_height_m *= f;
      break;
  }
  return {group, mix.fits()};
}

Mistake mistake_forces(Survey& survey, Dice& dice) {
  if (survey.outlet.power_w && (!survey.balance || dice.uniform() < 0.5)) {
    const Mix mix = any_mix(dice, {{"W", "kW"}, {"W", "mW"}});
    survey.outlet.power_w->value *= mix.factor();
    return {"power", mix.fits()};
  }
  const Mix mix = any_mix(dice, {{"g", "N"}, {"N", "g"}, {"g", "kg"}, {"g", "oz"}});
  for (double& reading : survey.balance->readings_n) {
    reading *= mix.factor();
  }
  return {"balance", mix.fits()};
}

}  // namespace

Survey any_survey(Population population, std::uint64_t seed) {
  return population == Population::handbook ? handbook_survey(seed) : known_survey(seed);
}

Mistake mistake_one_unit(Survey& survey, std::uint64_t seed) {
  Dice dice(seed * 15485863 + 11);
  const double kind = dice.uniform();
  if (kind < 0.4) {
    return mistake_speeds(survey, dice);
  }
  if (kind < 0.6) {
    return mistake_positions(survey, dice);
  }
  if (kind < 0.9 || !(survey.balance || survey.outlet.power_w)) {
    return mistake_length(survey, dice);
  }
  return mistake_forces(survey, dice);
}

}  // namespace sweepflux::bench
