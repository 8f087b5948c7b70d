#include "sweepflux/field/stream/root_guess_private.hpp"

namespace sweepflux {

std::shared_ptr<RootProcess> root_about(const FitData& data,
                                        const std::vector<GuessedShape>& shapes) {
  const auto guess = [shapes](const Array& y, const Array& z) {
    Array mean = Array::Zero(y.size());
    for (const GuessedShape& s : shapes) {
      mean += s.weight * s.process->model().evaluate(s.t, 0, y, z);
    }
    return mean;
  };
  const auto envelope = [shapes](const Array& y, const Array& z) {
    Array w = Array::Zero(y.size());
    for (const GuessedShape& s : shapes) {
      w += s.weight * s.process->model().envelope(s.t, 0, y, z);
    }
    return Array(w.min(1.0));
  };
  double background = 0.0;
  for (const GuessedShape& s : shapes) {
    background += s.weight * s.t[s.process->model().background_index()];
  }
  return std::make_shared<RootProcess>(data, guess, envelope, background);
}

}  // namespace sweepflux
