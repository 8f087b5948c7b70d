#include "sweepflux/capture/survey/read_session.hpp"

#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t most_findings = 50;
constexpr Bounds earthly{9.7, 9.9, true, "a place's gravity, 9.78 to 9.84 m/s2"};

/// Zeros of a block as far as it names them: before its readings, and after.
using Zeros = std::array<std::optional<double>, 2>;
constexpr std::array<const char*, 2> zero_keys = {"zero_before", "zero_after"};

void read_check(TomlView& view, SessionBalance& balance) {
  for (const char* key : {"mass", "zero_before", "readings", "zero_after"}) {
    view.require(key);
  }
  // A mass and its weight by standard gravity are the same text; kilograms by taking it out again.
  const auto weight = view.force("mass", standard_gravity_m_s2, above_zero);
  const auto uncertainty = view.force("mass_uncertainty", standard_gravity_m_s2, zero_or_more);
  if (!view.has("mass_uncertainty")) {
    view.note_default("mass_uncertainty", "0 g");
  }
  CheckMass& check = balance.check_mass.emplace();
  check.mass_kg = weight.value_or(0.0) / standard_gravity_m_s2;
  check.mass_uncertainty_kg = uncertainty.value_or(0.0) / standard_gravity_m_s2;
  check.zero_before_n = view.force("zero_before", balance.gravity_m_s2, any_value).value_or(0.0);
  check.zero_after_n = view.force("zero_after", balance.gravity_m_s2, any_value).value_or(0.0);
  check.readings_n = view.forces("readings", balance.gravity_m_s2);
  if (view.has("readings") && check.readings_n.empty()) {
    view.fault("readings", "balance.check.readings is empty, must hold at least one reading");
  }
}

SessionBalance read_session_balance(TomlView& root) {
  TomlView view = root.section("balance");
  SessionBalance balance;
  balance.gravity_m_s2 = view.quantity_or(
      "gravity", Dimension::acceleration, earthly, balance.gravity_m_s2, "9.80665 m/s2");
  view.require("resolution");
  balance.resolution_n = view.force("resolution", balance.gravity_m_s2, zero_or_more).value_or(0.0);
  TomlView check = view.section("check");
  const StatedLever lever = read_lever(view, check.is_there());
  balance.lever_ratio = lever.ratio;
  balance.lever_ratio_uncertainty = lever.relative_uncertainty;
  balance.from_arms = lever.from_arms;
  if (check.is_there()) {
    read_check(check, balance);
    check.finish();
  }
  view.finish();
  return balance;
}

/// @param noted whether the default was noted already: once is enough for all blocks
std::optional<Measured> read_block_power(TomlView& view, bool& noted) {
  const bool has_uncertainty = view.has("power_uncertainty");
  const auto power = read_power(
      view, above_zero, noted ? "" : "2 % of the power, here and wherever it is not stated");
  noted = noted || (power && !has_uncertainty);
  if (!view.has("power") && has_uncertainty) {
    view.fault("power_uncertainty", view.name() + ".power_uncertainty stands without a power");
  }
  return power;
}

/// Zeros that stand between two blocks need be written once.
void share_zeros(std::vector<TomlView>& views,
                 std::vector<Zeros>& zeros,
                 std::vector<SessionReading>& readings) {
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (readings[i].log) {
      continue;
    }
    for (const std::size_t side : {0U, 1U}) {
      std::optional<double>& zero = zeros[i][side];
      const bool is_stated = views[i].has(zero_keys[side]);
      const std::size_t neighbour = side == 0 ? i - 1 : i + 1;  // wraps before the first
      if (!zero && !is_stated && neighbour < readings.size()) {
        zero = zeros[neighbour][1 - side];
      }
      if (!zero && !is_stated) {
        views[i].fault(zero_keys[side],
                       views[i].name() + "." + zero_keys[side] +
                           " is missing, and no neighbouring block states that zero either; "
                           "read the scale with the fan off");
      }
    }
    readings[i].zero_before_n = zeros[i][0].value_or(0.0);
    readings[i].zero_after_n = zeros[i][1].value_or(0.0);
  }
}

