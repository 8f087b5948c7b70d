#include "render/pages/page_parts.hpp"

#include "render/pages/html_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/service_value.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>
#include <utility>

namespace sweepflux::render {
namespace {

std::string kind_words(ProbeKind kind) {
  switch (kind) {
    case ProbeKind::vane:
      return "vane";
    case ProbeKind::thermal:
      return "thermal";
    case ProbeKind::hot_wire:
      return "hot wire";
    case ProbeKind::pitot:
      return "Pitot tube";
    case ProbeKind::ultrasonic:
      return "ultrasonic";
  }
  return {};
}

std::string outlet_words(const Outlet& outlet) {
  const std::string size = outlet.shape == OutletShape::round
                               ? "round, " + format_number(outlet.diameter_m, 4) + " m across"
                               : "slot, " + format_number(outlet.width_m, 4) + " m wide, " +
                                     format_number(outlet.height_m, 4) + " m high";
  return size + "; centre " + format_number(outlet.centre_height_m, 4) + " m above the floor, " +
         format_number(outlet.ahead_of_axis_m, 4) + " m ahead of the turntable's axis";
}

PageTable conditions(const SurveyResult& result) {
  const Survey& s = result.survey;
  PageTable table;
  table.caption = "What the survey said of rig, probe and air";
  table.columns = {{"What", "", false}, {"Value", "", false}};
  const auto add = [&](const char* what, const std::string& value) {
    table.rows.push_back({what, pretty(value)});
  };
  add("Outlet", outlet_words(s.outlet));
  if (s.outlet.power_w) {
    add("Power",
        format_with_uncertainty(
            s.outlet.power_w->value, s.outlet.power_w->standard_uncertainty, "W"));
  }
  add("Motion",
      s.rig.motion == Motion::swivel ? "the fan swivels before a fixed probe"
                                     : "the probe slides along a rail");
  const double degree = 180.0 / std::numbers::pi;
  add("Rig's doubt",
      "angle " + format_number(s.rig.angle_uncertainty_rad * degree, 2) + " deg, distance " +
          format_number(s.rig.distance_uncertainty_m, 2) + " m, height " +
          format_number(s.rig.height_uncertainty_m, 2) + " m");
  add("Probe",
      kind_words(s.probe.kind) + ", starts at " + format_number(s.probe.starting_speed_m_s, 3) +
          " m/s, scale doubt " + format_number(100.0 * s.probe.scale_uncertainty, 2) +
          " %, offset doubt " + format_number(s.probe.offset_uncertainty_m_s, 2) + " m/s");
  add("Air",
      format_with_uncertainty(
          s.air.temperature_k.value - 273.15, s.air.temperature_k.standard_uncertainty, "degC") +
          ", " +
          format_with_uncertainty(s.air.pressure_pa.value / 100.0,
                                  s.air.pressure_pa.standard_uncertainty / 100.0,
                                  "hPa") +
          ", " + format_number(100.0 * s.air.humidity.value, 3) + " % humidity");
  return table;
}

}  // namespace

std::string with_doubt(const Estimate& e, std::string_view unit) {
  return pretty(format_with_uncertainty(e.value, e.standard_uncertainty, unit));
}

std::string with_doubt(const Measured& m, std::string_view unit) {
  return pretty(format_with_uncertainty(m.value, m.standard_uncertainty, unit));
}

std::string interval_words(const Estimate& e) {
  return "95 %: " + format_number(e.low_95, 3) + " to " + format_number(e.high_95, 3);
}

void add_estimate(std::vector<std::string>& row, const Estimate& e, double scale) {
  add_measured(row, Measured{e.value, e.standard_uncertainty}, scale);
}

void add_measured(std::vector<std::string>& row, const Measured& m, double scale) {
  NumberPair pair = number_pair(m.value * scale, m.standard_uncertainty * scale);
  row.push_back(std::move(pair.value));
  row.push_back(std::move(pair.uncertainty));
}

std::vector<std::string> pretty_all(const std::vector<std::string>& texts) {
  std::vector<std::string> out;
  for (const std::string& t : texts) {
    out.push_back(pretty(t));
  }
  return out;
}

void add_ring_rating(Page& page, const SurveyResult& result) {
  const std::optional<ServiceValue> v = service_value(result);
  if (!v) {
    return;
  }
  page.section("Beside the older rating by rings");
  page.paragraph(
      "Comfort fans used to be rated by one line of readings across the stream, taken "
      "for rings around the axis (IEC 60879:1986, its rule from memory). This is that "
      "figure from the sweep at " +
      format_number(v->height_m, 3) + " m height, " + format_number(v->downstream_m, 3) +
      " m from the outlet, and what the map says of the same plane.");
  PageTable table;
  table.caption = "Flow and service value, two ways";
  table.columns = {{"How", "", false}};
  table.add_measured("Flow", "m\xC2\xB3/s");
  table.add_measured("Per watt", "(m\xC2\xB3/min)/W");
  std::vector<std::string> row{
      "by " + std::to_string(v->rings.rings) + " rings", number_cell(v->rings.flow_m3_s), ""};
  const auto per_watt = [&row](const std::optional<Measured>& value) {
    if (value) {
      add_measured(row, *value);
    } else {
      row.insert(row.end(), 2, "");
    }
  };
  per_watt(v->ring_value_m3_min_w);
  table.rows.push_back(std::move(row));
  row = {"by the map"};
  add_estimate(row, v->map_flow_m3_s);
  per_watt(v->map_value_m3_min_w);
  table.rows.push_back(std::move(row));
  page.table(table);
  page.subheading("Why they differ");
  page.list(pretty_all(v->differences));
}

void add_left_out(Page& page, const SurveyResult& result) {
  page.section("What was left out, and why");
  PageTable table;
  table.caption = "Rows that gave no reading";
  table.columns = {
      {"File", "", false}, {"Lines", "", false}, {"How many", "", true}, {"Why", "", false}};
  for (const Sweep& sweep : result.survey.sweeps) {
    std::map<std::string, std::vector<std::size_t>> by_reason;
    for (const LeftOut& row : sweep.left_out) {
      by_reason[row.over_range ? row.reason + ": the true value is large" : row.reason].push_back(
          row.line);
    }
    for (const auto& [reason, lines] : by_reason) {
      table.rows.push_back({sweep.name, line_ranges(lines), std::to_string(lines.size()), reason});
    }
  }
  if (table.rows.empty()) {
    page.paragraph("Every row of every sweep gave a reading.");
  }
  page.table(table);
  std::vector<std::string> said;
  PageTable far;
  far.caption = "Readings far from what the others say; used all the same";
  far.columns = {{"Sweep", "", false},
                 {"Line", "", true},
                 {"Read", "m/s", true},
                 {"Expected", "m/s", true},
                 {"Apart, in doubts", "", true}};
  for (const PlaneResult& p : result.planes) {
    const std::string where = "At " + format_number(p.distance_m, 4) + " m: ";
    if (p.left_out > 0) {
      said.push_back(where + std::to_string(p.left_out) +
                     " readings did not become samples of the map.");
    }
    if (p.censored > 0) {
      said.push_back(where + std::to_string(p.censored) + " of " + std::to_string(p.readings) +
                     " readings lie under the probe's starting speed; they count as \"less than "
                     "that\", not as calm.");
    }
    for (const std::string& remark : p.samples.remarks) {
      said.push_back(where + remark);
    }
    for (const OutlyingReading& o : p.outlying) {
      far.rows.push_back({o.sweep,
                          std::to_string(o.line),
                          number_cell(o.speed_m_s),
                          number_cell(o.expected_m_s),
                          number_cell(o.z_score, 2)});
    }
  }
  for (const Finding& remark : result.survey.remarks) {
    said.push_back(remark.spot.file.filename().string() + ": " + remark.text);
  }
  page.list(pretty_all(said));
  page.table(far);
}

void add_how_to_repeat(Page& page, const SurveyResult& result, const PageOptions& options) {
  page.section("How to repeat it");
  if (!options.command.empty()) {
    page.command(options.command);
  }
  page.paragraph("The readings lie in " + result.survey.file.filename().string() +
                 " and the sweeps that it names; the same input gives the same numbers.");
  PageTable sweeps;
  sweeps.caption = "The sweeps";
  sweeps.columns = {{"Sweep", "", false},
                    {"Distance", "m", true},
                    {"Height", "m", true},
                    {"Readings", "", true},
                    {"Left out", "", true}};
  for (const PlaneResult& p : result.planes) {
    for (const PlacedSweep& s : p.samples.sweeps) {
      sweeps.rows.push_back({s.name,
                             format_number(p.distance_m, 4),
                             format_number(s.height_m, 4),
                             std::to_string(s.readings),
                             std::to_string(s.left_out)});
    }
  }
  page.table(sweeps);
  page.table(conditions(result));
  if (!result.survey.defaults_used.empty()) {
    page.subheading("Taken by default, because the survey did not say");
    page.list(result.survey.defaults_used);
  }
  page.subheading("Method");
  std::vector<std::string> notes{"Readings to map: " + result.method + "."};
  notes.insert(notes.end(), result.notes.begin(), result.notes.end());
  for (const PlaneResult& p : result.planes) {
    for (const std::string& note : p.notes) {
      notes.push_back("At " + format_number(p.distance_m, 4) + " m: " + note);
    }
  }
  page.list(pretty_all(notes));
  if (!options.files.empty()) {
    page.subheading("The numbers, to calculate on");
    page.list(options.files);
  }
}

void add_footer(Page& page, const PageOptions& options) {
  page.footer(
      "This page reports what a sensor and a scale said, and what follows from it. It "
      "certifies neither a fan, nor a guard, nor a room.");
  page.footer(
      "Keep guards on and hands clear whenever fan or table can move. Work on mains wiring "
      "belongs to a qualified person; local codes and the maker's instructions come first.");
  page.footer("Made with " + options.program + ".");
}

}  // namespace sweepflux::render
