#include "sweepflux/record/append_sweep.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/input_file.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/read_campaign_file.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "sweepflux/record/staging_private.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_bytes = 16U << 20;  // of a survey or a sweep that is looked at
const ReadOptions as_it_is = {.sweeps_required = false};

std::string text_of(const fs::path& file) {
  return read_input(file, "; name the survey in it", most_bytes);
}

/// Ends of lines as the file has them.
std::string with_line_ends(const std::string& block, const std::string& survey) {
  if (survey.find("\r\n") == std::string::npos) {
    return block;
  }
  std::string out;
  for (const char c : block) {
    out += c == '\n' ? "\r\n" : std::string(1, c);
  }
  return out;
}

/// The rows of a reduced sweep, without the remarks above them.
std::string rows_of(const std::string& csv) {
  std::size_t at = 0;
  while (at < csv.size() && csv[at] == '#') {
    const std::size_t end = csv.find('\n', at);
    at = end == std::string::npos ? csv.size() : end + 1;
  }
  return csv.substr(at);
}

std::vector<Survey> read_all(const fs::path& file) {
  if (is_campaign_file(file)) {
    return read_campaign_file(file, as_it_is);
  }
  std::vector<Survey> one;
  one.push_back(read_survey(file, as_it_is));
  return one;
}

/// Place of a campaign's setting among all; of a survey the first and only.
std::size_t index_of(const std::vector<Survey>& surveys, const std::string& member) {
  const auto found = std::find_if(
      surveys.begin(), surveys.end(), [&](const Survey& one) { return one.member == member; });
  return found != surveys.end() ? static_cast<std::size_t>(found - surveys.begin()) : 0;
}

/// "[[fan.setting]]" of a header's line; else empty.
std::string header_of(std::string_view line) {
  std::string header;
  for (const char c : line.substr(0, line.find('#'))) {
    header += c == ' ' || c == '\t' || c == '\r' || c == '\n' ? "" : std::string(1, c);
  }
  return header.starts_with('[') && header.ends_with(']') ? header : "";
}

/// Where the block of the n-th setting of a campaign ends: behind its last line that is neither
/// empty nor a comment, before the next block that is none of its own.
std::size_t end_of_setting(const std::string& text, std::size_t wanted) {
  std::size_t settings = 0;
  std::size_t end = text.size();
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t stop = std::min(text.find('\n', at), text.size() - 1) + 1;
    const std::string_view line = std::string_view(text).substr(at, stop - at);
    const std::string header = header_of(line);
    const bool own = header.starts_with("[fan.setting.") || header.starts_with("[[fan.setting.");
    if (settings == wanted + 1 && !header.empty() && !own) {
      return end;
    }
    settings += header == "[[fan.setting]]" ? 1U : 0U;
    const std::size_t first = line.find_first_not_of(" \t\r\n");
    if (first != std::string_view::npos && line[first] != '#') {
      end = stop;
    }
    at = stop;
  }
  return end;
}

std::optional<fs::path> same_readings(const Survey& survey, const std::string& csv) {
  for (const Sweep& sweep : survey.sweeps) {
    std::error_code ignored;
    if (fs::is_regular_file(sweep.file, ignored) && rows_of(text_of(sweep.file)) == rows_of(csv)) {
      return sweep.file;
    }
  }
  return std::nullopt;
}

/// "sweeps/1.5m-0.92m.csv", of a campaign "sweeps/heron-3-1.5m-0.92m.csv", with a number where that
/// is taken.
fs::path free_name(const fs::path& folder,
                   const std::string& member,
                   double distance_m,
                   double height_m) {
  const std::string stem = (member.empty() ? "" : member + "-") + format_number(distance_m, 4) +
                           "m-" + format_number(height_m, 4) + "m";
  fs::path name = fs::path("sweeps") / (stem + ".csv");
  for (int i = 2; fs::exists(folder / name); ++i) {
    name = fs::path("sweeps") / (stem + "-" + std::to_string(i) + ".csv");
  }
  return name;
}

