#include "sweepflux/capture/survey/survey_template.hpp"

namespace sweepflux {
namespace {

constexpr std::string_view template_text =
    R"(# A survey: one fan at one setting. Every quantity is text with its unit, as you measured it:
# "0.40 m", "40 cm" and "15.7 in" are all understood. Lines with # are comments.
# Keep the guard on and hands clear whenever fan or turntable can move. Electrical work belongs to a
# qualified person; local codes and the maker's instructions come before anything written here.

[survey]
title   = "Herb loft, heron, speed 3"
fan     = "heron"
setting = "3"
# variant = "filter out"         # what differs from the fan as bought, where something does

[air]                            # measured beside the rig
temperature = "21.5 degC"
pressure    = "1006.2 hPa"       # where you stand, not reduced to sea level
humidity    = "48 %"
# temperature_uncertainty = "0.5 K"
# ambient_speed = "0.04 m/s"     # with the fan off

# [room]                         # if you know it: bounds the drift of its air, warns
# width  = "5.2 m"               # across the stream
# height = "3.1 m"
# length = "7.5 m"               # along the stream
# floor  = "0 m"                 # a solid surface below the stream

[outlet]
shape    = "round"               # or "slot", with width and height
diameter = "0.40 m"
centre_height = "0.92 m"         # above the floor
ahead_of_axis = "0.11 m"         # from the turntable's axis to the outlet's plane
# power = "41 W"
# sound_level = "43 dB"          # A-weighted, as a meter shows it
# sound_distance = "1 m"         # from the fan to the meter

[rig]
motion     = "swivel"            # the fan turns before a fixed probe; "traverse": the probe slides
clockwise  = false               # sense of positive angles, seen from above
angle_zero = "0 deg"             # the recorded angle at which the fan faces the probe
angle_uncertainty    = "0.3 deg"
distance_uncertainty = "5 mm"
height_uncertainty   = "3 mm"
# steps_per_revolution = 3200    # of the motor: for angles recorded in steps, and for a plan's
# gear_ratio = 4.0               # motor steps; turns of the motor for one turn of the table
# feed   = "5 deg/s"             # for a plan's programs: how fast the rig moves, slow,
# limits = ["-45 deg", "45 deg"] # which positions it must not leave,
# axis   = "C"                   # the letter of its axis, and
# dwell_unit = "s"               # what the controller counts a dwell in: s or ms
# step_time = "1 s"              # the rig's times, for a plan
# settle_time = "2 s"
# dwell_time = "10 s"
# height_change_time = "2 min"

[probe]
kind = "vane"                    # vane, thermal, hot-wire, pitot or ultrasonic
head_diameter      = "70 mm"
starting_speed     = "0.3 m/s"   # below it the vane stands still
scale_uncertainty  = "2 %"       # common to all readings: from its certificate
offset_uncertainty = "0.05 m/s"
resolution         = "0.01 m/s"
# calibration = [["0.5 m/s", "0.52 m/s"], ["2.0 m/s", "1.98 m/s"]]   # true, indicated

# [columns]                      # what your logger calls things, where it differs
# angle = "Pos"
# speed = "V [ft/min]"
# missing = ["-999"]             # besides empty cells, ---, NaN and the like
# [columns.units]                # where a heading states no unit
# angle = "deg"

# [log]                          # how to reduce raw logs named below; words as `reduce --help`
# settle = "2 s"                 # else found from the step response
# columns = ["time [s]", "-", "speed [m/s]"]   # of logs without a heading
# time_column = "Stamp"          # and angle_column, value_column, time_unit, angle_unit, value_unit
# start = "-24 deg"              # for logs without an angle: start, step, stops, dwell (and settle,
# step  = "2 deg"                # move, begin, there_and_back), or steps = "steps.csv" of a plan
# stops = 25
# dwell = "8 s"
# continuous = true              # the fan turned without stopping

[[sweep]]                        # one block for each pass
file     = "sweeps/near-0.92.csv"
distance = "1.5 m"               # swivel: from the turntable's axis to the probe
height   = "0.92 m"              # of the probe above the floor
# or log in place of file: the raw time series of the logger, such as "logs/near-0.92.csv"

# [seat]                         # where a person sits: for `compare`
# distance = "2.5 m"             # downstream of the outlet
# across   = "0 m"               # to the right of the fan's axis for someone facing the fan
# height   = "1.1 m"             # above the floor
# speed    = "0.4 m/s"           # not to be exceeded there

# [gusts]                        # how gusty it is: a log with the probe at rest in the stream
# log = "logs/rest.csv"          # and time_column, value_column, time_unit, value_unit, rate

# [plan]                         # what you want of a plan
# distances = ["1.5 m", "2.5 m"]
# expected_speed = "3 m/s"       # or expected_thrust = "270 g"
# height_limits  = ["0.3 m", "1.6 m"]
# time_budget = "3 h"
# target = "5 %"

# [balance]                      # if the fan stood on a scale or acted on one through a lever
# lever_ratio = 1.0              # force at the scale / thrust
# lever_ratio_uncertainty = "0.5 %"   # or fan_arm and scale_arm from the pivot, arm_uncertainty
# resolution  = "1 g"
# gravity     = "9.81 m/s2"      # where the scale was adjusted, if you know it
# zero_before = "0 g"
# zero_after  = "1 g"
# readings    = ["270 g", "272 g", "271 g"]
# or log in place of zeros and readings: the time series of the scale, such as "scale.csv"
)";

constexpr std::string_view sweep = R"(# Invented numbers; put your own here.
angle [deg],speed [m/s],spread [m/s],samples
-20,0.42,0.11,20
-15,0.97,0.22,20
-10,1.86,0.35,20
-5,2.95,0.41,20
0,3.41,0.38,20
5,2.88,0.40,20
10,1.79,0.36,20
15,0.91,0.24,20
20,0.38,0.12,20
)";

