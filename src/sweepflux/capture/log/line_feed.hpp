#pragma once

#include "sweepflux/capture/log/read_log.hpp"

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

namespace sweepflux {

/// Decodes a log that arrives in pieces, cut anywhere. Only whole lines are decoded; half a line
/// waits for its other half.
class LineFeed {
 public:
  /// @param file  for messages only
  LineFeed(std::filesystem::path file, const LogFormat& format);

  using Take = std::function<void(const LogSample&)>;

  /// @throws SurveyError  as LogDecoder
  void feed(std::string_view bytes, const Take& take);

  /// The source begins anew (file replaced or cut): half a line is given up, lines count from 1,
  /// the next heading is known again.
  ///
  /// @return true when half a line was given up
  bool restart();

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
  void decode(const std::string& line, const Take& take);

  LogDecoder decoder_;
  std::string half_;
  std::string batch_;
  char separator_ = '\0';
  std::size_t bytes_before_ = 0;
  std::size_t lines_before_ = 0;
  LogTally counts_before_;
};

}  // namespace sweepflux
