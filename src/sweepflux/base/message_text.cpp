#include "sweepflux/base/message_text.hpp"

#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace sweepflux {
namespace {

constexpr std::size_t most_places = 6;  // that a line names

/// A text cut at its numbers: words[0] numbers[0] words[1] ... words[n].
struct CutText {
  std::vector<std::string> words{1};
  std::vector<std::string> numbers;
};

CutText cut_at_numbers(std::string_view text) {
  CutText cut;
  for (std::size_t i = 0; i < text.size();) {
    const bool free = i == 0 || text[i - 1] == ' ' || text[i - 1] == '(';
    std::size_t end = free ? i : text.size();
    while (end < text.size() && (is_digit(text[end]) ||
                                 (text[end] == '.' && end > i && end + 1 < text.size() &&
                                  is_digit(text[end + 1])))) {
      ++end;
    }
    const bool alone =
        end > i && (end == text.size() || std::string_view(" ),;:.").find(text[end]) !=
                                              std::string_view::npos);
    if (free && alone) {
      cut.numbers.emplace_back(text.substr(i, end - i));
      cut.words.emplace_back();
      i = end;
    } else {
      cut.words.back() += text[i++];
    }
  }
  return cut;
}

/// Texts of one kind, with the least and the greatest of each of their numbers.
struct Kind {
  std::vector<std::string> places;
  CutText low, high;
};

}  // namespace

std::string chance_text(double chance) {
  return chance < 1e-4 ? "below 0.01 %" : percent_text(chance);
}

std::string percent_text(double share) {
  const double percent = 100.0 * share;
  return format_number(std::abs(percent) < 99.5 ? percent : std::round(percent),
                       std::abs(percent) < 99.5 ? 2 : 15) +
         " %";
}

int column_decimals(std::span<const double> values, int digits) {
  double largest = 0.0;
  double smallest = 1e300;
  for (const double value : values) {
    if (std::isfinite(value) && value != 0.0) {
      largest = std::max(largest, std::abs(value));
      smallest = std::min(smallest, std::abs(value));
    }
  }
  if (largest == 0.0) {
    return -1;
  }
  const auto place = [](double size) {
    return -static_cast<int>(std::floor(std::log10(size) + 1e-9));
  };
  const int enough = digits - 1 + place(largest);
  return std::clamp(std::max(enough, std::min(place(smallest), enough + 2)), 0, 9);
}

std::string metres_text(double length_m) {
  return format_number(std::round(1e3 * length_m) / 1e3, 15) + " m";
}

std::string seconds_text(double time_s) {
  return format_number(std::abs(time_s) < 1000.0 ? time_s : std::round(time_s),
                       std::abs(time_s) < 1000.0 ? 3 : 15) +
         " s";
}

std::vector<std::string> one_line_a_kind(std::span<const PlacedText> messages) {
  std::vector<Kind> kinds;
  for (const PlacedText& message : messages) {
    const CutText cut = cut_at_numbers(message.text);
    auto kind = std::find_if(kinds.begin(), kinds.end(), [&](const Kind& known) {
      return known.low.words == cut.words && known.places.front().empty() == message.place.empty();
    });
    if (kind == kinds.end()) {
      kinds.push_back({{message.place}, cut, cut});
      continue;
    }
    if (std::find(kind->places.begin(), kind->places.end(), message.place) == kind->places.end()) {
      kind->places.push_back(message.place);
    }
    for (std::size_t i = 0; i < cut.numbers.size(); ++i) {
      const double value = *parse_number(cut.numbers[i]);
      if (value < *parse_number(kind->low.numbers[i])) {
        kind->low.numbers[i] = cut.numbers[i];
      }
      if (value > *parse_number(kind->high.numbers[i])) {
        kind->high.numbers[i] = cut.numbers[i];
      }
    }
  }
  std::vector<std::string> lines;
  for (const Kind& kind : kinds) {
    std::string& line = lines.emplace_back();
    const std::size_t named =
        kind.places.size() > most_places ? most_places - 1 : kind.places.size();
    for (std::size_t i = 0; i < named; ++i) {
      line += (i == 0 ? "" : ", ") + kind.places[i];
    }
    if (named < kind.places.size()) {
      line += " and " + std::to_string(kind.places.size() - named) + " more";
    }
    line += (line.empty() ? "" : ": ") + kind.low.words.front();
    for (std::size_t i = 0; i < kind.low.numbers.size(); ++i) {
      const std::string &low = kind.low.numbers[i], &high = kind.high.numbers[i];
      line += (low == high ? low : low + " to " + high) + kind.low.words[i + 1];
    }
  }
  return lines;
}

}  // namespace sweepflux
