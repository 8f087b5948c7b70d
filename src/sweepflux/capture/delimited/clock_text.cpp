#include "sweepflux/capture/delimited/clock_text.hpp"

#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <chrono>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

constexpr double seconds_a_day = 86400.0;
constexpr std::size_t longest_moment = 48;

/// Reads a text from the left; every function either consumes what it names or nothing.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : rest_(text) {}

  [[nodiscard]] bool at_end() const { return rest_.empty(); }

  char take_one_of(std::string_view choice) {
    if (rest_.empty() || choice.find(rest_.front()) == std::string_view::npos) {
      return '\0';
    }
    const char c = rest_.front();
    rest_.remove_prefix(1);
    return c;
  }

  bool take(char c) { return take_one_of({&c, 1}) != '\0'; }

  void skip_blanks() {
    while (take(' ')) {
    }
  }

  struct Number {
    int value = 0;
    std::size_t digits = 0;
  };
  Number take_number(std::size_t most_digits) {
    Number number;
    while (number.digits < most_digits && !rest_.empty() && is_digit(rest_.front())) {
      number.value = number.value * 10 + (rest_.front() - '0');
      ++number.digits;
      rest_.remove_prefix(1);
    }
    return number;
  }

  /// 1 to 12, or 0.
  int take_month_name() {
    constexpr std::string_view names = "jan feb mar apr may jun jul aug sep oct nov dec ";
    const std::size_t at = names.find(lower_ascii(rest_.substr(0, 3)) + " ");
    if (rest_.size() < 3 || at == names.npos || at % 4 != 0) {
      return 0;
    }
    rest_.remove_prefix(3);
    return static_cast<int>(at / 4) + 1;
  }

 private:
  std::string_view rest_;
};

std::optional<long> days_of(int year, int month, int day) {
  const std::chrono::year_month_day date{std::chrono::year{year},
                                         std::chrono::month{static_cast<unsigned>(month)},
                                         std::chrono::day{static_cast<unsigned>(day)}};
  return date.ok() ? std::optional<long>(std::chrono::sys_days{date}.time_since_epoch().count())
                   : std::nullopt;
}

int full_year(Scanner::Number year) { return year.digits == 2 ? 2000 + year.value : year.value; }

/// Fills the date; false when there is none, and nothing is consumed then.
bool take_date(Scanner& scanner, ClockReading& moment) {
  Scanner trial = scanner;
  const Scanner::Number first = trial.take_number(4);
  const char mark = trial.take_one_of("-/. ");
  if (first.digits == 0 || first.digits == 3 || mark == '\0') {
    return false;
  }
  const int named_month = trial.take_month_name();
  const Scanner::Number second = named_month == 0 ? trial.take_number(2) : Scanner::Number{};
  if ((named_month == 0 && second.digits == 0) || !trial.take(mark)) {
    return false;
  }
  const Scanner::Number third = trial.take_number(4);
  const bool year_first = first.digits == 4;
  const bool legal_year = year_first ? third.digits <= 2 : third.digits == 2 || third.digits == 4;
  if (third.digits == 0 || !legal_year || (mark == ' ' && named_month == 0)) {
    return false;
  }
  const int year = year_first ? first.value : full_year(third);
  const int month = named_month != 0 ? named_month : second.value;
  const int day = year_first ? third.value : first.value;
  const bool order_known = year_first || named_month != 0;
  moment.day_if_day_first = days_of(year, month, day);
  moment.day_if_month_first = order_known ? moment.day_if_day_first : days_of(year, day, month);
  moment.has_date = moment.day_if_day_first || moment.day_if_month_first;
  if (moment.has_date) {
    scanner = trial;
  }
  return moment.has_date;
}

/// A fraction of a second, if one follows.
double take_fraction(Scanner& scanner) {
  if (scanner.take_one_of(".,") == '\0') {
    return 0.0;
  }
  double value = 0.0;
  double place = 0.1;
  for (Scanner::Number digit = scanner.take_number(1); digit.digits == 1;
       digit = scanner.take_number(1)) {
    value += place * digit.value;
    place *= 0.1;
  }
  return value;
}

bool take_half_of_day(Scanner& scanner, int& hour) {
  scanner.skip_blanks();
  const char half = scanner.take_one_of("aApP");
  if (half == '\0') {
    return true;
  }
  if (scanner.take_one_of("mM") == '\0' || hour < 1 || hour > 12) {
    return false;
  }
  hour = hour % 12 + (half == 'p' || half == 'P' ? 12 : 0);
  return true;
}

