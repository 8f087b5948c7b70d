#pragma once

#include <cstddef>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>

namespace sweepflux {

struct CloseFile {
  void operator()(std::FILE* file) const { std::fclose(file); }
};
using InputFile = std::unique_ptr<std::FILE, CloseFile>;

/// Opens a file for reading, unbuffered: callers read in large pieces. A named pipe may wait a few
/// seconds for its writer, not for ever.
///
/// @param for_folder  what to say of a folder, as "; name the log in it"
/// @throws InputError  a folder, cannot be opened or read, or a pipe without a writer; the message
///                     does not name the file
[[nodiscard]] InputFile open_input(const std::filesystem::path& file, const char* for_folder);

/// The whole file, or its first `most_bytes` and one more when it is larger.
///
/// @throws InputError   as open_input
/// @throws SystemError  the disk fails; names the file
[[nodiscard]] std::string read_input(const std::filesystem::path& file,
                                     const char* for_folder,
                                     std::size_t most_bytes);

}  // namespace sweepflux
