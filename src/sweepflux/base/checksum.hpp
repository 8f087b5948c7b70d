#pragma once

#include <cstdint>
#include <string_view>

namespace sweepflux {

/// FNV-1a of 64 bits [FNV]: tells a text that was changed from the one that was written. It is
/// no guard against forgery.
///
/// @param before  checksum of what stood before, to go on from
[[nodiscard]] constexpr std::uint64_t checksum(std::string_view bytes,
                                               std::uint64_t before = 0xcbf29ce484222325U) {
  for (const char byte : bytes) {
    before = (before ^ static_cast<unsigned char>(byte)) * 0x100000001b3U;
  }
  return before;
}

}  // namespace sweepflux
