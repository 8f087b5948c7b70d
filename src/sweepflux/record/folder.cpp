#include "sweepflux/record/folder.hpp"

#include "sweepflux/base/checksum.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/record/staging_private.hpp"

#include <algorithm>
#include <cinttypes>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <map>
#include <string_view>
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

constexpr std::size_t digits_of_sum = 16;

std::string list_line(const std::string& name, std::string_view content) {
  char line[32];
  std::snprintf(line, sizeof line, "%016" PRIx64 "  ", checksum(content));
  return line + name + "\n";
}

/// What a result folder says that it holds: the line of each file by its name. Early versions wrote
/// names alone; their lines are empty here.
std::map<std::string, std::string> listed_files(const fs::path& list) {
  std::map<std::string, std::string> lines;
  std::ifstream in(list, std::ios::binary);
  for (std::string line; std::getline(in, line);) {
    const std::size_t digits = line.find_first_not_of("0123456789abcdef");
    if (digits == digits_of_sum && line.compare(digits_of_sum, 2, "  ") == 0) {
      lines[line.substr(digits_of_sum + 2)] = line + "\n";
    } else if (!line.empty() && line.front() != '#') {
      lines[line];
    }
  }
  return lines;
}

std::string content_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::string content{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (!in) {
    throw SystemError(file.string() + ": cannot be read");
  }
  return content;
}

constexpr const char* elsewhere = "give --out a folder that does not exist yet";

[[noreturn]] void refuse(const fs::path& target, const std::string& why, std::string what_to_do) {
  throw InputError(target.string() + ": " + why + "; " + what_to_do);
}

[[noreturn]] void refuse(const fs::path& target, const std::string& why) {
  refuse(target, why, elsewhere);
}

/// An earlier result with nothing added to it, nor changed in it.
void check_ours(const fs::path& target, const fs::path& place, Edited edited) {
  if (!fs::is_regular_file(place / result_list_name)) {
    refuse(target, "holds files that sweepflux did not write, and is left alone");
  }
  const std::map<std::string, std::string> ours = listed_files(place / result_list_name);
  for (const fs::directory_entry& entry : fs::directory_iterator(place)) {
    const std::string name = entry.path().filename().string();
    if (name == result_list_name) {
      continue;
    }
    const auto line = ours.find(name);
    const std::string shown = "`" + printable(name, longest_file_name) + "`";
    if (line == ours.end() || !entry.is_regular_file()) {
      refuse(target,
             "holds " + shown + " beside the results, which sweepflux did not write",
             std::string("move it away, or ") + elsewhere);
    }
    if (edited == Edited::keep && !line->second.empty() &&
        list_line(name, content_of(entry.path())) != line->second) {
      refuse(target,
             shown + " was changed since sweepflux wrote it, and is left alone",
             std::string("move it away, ") + elsewhere + ", or give --replace to lose the changes");
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
  check_ours(target_, place_, edited_);
}

ResultFolder::ResultFolder(fs::path target,
                           const std::vector<fs::path>& inputs,
                           Owner owner,
                           Edited edited)
    : target_(std::move(target)), owner_(owner), edited_(edited) {
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
      ". The next run replaces this folder as a whole, if it holds nothing but these files as they "
      "were written: FNV-1a of each, then its name.\n";
  for (const File& file : files_) {
    list += list_line(file.name, file.content);
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
