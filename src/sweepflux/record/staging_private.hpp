#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace sweepflux {

/// The list of what a result folder holds; its presence marks a folder as ours.
inline constexpr const char* result_list_name = ".sweepflux";

/// Mends what killed runs left beside `place`: folders of runs that are no longer alive go, and a
/// result that was moved aside but not yet replaced comes back.
void recover(const std::filesystem::path& place);

/// Makes a file that must not exist, with this content, kept on the disk.
/// @param name  as messages call it
/// @throws SystemError  not all of it could be written; then there is no file
void write_new_file(const std::filesystem::path& file,
                    const std::string& content,
                    const std::filesystem::path& name);

/// Puts a file in the place of another, in one step.
/// @throws SystemError  it cannot be done
void replace_file(const std::filesystem::path& from, const std::filesystem::path& to);

enum class Marked { yes, no };

/// A hidden folder beside `place`, being filled; gone again unless it took its place.
class Staging {
 public:
  /// Makes the folder, and the folders above it where they are missing.
  /// @throws SystemError  it cannot be made
  explicit Staging(const std::filesystem::path& place);
  ~Staging();
  Staging(const Staging&) = delete;
  Staging& operator=(const Staging&) = delete;

  /// The list must come first: this run holds a lock on it, which shows that it is alive where a
  /// file system cannot lock folders.
  void write_list(const std::string& content);
  /// Makes a file that must not exist, with its folder.
  /// @throws SystemError  not all of it could be written
  void write(const std::string& name, const std::string& content);
  /// Has the disk keep all files, swaps the folder into its place with the mode of the one that
  /// stood there, and removes that one.
  /// @throws SystemError  it cannot be done
  /// @param marked  whether the folder keeps the list that says it is ours
  void take_place(Marked marked);

 private:
  void sync();
  void keep_mode() const;
  void remove_made_parents() noexcept;

  std::filesystem::path place_;
  std::filesystem::path folder_;             ///< empty once nothing is left to clean
  std::filesystem::path first_made_parent_;  ///< empty when all were there
  std::vector<std::string> names_;           ///< written, not yet on the disk for sure
  int list_file_ = -1;                       ///< open and locked while the run lives
  int folder_lock_ = -1;                     ///< the same before there is a list and after
};

}  // namespace sweepflux
