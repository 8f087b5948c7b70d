#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// One cell of a row, blanks around it taken off, quotes undone.
struct CsvCell {
  std::string_view text;   ///< bytes as in the file; valid until the next call of CsvRows::next
  std::size_t column = 0;  ///< of its first byte, from 1, in bytes
  bool quoted = false;     ///< it stood in "...", so its end is certain
};

/// Why a row cannot be trusted as a whole.
enum class CsvFault {
  none,
  nul_byte,          ///< what a power failure leaves behind
  open_quote,        ///< a quote that nothing closes
  text_after_quote,  ///< "12"3
  cell_too_long,
  line_too_long,
  too_many_cells
};

/// One row of a CSV file.
struct CsvRow {
  std::size_t line = 0;  ///< physical line on which it starts, from 1
  std::vector<CsvCell> cells;
  CsvFault fault = CsvFault::none;
  std::size_t fault_column = 0;
  bool has_line_end = true;  ///< false: the file stops here, perhaps within a number
};

/// How rows are cut.
struct CsvOptions {
  char separator = '\0';  ///< '\0': find it; ' ': any run of blanks
  /// Finds it in the first bytes of the file; empty or '\0': as find_separator.
  std::function<char(std::string_view)> separator_in{};
  std::size_t max_cell_bytes = 4096;      ///< >= 1
  std::size_t max_line_bytes = 1U << 20;  ///< >= max_cell_bytes; bounds the memory used
  std::size_t max_cells = 4096;           ///< of a row, >= 1
};

/// Reads the rows of a CSV file one after the other, of any size in bounded memory.
///
/// Understands LF, CRLF and CR, a UTF-8 byte-order mark, a first line `sep=;`, quoted cells (also
/// over several lines, up to max_cell_bytes), `#` lines, and finds the separator (tab, `;`, `|`,
/// `,`, blanks) from the lines that agree on it. Blank lines and comments give no row. Bytes are
/// handed on as they are: encoding, headings, numbers and missing values are the caller's.
/// A faulty row is handed on as well, marked; the rows after it are whole again.
///
/// Threads: one object, one thread.
class CsvRows {
 public:
  /// @throws InputError  options out of range; file cannot be opened, is a folder or UTF-16
  explicit CsvRows(const std::filesystem::path& file, const CsvOptions& options = {});
  ~CsvRows();
  CsvRows(CsvRows&&) noexcept;
  CsvRows& operator=(CsvRows&&) noexcept;

  /// The same over a text in memory.
  [[nodiscard]] static CsvRows over_text(std::string text, const CsvOptions& options = {});

  /// The next row, or nullptr at the end; valid until the next call.
  ///
  /// @throws SystemError  the disk fails
  [[nodiscard]] const CsvRow* next();

  [[nodiscard]] char separator() const;  ///< ' ': runs of blanks
  [[nodiscard]] std::size_t bytes_read() const;
  /// The comment last skipped, without its `#`; empty when there was none. Some programs write
  /// their heading so.
  [[nodiscard]] const std::string& last_comment() const;
  [[nodiscard]] std::size_t last_comment_line() const;
  /// The first bytes of the file (up to 64 KiB), to judge the encoding by.
  [[nodiscard]] const std::string& sample() const;

 private:
  struct State;
  explicit CsvRows(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

/// The separator on which the lines of a text agree: tab, `;`, `|`, `,`, or ' ' for blanks.
[[nodiscard]] char find_separator(std::string_view text);

/// The cells of a row as strings of their own.
[[nodiscard]] std::vector<std::string> texts_of(const CsvRow& row);

/// Whether a row holds these texts and no others.
[[nodiscard]] bool holds_texts(const CsvRow& row, const std::vector<std::string>& texts);

/// "NUL byte", "a quote that nothing closes", ...
[[nodiscard]] const char* describe(CsvFault fault);

}  // namespace sweepflux
