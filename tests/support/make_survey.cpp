#include "tests/support/make_survey.hpp"

#include "tests/support/dice.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>

namespace sweepflux::test {
namespace {

constexpr double pi = std::numbers::pi;

/// What a head of finite size feels along its axis, which lies at `turn` to the stream: the mean
/// over its disc, by the seven-point rule that is exact to the fifth degree [Stroud 1971].
double felt_speed_m_s(
    const KnownField& field, const SurveyPlan& plan, double x, double y, double z, double turn) {
  struct Node {
    double a, b, weight;
  };
  std::array<Node, 7> nodes{Node{0.0, 0.0, 1.0}};
  std::size_t used = 1;
  if (plan.vane_m > 0.0) {
    const double r = plan.vane_m / 2 * std::sqrt(2.0 / 3.0);
    nodes[0].weight = 0.25;
    for (; used < nodes.size(); ++used) {
      const double t = static_cast<double>(used) * pi / 3;
      nodes[used] = {r * std::cos(t), r * std::sin(t), 0.125};
    }
  }
  double sum = 0.0;
  for (std::size_t i = 0; i < used; ++i) {
    const double px = x - nodes[i].a * std::sin(turn);
    const double py = y + nodes[i].a * std::cos(turn);
    const double pz = z + nodes[i].b;
    if (plan.motion == Motion::traverse) {
      sum += nodes[i].weight * field.speed_m_s(px, py, pz);
    } else {
      const Velocity v = field.velocity_m_s(px, py, pz);
      sum += nodes[i].weight * (v.u_m_s * std::cos(turn) + v.v_m_s * std::sin(turn));
    }
  }
  return sum;
}

Balance balance_for(const KnownField& field, const SurveyPlan& plan) {
  const double x = downstream_of(plan, plan.distances_m.front());
  Balance balance;
  balance.resolution_n = 1e-3 * balance.gravity_m_s2;
  balance.zero_given = true;
  // At the density of the bench's air, to the gram, as the balance would show it.
  const double grams =
      std::round(field.exact(x).momentum_over_density_m4_s2 * 1.2 / balance.gravity_m_s2 * 1e3);
  balance.readings_n.assign(2, grams * 1e-3 * balance.gravity_m_s2);
  return balance;
}

/// With a zero in front when it has one digit.
std::string two_digits(int number) {
  std::string text = std::to_string(number);
  if (text.size() < 2) {
    text.insert(text.begin(), '0');
  }
  return text;
}

std::string sweep_name(double distance_m, int number) {
  const int hundredths = static_cast<int>(std::lround(distance_m * 100));
  std::string name(1, 'd');
  name += std::to_string(hundredths / 100);
  name += '.';
  name += two_digits(hundredths % 100);
  name += '-';
  name += two_digits(number);
  name += ".csv";
  return name;
}

}  // namespace

KnownRig::KnownRig(const KnownField& field, const SurveyPlan& plan)
    : field_(field), plan_(plan), dice_(plan.seed) {
  const double scale = dice_.normal(plan.scale_uncertainty);
  const double zero = dice_.normal(plan.offset_uncertainty_m_s);
  if (plan.common_errors) {
    gain_ = 1.0 + scale;
    zero_m_s_ = zero;
  }
}

Sweep KnownRig::sweep(double distance_m,
                      double height_m,
                      const std::vector<double>& seen_rad,
                      const std::vector<double>& dwell) {
  Sweep sweep;
  sweep.name = sweep_name(distance_m, sweeps_at_[distance_m]++);
  sweep.file = std::filesystem::path("sweeps") / sweep.name;
  sweep.distance_m = distance_m;
  sweep.height_m = height_m;
  const double drift = 1.0 + dice_.normal(plan_.sweep_gain);
  for (std::size_t i = 0; i < seen_rad.size(); ++i) {
    const double noise = dwell.empty() ? 1.0 : 1.0 / std::sqrt(dwell.at(i));
    sweep.readings.push_back(reading(distance_m, height_m, seen_rad[i], drift, noise));
    sweep.readings.back().line = sweep.readings.size() + 1;
  }
  return sweep;
}

Reading KnownRig::reading(
    double distance_m, double height_m, double seen, double gain, double noise) {
  Reading one;
  double felt = 0.0;
  if (plan_.motion == Motion::traverse) {
    one.position = distance_m * std::tan(seen);
    felt = felt_speed_m_s(field_, plan_, distance_m, one.position, height_m, 0.0);
  } else {
    // The probe appears at minus the angle by which the fan was turned.
    one.position = -seen;
    const double x = distance_m * std::cos(seen) - plan_.pivot_m;
    felt = felt_speed_m_s(field_, plan_, x, distance_m * std::sin(seen), height_m, seen);
  }
  const double relative = dice_.normal(noise * plan_.noise_relative);
  const double noisy = gain * felt * (1.0 + relative) + dice_.normal(noise * plan_.noise_m_s);
  // A rotor that does not turn knows neither scale nor zero.
  if (noisy >= plan_.starting_speed_m_s || plan_.starting_speed_m_s <= 0.0) {
    const double shown = gain_ * noisy + zero_m_s_;
    one.speed_m_s = shown >= plan_.starting_speed_m_s ? shown : 0.0;
  }
  return one;
}

Survey survey_without_sweeps(const KnownField& field, const SurveyPlan& plan) {
  Survey survey;
  survey.file = "survey.toml";
  survey.title = "known field " + field.name;
  survey.fan = field.name;
  survey.setting = std::to_string(plan.seed);
  survey.air.ambient_speed_m_s = plan.ambient_speed_m_s;
  survey.room.floor_m = field.floor_m;
  if (field.tall) {
    survey.outlet.shape = OutletShape::slot;
    survey.outlet.width_m = 0.06;
    survey.outlet.height_m = 0.8;
  } else {
    survey.outlet.diameter_m = 0.3;
  }
  survey.outlet.centre_height_m = field.outlet_height_m;
  survey.outlet.ahead_of_axis_m = plan.pivot_m;
  survey.rig.motion = plan.motion;
  survey.probe.head_diameter_m = std::max(plan.vane_m, 0.001);
  survey.probe.starting_speed_m_s = plan.starting_speed_m_s;
  survey.probe.scale_uncertainty = plan.scale_uncertainty;
  survey.probe.offset_uncertainty_m_s = plan.offset_uncertainty_m_s;
  survey.probe.resolution_m_s = plan.noise_m_s > 0.0 ? 0.01 : 0.0;
  if (plan.thrust) {
    survey.balance = balance_for(field, plan);
  }
  return survey;
}

SurveyPlan without_errors(SurveyPlan plan) {
  plan.noise_relative = 0.0;
  plan.noise_m_s = 0.0;
  plan.starting_speed_m_s = 0.0;
  plan.sweep_gain = 0.0;
  plan.common_errors = false;
  return plan;
}

std::vector<double> even_angles_rad(const SurveyPlan& plan) {
  std::vector<double> angles;
  for (int i = 0; i < plan.angles; ++i) {
    const double share = plan.angles > 1 ? 2.0 * i / (plan.angles - 1) - 1.0 : 0.0;
    angles.push_back(share * plan.span_deg * pi / 180.0);
  }
  return angles;
}

Survey make_survey(const KnownField& field, const SurveyPlan& plan) {
  Survey survey = survey_without_sweeps(field, plan);
  const auto heights = heights_of(field, plan);
  const std::vector<double> there = even_angles_rad(plan);
  const std::vector<double> back(there.rbegin(), there.rend());
  KnownRig rig(field, plan);
  for (std::size_t plane = 0; plane < plan.distances_m.size(); ++plane) {
    for (const double height : heights[plane]) {
      for (int repeat = 0; repeat < plan.repeats; ++repeat) {
        survey.sweeps.push_back(
            rig.sweep(plan.distances_m[plane], height, repeat % 2 == 0 ? there : back));
      }
    }
  }
  return survey;
}

}  // namespace sweepflux::test
