#include "sweepflux/base/nearest_name.hpp"

#include "sweepflux/base/text_encoding.hpp"

#include <algorithm>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t longest_word = 64;  // bounds the time; no name is longer

}  // namespace

// Optimal string alignment: three rows of the usual table.
std::size_t spelling_distance(std::string_view a_text, std::string_view b_text) {
  const std::string a = lower_ascii(a_text);
  const std::string b = lower_ascii(b_text);
  std::vector<std::size_t> before(b.size() + 1);
  std::vector<std::size_t> last(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) {
    row[j] = j;
  }
  for (std::size_t i = 1; i <= a.size(); ++i) {
    before.swap(last);
    last.swap(row);
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t changed = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + changed});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        row[j] = std::min(row[j], before[j - 2] + 1);
      }
    }
  }
  return row[b.size()];
}

std::optional<std::string> nearest_name(std::string_view word, std::span<const std::string> names) {
  if (word.empty() || word.size() > longest_word) {
    return std::nullopt;
  }
  std::size_t best = std::max<std::size_t>(1, word.size() / 3) + 1;
  std::optional<std::string> nearest;
  for (const std::string& name : names) {
    const std::size_t distance = spelling_distance(word, name);
    // A distance as long as the name itself shares no letter with it.
    if (distance < best && distance < name.size()) {
      best = distance;
      nearest = name;
    }
  }
  return nearest;
}

std::string did_you_mean(std::string_view word, std::span<const std::string> names) {
  const std::optional<std::string> nearest = nearest_name(word, names);
  return nearest ? ", did you mean " + in_backticks(*nearest) + "?" : "";
}

std::string listed(std::span<const std::string> names, std::size_t most) {
  std::string result;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i == most) {
      return result + " and " + std::to_string(names.size() - most) + " more";
    }
    result += (i == 0 ? "" : ", ") + in_backticks(names[i]);
  }
  return result.empty() ? "nothing" : result;
}

}  // namespace sweepflux
