#pragma once

namespace sweepflux::test {

/// Sets a locale that writes 0,5 for a half, when the machine has one, and sets the old one back.
class CommaLocale {
 public:
  CommaLocale();
  ~CommaLocale();
  CommaLocale(const CommaLocale&) = delete;
  CommaLocale& operator=(const CommaLocale&) = delete;
  [[nodiscard]] bool is_set() const { return is_set_; }

 private:
  bool is_set_ = false;
};

}  // namespace sweepflux::test
