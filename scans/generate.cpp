// Writes the demo surveys: `demo_scans FOLDER` makes FOLDER/<survey>/survey.toml, sweeps/*.csv and
// NOTES.md. The same bytes on every machine: draws, arithmetic and text are our own or exact.
#include "scans/demo_surveys.hpp"
#include "scans/measure.hpp"

#include <charconv>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>

namespace sweepflux::demo {
namespace {

namespace fs = std::filesystem;

std::string fixed(double value, int decimals) {
  char buffer[64];
  const auto end =
      std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, decimals);
  const std::string text(buffer, end.ptr);
  const bool is_zero = text.find_first_not_of("-0.") == std::string::npos;
  return is_zero && text[0] == '-' ? text.substr(1) : text;
}

void write_file(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream out(file, std::ios::binary);
  out << text;
  out.close();
  if (!out) {
    throw std::runtime_error(file.string() + ": cannot be written");
  }
}

std::string sweep_file(const DemoSweep& sweep) {
  return "sweeps/" + fixed(sweep.distance_m, 1) + "m-" + fixed(sweep.height_m, 2) + "m" +
         sweep.suffix + ".csv";
}

std::string heading(Dialect dialect) {
  switch (dialect) {
    case Dialect::plain:
      return "angle [deg],speed [m/s]\n";
    case Dialect::with_spread:
      return "angle [deg],speed [m/s],spread [m/s],samples,dwell [s]\n";
    case Dialect::decimal_comma:
      return "angle [deg];speed [m/s]\n";
    case Dialect::feet_a_minute:
      return "Pos [deg],V [ft/min]\n";
  }
  return "";
}

std::string with_comma(std::string number) {
  for (char& c : number) {
    c = c == '.' ? ',' : c;
  }
  return number;
}

std::string line(Dialect dialect, const Row& row) {
  constexpr double feet_per_metre = 1.0 / 0.3048;
  const std::string angle = fixed(row.recorded_deg, 2);
  const std::string speed = fixed(row.speed_m_s, 2);
  switch (dialect) {
    case Dialect::plain:
      return angle + "," + speed + "\n";
    case Dialect::with_spread:
      return angle + "," + speed + "," + fixed(row.spread_m_s, 2) + ",60,12\n";
    case Dialect::decimal_comma:
      return with_comma(angle) + ";" + with_comma(speed) + "\n";
    case Dialect::feet_a_minute:
      return angle + "," + fixed(row.speed_m_s * 60 * feet_per_metre, 0) + "\n";
  }
  return "";
}

std::string csv(const DemoSweep& sweep, const std::vector<Row>& rows) {
  std::string text = "# invented data\n" + heading(sweep.dialect);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (sweep.misses_a_reading && i == rows.size() / 3) {
      text += fixed(rows[i].recorded_deg, 2) + ",---,---,0,12\n";
    } else {
      text += line(sweep.dialect, rows[i]);
    }
  }
  return text;
}

std::string balance_toml(const DemoSurvey& survey, test::Dice& dice) {
  const int decimals = survey.balance_resolution_g < 1 ? 1 : 0;
  std::string text = "\n[balance]\nlever_ratio = 1.0\nlever_ratio_uncertainty = \"0.5 %\"\n";
  text += "resolution = \"" + fixed(survey.balance_resolution_g, decimals) + " g\"\n";
  text +=
      "zero_before = \"0 g\"\nzero_after = \"" + fixed(survey.zero_drift_g, decimals) + " g\"\n";
  text += "readings = [";
  const char* gap = "";
  for (const double reading_g : weigh(survey, dice)) {
    text += gap;
    text += "\"" + fixed(reading_g, decimals) + " g\"";
    gap = ", ";
  }
  return text + "]\n";
}

