#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <string>

namespace sweepflux {

/// A row per plane: everything of a plane that is one number, SI, the unit in the heading. A value
/// that is not known is an empty cell. Comma between cells, point in numbers, one `\n` a row.
[[nodiscard]] std::string planes_csv(const SurveyResult& result);

/// A row per point of a plane's map: y_m, z_m, speed_m_s, speed_uncertainty_m_s, support. Rows run
/// along y first, then up.
///
/// @throws InputError  the map's arrays are not ny * nz long
[[nodiscard]] std::string plane_csv(const PlaneMap& map);

/// A distance as it stands in file names: the shortest decimal form, "1.5", "0.85", "2"; rounded
/// to the micrometre, never with an exponent.
[[nodiscard]] std::string distance_text(double distance_m);

}  // namespace sweepflux
