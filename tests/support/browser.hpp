#pragma once

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::test {

enum class BrowserTheme { light, dark };

/// What a real browser found on a page.
struct BrowserReport {
  std::vector<std::string> console;  ///< messages of the page to its console
  double page_width_px = 0.0;        ///< of all its content; above the window's width: overflow
  double window_width_px = 0.0;
  int requests = 0;                 ///< of anything beside the page itself
  double least_contrast = 0.0;      ///< of any text against what lies behind it [WCAG 2.1]
  std::string least_contrast_text;  ///< ... and that text
  int texts = 0;                    ///< how many were looked at
  int pictures = 0;                 ///< svg and img elements
  int pictures_without_words = 0;   ///< of them without title, label or alternative
  bool dark_wished = false;         ///< the page saw the wish for dark colours
};

/// Whether a browser is here to test with.
[[nodiscard]] bool browser_is_here();

/// Opens the page twice in a headless browser: as it is, for its console, and with a measuring
/// script put in by the test. Empty when there is no browser or it gave no answer.
[[nodiscard]] std::optional<BrowserReport> open_in_browser(const std::string& html,
                                                           int width_px,
                                                           BrowserTheme theme);

/// The page printed to paper: number of bytes of the PDF; 0 when it could not be made.
[[nodiscard]] std::size_t printed_size(const std::string& html);

}  // namespace sweepflux::test