/// @param sound_distance_m  of the meter, where a block states none
void read_blocks(TomlView& root,
                 std::optional<double> sound_distance_m,
                 BalanceSession& session) {
  std::vector<TomlView> views = root.sections("reading");
  if (views.empty()) {
    root.fault("reading", "no [[reading]] block; a session needs at least one: fan off, on, off");
    return;
  }
  std::vector<Zeros> zeros;
  bool power_default_noted = false;
  bool sound_default_noted = false;
  for (TomlView& view : views) {
    SessionReading block;
    block.spot = view.spot();
    block.log = read_scale_log(view);
    view.require("fan");
    if (!block.log) {
      view.require("setting");
      view.require("readings");
    }
    block.fan = view.text("fan").value_or("");
    block.setting = view.text("setting").value_or("");
    if (view.has("fan") && block.fan.empty()) {
      view.fault("fan", view.name() + ".fan must be a name in quotation marks, not empty");
    }
    block.variant = view.text("variant").value_or("");
    block.power_w = read_block_power(view, power_default_noted);
    block.sound = read_sound(view, sound_distance_m, !sound_default_noted);
    sound_default_noted = sound_default_noted || view.has("sound_level");
    const double g = session.balance.gravity_m_s2;
    zeros.emplace_back();
    if (!block.log) {
      block.on_n = view.forces("readings", g);
      for (const std::size_t side : {0U, 1U}) {
        zeros.back()[side] = view.force(zero_keys[side], g, any_value);
      }
    }
    session.readings.push_back(std::move(block));
  }
  share_zeros(views, zeros, session.readings);
  for (TomlView& view : views) {
    view.finish();
  }
}

/// What blows: a diameter, or width and height. Its height above the floor has no say here.
std::optional<Outlet> read_fan_outlet(TomlView& view) {
  const auto diameter = view.quantity("outlet_diameter", Dimension::length, above_zero);
  const auto width = view.quantity("outlet_width", Dimension::length, above_zero);
  const auto height = view.quantity("outlet_height", Dimension::length, above_zero);
  const bool slot = view.has("outlet_width") || view.has("outlet_height");
  if (view.has("outlet_diameter") && slot) {
    view.fault("outlet_diameter",
               view.name() +
                   " has a diameter and a width or height; a round outlet has "
                   "outlet_diameter, a slot outlet_width and outlet_height");
  }
  Outlet outlet;
  if (slot) {
    view.require("outlet_width");
    view.require("outlet_height");
    outlet.shape = OutletShape::slot;
    outlet.width_m = width.value_or(0.0);
    outlet.height_m = height.value_or(0.0);
  } else {
    outlet.diameter_m = diameter.value_or(0.0);
  }
  return slot || diameter ? std::optional(outlet) : std::nullopt;
}

void read_fans(TomlView& root, BalanceSession& session) {
  std::vector<std::string> known;
  for (const SessionReading& block : session.readings) {
    known.push_back(block.fan);
  }
  for (TomlView& view : root.sections("fan")) {
    SessionFan fan;
    view.require("name");
    fan.name = view.text("name").value_or("");
    if (!fan.name.empty() && std::find(known.begin(), known.end(), fan.name) == known.end()) {
      view.fault("name",
                 "no [[reading]] names the fan `" + printable(fan.name) + "`" +
                     did_you_mean(fan.name, known));
    }
    fan.outlet = read_fan_outlet(view);
    view.finish();
    session.fans.push_back(std::move(fan));
  }
}

}  // namespace

BalanceSession read_session(const std::filesystem::path& session_file) {
  BalanceSession session;
  session.file = session_file;
  Findings findings(most_findings);
  const TomlDocument document = load_toml(session_file, findings, session.remarks);
  refuse_other_kind(document,
                    "session",
                    "survey",
                    "this is a survey, no session at the balance; sweepflux map reads it");
  TomlReport report{document, findings, session.defaults_used};
  TomlView root(report);

  TomlView head = root.section("session");
  head.require("title");
  session.title = head.text("title").value_or("");
  const auto sound_distance = head.quantity("sound_distance", Dimension::length, above_zero);
  head.finish();
  if (root.has("air")) {
    session.air = read_air(root, false, Probe{});
  }
  session.room = read_room(root);
  session.balance = read_session_balance(root);
  session.seat = read_seat(root);
  read_blocks(root, sound_distance, session);
  read_fans(root, session);
  root.finish();
  findings.throw_if_any();
  return session;
}

}  // namespace sweepflux
