#pragma once

#include "tests/bench/support/cases.hpp"

#include <functional>
#include <string>
#include <vector>

namespace sweepflux::bench {

/// A case with its outcome.
struct Scored {
  const Case* one = nullptr;
  const CaseScore* score = nullptr;
};

/// Maps all cases on `threads` threads, each case on one; shows the count on a terminal.
[[nodiscard]] std::vector<CaseScore> score_all(const std::vector<Case>& cases, int threads);

/// Summaries by whatever `key` says (cells of the first columns; an empty key leaves a case out),
/// in the order in which keys first appear. Per cent throughout.
[[nodiscard]] std::string board(const std::vector<std::string>& key_heading,
                                const std::vector<Scored>& scored,
                                const std::function<std::vector<std::string>(const Case&)>& key);

/// One row a plane, refused cases included.
[[nodiscard]] std::string scores_csv(const std::vector<Scored>& scored);

/// What the columns of `board` mean.
extern const char* const board_legend;

}  // namespace sweepflux::bench
