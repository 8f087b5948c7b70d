#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// One proportion of a survey, held against what room fans and their jets are like.
struct Clue {
  std::string kind;         ///< a few words, the same for every survey
  double z = 0.0;           ///< how far from usual, in standard deviations, signed
  bool impossible = false;  ///< no fan and no jet can be like that
  std::string text;         ///< the sizes, as a part of a sentence
  bool only_if_strange = false;  ///< a clue of this kind is there only when something is wrong
};

/// What a survey's numbers say about each other, one clue a kind, the worst of its planes.
///
/// Usual values and spreads are common practice of room fans, no published source, but for: momentum
/// flux and thrust [facts of a control volume; 2 to 12 % apart, Hussein 1994], the half width of a jet
/// [Panchapakesan 1993], and the two bounds of energy. The stream of an outlet of area A that carries
/// the momentum flux M has a kinetic power of M^1.5 / (2 sqrt(rho A)) at least, whatever its profile
/// there (Cauchy and Schwarz; as P = rho A u^3 / 2 for an even one), and no plane holds more kinetic
/// power than the fan takes. Without a stated power 10 kW is the bound: a socket gives 3.7 kW.
///
/// @param survey  with sweeps, a balance, or both
[[nodiscard]] std::vector<Clue> clues_of(const Survey& survey);

/// Minus the logarithm of how probable the clues are together, by Student's t with ten degrees of
/// freedom, for usual proportions have exceptions; 0 where all is just as usual.
[[nodiscard]] double strangeness(const std::vector<Clue>& clues);
[[nodiscard]] double strangeness(const Clue& clue);

}  // namespace sweepflux
