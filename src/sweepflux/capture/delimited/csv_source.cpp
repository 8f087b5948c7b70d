#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/delimited/csv_source_private.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <sys/stat.h>
#include <system_error>
#include <utility>

namespace sweepflux {

CsvSource CsvSource::open(const std::filesystem::path& file) {
  std::error_code ignored;
  if (std::filesystem::is_block_file(file, ignored) ||
      (std::filesystem::is_character_file(file, ignored) && file != "/dev/stdin")) {
    throw InputError("is a device, which may never end; must be a CSV file");
  }
  CsvSource source;
  source.file_ = open_input(file, ", must be a CSV file");
  return source;
}

CsvSource CsvSource::over(std::string text) {
  CsvSource source;
  source.text_ = std::move(text);
  return source;
}

std::size_t CsvSource::read(char* to, std::size_t count) {
  if (file_ == nullptr) {
    const std::size_t given = std::min(count, text_.size() - text_used_);
    std::copy_n(text_.data() + text_used_, given, to);
    text_used_ += given;
    return given;
  }
  const std::size_t given = std::fread(to, 1, count, file_.get());
  if (given < count && std::ferror(file_.get()) != 0) {
    throw SystemError(std::string("reading stopped: ") + std::strerror(errno));
  }
  return given;
}

std::optional<std::size_t> CsvSource::size_hint() const {
  if (file_ == nullptr) {
    return text_.size() - text_used_;
  }
  struct stat status {};
  if (::fstat(::fileno(file_.get()), &status) != 0 || !S_ISREG(status.st_mode)) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(status.st_size);
}

CsvOpening read_csv_opening(std::string_view text) {
  CsvOpening opening;
  if (text.substr(0, 2) == "\xFF\xFE" || text.substr(0, 2) == "\xFE\xFF") {
    throw InputError("this is UTF-16 text; save it as CSV in UTF-8");
  }
  if (text.substr(0, 3) == "\xEF\xBB\xBF") {
    opening.bytes = 3;
  }
  const std::string_view rest = text.substr(opening.bytes);
  std::string_view line = rest.substr(0, rest.find_first_of("\r\n"));
  const std::size_t length = line.size();
  if (line.size() == 7 && line.front() == '"' && line.back() == '"') {
    line = line.substr(1, 5);
  }
  if (line.size() == 5 && (line.substr(0, 4) == "sep=" || line.substr(0, 4) == "SEP=") &&
      line[4] != '"' && line[4] != '#' && line[4] != '\0') {
    opening.separator = line[4];
    opening.bytes += length;
    if (rest.substr(length, 2) == "\r\n") {
      opening.bytes += 2;
    } else if (rest.size() > length) {
      opening.bytes += 1;
    }
    opening.lines = 1;
  }
  return opening;
}

}  // namespace sweepflux
