#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/compare.hpp"
#include "sweepflux/record/comparison.hpp"
#include "tool/campaign_pictures.hpp"
#include "tool/commands.hpp"
#include "tool/comparison_text.hpp"
#include "tool/read_campaign.hpp"
#include "tool/result_files.hpp"

#include <optional>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;

struct CompareArguments : CommonOptions {
  std::vector<std::string> paths;
  std::vector<std::string> distances;
  std::vector<std::string> speeds;
  std::string sound_level;
  std::string seat;
  std::string seat_speed;
  std::string title = "Fans side by side";
  bool same_probe = false;
  bool same_balance = false;
  bool no_pictures = false;
  int threads = 0;
};

/// Beside the first thing compared.
fs::path usual_folder(const fs::path& first) {
  fs::path place = fs::absolute(first).lexically_normal();
  if (place.filename().empty()) {
    place = place.parent_path();
  }
  return place.parent_path() / (place.filename().string() + "-comparison");
}

/// "2.5 m, 0.3 m, 1.1 m": downstream, off the axis, above the floor.
std::optional<Seat> seat_of(const std::string& place, const std::string& speed) {
  if (place.empty()) {
    if (!speed.empty()) {
      throw InputError("--seat-speed stands without --seat; say where the seat is");
    }
    return std::nullopt;
  }
  std::vector<double> lengths_m;
  std::string_view rest = place;
  for (bool more = true; more;) {
    const std::size_t comma = rest.find(',');
    more = comma != std::string_view::npos;
    lengths_m.push_back(
        quantity_of("--seat", std::string(rest.substr(0, comma)), Dimension::length));
    rest = more ? rest.substr(comma + 1) : std::string_view();
  }
  if (lengths_m.size() != 3 || !(lengths_m[0] > 0.0) || lengths_m[2] < 0.0) {
    throw InputError("--seat is \"" + place +
                     "\", must be three lengths: from the outlet (above zero), off the axis, above "
                     "the floor, such as \"2.5 m, 0 m, 1.1 m\"");
  }
  Seat seat{lengths_m[0], lengths_m[1], lengths_m[2], std::nullopt};
  if (!speed.empty()) {
    seat.speed_m_s = positive_quantity_of("--seat-speed", speed, Dimension::speed);
  }
  return seat;
}

CompareOptions to_compare_options(const CompareArguments& options) {
  CompareOptions compare_options;
  compare_options.distances_m = quantities_of("--distance", options.distances, Dimension::length);
  if (!options.speeds.empty()) {
    compare_options.wished_speeds_m_s = quantities_of("--throw", options.speeds, Dimension::speed);
  }
  compare_options.shared = {options.same_probe, options.same_balance};
  if (!options.sound_level.empty()) {
    compare_options.sound_level_db =
        positive_quantity_of("--sound-level", options.sound_level, Dimension::sound_level);
  }
  compare_options.seat = seat_of(options.seat, options.seat_speed);
  return compare_options;
}

/// What a person types to get these results again.
std::string line_of(const CompareArguments& o) {
  std::string line = "sweepflux compare";
  for (const std::string& path : o.paths) {
    line += " " + shell_word(path);
  }
  return line + shell_option("--distance", o.distances) + shell_option("--throw", o.speeds) +
         (o.same_probe ? " --same-probe" : "") + (o.same_balance ? " --same-balance" : "") +
         shell_option("--sound-level", o.sound_level) + shell_option("--seat", o.seat) +
         shell_option("--seat-speed", o.seat_speed);
}

void run(const CompareArguments& options, Session& session) {
  session.apply(options);
  const CompareOptions compare_options = to_compare_options(options);
  const fs::path usual = usual_folder(options.paths.front());
  // Looked at before any long work, and again below with what was read.
  std::optional<ResultFolder> folder = result_folder_if_wanted(options, usual, {});
  Comparison comparison;
  Campaign campaign;
  {
    const Progress progress = session.progress();
    campaign = read_campaign(options.paths, options.threads, progress);
    if (campaign.entries.empty()) {
      std::string why = "nothing to compare";
      for (const std::string& remark : campaign.remarks) {
        why += "\n" + remark;
      }
      throw InputError(why);
    }
    comparison = compare(campaign.entries, compare_options);
    comparison.warnings.insert(
        comparison.warnings.end(), campaign.remarks.begin(), campaign.remarks.end());
    if (folder) {
      folder.emplace(result_folder(options, usual, campaign.inputs));
      folder->add("comparison.json", comparison_json(comparison));
      folder->add("comparison.csv", comparison_csv(comparison));
      if (!options.no_pictures) {
        const CampaignDrawings drawings = draw_campaign(comparison, options.title);
        for (const auto& [name, canvas] : drawings.files) {
          add_picture(*folder, name, canvas);
        }
        folder->add("report.html",
                    render::campaign_page(options.title,
                                          comparison,
                                          drawings.for_page,
                                          page_options(line_of(options),
                                                       {"comparison.csv: every number, one a row",
                                                        "comparison.json: the same and more"})));
      }
      folder->write(progress.stop_wanted);
    }
  }
  if (options.json) {
    session.give(comparison_json(comparison));
  }
  session.say(comparison_text(comparison));
  if (folder) {
    session.say_place("Results are", folder->target());
  }
}

}  // namespace

Command make_compare_command() {
  const auto options = std::make_shared<CompareArguments>();
  return {
      "compare",
      "Compare fans and settings: rankings, differences, equal thrust, throw, sound, seat",
      "sweepflux compare loft-campaign --distance \"2 m\" --throw \"0.5 m/s\" --same-probe\n"
      "  reads every survey, result and balance session in the folder, and writes rankings,\n"
      "  overlaid profiles and a page into loft-campaign-comparison",
      common_options(
          *options,
          "Folder for the results; else <first>-comparison beside the first",
          {{"dirs",
            &options->paths,
            "Surveys, campaigns, results of `map`, balance sessions, or a folder of them",
            "DIR...",
            Need::required},
           {"--distance",
            &options->distances,
            "From the outlet, where flow and centreline speed are ranked, such as \"2 m\"; may be "
            "given more "
            "than once; else where most surveys have a plane",
            "LENGTH"},
           {"--throw",
            &options->speeds,
            "Speed whose throw is wanted, such as \"0.5 m/s\"; may be given more than once",
            "SPEED"},
           {"--sound-level",
            &options->sound_level,
            "A-weighted level at which fans are compared, such as \"40 dB\"; else one that most "
            "reach",
            "LEVEL"},
           {"--seat",
            &options->seat,
            "Where a person sits: from the outlet, off the axis, above the floor, such as "
            "\"2.5 m, 0 m, 1.1 m\"; else [seat] of the files",
            "PLACE"},
           {"--seat-speed",
            &options->seat_speed,
            "Speed that the air at the seat must stay below, such as \"0.25 m/s\"",
            "SPEED"},
           {"--title", &options->title, "Title of the page", "TEXT"},
           {"--same-probe",
            &options->same_probe,
            "One probe for all readings: its scale error cancels in differences"},
           {"--same-balance",
            &options->same_balance,
            "One balance for all readings: its lever's error cancels in differences"},
           threads_option(options->threads),
           {"--no-pictures", &options->no_pictures, "Write tables only"}}),
      [options](Session& session) { run(*options, session); }};
}

}  // namespace sweepflux::tool
