#include "sweepflux/field/stream/core_pursuit_private.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

using Vector = std::vector<double>;

constexpr int first_cores = 400, further_cores = 600;  // drawn
constexpr std::size_t pairs_tried = 60;                // with any third core
constexpr std::size_t most_starts = 10;
constexpr double off_by = 0.05;  // of the highest speed: what a start may miss
constexpr double weakest = 0.1, strongest = 1.0;  // over the first core: the bounds of the prior

/// Cores that go together, by their places in the list.
struct Choice {
  Eigen::Index core[most_cores] = {};
  double strength[most_cores] = {};
  double log_density = -1e300;
};

class Pursuit {
 public:
  Pursuit(const StreamPrior& prior,
          const std::vector<PlaneReadings>& readings,
          const StreamMeans& means,
          Dice& dice)
      : prior_(prior), means_(means) {
    for (const PlaneReadings& plane : readings) {
      for (const PlaneReadings::Row& row : plane.rows) {
        add_reading(row.value, row.noise_2);
      }
      for (const PlaneReadings::Censored& c : plane.censored) {
        add_reading(0.5 * c.limit, c.noise_2 + 0.25 * c.limit * c.limit);
      }
    }
    const int further = prior.cores() > 1 ? further_cores : 0;
    seen_.resize(static_cast<Eigen::Index>(weight_.size()), first_cores + further);
    for (int i = 0; i < first_cores + further; ++i) {
      draw(i < first_cores ? 0 : 1, dice);
    }
    const auto n = static_cast<Eigen::Index>(weight_.size());
    const Eigen::Map<const Eigen::VectorXd> y(value_.data(), n);
    products_ = seen_.transpose() * seen_;
    response_ = seen_.transpose() * y;
  }

  std::vector<Vector> run() {
    std::vector<Choice> best(first_cores);
    for (Eigen::Index f = 0; f < first_cores; ++f) {
      best[static_cast<std::size_t>(f)].core[0] = f;
      if (prior_.cores() == 1) {
        weigh(best[static_cast<std::size_t>(f)], 1);
      } else {
        complete(best[static_cast<std::size_t>(f)], 1);
      }
    }
    keep_best(best, prior_.cores() > 2 ? pairs_tried : most_starts);
    if (prior_.cores() > 2) {
      for (Choice& c : best) {
        complete(c, 2);
      }
      keep_best(best, most_starts);
    }
    std::vector<Vector> out;
    for (const Choice& c : best) {
      if (c.log_density > -1e299) {
        out.push_back(vector_of(c));
      }
    }
    return out;
  }

 private:
  void add_reading(double value, double noise_2) {
    weight_.push_back(1.0 / std::sqrt(noise_2 + off_by * off_by));
    value_.push_back(value * weight_.back());
  }

  /// One core alone at unit strength, its kind 0 for a first one, 1 for a further one.
  void draw(int kind, Dice& dice) {
    Vector z(prior_.dimension(), 0.0);
    double square = 0.0;
    for (const std::size_t j : prior_.entries_of_core(kind)) {
      z[j] = dice.normal();
      square += z[j] * z[j];
    }
    SurveyStream s = prior_.stream(z);
    const double strength = prior_.reference(s).core[kind].amplitude;
    for (PlaneStream& plane : s.planes) {
      plane.core[0] = plane.core[kind];
      plane.core[0].amplitude /= strength;
      plane.dip = kind == 0 ? plane.dip : 0.0;
      plane.cores = 1;
    }
    const Vector seen = means_(s);
    const auto column = static_cast<Eigen::Index>(z_.size());
    for (std::size_t i = 0; i < seen.size(); ++i) {
      seen_(static_cast<Eigen::Index>(i), column) = seen[i] * weight_[i];
    }
    z_.push_back(std::move(z));
    half_square_.push_back(0.5 * square);
  }

  /// Best strengths of the first `count` cores, and what they are worth.
  void weigh(Choice& c, int count) const {
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, most_cores, most_cores> a(count,
                                                                                       count);
    Eigen::Matrix<double, Eigen::Dynamic, 1, 0, most_cores, 1> b(count);
    double log_density = 0.0;
    for (int i = 0; i < count; ++i) {
      for (int j = 0; j < count; ++j) {
        a(i, j) = products_(c.core[i], c.core[j]);
      }
      a(i, i) *= 1.0 + 1e-9;
      b(i) = response_(c.core[i]);
      log_density -= half_square_[static_cast<std::size_t>(c.core[i])];
    }
    const auto strength = a.llt().solve(b).eval();
    c.log_density = log_density + 0.5 * strength.dot(b);
    for (int i = 0; i < count; ++i) {
      c.strength[i] = strength(i);
      const bool possible =
          i == 0 ? strength(0) > 0.0
                 : strength(i) >= weakest * strength(0) && strength(i) <= strongest * strength(0);
      c.log_density = possible ? c.log_density : -1e300;
    }
  }

  /// Adds the further core that goes best with the first `count`.
  void complete(Choice& c, int count) const {
    Choice best = c;
    best.log_density = -1e300;
    for (Eigen::Index g = first_cores; g < products_.rows(); ++g) {
      Choice tried = c;
      tried.core[count] = g;
      weigh(tried, count + 1);
      if (tried.log_density > best.log_density) {
        best = tried;
      }
    }
    c = best;
  }

  /// The best, no further cores twice.
  void keep_best(std::vector<Choice>& choices, std::size_t count) const {
    std::stable_sort(choices.begin(), choices.end(), [](const Choice& a, const Choice& b) {
      return a.log_density > b.log_density;
    });
    std::vector<Choice> kept;
    for (const Choice& c : choices) {
      const bool alike = std::any_of(kept.begin(), kept.end(), [&](const Choice& k) {
        return prior_.cores() > 1 && k.core[1] == c.core[1] && k.core[2] == c.core[2];
      });
      if (!alike && kept.size() < count) {
        kept.push_back(c);
      }
    }
    choices = std::move(kept);
  }

  Vector vector_of(const Choice& c) const {
    Vector z = z_[static_cast<std::size_t>(c.core[0])];
    for (int i = 1; i < prior_.cores(); ++i) {
      const std::vector<std::size_t> from = prior_.entries_of_core(1),
                                     to = prior_.entries_of_core(i);
      for (std::size_t j = 0; j < to.size(); ++j) {
        z[to[j]] = z_[static_cast<std::size_t>(c.core[i])][from[j]];
      }
    }
    prior_.set_strengths(z, {c.strength, static_cast<std::size_t>(prior_.cores())});
    return z;
  }

  const StreamPrior& prior_;
  const StreamMeans& means_;
  Vector weight_, value_;
  std::vector<Vector> z_;
  Vector half_square_;  ///< of each core's own entries
  Eigen::MatrixXd seen_, products_;
  Eigen::VectorXd response_;
};

}  // namespace

std::vector<Vector> pursue_cores(const StreamPrior& prior,
                                 const std::vector<PlaneReadings>& readings,
                                 const StreamMeans& means,
                                 Dice& dice) {
  return Pursuit(prior, readings, means, dice).run();
}

}  // namespace sweepflux
