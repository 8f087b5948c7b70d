#include "sweepflux/capture/log/line_feed.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/delimited/csv_source_private.hpp"
#include "sweepflux/capture/log/log_columns_private.hpp"

#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t longest_line = 1U << 16;

}  // namespace

LineFeed::LineFeed(std::filesystem::path file, const LogFormat& format)
    : source_(file.string()),
      decoder_(std::move(file), format),
      columns_(format.columns),
      separator_(stated_separator(format)) {}

/// One line at a time, so that the place of each is known to the byte.
void LineFeed::decode(std::string_view line, const Take& take) {
  if (lines_before_ == 0 && line.starts_with("sep=") && line.size() > 4) {
    separator_ = line[4];
  } else {
    CsvOptions options;
    options.separator = separator_;
    CsvRows rows = CsvRows::over_text(std::string(line), options);
    while (const CsvRow* row = rows.next()) {
      if (std::exchange(in_line_, false) && looks_like_data(*row, columns_)) {
        continue;
      }
      CsvRow placed = *row;
      placed.line = lines_before_ + 1;
      if (const LogSample* sample = decoder_.decode(placed)) {
        take(*sample);
      }
    }
  }
  bytes_before_ += line.size();
  ++lines_before_;
  counts_before_ = decoder_.counts();
}

void LineFeed::feed(std::string_view bytes, const Take& take) {
  half_ += bytes;
  if (lines_before_ == 0) {
    try {
      (void)read_csv_opening(half_);
    } catch (const InputError& error) {
      throw InputError(source_ + ": " + error.what());
    }
  }
  if (separator_ == '\0' && !columns_.empty()) {
    separator_ = columns_separator(half_, columns_, half_.size() >= opening_bytes);
    if (separator_ == '\0' && half_.size() < opening_bytes) {
      return;
    }
  }
  if (separator_ == '\0') {
    std::size_t lines = 0;
    for_each_line(half_, [&](std::string_view) { ++lines; });
    if (lines < 3 && half_.size() < opening_bytes) {
      return;  // the separator shows where lines agree on it
    }
    separator_ = half_.starts_with("sep=") ? half_[4] : find_separator(half_);
  }
  const std::size_t decoded =
      for_each_line(half_, [&](std::string_view line) { decode(line, take); });
  half_.erase(0, decoded);
  if (half_.size() > longest_line) {
    half_.clear();  // no log: a stream without line ends must not fill the memory
  }
}

bool LineFeed::give_up_half_line() {
  const bool gave_up = !half_.empty();
  half_.clear();
  return gave_up;
}

bool LineFeed::restart() {
  const bool gave_up = give_up_half_line();
  bytes_before_ = 0;
  lines_before_ = 0;
  return gave_up;
}

void LineFeed::resume_at(std::size_t byte, std::size_t line, const LogTally& counts) {
  decoder_.count_from(counts);
  counts_before_ = counts;
  half_.clear();
  bytes_before_ = byte;
  lines_before_ = line;
}

}  // namespace sweepflux