/// "Z", "+02:00", "-0530": what to take off [s].
bool take_zone(Scanner& scanner, double& offset_s) {
  scanner.skip_blanks();
  if (scanner.take('Z') || scanner.at_end()) {
    return true;
  }
  const char sign = scanner.take_one_of("+-");
  const Scanner::Number hours = scanner.take_number(2);
  scanner.take(':');
  const Scanner::Number minutes = scanner.take_number(2);
  if (sign == '\0' || hours.digits != 2 || minutes.digits == 1) {
    return false;
  }
  offset_s = (sign == '-' ? -60.0 : 60.0) * (60.0 * hours.value + minutes.value);
  return true;
}

bool take_time(Scanner& scanner, ClockReading& moment) {
  const Scanner::Number hour_digits = scanner.take_number(2);
  if (hour_digits.digits == 0 || !scanner.take(':')) {
    return false;
  }
  int hour = hour_digits.value;
  const Scanner::Number minute = scanner.take_number(2);
  double second = 0.0;
  if (minute.digits != 2 || minute.value > 59) {
    return false;
  }
  if (scanner.take(':')) {
    const Scanner::Number whole = scanner.take_number(2);
    if (whole.digits != 2 || whole.value > 60) {
      return false;
    }
    second = whole.value + take_fraction(scanner);
  }
  double offset_s = 0.0;
  if (!take_half_of_day(scanner, hour) || !take_zone(scanner, offset_s)) {
    return false;
  }
  moment.second_of_day = 3600.0 * hour + 60.0 * minute.value + second - offset_s;
  moment.has_time = true;
  const bool is_midnight = hour == 24 && minute.value == 0 && second == 0.0;
  return hour < 24 || is_midnight;
}

}  // namespace

std::optional<ClockReading> parse_clock(std::string_view text) {
  text = trimmed(text);
  if (text.empty() || text.size() > longest_moment || !is_digit(text.front())) {
    return std::nullopt;
  }
  Scanner scanner(text);
  ClockReading moment;
  if (take_date(scanner, moment)) {
    if (scanner.at_end()) {
      return moment;
    }
    if (scanner.take_one_of("T ,;_-") == '\0') {
      return std::nullopt;
    }
    scanner.skip_blanks();
  }
  if (!take_time(scanner, moment) || !scanner.at_end()) {
    return std::nullopt;
  }
  return moment;
}

bool ClockColumn::add(std::string_view text) {
  const std::optional<ClockReading> moment = parse_clock(text);
  if (!moment || (has_date_ && *has_date_ != moment->has_date)) {
    return false;
  }
  has_date_ = moment->has_date;
  rows_.push_back(moment);
  return true;
}

ClockColumn::Result ClockColumn::finish(DateOrder stated) const {
  bool day_first_fits = true;
  bool month_first_fits = true;
  bool same_date = true;
  std::optional<long> first_day;
  bool orders_differ = false;
  for (const std::optional<ClockReading>& moment : rows_) {
    if (!moment || !moment->has_date) {
      continue;
    }
    const ClockReading& row = *moment;
    day_first_fits = day_first_fits && row.day_if_day_first;
    month_first_fits = month_first_fits && row.day_if_month_first;
    orders_differ = orders_differ || row.day_if_day_first != row.day_if_month_first;
    const long day = row.day_if_day_first ? *row.day_if_day_first : *row.day_if_month_first;
    same_date = same_date && day == first_day.value_or(day);
    first_day = first_day.value_or(day);
  }
  day_first_fits = day_first_fits && stated != DateOrder::month_first;
  month_first_fits = month_first_fits && stated != DateOrder::day_first;

  Result result;
  result.impossible = !day_first_fits && !month_first_fits;
  const bool both_fit = day_first_fits && month_first_fits && orders_differ;
  result.undecided = both_fit && !same_date;
  if (result.impossible || result.undecided) {
    return result;
  }
  double turns = 0.0;  // midnights passed, for times without a date
  double last = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    if (!rows_[i]) {
      result.seconds.push_back(std::numeric_limits<double>::quiet_NaN());
      continue;
    }
    const ClockReading& row = *rows_[i];
    double moment = row.second_of_day;
    if (!row.has_date) {
      turns += moment + turns * seconds_a_day < last - 0.5 * seconds_a_day ? 1.0 : 0.0;
      moment += turns * seconds_a_day;
    } else if (!both_fit) {  // else only the time of the one day counts
      const long day = day_first_fits ? *row.day_if_day_first : *row.day_if_month_first;
      moment += static_cast<double>(day) * seconds_a_day;
    }
    if (moment < last && !result.goes_back) {
      result.goes_back = true;
      result.first_backward_row = i;
    }
    last = moment;
    result.seconds.push_back(moment);
  }
  return result;
}

}  // namespace sweepflux
