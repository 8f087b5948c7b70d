#include "sweepflux/base/finding.hpp"
#include "sweepflux/base/message_text.hpp"

#include <algorithm>
#include <tuple>
#include <utility>

namespace sweepflux {
namespace {

std::string all_messages(const std::vector<Finding>& findings) {
  std::string text;
  for (const Finding& finding : findings) {
    text += text.empty() ? "" : "\n";
    text += finding.message();
  }
  return text;
}

}  // namespace

std::string Finding::message() const {
  std::string place = spot.file.string();
  for (const std::size_t number : {spot.line, spot.line > 0 ? spot.column : 0}) {
    if (number > 0) {
      place += ':';
      place += std::to_string(number);
    }
  }
  return place.empty() ? text : place + ": " + text;
}

SurveyError::SurveyError(std::vector<Finding> findings)
    : InputError(all_messages(findings)), findings_(std::move(findings)) {}

std::string line_text(const Spot& spot) {
  return spot.line > 0 ? " line " + std::to_string(spot.line) : std::string();
}

std::vector<std::string> remark_lines(const std::vector<Finding>& remarks) {
  std::vector<PlacedText> placed;
  for (const Finding& remark : remarks) {
    placed.push_back({remark.spot.file.string() + line_text(remark.spot), remark.text});
  }
  return one_line_a_kind(placed);
}

void Findings::add(Spot spot, std::string text) {
  if (std::find(files_.begin(), files_.end(), spot.file) == files_.end()) {
    files_.push_back(spot.file);
  }
  if (found_.size() >= most_) {
    throw_sorted(true);
  }
  found_.push_back({std::move(spot), std::move(text)});
}

void Findings::throw_sorted(bool too_many) {
  const auto rank = [this](const Finding& finding) {
    const auto file = std::find(files_.begin(), files_.end(), finding.spot.file);
    return std::tuple(file - files_.begin(), finding.spot.line, finding.spot.column);
  };
  std::stable_sort(found_.begin(), found_.end(), [&rank](const Finding& a, const Finding& b) {
    return rank(a) < rank(b);
  });
  if (too_many) {
    Finding last;
    last.spot.file = found_.back().spot.file;
    last.text = "reading stopped after " + std::to_string(most_) + " faults; there may be more";
    found_.push_back(std::move(last));
  }
  throw SurveyError(std::move(found_));
}

void Findings::throw_if_any() {
  if (!found_.empty()) {
    throw_sorted(false);
  }
}

}  // namespace sweepflux
