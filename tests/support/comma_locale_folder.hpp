#pragma once

#include <filesystem>
#include <optional>

namespace sweepflux::test {

/// Makes a locale that writes 1,5 for one and a half, for programs that a test starts.
///
/// @return the folder to name in LOCPATH, for the locale "de_DE.UTF-8"; nothing where the system
///         has no sources of locales (Debian package `locales`)
[[nodiscard]] std::optional<std::filesystem::path> make_comma_locale();

}  // namespace sweepflux::test
