#pragma once

#include "sweepflux/capture/log/read_log.hpp"

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// Decodes a log that arrives in pieces, cut anywhere. Only whole lines are decoded; half a line
/// waits for its other half.
class LineFeed {
 public:
  /// @param file  for messages only
  LineFeed(std::filesystem::path file, const LogFormat& format);

  using Take = std::function<void(const LogSample&)>;

  /// @throws SurveyError  as LogDecoder
  /// @throws InputError   UTF-16 text
  void feed(std::string_view bytes, const Take& take);

  /// The source begins anew (file replaced or cut): half a line is given up, lines count from 1,
  /// the next heading is known again.
  ///
  /// @return true when half a line was given up
  bool restart();

  /// The source may begin, or go on, amid a line, as a serial line does: what comes before the
  /// first line end is passed over if it looks like data, for its first digits may be missing.
  void may_begin_in_line() { in_line_ = true; }

  /// For a format with LogFormat::arrival: when the bytes of the next feed came [s].
  void came_at(double time_s) { decoder_.came_at(time_s); }
  [[nodiscard]] bool by_arrival() const { return decoder_.by_arrival(); }

  /// @return true when there was one
  bool give_up_half_line();

  /// Goes on in the middle of a source, with columns found by feeding its opening before.
  ///
  /// @param counts  of what lies before
  void resume_at(std::size_t byte, std::size_t line, const LogTally& counts);

  /// Bytes decoded so far, lines, and what they held. During a call of `take`: those before the
  /// sample's line.
  [[nodiscard]] std::size_t bytes_before() const { return bytes_before_; }
  [[nodiscard]] std::size_t lines_before() const { return lines_before_; }
  [[nodiscard]] const LogTally& counts_before() const { return counts_before_; }
  [[nodiscard]] bool has_half_line() const { return !half_.empty(); }
  [[nodiscard]] bool has_heading() const { return decoder_.has_heading(); }
  [[nodiscard]] bool has_position() const { return decoder_.has_position(); }
  [[nodiscard]] const LogCounts& counts() const { return decoder_.counts(); }

 private:
  void decode(std::string_view line, const Take& take);

  std::string source_;
  LogDecoder decoder_;
  std::vector<std::string> columns_;  ///< stated
  bool in_line_ = false;
  std::string half_;
  char separator_ = '\0';
  std::size_t bytes_before_ = 0;
  std::size_t lines_before_ = 0;
  LogTally counts_before_;
};

}  // namespace sweepflux
