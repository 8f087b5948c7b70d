#include "tests/support/make_survey.hpp"

#include <array>
#include <charconv>
#include <fstream>
#include <numbers>
#include <stdexcept>
#include <string>

namespace sweepflux::test {
namespace {

/// Shortest text that reads back as the same double; never locale-dependent.
std::string text(double value) {
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  return {buffer.data(), end.ptr};
}

std::string line(const char* key, double value, const char* unit) {
  return std::string(key) + " = \"" + text(value) + " " + unit + "\"\n";
}

void write_file(const std::filesystem::path& path, const std::string& content) {
  std::ofstream out(path, std::ios::binary);
  out << content;
  out.close();
  if (!out) {
    throw std::runtime_error("cannot write " + path.string());
  }
}

std::string sweep_table(const Sweep& sweep, Motion motion) {
  const bool swivel = motion == Motion::swivel;
  std::string table = swivel ? "angle [deg],speed [m/s]\n" : "across [m],speed [m/s]\n";
  for (const Reading& reading : sweep.readings) {
    const double place = swivel ? reading.position * 180.0 / std::numbers::pi : reading.position;
    table += text(place) + "," + text(reading.speed_m_s) + "\n";
  }
  return table;
}

std::string heading(const Survey& survey) {
  std::string toml = "[survey]\ntitle = \"" + survey.title + "\"\nfan = \"" + survey.fan +
                     "\"\nsetting = \"" + survey.setting + "\"\n\n[air]\n";
  toml += line("temperature", survey.air.temperature_k.value, "K");
  toml += line("pressure", survey.air.pressure_pa.value, "Pa");
  toml += line("humidity", survey.air.humidity.value * 100.0, "%");
  if (survey.air.ambient_speed_m_s) {
    toml += line("ambient_speed", survey.air.ambient_speed_m_s->value, "m/s");
    toml += line(
        "ambient_speed_uncertainty", survey.air.ambient_speed_m_s->standard_uncertainty, "m/s");
  }
  if (survey.room.floor_m) {
    toml += "\n[room]\n" + line("floor", *survey.room.floor_m, "m");
  }
  toml += "\n[outlet]\n";
  if (survey.outlet.shape == OutletShape::slot) {
    toml += "shape = \"slot\"\n" + line("width", survey.outlet.width_m, "m") +
            line("height", survey.outlet.height_m, "m");
  } else {
    toml += "shape = \"round\"\n" + line("diameter", survey.outlet.diameter_m, "m");
  }
  toml += line("centre_height", survey.outlet.centre_height_m, "m");
  toml += line("ahead_of_axis", survey.outlet.ahead_of_axis_m, "m");
  return toml;
}

std::string rig_and_probe(const Survey& survey) {
  const bool swivel = survey.rig.motion == Motion::swivel;
  std::string toml =
      std::string("\n[rig]\nmotion = \"") + (swivel ? "swivel" : "traverse") + "\"\n";
  toml += "\n[probe]\nkind = \"vane\"\nresponse = \"cosine\"\n";
  toml += line("head_diameter", survey.probe.head_diameter_m, "m");
  toml += line("starting_speed", survey.probe.starting_speed_m_s, "m/s");
  toml += line("scale_uncertainty", survey.probe.scale_uncertainty * 100.0, "%");
  toml += line("offset_uncertainty", survey.probe.offset_uncertainty_m_s, "m/s");
  toml += line("resolution", survey.probe.resolution_m_s, "m/s");
  return toml;
}

std::string balance_table(const Balance& balance) {
  std::string toml = "\n[balance]\nlever_ratio = " + text(balance.lever_ratio) + "\n";
  toml += line("resolution", balance.resolution_n, "N");
  toml += line("zero_before", balance.zero_before_n, "N");
  toml += line("zero_after", balance.zero_after_n, "N");
  toml += "readings = [";
  for (std::size_t i = 0; i < balance.readings_n.size(); ++i) {
    toml += (i == 0 ? "\"" : ", \"") + text(balance.readings_n[i]) + " N\"";
  }
  return toml + "]\n";
}

}  // namespace

std::filesystem::path write_survey(const Survey& survey, const std::filesystem::path& folder) {
  std::filesystem::create_directories(folder / "sweeps");
  std::string toml = heading(survey) + rig_and_probe(survey);
  if (survey.balance) {
    toml += balance_table(*survey.balance);
  }
  for (const Sweep& sweep : survey.sweeps) {
    toml += "\n[[sweep]]\nfile = \"" + sweep.file.generic_string() + "\"\n";
    toml += line("distance", sweep.distance_m, "m") + line("height", sweep.height_m, "m");
    write_file(folder / sweep.file, sweep_table(sweep, survey.rig.motion));
  }
  std::filesystem::path file = folder / "survey.toml";
  write_file(file, toml);
  return file;
}

}  // namespace sweepflux::test
