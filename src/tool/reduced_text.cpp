#include "tool/reduced_text.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "tool/columns.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <vector>

namespace sweepflux::tool {
namespace {}  // namespace

std::string aligned(double value, int width, int decimals) {
  std::string text = "-";
  if (std::isfinite(value)) {
    char digits[400];
    const auto end =
        std::to_chars(digits, digits + sizeof digits, value, std::chars_format::fixed, decimals);
    text.assign(digits, end.ptr);
  }
  const std::size_t wanted = static_cast<std::size_t>(width);
  return text.size() < wanted ? std::string(wanted - text.size(), ' ') + text : text;
}

std::string table_name(const std::filesystem::path& log,
                       const char* tail,
                       std::set<std::string>& used) {
  const std::string stem = log.stem().string();
  std::string name = stem + tail;
  for (int i = 2; !used.insert(name).second; ++i) {
    name = stem + "-" + std::to_string(i) + tail;
  }
  return name;
}

std::string reduced_text(const ReducedLog& reduced) {
  const bool swivel = reduced.motion == Motion::swivel;
  std::string text = reduced.file.string() + ": " + std::to_string(reduced.readings.size()) +
                     " readings from " + std::to_string(reduced.counts.rows) + " rows\n\n";
  text += swivel ? "   angle" : "  across";
  text += "    speed  +-(1 sd)  turbulence  indep.  dwell     lines\n";
  text += swivel ? "     deg" : "       m";
  text += "      m/s       m/s           %  values      s\n";
  for (const ReducedReading& r : reduced.readings) {
    text += aligned(swivel ? r.position / degree_rad : r.position, 8, swivel ? 2 : 3);
    text += aligned(r.speed_m_s, 9, 3) + aligned(r.standard_error_m_s, 10, 3);
    text += aligned(100.0 * r.turbulence_intensity, 12, 1) + aligned(r.effective_samples, 8, 0);
    text += aligned(r.dwell_s, 7, 1) + "     " + std::to_string(r.first_line) + "-" +
            std::to_string(r.last_line) + (r.warnings.empty() ? "" : "  !") + "\n";
  }
  text += "\n";
  for (const std::string& remark : reduced.remarks) {
    text += "- " + remark + "\n";
  }
  for (const std::string& warning : reduced.warnings) {
    text += "! " + warning + "\n";
  }
  // A fault that most readings share is told once; the CSV has them all.
  std::map<std::string, std::vector<std::string>> by_kind;
  for (const ReducedReading& r : reduced.readings) {
    for (const std::string& warning : r.warnings) {
      by_kind[warning.substr(0, warning.find(':'))].push_back(
          "! at " +
          (swivel ? format_number(r.position / degree_rad, 4) + " deg: "
                  : format_number(r.position, 4) + " m: ") +
          warning + "\n");
    }
  }
  constexpr std::size_t told_singly = 3;
  for (const auto& [kind, lines] : by_kind) {
    for (std::size_t i = 0; i < std::min(told_singly, lines.size()); ++i) {
      text += lines[i];
    }
    if (lines.size() > told_singly) {
      text += "! " + kind + ": " + std::to_string(lines.size()) + " readings in all\n";
    }
  }
  return text;
}

std::string scale_text(const ScaleLog& log) {
  std::string text = log.file.string() + ": " + std::to_string(log.plateaus.size()) +
                     " plateaus, " + std::to_string(log.settings.size()) + " with the fan on\n\n";
  text += "  setting         thrust   +-(1 sd)   zero drift     lines\n";
  text += "                       N          N            N\n";
  for (const PlateauThrust& s : log.settings) {
    text += "  " + left_aligned(s.label, 12) + aligned(s.thrust_n.value, 10, 4) +
            aligned(s.thrust_n.standard_uncertainty, 11, 4) + aligned(s.zero_drift_n, 13, 4) +
            "     " + std::to_string(s.first_line) + "-" + std::to_string(s.last_line) +
            (s.steady ? "" : "  not yet steady") + "\n";
  }
  text += "\n";
  for (const std::string& remark : log.remarks) {
    text += "- " + remark + "\n";
  }
  for (const std::string& warning : log.warnings) {
    text += "! " + warning + "\n";
  }
  return text;
}

}  // namespace sweepflux::tool