constexpr std::string_view session_text =
    R"(# A day at the balance: fans at their settings, fan off, on, off. Every quantity is text with its
# unit, as you read it. Lines with # are comments.
# Keep the guard on and hands clear whenever the fan can move; let it stop before you touch the
# balance. Electrical work belongs to a qualified person; local codes and the maker's instructions
# come before anything written here.

[session]
title = "Herb loft, heron and teal on the balance"

# [air]                          # measured beside the balance: for throw and predicted flow
# temperature = "21.5 degC"
# pressure    = "1006.2 hPa"
# humidity    = "48 %"

# [seat]                         # where a person sits: for `compare`
# distance = "2.5 m"             # downstream of the outlet
# across   = "0 m"               # to the right of the fan's axis for someone facing the fan
# height   = "1.1 m"             # above the floor
# speed    = "0.4 m/s"           # not to be exceeded there

[balance]                        # how thrust becomes force at the scale; one of three ways:
fan_arm   = "0.412 m"            # 1. two arms: from the pivot to the fan's axis,
scale_arm = "0.300 m"            #    and from the pivot to the scale
arm_uncertainty = "1 mm"         #    of each
# lever_ratio = 1.0              # 2. force at the scale / thrust; 1 where the fan stands on it
# lever_ratio_uncertainty = "0.5 %"
resolution = "1 g"               # the scale's last digit
# gravity  = "9.81 m/s2"         # where the scale stands, if you know it

# [balance.check]                # 3. a known mass, hung in the line of the thrust
# mass        = "100 g"
# zero_before = "0 g"
# readings    = ["137 g", "138 g"]
# zero_after  = "0 g"

# [[fan]]                        # what is known of a fan besides
# name = "heron"
# outlet_diameter = "0.40 m"     # or outlet_width and outlet_height

[[reading]]                      # one block for each setting; invented numbers, put your own here
fan     = "heron"
setting = "3"
# variant = "filter out"         # what differs from the fan as bought, where something does
power   = "41 W"
# sound_level = "43 dB"          # A-weighted, as a meter shows it
# sound_distance = "1 m"         # from the fan to the meter; may stand under [session] for all
zero_before = "0 g"              # fan off
readings    = ["372 g", "374 g", "373 g"]
zero_after  = "1 g"              # fan off again; may stand in the next block alone

