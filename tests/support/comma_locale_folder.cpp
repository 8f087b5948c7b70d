#include "tests/support/comma_locale_folder.hpp"

#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

namespace sweepflux::test {

std::optional<std::filesystem::path> make_comma_locale() {
  const std::filesystem::path folder = scratch_folder();
  const ProcessResult made = run_process(
      "/usr/bin/localedef",
      {"-i", "de_DE", "-f", "UTF-8", "--no-archive", (folder / "de_DE.UTF-8").string()});
  return made.exit_code == 0 ? std::optional(folder) : std::nullopt;
}

}  // namespace sweepflux::test
