#pragma once

#include "render/canvas/canvas.hpp"
#include "sweepflux/base/measured.hpp"

#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace sweepflux::render {

/// A picture for a page: drawn as inline SVG with real text, values on hover.
struct PagePicture {
  Canvas canvas;        ///< its description, never empty, is for those who do not see it
  std::string caption;  ///< under the picture
  /// The same for phones and paper; none: `canvas` is made to fit.
  std::optional<Canvas> slim = {};
};

/// A table whose cells can be copied into a spreadsheet: a number a cell, units in the heading.
struct PageTable {
  /// Words, or a number that is set with the decimals of its column; a number that was not computed
  /// (not-a-number) is set as "-".
  struct Cell {
    std::string words;
    std::optional<double> number;

    Cell() = default;
    Cell(std::string text) : words(std::move(text)) {}
    Cell(const char* text) : words(text) {}
    Cell(double value) : number(value) {}
    Cell(std::size_t count) : words(std::to_string(count)) {}
  };
  struct Column {
    std::string name;
    std::string unit = {};     ///< empty: none
    bool number = false;       ///< set flush right
    int digits = 3;            ///< significant ones of the column's largest number
    int group = -1;            ///< columns of one group have equal decimals
    bool uncertainty = false;  ///< has two digits and decides for its group
    double scale = 1.0;        ///< of the estimates that are set here
  };
  std::string caption = {};
  std::vector<Column> columns = {};
  std::vector<std::vector<Cell>> rows = {};  ///< a cell a column; those at the end may be missing

  /// Two columns, the value and its standard uncertainty; with the 95 % interval four.
  void add_measured(const std::string& name,
                    const std::string& unit,
                    bool with_interval = false,
                    double scale = 1.0);
  /// Three columns: a value and its 95 % interval.
  void add_predicted(const std::string& name, const std::string& unit);
  /// A column of numbers.
  void add_number(const std::string& name, const std::string& unit = {}, int digits = 3);
  /// Columns of words.
  void add_words(std::initializer_list<const char*> names);
  /// A row. Words and numbers fill a cell, estimates the columns that were added for them.
  template <typename... Values>
  void add_row(const Values&... values) {
    rows.emplace_back();
    extend_row(values...);
  }
  /// The same at the end of the last row.
  template <typename... Values>
  void extend_row(const Values&... values) {
    (put(values), ...);
  }
  /// How many decimals each column has.
  [[nodiscard]] std::vector<int> decimals() const;

 private:
  void put(const Cell& cell) { rows.back().push_back(cell); }
  void put(const std::optional<Estimate>& value);  // nothing: "not computed"
  void put(const Estimate& value) { put(std::optional(value)); }
  void put(const std::optional<Measured>& value);
  void put(const Measured& value) { put(std::optional(value)); }
};

/// One file of HTML: no network, no scripts, light and dark, narrow and wide, print. It is
/// well-formed XML too, and a policy in its head forbids every request.
///
/// All texts are plain; the page escapes them. Calls add to the end, top to bottom.
class Page {
 public:
  explicit Page(std::string title);

  /// The lines under the title.
  void subtitle(std::string_view text);
  /// Opens a section, which closes the one before. Sections make up the table of contents.
  void section(std::string_view heading);
  void subheading(std::string_view text);
  void paragraph(std::string_view text);
  /// Smaller, for conditions and footnotes.
  void note(std::string_view text);
  void list(std::span<const std::string> items);
  /// What must be read before the numbers: set apart, and named by its heading.
  void cautions(std::string_view heading, std::span<const std::string> items);
  /// Sentences of the summary; the first is set larger.
  void summary(std::span<const std::string> sentences);
  void table(const PageTable& table);
  /// What follows is shut at first, and not printed, until close_details().
  void open_details(std::string_view words);
  void close_details();
  /// Small tables side by side where there is room.
  void tables(std::span<const PageTable> tables);
  /// @throws InputError  the canvas has no description
  void picture(const PagePicture& picture);
  /// Two or more pictures side by side where there is room.
  void pictures(std::span<const PagePicture> pictures);
  /// The same of those that are there.
  void pictures(std::initializer_list<const std::optional<PagePicture>*> pictures);
  /// Text to be typed, as it stands.
  void command(std::string_view text);
  /// Closing words, after all sections.
  void footer(std::string_view text);

  [[nodiscard]] std::string html() const;

 private:
  struct Contents {
    std::string id;
    std::string heading;
  };

  std::string title_;
  std::string subtitle_;
  std::string body_;
  std::string footer_;
  std::vector<Contents> contents_;
  std::string figure(const PagePicture& picture);

  std::size_t tables_ = 0;
  std::size_t pictures_ = 0;
  bool in_section_ = false;
};

/// The style sheet of a page: colours from the theme of the pictures.
[[nodiscard]] std::string page_style();

}  // namespace sweepflux::render
