#pragma once

#include "sweepflux/derive/log/reduce_log.hpp"

#include <filesystem>
#include <string>

namespace sweepflux {

/// A sweep that was put into a survey.
struct AppendedSweep {
  std::filesystem::path file;   ///< of its readings
  bool was_there = false;       ///< the survey named the same readings already: nothing was done
};

/// Writes a reduced sweep into `sweeps/` beside a survey, and a [[sweep]] block that names it at the
/// survey's end, or at the end of a campaign's setting; the rest of the file stays byte by byte as
/// it is, comments too. The new file is read before it takes the old one's place, in one step: it is
/// whole at every moment, and holds one sweep more.
///
/// @param member        of a campaign [Survey::member]; empty: the file is one survey
/// @throws InputError   no block can be added (the sweeps stand in one list, the file is in UTF-16,
///                      ...), or somebody changed the file meanwhile
/// @throws SystemError  disk full, no permission; nothing was changed
[[nodiscard]] AppendedSweep append_sweep(const std::filesystem::path& survey_file,
                                         const std::string& member,
                                         const ReducedLog& reduced,
                                         double distance_m,
                                         double height_m);

}  // namespace sweepflux
