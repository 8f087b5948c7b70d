#pragma once

#include "render/canvas/canvas.hpp"

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::render {

/// A picture for a page: drawn as inline SVG with real text, values on hover.
struct PagePicture {
  Canvas canvas;        ///< its description, never empty, is what those are told who do not see it
  std::string caption;  ///< under the picture
};

/// A table whose cells can be copied into a spreadsheet: a number a cell, units in the heading.
struct PageTable {
  struct Column {
    std::string name;
    std::string unit;     ///< empty: none
    bool number = false;  ///< set flush right
  };
  std::string caption;
  std::vector<Column> columns;
  std::vector<std::vector<std::string>> rows;  ///< plain text, one a column

  /// Two columns, the value and its standard uncertainty.
  void add_measured(const std::string& name, const std::string& unit);
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
  /// Sentences of the verdict; the first is set larger.
  void verdict(std::span<const std::string> sentences);

  struct KeyFigure {
    std::string label;
    std::string value;
    std::string remark;
  };
  /// A few large numbers side by side.
  void key_figures(std::span<const KeyFigure> figures);
  void table(const PageTable& table);
  /// @throws InputError  the canvas has no description
  void picture(const PagePicture& picture);
  /// Two or more pictures side by side where there is room.
  void pictures(std::span<const PagePicture> pictures);
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
