#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace sweepflux {

/// So many of something: "1 row", "2 rows".
[[nodiscard]] inline std::string count_text(std::size_t count, std::string_view one) {
  return std::to_string(count) + " " + std::string(one) + (count == 1 ? "" : "s");
}

}  // namespace sweepflux
