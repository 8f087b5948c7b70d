#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>

namespace sweepflux::tool {

/// Where a growing log comes from: a file that something else writes, standard input, or the
/// device file of a serial line.
class FollowSource {
 public:
  /// @param name  "-": standard input
  /// @param baud  of a serial line; 0: as it is set
  /// @throws InputError  does not exist, is a folder, or the baud rate is not one of the usual
  FollowSource(const std::string& name, int baud);
  ~FollowSource();
  FollowSource(const FollowSource&) = delete;
  FollowSource& operator=(const FollowSource&) = delete;

  enum class State { data, nothing_yet, began_anew, ended };
  /// Whatever has come, at most 64 KiB, into `bytes`; waits up to `wait_ms` for it.
  ///
  /// @throws SystemError  reading fails
  [[nodiscard]] State read(std::string& bytes, int wait_ms);

  [[nodiscard]] bool is_file() const { return is_file_; }
  [[nodiscard]] const std::string& name() const { return name_; }
  /// What a file holds before a byte, by its opening and by what stands right before that byte:
  /// enough to tell a log that was written anew from one that has grown. 0 for streams, and for a
  /// file that has not so many bytes.
  [[nodiscard]] std::uint64_t fingerprint(std::size_t byte) const;

 private:
  void open();
  [[nodiscard]] bool was_replaced() const;
  void note_read();

  std::string name_;
  int baud_ = 0;
  int descriptor_ = -1;
  bool is_file_ = false;
  std::uint64_t id_ = 0;
  std::size_t at_ = 0;
  std::uint64_t read_so_far_ = 0;  ///< fingerprint(at_), as it was when these bytes were read
};

}  // namespace sweepflux::tool
