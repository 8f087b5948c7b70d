#include "sweepflux/base/error.hpp"
#include "sweepflux/record/staging_private.hpp"

#include <cerrno>
#include <cstdio>
#include <fcntl.h>
#include <random>
#include <string_view>
#include <sys/file.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const fs::path& path, const char* what, int code) {
  throw SystemError(path.string() + ": " + what + ": " + std::generic_category().message(code));
}

constexpr const char* early_list_name = ".sweepflux.new";  // before it is locked

// `.results.sweepflux-part-1a2b3c4d`: being filled, or swapped out and about to go.
// `.results.sweepflux-kept-1a2b3c4d`: moved aside by a swap in two renames.
std::string prefix(const fs::path& place, std::string_view kind) {
  std::string text = ".";
  text += place.filename().string();
  text += ".sweepflux-";
  text += kind;
  text += "-";
  return text;
}

std::string random_digits() {
  std::random_device source;  // only a name: no result depends on it
  std::string text;
  for (int i = 0; i < 8; ++i) {
    text += "0123456789abcdef"[source() % 16];
  }
  return text;
}

fs::path parent_of(const fs::path& place) {
  return place.has_parent_path() ? place.parent_path() : fs::path(".");
}

std::vector<fs::path> siblings(const fs::path& place, std::string_view kind) {
  std::vector<fs::path> found;
  const std::string start = prefix(place, kind);
  std::error_code error;
  for (fs::directory_iterator it(parent_of(place), error), end; !error && it != end;
       it.increment(error)) {
    const std::string name = it->path().filename().string();
    if (name.size() == start.size() + 8 && name.compare(0, start.size(), start) == 0) {
      found.push_back(it->path());
    }
  }
  return found;
}

/// Open and locked; negative where it is not there, or another holds it (errno EWOULDBLOCK).
int lock(const fs::path& path, int kind) {
  const int handle = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | kind);
  if (handle >= 0 && ::flock(handle, LOCK_EX | LOCK_NB) != 0) {
    ::close(handle);
    return -1;
  }
  return handle;
}

void close_lock(int& handle) {
  if (handle >= 0) {
    ::close(handle);
    handle = -1;
  }
}

/// The list goes last: what a kill leaves half removed still shows whose it was.
void remove_folder(const fs::path& folder) {
  std::error_code ignored;
  fs::permissions(folder, fs::perms::owner_all, fs::perm_options::add, ignored);
  std::vector<fs::path> inside;
  for (fs::directory_iterator it(folder, ignored), end; !ignored && it != end;
       it.increment(ignored)) {
    if (it->path().filename() != result_list_name) {
      inside.push_back(it->path());
    }
  }
  for (const fs::path& entry : inside) {
    fs::remove_all(entry, ignored);
  }
  fs::remove_all(folder, ignored);
}

/// Removes what a run left that lives no more: nobody holds the lock on its list. A folder without
/// a list may be one in which a run had but begun, and goes if it is empty and nobody holds it.
void remove_orphan(const fs::path& folder) {
  int handle = lock(folder / result_list_name, 0);
  if (handle >= 0) {
    remove_folder(folder);
  } else if (!fs::exists(folder / result_list_name)) {
    handle = lock(folder, O_DIRECTORY);
    if (handle >= 0) {
      std::error_code ignored;
      fs::remove(folder / early_list_name, ignored);
      fs::remove(folder, ignored);  // only if it is empty now
    }
  }
  close_lock(handle);
}

/// Not every file system can sync a folder; those that cannot say EINVAL.
void sync_folder(const fs::path& folder) {
  const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle < 0) {
    return;
  }
  const int code = ::fsync(handle) == 0 ? 0 : errno;
  ::close(handle);
  if (code == EIO || code == ENOSPC) {
    fail(folder, "cannot be kept on the disk", code);
  }
}

/// @param name  as messages call it: the user never sees the hidden folder
void write_all(int file, const std::string& content, const fs::path& name) {
  std::size_t done = 0;
  while (done < content.size()) {
    const ssize_t n = ::write(file, content.data() + done, content.size() - done);
    if (n < 0 && errno == EINTR) {
      continue;
    }
    if (n <= 0) {
      fail(name, "cannot be written, so nothing was changed", n < 0 ? errno : ENOSPC);
    }
    done += static_cast<std::size_t>(n);
  }
}

void sync_file(int file, const fs::path& name) {
  if (::fsync(file) != 0 && errno != EINVAL && errno != EROFS) {
    fail(name, "cannot be kept on the disk, so nothing was changed", errno);
  }
}

int create(const fs::path& path) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (file < 0) {
    fail(path, "cannot be made", errno);
  }
  return file;
}

/// Whether the two were swapped in one step; false where the file system cannot.
bool exchange(const fs::path& a, const fs::path& b) {
  if (::renameat2(AT_FDCWD, a.c_str(), AT_FDCWD, b.c_str(), RENAME_EXCHANGE) == 0) {
    return true;
  }
  if (errno == EINVAL || errno == ENOSYS || errno == EOPNOTSUPP) {
    return false;
  }
  fail(b, "cannot be replaced", errno);
}

void rename_or_fail(const fs::path& from, const fs::path& to) {
  if (::rename(from.c_str(), to.c_str()) != 0) {
    fail(to, "cannot be put in its place", errno);
  }
}

}  // namespace

void write_new_file(const fs::path& file, const std::string& content, const fs::path& name) {
  int handle = create(file);
  try {
    write_all(handle, content, name);
    sync_file(handle, name);
  } catch (...) {
    close_lock(handle);
    std::error_code ignored;
    fs::remove(file, ignored);
    throw;
  }
  ::close(handle);
}

