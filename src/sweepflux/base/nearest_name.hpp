#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace sweepflux {

/// Slips of the keyboard between two words: letters left out, put in, changed, or two neighbours
/// swapped, one each. Capital and small ASCII letters are the same.
[[nodiscard]] std::size_t spelling_distance(std::string_view a, std::string_view b);

/// The name that was probably meant: the nearest, when it is near enough to be a slip (one slip,
/// or one in three letters). Of equals the first.
[[nodiscard]] std::optional<std::string> nearest_name(std::string_view word,
                                                      std::span<const std::string> names);

/// ", did you mean `angle`?" or nothing.
[[nodiscard]] std::string did_you_mean(std::string_view word, std::span<const std::string> names);

/// "`a`, `b`, `c`", at most `most` of them.
[[nodiscard]] std::string listed(std::span<const std::string> names, std::size_t most = 20);

}  // namespace sweepflux
