#include "sweepflux/capture/log/measured_cell_private.hpp"

#include <algorithm>

namespace sweepflux {
namespace {

constexpr std::string_view blanks = " \t";
constexpr std::string_view decimal_digits = "0123456789";

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

/// The next word, taken off the front.
std::string_view take_word(std::string_view& text) {
  text.remove_prefix(std::min(text.find_first_not_of(blanks), text.size()));
  const std::string_view word = text.substr(0, text.find_first_of(blanks));
  text.remove_prefix(word.size());
  return word;
}

}  // namespace

MeasuredCell split_measured_cell(std::string_view text) {
  const std::size_t begin = std::min(text.find_first_of("+-.0123456789"), text.size());
  const std::string_view status = text.substr(0, begin);
  const bool is_status = std::all_of(status.begin(), status.end(), [](char c) {
    return is_letter(c) || c == ',' || blanks.find(c) != std::string_view::npos;
  });
  if (!is_status || (!status.empty() && is_letter(status.back()))) {
    return {};
  }
  text.remove_prefix(begin);
  MeasuredCell cell;
  std::string_view word = take_word(text);
  if (word == "+" || word == "-") {
    cell.number = word == "-" ? "-" : "";
    word = take_word(text);
  }
  const std::size_t sign = !word.empty() && (word[0] == '+' || word[0] == '-') ? 1 : 0;
  const std::size_t end = std::min(word.find_first_not_of("0123456789.,", sign), word.size());
  if (word.substr(0, end).find_first_of(decimal_digits) == std::string_view::npos) {
    return {};
  }
  cell.number += word.substr(0, end);
  cell.unit = end < word.size() ? word.substr(end) : take_word(text);
  return cell;
}

}  // namespace sweepflux