std::string block_text(const fs::path& name,
                       bool in_campaign,
                       const ReducedLog& reduced,
                       double distance_m,
                       double height_m,
                       bool columns) {
  const std::string path = in_campaign ? "fan.setting.sweep" : "sweep";
  std::string block = "\n[[" + path + "]]\nfile     = \"" + name.generic_string() +
                      "\"\ndistance = \"" + format_number(distance_m, 17) + " m\"\nheight   = \"" +
                      format_number(height_m, 17) + " m\"\n";
  if (columns) {  // where [columns] has other names for what this file calls by the usual ones
    block += "[" + path + ".columns]\n";
    for (const char* role : {reduced.motion == Motion::swivel ? "angle" : "across",
                             "speed",
                             "spread",
                             "standard_error",
                             "samples",
                             "dwell",
                             "time"}) {
      block += std::string(role) + " = \"" + role + "\"\n";
    }
  }
  return block;
}

std::size_t sweeps_of(const Survey& survey) { return survey.sweeps.size() + survey.logs.size(); }

/// Why the file with the block cannot be; nothing when that survey holds one sweep more, and every
/// other as many as before.
std::optional<std::string> fault_of(const fs::path& trial,
                                    const std::vector<Survey>& before,
                                    std::size_t target) {
  try {
    const std::vector<Survey> after = read_all(trial);
    bool good = after.size() == before.size();
    for (std::size_t i = 0; good && i < after.size(); ++i) {
      good = sweeps_of(after[i]) == sweeps_of(before[i]) + (i == target ? 1U : 0U);
    }
    return good ? std::nullopt : std::optional<std::string>("the sweep is not seen there");
  } catch (const InputError& error) {
    return error.what();
  }
}

struct Remover {
  fs::path file;
  ~Remover() {
    std::error_code ignored;
    if (!file.empty()) {
      fs::remove(file, ignored);
    }
  }
};

}  // namespace

AppendedSweep append_sweep(const fs::path& survey_file,
                           const std::string& member,
                           const ReducedLog& reduced,
                           double distance_m,
                           double height_m) {
  const std::string csv = reduced_sweep_csv(reduced);
  const std::string text = text_of(survey_file);
  const std::vector<Survey> before = read_all(survey_file);
  const std::size_t target = index_of(before, member);
  if (const std::optional<fs::path> known = same_readings(before[target], csv)) {
    return {*known, true};
  }
  std::error_code failed;
  const fs::path place = fs::canonical(survey_file, failed);  // a link stays one
  if (failed) {
    throw SystemError(survey_file.string() + ": " + failed.message());
  }
  const fs::path folder = place.parent_path();
  const fs::path name = free_name(folder, member, distance_m, height_m);
  fs::create_directories((folder / name).parent_path(), failed);
  if (failed) {
    throw SystemError((folder / name).parent_path().string() + ": " + failed.message());
  }
  write_new_file(folder / name, csv, folder / name);
  Remover sweep{folder / name};
  Remover trial{folder / ("." + place.filename().string() + ".with-a-sweep")};
  const std::size_t end = member.empty() ? text.size() : end_of_setting(text, target);
  std::string head = text.substr(0, end);
  head += head.empty() || head.back() == '\n' ? "" : "\n";
  std::optional<std::string> fault;
  for (const bool columns : {false, true}) {
    fs::remove(trial.file, failed);
    write_new_file(
        trial.file,
        head +
            with_line_ends(
                block_text(name, !member.empty(), reduced, distance_m, height_m, columns), text) +
            text.substr(end),
        place);
    const std::optional<std::string> found = fault_of(trial.file, before, target);
    fault = found && columns ? fault : found;  // of two faults the first says what is wrong
    if (!found) {
      break;
    }
  }
  if (fault) {
    throw InputError(survey_file.string() +
                     ": the sweep cannot be added at its end; name it there yourself: " + *fault);
  }
  if (text_of(survey_file) != text) {
    throw InputError(survey_file.string() +
                     ": was changed while the sweep was added, and is left as it is; run the same "
                     "command again");
  }
  fs::permissions(trial.file, fs::status(place, failed).permissions(), failed);
  replace_file(trial.file, place);
  trial.file.clear();
  AppendedSweep done{survey_file.parent_path() / name, false};
  sweep.file.clear();
  return done;
}

}  // namespace sweepflux
