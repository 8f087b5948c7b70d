#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace sweepflux::test {

/// How a program is started.
struct ProcessOptions {
  std::filesystem::path folder;                    ///< to start in; empty: this one
  std::map<std::string, std::string> environment;  ///< on top of our own
  std::filesystem::path out_to;           ///< where standard output goes; empty: it is returned
  long most_file_bytes = -1;              ///< limit on what it may write to one file; -1: none
  bool interrupt_when_listening = false;  ///< Ctrl-C as soon as the program watches for it
};

/// How it ended.
struct ProcessResult {
  int exit_code = -1;  ///< -1: killed by a signal
  int signal = 0;
  std::string out;
  std::string err;
};

/// Runs a program to its end, its arguments passed on as they are, without a shell.
[[nodiscard]] ProcessResult run_process(const std::filesystem::path& program,
                                        const std::vector<std::string>& arguments,
                                        const ProcessOptions& options = {});

/// Every file below a folder, by its path from there, with what it holds.
[[nodiscard]] std::map<std::string, std::string> files_below(const std::filesystem::path& folder);

/// The whole of a file.
[[nodiscard]] std::string file_content(const std::filesystem::path& file);

}  // namespace sweepflux::test
