#pragma once

#include "sweepflux/base/input_file.hpp"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace sweepflux {

/// Bytes from a file, or from a text in memory.
class CsvSource {
 public:
  /// @throws InputError  cannot be opened, or is a folder
  [[nodiscard]] static CsvSource open(const std::filesystem::path& file);
  [[nodiscard]] static CsvSource over(std::string text);

  /// Fills `to` with up to `count` bytes; fewer only at the end.
  ///
  /// @throws SystemError  the disk fails
  [[nodiscard]] std::size_t read(char* to, std::size_t count);

  /// How many bytes there are as far as is known; a file may still grow, and a pipe says nothing.
  [[nodiscard]] std::optional<std::size_t> size_hint() const;

 private:
  InputFile file_;
  std::string name_;  ///< of the file
  std::string text_;
  std::size_t text_used_ = 0;
};

/// What a file starts with before its first row.
struct CsvOpening {
  std::size_t bytes = 0;  ///< filled by a byte-order mark and a line `sep=;`
  std::size_t lines = 0;
  char separator = '\0';  ///< as `sep=` says, or '\0'
};

/// @throws InputError  UTF-16 text
[[nodiscard]] CsvOpening read_csv_opening(std::string_view text);

}  // namespace sweepflux
