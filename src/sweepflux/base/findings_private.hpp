#pragma once

#include "sweepflux/base/finding.hpp"

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

namespace sweepflux {

/// Collects faults, so that all of them can be reported at once.
class Findings {
 public:
  /// @param most  >= 1; the one after so many ends the reading
  explicit Findings(std::size_t most) : most_(most) {}

  /// @throws SurveyError  when there are too many
  void add(Spot spot, std::string text);

  [[nodiscard]] std::size_t count() const { return found_.size(); }

  /// @throws SurveyError  when anything was found: files in the order in which they first came,
  /// each from its first line to its last
  void throw_if_any();

 private:
  [[noreturn]] void throw_sorted(bool too_many);

  std::size_t most_;
  std::vector<Finding> found_;
  std::vector<std::filesystem::path> files_;
};

}  // namespace sweepflux
