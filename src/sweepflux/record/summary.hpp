#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <filesystem>
#include <string>
#include <string_view>

namespace sweepflux {

/// What `map` found out, as one JSON text: SI units, the unit in the key, numbers in the shortest
/// form that reads back to the same bits. What is not known (no balance, no next sweep, a half
/// width that no sweep reached) is `null`, never a made-up number. Bytes that are no UTF-8 (a
/// file's name may hold them) are replaced by U+FFFD.
///
/// The maps and the samples are not in it; they have files of their own.
[[nodiscard]] std::string summary_json(const SurveyResult& result);

/// Reads such a text back. Written again it gives the same text.
///
/// Filled: title, fan, setting, outlet, the sweeps' names, places and rows left out, density, and
/// of each plane all but the map and the samples' values. `null` comes back as not-a-number where
/// a number can be missing. Unknown keys are passed over: a later version may have written more.
///
/// @param where  named in messages, mostly the file's path
/// @throws InputError  no JSON (with its line and column), or not a summary of this program
[[nodiscard]] SurveyResult parse_summary(std::string_view text, std::string_view where);

/// Reads a file written from summary_json().
///
/// @throws InputError   as parse_summary(), or there is no such file
/// @throws SystemError  the file cannot be read
[[nodiscard]] SurveyResult read_summary(const std::filesystem::path& file);

}  // namespace sweepflux