std::string survey_toml(const DemoSurvey& survey, test::Dice& dice) {
  std::string text = "# Invented data; see NOTES.md.\n\n[survey]\n";
  text += "title = \"" + survey.title + "\"\nfan = \"" + survey.fan + "\"\nsetting = \"" +
          survey.setting + "\"\n";
  text += "\n[air]\ntemperature = \"21.5 degC\"\npressure = \"1006.2 hPa\"\nhumidity = \"48 %\"\n";
  if (survey.air_was_read) {
    text += "ambient_speed = \"0 m/s\"\nambient_speed_uncertainty = \"0.02 m/s\"\n";
  }
  text += "\n[room]\nwidth = \"5.2 m\"\nheight = \"3.1 m\"\nfloor = \"0 m\"\n";
  text += "\n[outlet]\n" + survey.outlet_toml;
  text += "centre_height = \"" + fixed(survey.centre_height_m, 2) + " m\"\nahead_of_axis = \"" +
          fixed(survey.ahead_of_axis_m, 2) + " m\"\npower = \"" + survey.power + "\"\n";
  text += "\n[rig]\nmotion = \"swivel\"\n";
  text += std::string("clockwise = ") + (survey.clockwise ? "true" : "false") + "\n";
  text += "angle_zero = \"" + fixed(survey.angle_zero_deg, 1) + " deg\"\n";
  text +=
      "angle_uncertainty = \"0.3 deg\"\ndistance_uncertainty = \"5 mm\"\n"
      "height_uncertainty = \"3 mm\"\n";
  text += "\n[probe]\nkind = \"vane\"\nhead_diameter = \"" +
          fixed(survey.head_diameter_m * 1000, 0) + " mm\"\n";
  text +=
      "starting_speed = \"0.3 m/s\"\nscale_uncertainty = \"1.5 %\"\n"
      "offset_uncertainty = \"0.02 m/s\"\nresolution = \"0.01 m/s\"\nresponse = \"cosine\"\n";
  text += balance_toml(survey, dice);
  for (const DemoSweep& sweep : survey.sweeps) {
    text += "\n[[sweep]]\nfile = \"" + sweep_file(sweep) + "\"\ndistance = \"" +
            fixed(sweep.distance_m, 1) + " m\"\nheight = \"" + fixed(sweep.height_m, 2) + " m\"\n";
    if (sweep.dialect == Dialect::feet_a_minute) {
      text += "[sweep.columns]\nangle = \"Pos [deg]\"\nspeed = \"V [ft/min]\"\n";
    }
  }
  return text;
}

std::string notes(const DemoSurvey& survey) {
  return "# " + survey.title + "\n\n" + survey.notes +
         "\nNothing here was measured. `scans/generate.cpp` (target `demo_scans`) invents a "
         "stream\n"
         "in which no air is lost, whose mean flow carries 2 to 6 % less momentum than the thrust\n"
         "(the rest stands for turbulence and the room), and sweeps it as the rig would: along an\n"
         "arc, with the component along the probe's axis averaged over its head, 3 % + 0.05 m/s "
         "of\n"
         "noise, a scale and an offset error common to the survey, a fan that drifts a little "
         "from\n"
         "sweep to sweep, and no reading below 0.3 m/s. Turbulence and swirl are not in it.\n"
         "\nLicence: as the rest of this repository.\n";
}

void write_survey(const DemoSurvey& survey, const fs::path& folder) {
  test::Dice dice(survey.seed);
  const CommonErrors errors = draw_common_errors(dice);
  for (const DemoSweep& sweep : survey.sweeps) {
    write_file(folder / sweep_file(sweep), csv(sweep, measure(survey, sweep, errors, dice)));
  }
  write_file(folder / "survey.toml", survey_toml(survey, dice));
  write_file(folder / "NOTES.md", notes(survey));
}

}  // namespace
}  // namespace sweepflux::demo

int main(int argc, char** argv) {
  if (argc != 2 || argv[1][0] == '-') {
    std::fputs("usage: demo_scans FOLDER\n", stderr);
    return 2;
  }
  try {
    for (const auto& survey : sweepflux::demo::demo_surveys()) {
      sweepflux::demo::write_survey(survey, std::filesystem::path(argv[1]) / survey.folder);
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "demo_scans: %s\n", error.what());
    return 1;
  }
  return 0;
}
