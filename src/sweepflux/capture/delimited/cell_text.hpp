#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <string_view>

namespace sweepflux {

/// What a cell without a number says.
enum class CellWord {
  other,       ///< neither number nor known word: a fault
  missing,     ///< empty, `---`, `NaN`, `n/a`, `#N/A`, ...
  over_range,  ///< `OL`, `O.L`, `OVER`, `inf`, ...: the true value is large
  under_range  ///< `UL`, `-OL`, `under`, ...
};

/// @param also_missing  further words for "missing", such as "-999"; compared as they stand
[[nodiscard]] CellWord read_cell_word(std::string_view text,
                                      std::span<const std::string> also_missing = {});

/// "missing value `---`", "over range `OL`", ... for a report.
[[nodiscard]] std::string describe_word(CellWord word, std::string_view text);

/// A row that gives no reading, with the reason ("missing value `---`", "over range `OL`", ...).
struct LeftOut {
  std::size_t line = 0;
  std::string reason;
  bool over_range = false;  ///< the true value is large, so the row must not be taken as calm
};

/// What to write instead of a text that is no number: for messages.
[[nodiscard]] std::string number_hint(std::string_view text);

/// Reads the numbers of one column. The decimal mark belongs to the column: a comma in one cell
/// and a point in another is a fault of the column, not of a cell.
class ColumnNumbers {
 public:
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();

  /// The number, or `none` (NaN) when the text is no number.
  [[nodiscard]] double read(std::string_view text, std::size_t line);

  [[nodiscard]] bool mixes_marks() const { return comma_line_ != 0 && point_line_ != 0; }
  [[nodiscard]] std::size_t first_comma_line() const { return comma_line_; }  ///< 0: none
  [[nodiscard]] std::size_t first_point_line() const { return point_line_; }
  /// Most digits seen behind the mark: a last number that has fewer may have been cut.
  [[nodiscard]] std::size_t most_decimals() const { return most_decimals_; }
  /// Digits behind the decimal mark of a text; 0 with an exponent.
  [[nodiscard]] static std::size_t decimals(std::string_view text);

 private:
  std::size_t comma_line_ = 0;
  std::size_t point_line_ = 0;
  std::size_t most_decimals_ = 0;
};

}  // namespace sweepflux
