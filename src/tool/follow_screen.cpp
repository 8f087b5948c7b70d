#include "tool/follow_screen.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/finish_sweep.hpp"
#include "tool/columns.hpp"
#include "tool/reduced_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

namespace sweepflux::tool {
namespace {

double shown(double position, Motion motion) {
  return motion == Motion::swivel ? position / degree_rad : position;
}

const char* unit(Motion motion) { return motion == Motion::swivel ? "deg" : "m"; }

/// A bar of `share` of `columns` cells, to an eighth of a cell.
std::string bar(double share, int columns, bool utf8) {
  static constexpr std::array<const char*, 8> eighths = {
      "", "\u258f", "\u258e", "\u258d", "\u258c", "\u258b", "\u258a", "\u2589"};
  const double cells = std::clamp(share, 0.0, 1.0) * columns;
  std::string text;
  if (!utf8) {
    return std::string(static_cast<std::size_t>(std::lround(cells)), '=');
  }
  const int whole = static_cast<int>(cells);
  for (int i = 0; i < whole; ++i) {
    text += "\u2588";
  }
  return text + eighths[static_cast<std::size_t>(8.0 * (cells - whole))];
}

/// At most so many characters; bytes beyond ASCII count as part of the one before.
std::string cut(const std::string& text, int columns) {
  std::string kept;
  int used = 0;
  for (const char c : text) {
    const bool begins = (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    if (begins && ++used > columns) {
      break;
    }
    kept += static_cast<unsigned char>(c) < 0x20U ? ' ' : c;
  }
  return kept;
}

/// One line of the profile: all visits of a position together.
struct Level {
  double sum = 0.0;
  double squares = 0.0;  ///< of the standard errors
  int visits = 0;
  bool warned = false;
  bool final = true;
};

std::vector<std::string> profile_lines(const std::vector<Dwell>& dwells,
                                       std::size_t final,
                                       const OpenDwell& open,
                                       Motion motion,
                                       ScreenSize size,
                                       int most) {
  std::map<long, Level> levels;  // by tenths of a degree, or millimetres
  const double fineness = motion == Motion::swivel ? 10.0 : 1000.0;
  double top = 0.0;
  for (std::size_t i = 0; i < dwells.size(); ++i) {
    const Dwell& dwell = dwells[i];
    if (dwell.reading.samples == 0) {
      continue;
    }
    Level& level = levels[std::lround(shown(dwell.position, motion) * fineness)];
    level.sum += dwell.reading.mean;
    const double error = dwell.reading.standard_error;
    level.squares += std::isfinite(error) ? error * error : 0.0;
    ++level.visits;
    level.warned = level.warned || !dwell.warnings.empty();
    level.final = level.final && i < final;
    top = std::max(top, dwell.reading.mean);
  }
  const long now = open.resting ? std::lround(shown(open.position, motion) * fineness) : 0;
  std::vector<std::string> lines;
  const std::size_t every =
      (levels.size() + static_cast<std::size_t>(most) - 1) / static_cast<std::size_t>(most);
  std::size_t index = 0;
  for (const auto& [place, level] : levels) {
    if (index++ % std::max<std::size_t>(every, 1) != 0) {
      continue;
    }
    const double mean = level.sum / level.visits;
    const double error = std::sqrt(level.squares) / level.visits;
    std::string line = aligned(static_cast<double>(place) / fineness, 8, 1) + aligned(mean, 8, 2) +
                       (level.final ? " +-" + aligned(error, 5, 2) : "        ") +
                       (level.warned ? " ! " : "   ");
    line += bar(top > 0.0 ? mean / top : 0.0, size.columns - 28, size.utf8);
    if (open.resting && place == now) {
      line += " <";
    }
    lines.push_back(line);
  }
  return lines;
}

std::string progress_line(const FollowView& view, Motion motion, ScreenSize size) {
  if (!view.open.resting) {
    return "now: on the way to the next stop";
  }
  std::string line = "now: " + format_number(shown(view.open.position, motion), 4) + " " +
                     unit(motion) + ", " + format_number(view.open.elapsed_s, 3) + " s";
  if (view.usual_rest_s > 0.0) {
    line += " of about " + format_number(view.usual_rest_s, 3) + " s [";
    const double share = std::clamp(view.open.elapsed_s / view.usual_rest_s, 0.0, 1.0);
    const int done = static_cast<int>(16.0 * share);
    line += bar(1.0, done, size.utf8) + std::string(static_cast<std::size_t>(16 - done), '.') + "]";
  }
  if (std::isfinite(view.open.mean)) {
    line += "  mean " + format_number(view.open.mean, 3) + " m/s";
  }
  return line;
}

}  // namespace

std::string spark_line(const std::vector<double>& values, int columns, bool utf8) {
  static constexpr std::array<const char*, 8> bars = {
      "\u2581", "\u2582", "\u2583", "\u2584", "\u2585", "\u2586", "\u2587", "\u2588"};
  constexpr std::string_view ascii = "_.-:=+*#";
  const std::size_t first = values.size() > static_cast<std::size_t>(columns)
                                ? values.size() - static_cast<std::size_t>(columns)
                                : 0;
  double low = 1e300;
  double high = -1e300;
  for (std::size_t i = first; i < values.size(); ++i) {
    if (std::isfinite(values[i])) {
      low = std::min(low, values[i]);
      high = std::max(high, values[i]);
    }
  }
  std::string text;
  for (std::size_t i = first; i < values.size(); ++i) {
    if (!std::isfinite(values[i])) {
      text += ' ';
      continue;
    }
    const double share = high > low ? (values[i] - low) / (high - low) : 0.0;
    const std::size_t step = std::min<std::size_t>(7, static_cast<std::size_t>(8.0 * share));
    text += utf8 ? std::string(bars[step]) : std::string(1, ascii[step]);
  }
  return text;
}

std::string follow_screen(const FollowView& view,
                          const std::vector<Dwell>& dwells,
                          Motion motion,
                          ScreenSize size) {
  std::vector<std::string> lines;
  lines.push_back("sweepflux follow  " + view.source + "   " +
                  format_number(view.since_start_s / 60.0, 3) + " min   " +
                  std::to_string(view.rows) + " rows");
  lines.push_back("");
  lines.push_back(std::string(motion == Motion::swivel ? "   angle" : "  across") +
                  "   speed   +-(k=1)   m/s" +
                  (view.final_dwells < dwells.size() ? "   (+- is shown once it is final)" : ""));
  const int warnings = std::min<int>(4, static_cast<int>(view.warnings.size()));
  const int most = std::max(3, size.rows - 10 - warnings);
  const std::vector<std::string> profile =
      profile_lines(dwells, view.final_dwells, view.open, motion, size, most);
  if (profile.empty()) {
    lines.emplace_back("  no stop has ended yet");
  }
  lines.insert(lines.end(), profile.begin(), profile.end());
  lines.push_back("");
  lines.push_back("last " + format_number(view.last_value, 3) + " m/s  " +
                  spark_line(view.recent, size.columns - 20, size.utf8));
  lines.push_back(progress_line(view, motion, size));
  std::string left = std::to_string(dwells.size()) + " dwells done";
  if (view.stops_wanted > 0) {
    left += " of " + std::to_string(view.stops_wanted);
  }
  if (view.minutes_left) {
    left += ", " + format_number(*view.minutes_left, 2) + " min left";
  }
  if (view.settle_s > 0.0) {
    left += ", settling " + format_number(view.settle_s, 2) + " s dropped";
  }
  lines.push_back(left);
  for (int i = 0; i < warnings; ++i) {
    lines.push_back("! " + view.warnings[view.warnings.size() - static_cast<std::size_t>(warnings) +
                                         static_cast<std::size_t>(i)]);
  }
  lines.push_back("Ctrl-C ends it and writes the sweep");
  std::string text;
  for (std::size_t i = 0; i < lines.size() && i < static_cast<std::size_t>(size.rows); ++i) {
    text += cut(lines[i], size.columns) + "\n";
  }
  return text;
}

std::string scale_screen(const std::string& source,
                         std::size_t rows,
                         double last_n,
                         const SteadyWatch& watch,
                         const std::vector<double>& recent,
                         ScreenSize size) {
  const auto grams = [](double force_n) {
    return format_number(1000.0 * force_n / standard_gravity_m_s2, 4) + " g";
  };
  std::string text =
      cut("sweepflux follow  " + source + "   " + std::to_string(rows) + " rows", size.columns) +
      "\n\n";
  text += cut("last " + grams(last_n) + "  " + spark_line(recent, size.columns - 20, size.utf8),
              size.columns) +
          "\n";
  text += watch.steady() ? cut("steady at " + grams(watch.mean_n()), size.columns)
                         : cut("not yet steady: moving by " + grams(watch.trend_n()), size.columns);
  return text + "\n\nCtrl-C ends it and writes the thrust\n";
}

StopLines::StopLines(const ReduceSettings& settings)
    : motion_(settings.format.motion),
      settling_known_(
          settings.pattern || settings.dwells.settle_s ||
          (!settings.dwells.stops.empty() && settings.dwells.stops.front().settle_s > 0.0)),
      begin_known_(!settings.pattern || settings.dwells.begin_s) {}

std::string StopLines::opening() const {
  if (!begin_known_) {
    return std::string("stops are shown at the end, when the start of the pattern is found ") +
           "(--begin states it)\n" + uncertainty_words + "\n";
  }
  const std::string first = std::to_string(fewest_pooled);
  return "each stop is shown once with its +-, when its numbers are final, and before that its "
         "speed so far;\n  " +
         (settling_known_
              ? "stops 1 to " + first +
                    " are final together, since their +- is determined from all of them\n"
              : "they are final at the end of the sweep, from which the settling time is determined "
                "(--settle\n  states it)\n") +
         uncertainty_words + "\n";
}

std::string StopLines::place(std::size_t index, const Dwell& dwell) const {
  return right_aligned(std::to_string(index + 1), 3) +
         aligned(shown(dwell.position, motion_), 8, 2) + " " + unit(motion_);
}

std::string StopLines::lines(std::span<const Dwell> dwells, std::size_t final) {
  std::string text;
  for (; printed_ < final; ++printed_) {
    const Dwell& dwell = dwells[printed_];
    shown_until_s_ = std::max(shown_until_s_, dwell.start_s);
    text += place(printed_, dwell);
    text += dwell.reading.samples == 0
                ? "  no reading"
                : aligned(dwell.reading.mean, 9, 3) + " m/s +-" +
                      aligned_error(dwell.reading.standard_error, 6, 3);
    text += dwell.warnings.empty() ? "" : "  !";
    for (const std::string& warning : dwell.warnings) {
      text += kinds_.insert(warning.substr(0, warning.find(':'))).second ? " " + warning : "";
    }
    text += "\n";
  }
  for (std::size_t i = final; begin_known_ && i < dwells.size(); ++i) {
    const Dwell& dwell = dwells[i];
    if (dwell.start_s > shown_until_s_) {
      shown_until_s_ = dwell.start_s;
      text += place(i, dwell) + (dwell.reading.samples == 0
                                     ? "  no reading so far\n"
                                     : aligned(dwell.reading.mean, 8, 2) + "  m/s so far\n");
    }
  }
  return text;
}

std::string StopLines::end(const ReducedLog& reduced) {
  std::string text = count_text(reduced.readings.size(), "reading") + " from " +
                     count_text(reduced.counts.rows, "row") + "\n";
  if (reduced.backlash_corrected || reduced.drift_corrected) {
    text += std::string("the stops above are uncorrected; ") +
            (!reduced.drift_corrected      ? "backlash"
             : reduced.backlash_corrected ? "backlash and drift"
                                           : "drift") +
            " was taken off in the sweep that is written\n";
  }
  return text + reduced_notes(reduced);
}

}  // namespace sweepflux::tool
