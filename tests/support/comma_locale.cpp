#include "tests/support/comma_locale.hpp"

#include <clocale>
#include <initializer_list>

namespace sweepflux::test {

CommaLocale::CommaLocale() {
  for (const char* const name :
       {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "sv_SE.UTF-8", "pl_PL.UTF-8", "de_DE"}) {
    if (std::setlocale(LC_ALL, name) != nullptr && *std::localeconv()->decimal_point == ',') {
      is_set_ = true;
      return;
    }
  }
  std::setlocale(LC_ALL, "C");
}

CommaLocale::~CommaLocale() { std::setlocale(LC_ALL, "C"); }

}  // namespace sweepflux::test
