#pragma once

#include "tool/serial_line.hpp"

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

namespace sweepflux::tool {

/// Where a growing log comes from: a file that something else writes, standard input, or the
/// device file of a serial line.
class FollowSource {
 public:
  /// @param name  "-": standard input
  /// @param line  how a serial line is set
  /// @throws InputError  does not exist, or is a folder
  explicit FollowSource(const std::string& name, const SerialLine& line = {});
  ~FollowSource();
  FollowSource(const FollowSource&) = delete;
  FollowSource& operator=(const FollowSource&) = delete;

  enum class State {
    data,
    nothing_yet,
    began_anew,  ///< a file was replaced or cut
    came_back,   ///< a serial line was lost for a while, and goes on amid a line
    ended
  };
  /// Whatever has come, at most 64 KiB, into `bytes`; waits up to `wait_ms` for it. A serial line
  /// whose other end is gone is waited for, 30 s at most.
  ///
  /// @throws SystemError  reading fails
  [[nodiscard]] State read(std::string& bytes, int wait_ms);

  [[nodiscard]] bool is_file() const { return is_file_; }
  /// A serial line: it has no end, and may begin amid a line.
  [[nodiscard]] bool is_device() const { return is_device_; }
  [[nodiscard]] const std::string& name() const { return name_; }
  /// What a file holds before a byte, by its opening and by what stands right before that byte:
  /// enough to distinguish a log that was written anew from one that has grown. 0 for streams, and
  /// for a file that has not so many bytes.
  [[nodiscard]] std::uint64_t fingerprint(std::size_t byte) const;

 private:
  [[nodiscard]] bool open();
  void reopen();
  [[nodiscard]] State come_back(int wait_ms);
  [[nodiscard]] bool was_replaced() const;
  void note_read();

  std::string name_;
  SerialLine line_;
  int descriptor_ = -1;
  bool is_file_ = false;
  bool is_device_ = false;
  std::string left_over_;  ///< that came with `came_back`
  std::optional<std::chrono::steady_clock::time_point> lost_since_;
  std::uint64_t id_ = 0;
  std::size_t at_ = 0;
  std::uint64_t read_so_far_ = 0;  ///< fingerprint(at_), as it was when these bytes were read
};

}  // namespace sweepflux::tool
