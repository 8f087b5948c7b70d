#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace sweepflux::test {

/// A serial line without a plug: what is written here, a program reads from the device `path()`.
class PseudoTerminal {
 public:
  /// @throws std::runtime_error  the system has none
  PseudoTerminal();
  ~PseudoTerminal();
  PseudoTerminal(const PseudoTerminal&) = delete;
  PseudoTerminal& operator=(const PseudoTerminal&) = delete;

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  /// Waits while the line is full.
  ///
  /// @return false when nobody has read for so long that the reader must be gone
  bool write(std::string_view bytes, double patience_s = 60.0);
  /// Waits until all that was written has been read.
  bool wait_until_read(double patience_s = 60.0) const;
  /// Pulls the plug.
  void close();

 private:
  int master_ = -1;
  int slave_ = -1;  ///< open too, so that what waits in the line can be counted
  std::filesystem::path path_;
};

}  // namespace sweepflux::test
