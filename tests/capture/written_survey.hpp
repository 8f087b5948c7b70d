#pragma once

#include "sweepflux/capture/survey/read_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::test {

/// A survey in a fresh folder: survey.toml and whatever else a test writes there.
class WrittenSurvey {
 public:
  explicit WrittenSurvey(std::string_view toml) : folder_(scratch_folder()) {
    write("survey.toml", toml);
  }

  void write(const std::string& name, std::string_view text) const {
    std::filesystem::create_directories((folder_ / name).parent_path());
    std::ofstream(folder_ / name, std::ios::binary) << text;
  }

  [[nodiscard]] std::filesystem::path folder() const { return folder_; }

  [[nodiscard]] Survey read(const ReadOptions& options = {}) const {
    return read_survey(folder_ / "survey.toml", options);
  }

  /// What is refused, as "file:line:column: text" with the folder taken off.
  [[nodiscard]] std::vector<std::string> refusals(const ReadOptions& options = {}) const {
    std::vector<std::string> messages;
    try {
      (void)read(options);
    } catch (const SurveyError& error) {
      for (Finding finding : error.findings()) {
        finding.spot.file = finding.spot.file.lexically_relative(folder_);
        messages.push_back(finding.message());
      }
    }
    return messages;
  }

 private:
  std::filesystem::path folder_;
};

/// The sections that every survey needs, 18 lines.
inline const std::string usual_sections = R"([survey]
title   = "Herb loft, heron, speed 3"
fan     = "heron"
setting = "3"
[air]
temperature = "21.5 degC"
pressure    = "1006.2 hPa"
humidity    = "48 %"
[outlet]
shape    = "round"
diameter = "0.40 m"
centre_height = "0.92 m"
[rig]
motion = "swivel"
[probe]
kind = "vane"
starting_speed = "0.3 m/s"
resolution = "0.01 m/s"
)";

/// One sweep of file near.csv, as lines 19 to 22.
inline const std::string usual_sweep = R"([[sweep]]
file     = "near.csv"
distance = "1.5 m"
height   = "0.92 m"
)";

/// A survey with one sweep.
inline WrittenSurvey survey_of(std::string_view csv, const std::string& more_toml = "") {
  WrittenSurvey survey(usual_sections + usual_sweep + more_toml);
  survey.write("near.csv", csv);
  return survey;
}

}  // namespace sweepflux::test
