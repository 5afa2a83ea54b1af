"""The fixed parts of a drafted ``ride_day.toml``: what a log can't tell, and how to measure it."""

from __future__ import annotations

HEAD = """\
# Drafted from the logs found in this folder. A line marked TO DO says what a log can't tell and how to find it out:
# take the "# " off the lines beneath it and put a value in place of what stands in <>.
# `telemetry check` says what is still wrong or missing. Lines left as comments aren't read.

[ride_day]
title = {title}
date = {date}               # TO DO the day ridden; this is only the day of the draft
# trail = "its name, from where to where"
# trail_state = "dry, loose over hard"
# rider_mass_kg = <kitted>
# air_temperature_c = <at the trail>

[bike]
# name = "your words for it"
# wheelbase_mm = <axle to axle>     # gives ground speed from the lag between the ends
# head_angle_deg = <degrees>        # puts front and rear in one direction
# mass_kg = <as ridden, without the rider>
"""

CAUTION = """\
# Let air out in small steps while cycling the suspension. An end that stays pulled down may hold trapped pressure:
# don't open it, its maker's service must. Check axle and pinch bolts before riding again.
"""

FRONT = f"""
[bike.front]
# TO DO full travel along the fork's axis. Air out or coil off, wheel lifted: measure from topped out until the bumper
# stops it, pushed by hand. Sensor, bracket and cable touch nothing on the way.
{CAUTION}\
# travel_mm = <as the maker states it, mm>
# measured_travel_mm = <measured by hand, mm>       # better: used in place of travel_mm
# bumper_touch_mm = <where the bumper is first felt, mm>
"""

REAR = f"""
[bike.rear]
# TO DO the shock's full stroke, and how far the axle rises with it. Air out or coil off: measure the shock from eye to
# eye topped out and with the bumper met, and the axle's height above the frame at five strokes or more.
{CAUTION}\
# stroke_mm = <full stroke at the shock, mm>
# leverage = "leverage.csv"         # columns stroke_mm, travel_mm, from 0, 0 to full stroke
# ratio = <one number where no curve is known>      # in place of leverage
# travel_mm = <where the sensor reads the wheel's travel and no leverage is known, mm>
"""

NO_CLOCK = """
[log]
# TO DO no column looks like a clock: name it, or state how many rows were logged a second.
# time = { column = <name or number>, unit = <"s", "ms", "us", "ns", "min", "days" or "date_time"> }
# rate_hz = <rows a second>
"""

CLOCK = """
[log]
time = {{ column = {column}{unit} }}        # found in the log; check it
"""

DISPLACEMENT = """
[sensors.{name}]
kind = "displacement"
end = "{end}"                       # TO DO check it: push this end alone and see which column moves
column = {column}                   # runs from {low} to {high} in these logs
# TO DO calibration: read the sensor topped out and pushed to full travel, and say how many mm lie between.
{measures}# points = [[<reading topped out>, 0.0], [<reading at full travel>, <mm there>]]
# counts_range = [<lowest>, <highest>]      # the converter's ends: shows where the sensor was cut off
"""

MEASURES = """\
# TO DO what it reads: the shock's stroke, or the wheel's travel.
# measures = <"stroke" or "travel">
"""

ONE_MORE = """
# Column {column} moves too (from {low} to {high}). Another displacement sensor? Then give it a table like the above.
"""

NO_SENSOR = """
# TO DO no column looks like an end's position, and none like acceleration along three axes. If one is, give it a table:
# [sensors.fork]
# kind = "displacement"
# end = <"front" or "rear">
# column = <name or number>
# measures = <"stroke" or "travel">         # at the rear
# points = [[<reading topped out>, 0.0], [<reading at full travel>, <mm there>]]
"""

SPEED = """
# TO DO column {column} looks like ground speed; take the marks off to use it.
# [sensors.speed]
# kind = "ground_speed"
# column = {column}
# unit = <"m/s" or "km/h">
"""

SETUPS = """
# TO DO what was ridden: one table a setup, with what was set. Only what differs follows in the next.
[setups.as_it_came]
label = "as it came"
# [setups.as_it_came.front]
# air_pressure_bar = <bar>
# rebound = { clicks_from_closed = <clicks>, of = <clicks in all> }
# [setups.changed]
# based_on = "as_it_came"
# [setups.changed.front]
# air_pressure_bar = <bar>

# TO DO runs stand in the order ridden (else give each started_at or order); say which setup each was ridden with.
"""

OTHER_COLUMNS = """\
# TO DO columns of the sensors above aren't in {logs}.
# The other end's logger? Then make one run of the two files, with each end's sensors in its own:
# log = {{ front = "front_1.csv", rear = "rear_1.csv" }}. Else take them out.
"""

RUN = """\
[[runs]]
log = {log}
setup = "as_it_came"
"""

STATIC = """
[[static]]
log = {log}
kind = "{kind}"                     # by its name; check it
setup = "as_it_came"
"""

HARDLY_MOVES = """
# TO DO {log} hardly moves. A recording made off the trail? Take the marks off and say of which kind;
# a run after all? Then list it under the runs.
# [[static]]
# log = {log}
# kind = <"lifted", "sag", "settle", "bounce" or "still">
# setup = "as_it_came"
"""

SAG_LOAD = """\
# TO DO who was aboard.
# load = <"standing", "seated" or "bike_alone">
"""

SETTLE_FROM = """\
# TO DO how it was let go: pushed down and released, or raised and let down.
# from = <"compressed" or "extended">
"""

NO_LIFTED = """
# No lifted recording was found: without one nothing says where zero is today. Lift both wheels off the ground for 5 s
# with nobody aboard, before the first run and after every remounting of a sensor, and log it.
# [[static]]
# log = "lifted_1.csv"
# kind = "lifted"
# setup = "as_it_came"
"""

NO_SAG = """
# No sag recording was found: 5 s at rest, standing, and the bike alone, show rider sag and free sag.
# [[static]]
# log = "sag_1.csv"
# kind = "sag"
# load = "standing"
# setup = "as_it_came"
"""

NO_STILL = """
# No still recording was found: 10 s in which nobody touches the bike, upright on level ground, tell how the inertial
# sensors sit, and what they read where nothing moves.
# [[static]]
# log = "still_1.csv"
# kind = "still"
# setup = "as_it_came"
"""
