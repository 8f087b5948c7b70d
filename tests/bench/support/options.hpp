#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::bench {

/// `--name value` pairs of a benchmark's command line. Lists are separated by commas.
class Options {
 public:
  /// @param defaults  every option that exists, with its default
  /// @throws InputError  an unknown option, or one without a value; the message lists them all
  Options(int argc, const char* const* argv, std::map<std::string, std::string> defaults);

  [[nodiscard]] const std::string& text(std::string_view name) const;
  [[nodiscard]] std::vector<std::string> texts(std::string_view name) const;
  /// @throws InputError  not a number
  [[nodiscard]] double number(std::string_view name) const;
  [[nodiscard]] std::vector<double> numbers(std::string_view name) const;
  /// @throws InputError  not a whole number of at least `least`
  [[nodiscard]] int count(std::string_view name, int least = 0) const;
  /// A whole number of up to 64 bits, as the seeds that the scoreboard prints.
  /// @throws InputError  anything else
  [[nodiscard]] std::uint64_t seed(std::string_view name) const;
  [[nodiscard]] std::vector<int> counts(std::string_view name, int least = 0) const;
  /// "yes" or "no".
  [[nodiscard]] bool yes(std::string_view name) const;
  /// All options as they stand, for the heading of a result.
  [[nodiscard]] std::string all() const;

 private:
  std::map<std::string, std::string> values_;
};

/// Runs `work`, and turns an error into one line and an exit code.
int run_program(int argc, const char* const* argv, int (*work)(int, const char* const*));

}  // namespace sweepflux::bench