void replace_file(const fs::path& from, const fs::path& to) {
  rename_or_fail(from, to);
  sync_folder(to.parent_path());
}

void recover(const fs::path& place) {
  std::error_code ignored;
  for (const fs::path& kept : siblings(place, "kept")) {
    if (!fs::exists(place)) {
      fs::rename(kept, place, ignored);
    } else {
      remove_orphan(kept);
    }
  }
  for (const fs::path& part : siblings(place, "part")) {
    remove_orphan(part);
  }
}

Staging::Staging(const fs::path& place) : place_(place) {
  const fs::path parent = parent_of(place);
  for (fs::path above = parent; !above.empty() && !fs::exists(above); above = above.parent_path()) {
    first_made_parent_ = above;
  }
  std::error_code error;
  fs::create_directories(parent, error);
  if (error) {
    remove_made_parents();
    fail(parent, "cannot be made", error.value());
  }
  for (int tries = 0;; ++tries) {
    folder_ = parent / (prefix(place, "part") + random_digits());
    int code = 0;
    // Where a folder stands that others cannot look into, they must not look into the new one.
    const mode_t mode = fs::exists(place) ? 0700 : 0777;
    if (::mkdir(folder_.c_str(), mode) == 0) {
      // Another run may be taking it for an orphan, or have removed it, before it is locked here.
      folder_lock_ = lock(folder_, O_DIRECTORY);
      const bool taken = folder_lock_ < 0 && errno == EWOULDBLOCK;
      if (!taken && ::access(folder_.c_str(), F_OK) == 0) {
        return;
      }
      close_lock(folder_lock_);
      code = EEXIST;
    } else {
      code = errno;
    }
    if (code != EEXIST || tries == 20) {
      folder_.clear();
      remove_made_parents();
      fail(place, "no folder can be made beside it", code);
    }
  }
}

Staging::~Staging() {
  if (!folder_.empty()) {
    remove_folder(folder_);
    remove_made_parents();
  }
  close_lock(list_file_);
  close_lock(folder_lock_);
}

void Staging::remove_made_parents() noexcept {
  std::error_code error;
  if (!first_made_parent_.empty()) {
    // Only empty ones: somebody else may have put something there meanwhile.
    for (fs::path above = parent_of(place_); fs::remove(above, error) && !error;
         above = above.parent_path()) {
      if (above == first_made_parent_) {
        break;
      }
    }
  }
}

void Staging::write_list(const std::string& content) {
  // Locked before it bears the name that others look for, else they could take it for an orphan.
  const fs::path early = folder_ / early_list_name;
  list_file_ = create(early);
  ::flock(list_file_, LOCK_EX | LOCK_NB);
  write_all(list_file_, content, place_ / result_list_name);
  rename_or_fail(early, folder_ / result_list_name);
}

void Staging::write(const std::string& name, const std::string& content) {
  const fs::path path = folder_ / name;
  std::error_code error;
  fs::create_directories(path.parent_path(), error);
  if (error) {
    fail(place_ / name, "cannot be made", error.value());
  }
  int file = create(path);
  try {
    write_all(file, content, place_ / name);
  } catch (...) {
    close_lock(file);
    throw;
  }
  // Closed at once, since few files may be open. Network file systems may report only here that the
  // disk is full.
  if (::close(file) != 0 && errno != EINTR) {
    fail(place_ / name, "cannot be written, so nothing was changed", errno);
  }
  names_.push_back(name);
}

void Staging::sync() {
  // After all were written: the disk then takes most of them in one go.
  sync_file(list_file_, place_ / result_list_name);
  for (const std::string& name : names_) {
    int file = ::open((folder_ / name).c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0) {
      fail(place_ / name, "cannot be kept on the disk, so nothing was changed", errno);
    }
    try {
      sync_file(file, place_ / name);
    } catch (...) {
      close_lock(file);
      throw;
    }
    ::close(file);
  }
  sync_folder(folder_);
}

/// A folder that is replaced was perhaps closed to others, or opened to a group.
void Staging::keep_mode() const {
  struct stat before {};
  if (::stat(place_.c_str(), &before) != 0) {
    return;
  }
  // Only root may give a folder away; whoever shares its group keeps that.
  if (::chown(folder_.c_str(), before.st_uid, before.st_gid) != 0) {
    (void)!::chown(folder_.c_str(), static_cast<uid_t>(-1), before.st_gid);
  }
  if (::chmod(folder_.c_str(), before.st_mode & 07777U) != 0) {
    fail(place_, "its mode cannot be kept, so nothing was changed", errno);
  }
}

void Staging::take_place(Marked marked) {
  sync();
  keep_mode();
  if (!fs::exists(fs::symlink_status(place_))) {
    rename_or_fail(folder_, place_);
    folder_.clear();
  } else if (exchange(folder_, place_)) {
    // folder_ now names the earlier result, which goes with this object.
    first_made_parent_.clear();
  } else {
    const fs::path kept = parent_of(place_) / (prefix(place_, "kept") + random_digits());
    rename_or_fail(place_, kept);
    if (::rename(folder_.c_str(), place_.c_str()) != 0) {
      const int code = errno;
      rename_or_fail(kept, place_);
      fail(place_, "cannot be put in its place, so nothing was changed", code);
    }
    folder_ = kept;
    first_made_parent_.clear();
  }
  // Only now: what a kill leaves without a list nobody would dare to remove.
  if (marked == Marked::no && ::unlink((place_ / result_list_name).c_str()) != 0) {
    fail(place_, "cannot be finished", errno);
  }
  sync_folder(parent_of(place_));
}

}  // namespace sweepflux
