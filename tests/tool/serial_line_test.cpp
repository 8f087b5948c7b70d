#include "tool/serial_line.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/pseudo_terminal.hpp"

#include <gtest/gtest.h>

#include <fcntl.h>
#include <string>
#include <termios.h>
#include <unistd.h>

namespace sweepflux::tool {
namespace {

TEST(SerialLine, IsReadAsSpeedAndFraming) {
  const SerialLine plain = to_serial_line("9600");
  EXPECT_EQ(plain.baud, 9600);
  EXPECT_EQ(plain.data_bits, 8);
  EXPECT_EQ(plain.parity, 'N');
  const SerialLine odd = to_serial_line("4800,7o2");
  EXPECT_EQ(odd.baud, 4800);
  EXPECT_EQ(odd.data_bits, 7);
  EXPECT_EQ(odd.parity, 'O');
  EXPECT_EQ(odd.stop_bits, 2);
  EXPECT_EQ(to_serial_line("").baud, 0) << "as the line is set";
  for (const char* wrong : {"fast", "9601", "9600,8N", "9600,9N1", "9600,8X1", "9600,8N3",
                            "9600 8N1", "9600,8N1,"}) {
    EXPECT_THROW((void)to_serial_line(wrong), InputError) << wrong;
  }
}

TEST(SerialLine, SetsSpeedAndRawBytes) {
  const test::PseudoTerminal line;
  const int device = ::open(line.path().c_str(), O_RDONLY | O_NOCTTY | O_CLOEXEC);
  ASSERT_GE(device, 0);
  set_serial_line(device, to_serial_line("19200,8N2"), "line");
  struct termios state {};
  ASSERT_EQ(::tcgetattr(device, &state), 0);
  ::close(device);
  EXPECT_EQ(::cfgetispeed(&state), static_cast<speed_t>(B19200));
  EXPECT_NE(state.c_cflag & CSTOPB, 0U);
  EXPECT_EQ(state.c_lflag & (ICANON | ECHO), 0U);
  EXPECT_EQ(state.c_iflag & (ICRNL | IXON), 0U);
}

}  // namespace
}  // namespace sweepflux::tool
