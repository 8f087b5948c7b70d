#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace sweepflux {

/// What is done with results that were changed after they were written.
enum class Edited { keep, replace };

/// The files of one run: all of them appear at once, or none.
///
/// They are written into a hidden folder beside the target, flushed to the disk, and swapped with
/// the target in one step where the file system can (renameat2 with RENAME_EXCHANGE), else by two
/// renames. A run that is killed leaves what stood there whole; what it left half-written is swept
/// away by the next run to the same target, once no living run holds it.
///
/// An earlier result is replaced only as a whole, and only if it is one of ours: it holds the list
/// `.sweepflux` of what was written, nothing beside what is on that list, and each file as its
/// checksum there says: what the user wrote in is not lost. The folder keeps its mode.
class ResultFolder {
 public:
  /// What a later run may do with the folder.
  enum class Owner {
    program,  ///< it is ours: the next run to it replaces it
    user      ///< it is a start for the user's own work: nobody ever replaces it
  };

  /// Looks whether the target may be written, before any long work is done; touches nothing.
  ///
  /// @param target  does not exist, or is an empty folder, or holds an earlier result
  /// @param inputs  files and folders that the run reads: the target must hold none of them
  /// @param owner   of the folder once it is there; the user's must not hold an earlier result
  /// @param edited  replace: an earlier result may have been changed
  /// @throws InputError  the target is none of these; the message says what to do
  ResultFolder(std::filesystem::path target,
               const std::vector<std::filesystem::path>& inputs,
               Owner owner = Owner::program,
               Edited edited = Edited::keep);

  /// @param name  a plain file name, not used twice; for the user also one in a folder ("a/b.csv")
  void add(std::string name, std::string content);

  /// Writes all files and puts the folder in its place.
  ///
  /// @param stop_wanted  asked before each file and before the swap; may be empty
  /// @throws SystemError  disk full, no permission, ...: nothing was changed
  /// @throws Interrupted  stop_wanted said so: nothing was changed
  void write(const std::function<bool()>& stop_wanted = {}) const;

  /// As the user named it.
  [[nodiscard]] const std::filesystem::path& target() const { return target_; }

 private:
  struct File {
    std::string name;
    std::string content;
  };

  void check_target() const;

  std::filesystem::path target_;
  Owner owner_;
  Edited edited_;
  std::filesystem::path place_;  ///< absolute, links followed
  std::vector<File> files_;
};

}  // namespace sweepflux
