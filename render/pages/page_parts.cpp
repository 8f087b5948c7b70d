#include "render/pages/page_parts.hpp"

#include "render/pages/html_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/service_value.hpp"

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
  PageTable table{"Rig, probe and air, as the survey states them"};
  table.add_words({"What", "Value"});
  const auto add = [&](const char* what, const std::string& value) {
    table.add_row(what, pretty(value));
  };
  add("Outlet", outlet_words(s.outlet));
  if (s.outlet.power_w) {
    add("Electrical power",
        format_with_uncertainty(
            s.outlet.power_w->value, s.outlet.power_w->standard_uncertainty, "W"));
  }
  add("Motion",
      s.rig.motion == Motion::swivel ? "the fan swivels before a fixed probe"
                                     : "the probe slides along a rail");
  const double degree = 180.0 / std::numbers::pi;
  add("Rig's uncertainty",
      "angle " + format_number(s.rig.angle_uncertainty_rad * degree, 2) + " deg, distance " +
          format_number(s.rig.distance_uncertainty_m, 2) + " m, height " +
          format_number(s.rig.height_uncertainty_m, 2) + " m");
  add("Probe",
      kind_words(s.probe.kind) + ", starts at " + format_number(s.probe.starting_speed_m_s, 3) +
          " m/s, scale uncertainty " + format_number(100.0 * s.probe.scale_uncertainty, 2) +
          " %, offset uncertainty " + format_number(s.probe.offset_uncertainty_m_s, 2) + " m/s");
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
  PageTable table{"Flow and service value, two ways"};
  table.add_words({"How"});
  table.add_measured("Flow", "m\xC2\xB3/s");
  table.add_measured("Per watt", "(m\xC2\xB3/min)/W");
  table.add_row("by " + std::to_string(v->rings.rings) + " rings",
                v->rings.flow_m3_s,
                v->ring_uncertainty_m3_s,
                v->ring_value_m3_min_w);
  table.add_row("by the map", v->map_flow_m3_s, v->map_value_m3_min_w);
  page.table(table);
  page.subheading("Why they differ");
  page.list(pretty_all(v->differences));
}

void add_left_out(Page& page, const SurveyResult& result) {
  page.section("Left out, and why");
  PageTable table{"Rows that gave no reading"};
  table.add_words({"File", "Lines"});
  table.add_number("How many");
  table.add_words({"Why"});
  std::size_t rows = 0;
  for (const Sweep& sweep : result.survey.sweeps) {
    std::map<std::string, std::vector<std::size_t>> by_reason;
    for (const LeftOut& row : sweep.left_out) {
      by_reason[row.over_range ? row.reason + ": the true value is large" : row.reason].push_back(
          row.line);
    }
    for (const auto& [reason, lines] : by_reason) {
      table.add_row(sweep.name, line_ranges(lines), lines.size(), reason);
      rows += lines.size();
    }
  }
  if (table.rows.empty()) {
    page.paragraph("Every row of every sweep gave a reading.");
  }
  page.table(table);
  std::vector<std::string> said;
  PageTable far{"Readings far from what the others predict; used all the same"};
  far.add_words({"Sweep"});
  far.add_number("Line");
  far.add_number("Read", "m/s");
  far.add_number("Predicted", "m/s");
  far.add_number("Apart, in standard uncertainties", "", 2);
  std::vector<PlacedText> remarks;
  std::size_t left_out = 0, censored = 0, readings = 0;
  for (const PlaneResult& p : result.planes) {
    left_out += p.left_out;
    censored += p.censored;
    readings += p.readings;
    for (const std::string& remark : p.samples.remarks) {
      remarks.push_back({metres_text(p.distance_m), remark});
    }
    for (const OutlyingReading& o : p.outlying) {
      far.add_row(o.sweep, o.line, o.speed_m_s, o.expected_m_s, o.z_score);
    }
  }
  if (left_out > rows) {
    said.push_back("Not in the map: " + std::to_string(left_out - rows) + " of " +
                   std::to_string(readings) + " readings.");
  }
  if (censored > 0) {
    said.push_back(
        std::to_string(censored) + " of " + std::to_string(readings) +
        " readings are under the probe's starting speed: normal outside the stream; each "
        "counts as \"below that speed\", not as zero.");
  }
  for (const Finding& remark : result.survey.remarks) {
    remarks.push_back({remark.spot.file.filename().string() + line_text(remark.spot), remark.text});
  }
  for (std::string& remark : one_line_a_kind(remarks)) {
    said.push_back(std::move(remark));
  }
  page.list(pretty_all(said));
  page.table(far);
}

void add_how_to_repeat(Page& page, const SurveyResult& result, const PageOptions& options) {
  page.section("How to repeat it");
  if (!options.command.empty()) {
    page.command(options.command);
  }
  page.paragraph("The readings are in " + result.survey.file.filename().string() +
                 " and the sweeps that it names; the same input gives the same numbers.");
  page.table(conditions(result));
  if (!result.survey.defaults_used.empty()) {
    page.subheading("Not stated, so taken by default");
    page.list(result.survey.defaults_used);
  }
  page.subheading("Method");
  std::vector<std::string> notes{"Readings to map: " + result.method + "."};
  notes.insert(notes.end(), result.notes.begin(), result.notes.end());
  std::vector<PlacedText> of_planes;
  for (const PlaneResult& p : result.planes) {
    for (const std::string& note : p.notes) {
      of_planes.push_back({metres_text(p.distance_m), note});
    }
  }
  const std::vector<std::string> gathered = one_line_a_kind(of_planes);
  notes.insert(notes.end(), gathered.begin(), gathered.end());
  page.list(pretty_all(notes));
  if (!options.files.empty()) {
    page.subheading("The numbers, to calculate on");
    page.list(options.files);
  }
}

void add_footer(Page& page, const PageOptions& options) {
  page.footer(
      "This page reports readings of a probe and a balance and what follows from them. It "
      "certifies "
      "neither a fan, nor a guard, nor a room.");
  page.footer(
      "Keep guards on and hands clear whenever fan or table can move. Work on mains wiring "
      "belongs to a qualified person; local codes and the maker's instructions come first.");
  page.footer("Made with " + options.program + ".");
}

}  // namespace sweepflux::render
