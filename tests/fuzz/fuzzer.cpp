// The entry that libFuzzer calls; SWEEPFLUX_FUZZ_READER names the reader.
#include "tests/fuzz/readers.hpp"

#include <cstddef>
#include <cstdint>

// libFuzzer's own name.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t count) {
  sweepflux::test::try_reader(SWEEPFLUX_FUZZ_READER,
                              {static_cast<const char*>(static_cast<const void*>(bytes)), count});
  return 0;
}
