#include "tool/reduced_text.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "tool/columns.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace sweepflux::tool {

namespace {

/// What was found in a log, whatever it is of.
template <typename Log>
std::string findings(const Log& log) {
  std::string text;
  for (const std::string& remark : log.remarks) {
    text += "- " + terminal_line(remark) + "\n";
  }
  for (const std::string& warning : log.warnings) {
    text += "! " + terminal_line(warning) + "\n";
  }
  return text;
}

}  // namespace

std::string aligned(double value, int width, int decimals) {
  return right_aligned(fixed_number(value, decimals), static_cast<std::size_t>(width));
}

std::string aligned_error(double standard_error, int width, int decimals) {
  const double least = std::pow(10.0, -decimals);
  const bool hidden = standard_error > 0.0 && standard_error < 0.5 * least;
  const std::string text = fixed_number(hidden ? least : standard_error, decimals);
  return right_aligned(hidden ? "<" + text : text, static_cast<std::size_t>(width));
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
  std::string text = reduced.file.string() + ": " + count_text(reduced.readings.size(), "reading") +
                     " from " + count_text(reduced.counts.rows, "row") + "\n" + uncertainty_words + "\n\n";
  text += swivel ? "   angle" : "  across";
  text += "    speed        +-  turbulence  indep.  dwell     lines\n";
  text += swivel ? "     deg" : "       m";
  text += "      m/s       m/s           %  values      s\n";
  for (const ReducedReading& r : reduced.readings) {
    text += aligned(swivel ? r.position / degree_rad : r.position, 8, swivel ? 2 : 3);
    text += aligned(r.speed_m_s, 9, 3) + aligned_error(r.standard_error_m_s, 10, 3);
    text += aligned(100.0 * r.turbulence_intensity, 12, 1) + aligned(r.effective_samples, 8, 0);
    text += aligned(r.dwell_s, 7, 1) + "     " + std::to_string(r.first_line) + "-" +
            std::to_string(r.last_line) + (r.warnings.empty() ? "" : "  !") + "\n";
  }
  return text + "\n" + reduced_notes(reduced);
}

std::string reduced_notes(const ReducedLog& reduced) {
  const bool swivel = reduced.motion == Motion::swivel;
  std::string text = findings(reduced);
  // One line a kind, with the first of them; the table has them all.
  struct Kind {
    std::string first;
    std::size_t readings = 0;
  };
  std::map<std::string, Kind> kinds;
  for (const ReducedReading& r : reduced.readings) {
    for (const std::string& warning : r.warnings) {
      Kind& kind = kinds[warning.substr(0, warning.find(':'))];
      if (kind.readings++ == 0) {
        kind.first = "at " + format_number(swivel ? r.position / degree_rad : r.position, 4) +
                     (swivel ? " deg: " : " m: ") + terminal_line(warning);
      }
    }
  }
  for (const auto& [words, kind] : kinds) {
    text += "! " + kind.first +
            (kind.readings == 1
                 ? ""
                 : "; " + std::to_string(kind.readings) + " readings in all are like this") +
            "\n";
  }
  return text;
}

std::string scale_text(const ScaleLog& log) {
  std::string text = log.file.string() + ": " + std::to_string(log.plateaus.size()) +
                     " plateaus, " + std::to_string(log.settings.size()) + " with the fan on\n" + uncertainty_words +
                     "\n\n";
  text += "  setting         thrust         +-   zero drift     lines\n";
  text += "                       N          N            N\n";
  for (const PlateauThrust& s : log.settings) {
    text += "  " + left_aligned(terminal_line(s.label), 12) + aligned(s.thrust_n.value, 10, 4) +
            aligned(s.thrust_n.standard_uncertainty, 11, 4) + aligned(s.zero_drift_n, 13, 4) +
            "     " + std::to_string(s.first_line) + "-" + std::to_string(s.last_line) +
            (s.steady ? "" : "  not yet steady") + "\n";
  }
  return text + "\n" + findings(log);
}

}  // namespace sweepflux::tool
