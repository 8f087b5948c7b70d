// Logs whose columns are stated, with words in the columns of no interest.
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/log/line_feed.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <string>
#include <tuple>

namespace sweepflux {
namespace {

TEST(StatedColumns, WordsInColumnsOfNoInterestDoNotHideTheData) {
  LogFormat scale;
  scale.kind = LogKind::force;
  scale.columns = {"-", "-", "reading [g]"};
  scale.rate_hz = 10.0;
  LogFormat timed = scale;
  timed.columns = {"time [s]", "head", "status", "kind", "reading [g]"};
  timed.rate_hz.reset();
  for (const auto& [format, before, after] :
       {std::tuple{scale, "", ""}, {timed, "12.5;H;", ";"}, {timed, "12.5\tH\t", "\t"}}) {
    const std::string gap = *after == '\0' ? "," : after;
    std::string text = "\xff,GS,+ 9\r\n";
    for (int i = 0; i < 50; ++i) {
      text += before + ("ST" + gap) + "GS" + gap + "+    96.40 g\r\n";
    }
    const std::filesystem::path file = test::scratch_folder() / "log.txt";
    std::ofstream(file, std::ios::binary) << text;
    LogReader reader(file, format);
    std::size_t read = 0;
    while (const LogSample* sample = reader.next()) {
      ++read;
      EXPECT_NEAR(sample->value, 0.0964 * standard_gravity_m_s2, 1e-12);
    }
    EXPECT_EQ(read, 50U) << text.substr(0, 60);
    LineFeed feed("line", format);
    std::size_t fed = 0;
    feed.feed(text, [&](const LogSample&) { ++fed; });
    EXPECT_EQ(fed, 50U);
  }
}

}  // namespace
}  // namespace sweepflux
