#include "sweepflux/plan/prior_field_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// Places where the stream is expected, with the speeds expected there: scales for the model, no
/// readings.
PlaneSamples expected_samples(const Survey& survey, const StreamGuess& g) {
  PlaneSamples p;
  p.distance_m = g.distance_m;
  p.downstream_m = g.downstream_m;
  p.outlet_centre = {g.centre_y_m, g.centre_height_m};
  p.floor_m = survey.room.floor_m;
  p.starting_speed_m_s = survey.probe.starting_speed_m_s;
  p.window = {g.centre_y_m - 3.0 * g.half_width_y_m,
              g.centre_y_m + 3.0 * g.half_width_y_m,
              g.centre_height_m - 2.5 * g.half_width_z_m,
              g.centre_height_m + 2.5 * g.half_width_z_m};
  if (p.floor_m) {
    p.window.z_min_m = std::max(p.window.z_min_m, *p.floor_m);
  }
  const double grown = free_jet_spread * g.downstream_m;
  const double power_y = 2.0 * std::exp(expected_flatness(g.half_width_y_m, grown));
  const double power_z = 2.0 * std::exp(expected_flatness(g.half_width_z_m, grown));
  constexpr int rows = 5, columns = 9;
  for (int k = 0; k < rows; ++k) {
    PlacedSweep s;
    s.height_m = p.window.z_min_m + p.window.height_m() * k / (rows - 1);
    p.sweeps.push_back(s);
    for (int i = 0; i < columns; ++i) {
      Sample sample;
      sample.at = {p.window.y_min_m + p.window.width_m() * i / (columns - 1), s.height_m};
      const double r = (sample.at.y_m - g.centre_y_m) / g.half_width_y_m;
      const double q = (s.height_m - g.centre_height_m) / g.half_width_z_m;
      sample.speed_m_s =
          g.peak_m_s * std::exp2(-std::pow(std::abs(r), power_y) - std::pow(std::abs(q), power_z));
      sample.noise_m_s = 0.05;
      sample.sweep = k;
      p.samples.push_back(sample);
    }
  }
  return p;
}

}  // namespace

SurveyField prior_field(const Survey& survey, const std::vector<StreamGuess>& planes) {
  SurveyField out;
  std::vector<PlaneSamples> samples;
  std::vector<const PlaneSamples*> all;
  for (const StreamGuess& g : planes) {
    samples.push_back(expected_samples(survey, g));
  }
  for (const PlaneSamples& p : samples) {
    all.push_back(&p);
  }
  out.data.push_back(std::make_unique<FitData>(gather(all)));
  const FitData& data = *out.data.back();
  const Candidate candidate = planes.size() > 1 ? Candidate::changing_core : Candidate::core;
  out.models.push_back(std::make_unique<MeanModel>(candidate, data));
  const MeanModel& model = *out.models.back();
  // The best fit to what is expected is the centre of the guess.
  const Vector guess = model.fit().t;
  Vector sd = model.prior_sd(guess);
  const EllipseFrame frame = model.frame_in_plane(guess, 0);
  sd[0] = 0.3 * guess[0];
  sd[1] = 0.5 * frame.a;
  sd[2] = 0.5 * frame.b;
  sd[3] = 0.4;
  sd[4] = 0.4;
  Hyper hyper;
  double amplitude = 0.0;
  for (std::size_t j = 0; j < planes.size(); ++j) {
    amplitude = std::max(amplitude, model.amplitude(guess, static_cast<int>(j)));
  }
  hyper.ln_sigma = std::log(0.15 * data.peak_m_s / amplitude);
  hyper.ln_length = std::log(0.9);
  hyper.ln_own = std::log(0.15);
  const auto process = std::make_shared<ResidualProcess>(data, model, guess, sd, hyper);
  for (std::size_t j = 0; j < planes.size(); ++j) {
    PlaneField f;
    f.frame = data.planes[j];
    f.rows_m = f.frame.heights_m;
    f.half_width_y_m = planes[j].half_width_y_m;
    f.half_width_z_m = planes[j].half_width_z_m;
    WeightedPart part;
    part.part = process;
    part.plane = static_cast<int>(j);
    part.weight = 1.0;
    part.all_planes = true;
    part.name = "guess";
    f.parts.push_back(part);
    out.planes.push_back(std::move(f));
  }
  return out;
}

}  // namespace sweepflux
