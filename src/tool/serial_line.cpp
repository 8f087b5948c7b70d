#include "tool/serial_line.hpp"

#include "sweepflux/base/error.hpp"

#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <termios.h>
#include <utility>

namespace sweepflux::tool {
namespace {

constexpr auto speeds = std::to_array<std::pair<int, speed_t>>({{300, B300},
                                                                {600, B600},
                                                                {1200, B1200},
                                                                {2400, B2400},
                                                                {4800, B4800},
                                                                {9600, B9600},
                                                                {19200, B19200},
                                                                {38400, B38400},
                                                                {57600, B57600},
                                                                {115200, B115200},
                                                                {230400, B230400},
                                                                {460800, B460800},
                                                                {921600, B921600}});

const std::pair<int, speed_t>* find_speed(int baud) {
  for (const auto& speed : speeds) {
    if (speed.first == baud) {
      return &speed;
    }
  }
  return nullptr;
}

}  // namespace

SerialLine to_serial_line(const std::string& text) {
  SerialLine line;
  if (text.empty()) {
    return line;
  }
  const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), line.baud);
  const std::string framing(stop, text.data() + text.size());
  bool good = error == std::errc{} && find_speed(line.baud) != nullptr;
  if (good && !framing.empty()) {
    good = framing.size() == 4 && framing[0] == ',' && (framing[1] == '7' || framing[1] == '8') &&
           std::strchr("NEOneo", framing[2]) != nullptr && (framing[3] == '1' || framing[3] == '2');
  }
  if (!good) {
    throw InputError("--serial is `" + text +
                     "`, must be a usual speed from 300 to 921600 and, if it is not 8N1, data "
                     "bits, parity and stop bits, such as 9600,8N1 or 4800,7E1");
  }
  if (!framing.empty()) {
    line.data_bits = framing[1] - '0';
    line.parity = static_cast<char>(framing[2] & ~0x20);
    line.stop_bits = framing[3] - '0';
  }
  return line;
}

void set_serial_line(int descriptor, const SerialLine& line, const std::string& name) {
  struct termios state {};
  if (tcgetattr(descriptor, &state) != 0) {
    return;  // no terminal line: nothing to set
  }
  cfmakeraw(&state);
  state.c_cc[VMIN] = 1;  // so that an empty read means that the other end is gone
  state.c_cc[VTIME] = 0;
  if (line.baud != 0) {
    const speed_t speed = find_speed(line.baud)->second;
    cfsetispeed(&state, speed);
    cfsetospeed(&state, speed);
    state.c_cflag &= ~static_cast<tcflag_t>(CSIZE | PARENB | PARODD | CSTOPB | CRTSCTS);
    state.c_cflag |= CREAD | CLOCAL;  // no modem: its lines say nothing
    state.c_cflag |= line.data_bits == 7 ? CS7 : CS8;
    state.c_cflag |= line.parity == 'N' ? 0U : static_cast<tcflag_t>(PARENB);
    state.c_cflag |= line.parity == 'O' ? static_cast<tcflag_t>(PARODD) : 0U;
    state.c_cflag |= line.stop_bits == 2 ? static_cast<tcflag_t>(CSTOPB) : 0U;
    if (line.data_bits == 7) {
      state.c_iflag |= ISTRIP;
    }
  }
  if (tcsetattr(descriptor, TCSANOW, &state) != 0) {
    throw SystemError(name + ": the serial line cannot be set: " + std::strerror(errno));
  }
}

}  // namespace sweepflux::tool