# [[reading]]                    # or from a log of the scale, which holds zeros and readings
# fan = "teal"
# log = "logs/teal.csv"          # settings as its label column says: off, 1, off, 2, off
# setting  = "2"                 # only this one
# sequence = ["off", "2", "off"] # what happened, in order, where no column says it
# columns  = ["time [s]", "force [g]"]   # of a log without a heading; also time_column,
# settle   = "5 s"               # value_column, label_column, time_unit, value_unit, rate, dates
# or file = "teal-reduced/teal-thrust.csv", a table of `reduce --scale`
)";

constexpr std::string_view campaign_text =
    R"(# A campaign: many fans and settings on one rig. What they share stands here once. Every quantity
# is text with its unit, as you measured it. Lines with # are comments.
# Keep the guard on and hands clear whenever fan or turntable can move. Electrical work belongs to a
# qualified person; local codes and the maker's instructions come before anything written here.

[campaign]
title = "Herb loft"
# sound_distance = "1 m"         # from the fan to the sound level meter, for all settings

[air]                            # measured beside the rig
temperature = "21.5 degC"
pressure    = "1006.2 hPa"       # where you stand, not reduced to sea level
humidity    = "48 %"

# [room]                         # if you know it: width, height, length, floor

[rig]
motion     = "swivel"            # the fan turns before a fixed probe; "traverse": the probe slides
angle_zero = "0 deg"
# steps_per_revolution = 3200    # for motor steps; gear_ratio, feed, limits, axis: see `new`
# feed   = "5 deg/s"
# limits = ["-45 deg", "45 deg"]

[probe]
kind = "vane"                    # vane, thermal, hot-wire, pitot or ultrasonic
head_diameter      = "70 mm"
starting_speed     = "0.3 m/s"
scale_uncertainty  = "2 %"
offset_uncertainty = "0.05 m/s"

# [columns] and [log]            # what your logger calls things, and how to reduce raw logs

[plan]                           # what you want of a plan for any of them
distances = ["1.5 m"]
expected_speed = "3 m/s"
target = "10 %"

# [seat]                         # where a person sits: for `compare`
# distance = "2.5 m"             # downstream of the outlet
# across   = "0 m"               # to the right of the fan's axis for someone facing the fan
# height   = "1.1 m"             # above the floor
# speed    = "0.4 m/s"           # not to be exceeded there

[balance]                        # how thrust becomes force at the scale
fan_arm   = "0.412 m"            # or lever_ratio
scale_arm = "0.300 m"
resolution = "1 g"

[[fan]]                          # one block for each fan
name = "heron"
[fan.outlet]
shape    = "round"               # or "slot", with width and height
diameter = "0.40 m"
centre_height = "0.92 m"         # above the floor
ahead_of_axis = "0.11 m"         # from the turntable's axis to the outlet's plane

[[fan.setting]]                  # one for each of its settings
setting = "3"
# variant = "filter out"         # what differs from the fan as bought, where something does
power   = "41 W"
# sound_level = "43 dB"          # A-weighted, as a meter shows it
# [fan.setting.gusts]            # how gusty it is: a log with the probe at rest in the stream
# log = "logs/heron-rest.csv"
[[fan.setting.sweep]]            # one for each pass; invented numbers, put your own here
file     = "sweeps/near-0.92.csv"
distance = "1.5 m"
height   = "0.92 m"
[fan.setting.balance]            # if it stood on the balance
zero_before = "0 g"
readings    = ["372 g", "374 g", "373 g"]
zero_after  = "1 g"
# log = "logs/heron.csv"         # or a log of the scale in place of the three

[[fan.setting]]                  # the next setting of heron: no sweep yet, so plan it
setting = "2"
# [fan.setting.air]              # where the air was another: in place of [air]; also room, plan, seat
)";

}  // namespace

std::string survey_template() { return std::string(template_text); }
std::string example_sweep() { return std::string(sweep); }
std::string session_template() { return std::string(session_text); }
std::string campaign_template() { return std::string(campaign_text); }

}  // namespace sweepflux
