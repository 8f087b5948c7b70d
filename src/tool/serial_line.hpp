#pragma once

#include <string>

namespace sweepflux::tool {

/// Speed and framing of a serial line.
struct SerialLine {
  int baud = 0;  ///< 0: left as it is
  int data_bits = 8;
  char parity = 'N';  ///< N none, E even, O odd
  int stop_bits = 1;
};

/// "9600" or "9600,8N1": speed, then data bits, parity, stop bits. Empty text: as the line is set.
///
/// @throws InputError  it is not so written, or no usual speed
[[nodiscard]] SerialLine to_serial_line(const std::string& text);

/// Sets a terminal line to raw bytes, without echo or flow control; what is no terminal is left
/// alone.
///
/// @param name  for messages
/// @throws SystemError  the device refuses
void set_serial_line(int descriptor, const SerialLine& line, const std::string& name);

}  // namespace sweepflux::tool
