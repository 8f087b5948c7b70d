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
  /// Tells one file from another of the same name; 0 for streams.
  [[nodiscard]] std::uint64_t id() const { return id_; }
  [[nodiscard]] std::size_t size() const;
  void seek(std::size_t byte);

 private:
  void open();
  [[nodiscard]] bool was_replaced() const;

  std::string name_;
  int baud_ = 0;
  int descriptor_ = -1;
  bool is_file_ = false;
  std::uint64_t id_ = 0;
  std::size_t at_ = 0;
};

}  // namespace sweepflux::tool
