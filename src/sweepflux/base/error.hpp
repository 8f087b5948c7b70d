#pragma once

#include <stdexcept>
#include <string>

namespace sweepflux {

/// Whatever sweepflux throws on purpose.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// What was handed in cannot be used. Exit code 2.
class InputError : public Error {
 public:
  using Error::Error;
};

/// Legal input, but without an answer. Exit code 3.
class NumericalError : public Error {
 public:
  using Error::Error;
};

/// The machine said no: disk full, no permission, file vanished. Exit code 1.
class SystemError : public Error {
 public:
  using Error::Error;
};

/// Stopped by the user (Ctrl-C). Nothing was written.
class Interrupted : public Error {
 public:
  using Error::Error;
};

}  // namespace sweepflux
