#pragma once

#include "sweepflux/derive/log/follow_log.hpp"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// What a killed run of `follow` left behind.
struct JournalContent {
  std::string settings;  ///< as text; another run with other settings must not go on with it
  std::vector<Dwell> dwells;
  FollowMark mark;
  std::uint64_t fingerprint = 0;  ///< of the source up to the mark
};

/// Keeps every reduced dwell on the disk as soon as it is there: a line each, then one with the
/// mark, flushed. What a kill cut short is known by its missing end and passed over.
class FollowJournal {
 public:
  /// @return what an earlier run left; empty when there is no journal, or no dwell in it
  /// @throws InputError  the file is no journal of ours
  [[nodiscard]] static std::optional<JournalContent> read(const std::filesystem::path& file);

  /// Opens for appending; a new journal gets its head.
  ///
  /// @throws SystemError  cannot be written
  FollowJournal(const std::filesystem::path& file, const std::string& settings);
  /// Removes a journal without a dwell: nothing could go on with it.
  ~FollowJournal();
  FollowJournal(const FollowJournal&) = delete;
  FollowJournal& operator=(const FollowJournal&) = delete;

  /// Dwells that share a mark; after a kill all of them are there, or none.
  ///
  /// @param fingerprint  of what the source held up to the mark, to know it again
  /// @throws SystemError  disk full, ...
  void add(std::span<const Dwell> dwells, const FollowMark& mark, std::uint64_t fingerprint);

  /// The results are safe elsewhere.
  void remove();

 private:
  void put(const std::string& line);

  std::filesystem::path file_;
  int descriptor_ = -1;
  bool holds_dwells_ = false;
};

}  // namespace sweepflux
