#include "tests/bench/support/best_answer.hpp"

#include "tests/support/dice.hpp"
#include "tests/support/statistics.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <cmath>
#include <memory>
#include <numbers>
#include <vector>

namespace sweepflux::bench {
namespace {

constexpr int thin = 40;  // steps between two looks at flow and momentum

struct OneReading {
  double y_m, z_m, speed_m_s;  // 0: the rotor stood
};

class Beliefs {
 public:
  Beliefs(const StreamPopulation& population, const Survey& survey, const test::SurveyPlan& plan)
      : population_(population), plan_(plan) {
    for (const Sweep& sweep : survey.sweeps) {
      for (const Reading& reading : sweep.readings) {
        readings_.push_back({reading.position, sweep.height_m, reading.speed_m_s});
      }
    }
    // Two normal beliefs about the drift make one.
    double& mean = population_.mean.back();
    double& sd = population_.sd.back();
    if (plan.ambient_speed_m_s && sd > 0.0) {
      const double read = plan.ambient_speed_m_s->standard_uncertainty;
      const double share = sd * sd / (sd * sd + read * read);
      mean += share * (plan.ambient_speed_m_s->value - mean);
      sd *= std::sqrt(1.0 - share);
    }
  }

  [[nodiscard]] double log_density(const Numbers& numbers) const {
    double sum = 0.0;
    for (std::size_t k = 0; k < numbers.size(); ++k) {
      if (population_.sd[k] > 0.0) {
        const double off = (numbers[k] - population_.mean[k]) / population_.sd[k];
        sum -= 0.5 * off * off;
      }
    }
    const std::unique_ptr<Stream> stream = population_.make(numbers);
    for (const OneReading& one : readings_) {
      const double felt = stream->speed_m_s(one.y_m, one.z_m) + numbers.back();
      const double sd = noise(felt);
      if (one.speed_m_s > 0.0) {
        const double off = (one.speed_m_s - felt) / sd;
        sum -= 0.5 * off * off + std::log(sd);
      } else {
        const double room = (plan_.starting_speed_m_s - felt) / sd;
        sum += std::log(std::max(0.5 * std::erfc(-room / std::numbers::sqrt2), 1e-300));
      }
    }
    return sum;
  }

  /// A step's shape: the square root of what Fisher's information leaves open.
  [[nodiscard]] Eigen::MatrixXd step_factor(const Numbers& at) const {
    const auto count = static_cast<Eigen::Index>(at.size());
    Eigen::MatrixXd information = Eigen::MatrixXd::Zero(count, count);
    std::vector<std::vector<double>> slope(at.size());
    constexpr double h = 1e-4;
    for (std::size_t k = 0; k < at.size(); ++k) {
      Numbers up = at, down = at;
      up[k] += h;
      down[k] -= h;
      const std::unique_ptr<Stream> high = population_.make(up), low = population_.make(down);
      for (const OneReading& one : readings_) {
        const double felt = high->speed_m_s(one.y_m, one.z_m) + up.back() -
                            low->speed_m_s(one.y_m, one.z_m) - down.back();
        slope[k].push_back(one.speed_m_s > 0.0 ? felt / (2.0 * h) / noise(one.speed_m_s) : 0.0);
      }
    }
    for (Eigen::Index i = 0; i < count; ++i) {
      for (Eigen::Index k = 0; k < count; ++k) {
        const auto& a = slope[static_cast<std::size_t>(i)];
        const auto& b = slope[static_cast<std::size_t>(k)];
        for (std::size_t r = 0; r < a.size(); ++r) {
          information(i, k) += a[r] * b[r];
        }
      }
      const double sd = population_.sd[static_cast<std::size_t>(i)];
      information(i, i) += sd > 0.0 ? 1.0 / (sd * sd) : 1e12;
    }
    const Eigen::MatrixXd open = information.llt().solve(Eigen::MatrixXd::Identity(count, count));
    return open.llt().matrixL();
  }

  [[nodiscard]] double sd_of(std::size_t k) const { return population_.sd[k]; }

 private:
  [[nodiscard]] double noise(double felt) const {
    return std::hypot(plan_.noise_m_s, plan_.noise_relative * felt);
  }

  StreamPopulation population_;
  test::SurveyPlan plan_;
  std::vector<OneReading> readings_;
};

/// Long and short steps along what is open, and now and then one number alone.
Numbers propose(const Numbers& from,
                const Eigen::MatrixXd& factor,
                const Beliefs& beliefs,
                test::Dice& dice) {
  Numbers to = from;
  if (dice.uniform() < 0.3) {
    const auto k = static_cast<std::size_t>(dice.uniform(0.0, static_cast<double>(from.size())));
    to[k] += dice.normal(beliefs.sd_of(k) * std::pow(10.0, dice.uniform(-1.5, 0.0)));
    return to;
  }
  const double length =
      2.4 / std::sqrt(static_cast<double>(from.size())) * std::pow(10.0, dice.uniform(-0.8, 0.2));
  Eigen::VectorXd draw(factor.rows());
  for (Eigen::Index k = 0; k < draw.size(); ++k) {
    draw[k] = dice.normal(length);
  }
  const Eigen::VectorXd step = factor * draw;
  for (Eigen::Index k = 0; k < step.size(); ++k) {
    const auto number = static_cast<std::size_t>(k);
    to[number] += beliefs.sd_of(number) > 0.0 ? step[k] : 0.0;
  }
  return to;
}

Posterior summary(const std::vector<double>& chain) {
  Posterior p;
  p.median = test::median(chain);
  p.low_95 = test::quantile(chain, 0.025);
  p.high_95 = test::quantile(chain, 0.975);
  p.sd = (p.high_95 - p.low_95) / 3.92;
  const auto middle = chain.begin() + static_cast<std::ptrdiff_t>(chain.size() / 2);
  p.halves_apart =
      (test::median({chain.begin(), middle}) - test::median({middle, chain.end()})) / p.sd;
  return p;
}

}  // namespace

BestAnswer best_answer(const StreamPopulation& population,
                       const Numbers& truth,
                       const Survey& survey,
                       const test::SurveyPlan& plan,
                       int steps,
                       std::uint64_t seed) {
  const Beliefs beliefs(population, survey, plan);
  const Eigen::MatrixXd factor = beliefs.step_factor(truth);
  test::Dice dice(seed);
  Numbers at = truth;
  double density = beliefs.log_density(at);
  std::vector<double> flow, square;
  for (int step = 1; step <= steps; ++step) {
    const Numbers next = propose(at, factor, beliefs, dice);
    const double there = beliefs.log_density(next);
    if (std::log1p(-dice.uniform()) < there - density) {
      at = next;
      density = there;
    }
    if (step % thin == 0) {
      const test::ExactFlux flux = population.make(at)->exact();
      flow.push_back(flux.volume_flow_m3_s);
      square.push_back(flux.momentum_over_density_m4_s2);
    }
  }
  return {summary(flow), summary(square)};
}

}  // namespace sweepflux::bench
