#pragma once

#include "sweepflux/base/error.hpp"

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

namespace sweepflux {

/// Where something stood in a file; lines and columns count from 1, columns in bytes. 0: unknown.
struct Spot {
  std::filesystem::path file;
  std::size_t line = 0;
  std::size_t column = 0;
};

/// " line 23" for text behind a file's name; empty where no line is known.
[[nodiscard]] std::string line_text(const Spot& spot);

/// One fault or remark, as `file:line:column: text`. The text says what was found, what is
/// allowed, and what to do.
struct Finding {
  Spot spot;
  std::string text;

  [[nodiscard]] std::string message() const;
};

/// Remarks for a person, one line a kind, as one_line_a_kind joins them.
[[nodiscard]] std::vector<std::string> remark_lines(const std::vector<Finding>& remarks);

/// A survey that cannot be used: every fault that was found, in the order of the files.
class SurveyError : public InputError {
 public:
  explicit SurveyError(std::vector<Finding> findings);
  [[nodiscard]] const std::vector<Finding>& findings() const { return findings_; }

 private:
  std::vector<Finding> findings_;
};

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
