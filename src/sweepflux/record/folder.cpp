#include "sweepflux/record/folder.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/record/staging_private.hpp"

#include <algorithm>
#include <fstream>
#include <set>
#include <system_error>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t longest_file_name = 255;  // bytes; whole, so that it can be found

/// Absolute and without links, as far as the path exists.
fs::path resolved(const fs::path& path) {
  std::error_code error;
  fs::path place = fs::weakly_canonical(fs::absolute(path), error);
  if (error) {
    place = fs::absolute(path).lexically_normal();
  }
  // "results/" and "results" are one place.
  return place.has_filename() ? place : place.parent_path();
}

bool is_within(const fs::path& inner, const fs::path& outer) {
  const auto [outer_end, ignored] =
      std::mismatch(outer.begin(), outer.end(), inner.begin(), inner.end());
  return outer_end == outer.end();
}

/// What a result folder says that it holds.
std::set<std::string> listed_files(const fs::path& list) {
  std::set<std::string> names;
  std::ifstream in(list, std::ios::binary);
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line.front() != '#') {
      names.insert(line);
    }
  }
  return names;
}

[[noreturn]] void refuse(const fs::path& target, const std::string& why) {
  throw InputError(target.string() + ": " + why + "; give --out a folder that does not exist yet");
}

/// An earlier result with nothing added to it.
void check_ours(const fs::path& target, const fs::path& place) {
  if (!fs::is_regular_file(place / result_list_name)) {
    refuse(target, "holds files that sweepflux did not write, and is left alone");
  }
  const std::set<std::string> ours = listed_files(place / result_list_name);
  for (const fs::directory_entry& entry : fs::directory_iterator(place)) {
    const std::string name = entry.path().filename().string();
    if (name != result_list_name && (!ours.contains(name) || !entry.is_regular_file())) {
      refuse(target,
             "holds `" + printable(name, longest_file_name) +
                 "` beside the results, which sweepflux did not write; move it away, or");
    }
  }
}

}  // namespace

void ResultFolder::check_target() const {
  std::error_code error;
  const fs::file_status status = fs::status(place_, error);
  if (!fs::exists(status)) {
    if (fs::is_symlink(fs::symlink_status(place_, error))) {
      refuse(target_, "is a link to a place that does not exist");
    }
    return;
  }
  if (!fs::is_directory(status)) {
    refuse(target_, "is no folder, so nothing can be put into it");
  }
  const fs::directory_iterator entries(place_, error);
  if (error) {
    throw SystemError(target_.string() + ": cannot be read: " + error.message());
  }
  if (entries == fs::directory_iterator()) {
    return;
  }
  if (owner_ == Owner::user) {
    refuse(target_, "holds files already, which are left alone");
  }
  check_ours(target_, place_);
}

ResultFolder::ResultFolder(fs::path target, const std::vector<fs::path>& inputs, Owner owner)
    : target_(std::move(target)), owner_(owner) {
  if (target_.empty()) {
    throw InputError("--out is empty; name a folder for the results");
  }
  place_ = resolved(target_);
  for (const fs::path& input : inputs) {
    if (is_within(resolved(input), place_)) {
      refuse(target_,
             "is or holds the input " + input.string() + ", which must not be replaced by results");
    }
  }
  std::error_code ignored;
  if (is_within(fs::current_path(ignored), place_)) {
    refuse(target_, "is the folder that you stand in, or one above it");
  }
  check_target();
}

void ResultFolder::add(std::string name, std::string content) {
  const fs::path path(name);
  const bool plain = path.filename() == path;
  const bool one_deep = path.has_filename() && path.filename().string().front() != '.' &&
                        path.parent_path() == *path.begin();
  const bool hidden = name.empty() || name.front() == '.' || name.find('\n') != std::string::npos;
  if (hidden || path.is_absolute() || !(plain || (owner_ == Owner::user && one_deep)) ||
      std::any_of(
          files_.begin(), files_.end(), [&](const File& file) { return file.name == name; })) {
    throw InputError("`" + name + "` cannot be a result's file name, or is used twice");
  }
  files_.push_back({std::move(name), std::move(content)});
}

void ResultFolder::write(const std::function<bool()>& stop_wanted) const {
  const auto check_stop = [&] {
    if (stop_wanted && stop_wanted()) {
      throw Interrupted("stopped; nothing was written");
    }
  };
  check_stop();
  recover(place_);
  Staging staging(place_);
  std::string list =
      "# Written by sweepflux " SWEEPFLUX_VERSION
      ". The next run replaces this folder as a whole, if it holds nothing but these files.\n";
  for (const File& file : files_) {
    list += file.name + "\n";
  }
  staging.write_list(list);
  for (const File& file : files_) {
    check_stop();
    staging.write(file.name, file.content);
  }
  check_stop();
  // Looked at again: the work may have taken minutes.
  check_target();
  staging.take_place(owner_ == Owner::user ? Marked::no : Marked::yes);
}

}  // namespace sweepflux
