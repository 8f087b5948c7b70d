// How often the check of the probe by a whole campaign recovers a known scale of +3 %: 200 campaigns,
// as asked for, and 20 000, whose share of held intervals is known to 0.2 % itself.

#include "tests/support/simulated_campaign.hpp"

#include <cstdio>

int main() {
  using sweepflux::test::campaigns_that_hold;
  std::printf("surveys  campaigns  intervals that hold 1.03\n");
  for (const std::size_t fans : {3U, 6U, 14U}) {
    for (const std::size_t campaigns : {200U, 20000U}) {
      const std::size_t held = campaigns_that_hold(1, campaigns, fans, 1.03);
      std::printf("%7zu  %9zu  %5.1f %%\n",
                  fans,
                  campaigns,
                  100.0 * static_cast<double>(held) / static_cast<double>(campaigns));
    }
  }
  return 0;
}
