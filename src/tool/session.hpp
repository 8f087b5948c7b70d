#pragma once

#include "sweepflux/base/interrupt.hpp"

#include <cstdio>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace sweepflux::tool {

/// What every command accepts.
struct CommonOptions {
  bool quiet = false;
  bool json = false;
  bool replace = false;  ///< earlier results, even where the user changed them
  std::string out;       ///< folder for the results; empty: not given
};

/// How a command speaks to whoever called it.
class Session {
 public:
  /// @param out, err  stay open as long as the session lives
  explicit Session(std::FILE* out, std::FILE* err) : out_(out), err_(err) {}

  /// The first line of every command: --quiet and --json silence say().
  void apply(const CommonOptions& options) { options_ = options; }

  /// Text for a person, on standard output; nothing under --quiet and --json. Like all that goes
  /// to a terminal it is escaped here, and nowhere else: titles and names come from files.
  void say(std::string_view text);
  /// A page that is drawn over the one before, on standard output.
  void redraw(std::string_view page);
  /// The last line of every command that writes a folder.
  void say_place(const char* what, const std::filesystem::path& folder);
  /// JSON that was asked for, on standard output, always.
  void give(std::string_view json);
  /// One line on standard error, always: why there is no result.
  void complain(std::string_view line);
  /// Takes care that all of it arrived.
  /// @throws SystemError  it did not: the disk is full, ...
  void finish();

  /// For the long calculations: a line on standard error when that is a terminal and the work
  /// lasts, and a watch for Ctrl-C. The line is wiped with the last copy of what comes back.
  [[nodiscard]] Progress progress() const;

 private:
  void put(std::string_view text);

  std::FILE* out_;
  std::FILE* err_;
  CommonOptions options_;
  bool drawn_ = false;
};

}  // namespace sweepflux::tool
