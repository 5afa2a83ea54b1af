"""The fixed parts of a drafted ``ride_day.toml``: what a log can't tell, and how to measure it."""

from __future__ import annotations

HEAD = """\
# Drafted from the logs found in this folder. A line marked TO DO says what a log can't tell and how to find it out:
# take the "# " off the lines beneath it and put a value in place of what stands in <>.
# `telemetry check` says what is still wrong or missing. Lines left as comments aren't read.

[ride_day]
title = {title}
{date}# trail = "its name, from where to where"
# trail_state = "dry, loose over hard"
# rider_mass_kg = <kitted>
# air_temperature_c = <at the trail>

[bike]
# name = "your words for it"
# wheelbase_mm = <axle to axle>     # gives ground speed from the lag between the ends
# head_angle_deg = <degrees>        # puts front and rear in one direction
# mass_kg = <as ridden, without the rider>
"""

LIKE = """\
# Taken over from {day}: only the logs, the date and what changed are new.
# Go through the lines marked TO DO; `telemetry check` says what is still wrong or missing.
"""
LIKE_LEFT = """\
# Taken over from {day}:
# bike, sensors with their calibration, and the setup it was left with ({left}). Not taken over: trail, weather, rider,
# customer, zero, and what was compared. Another bike? Delete this file: `telemetry new --from-nothing` drafts anew.
# Go through the lines marked TO DO; `telemetry check` says what is still wrong or missing.
"""
WHAT_CHANGES = """\

# TO DO what is changed now: take the marks off, and write what differs.
# [setups.changed]
# based_on = {left}
# [setups.changed.front]
# air_pressure_bar = <bar>
"""
STATE_TRAIL = "state trail and rider under [ride_day]: kept days lend their spread to days of the same"
SETUP_LEFT = "        # TO DO check it: as the bike was left"
SETUP_LIKE = "        # TO DO check it: as on the earlier day, in its order"
DATE = "date = {date}               # by the logs; check it\n"
SEVERAL_DATES = """\
# TO DO the logs tell of several days, {told}: check this one, and move the others' logs into a folder of their own.
date = {date}
"""
NO_DATE = """\
# TO DO the day ridden: neither the logs' clocks nor a name tells it. When the files were written is no evidence.
# date = {hint}               # when they were last written
"""

DAY_OR_MONTH = """\
# TO DO the day ridden: in the logs' date nothing tells which number is the month. Check it.
date = {date}               # or {other}
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

REAR_BY_FILE = """
[bike.rear]
leverage = {file}         # columns stroke_mm, travel_mm, from 0, 0 to full stroke
stroke_mm = {stroke}                    # where that file ends; check it
"""

NO_CLOCK = """
[log]
# TO DO no column looks like a clock: name it, or state how many rows were logged a second.
# time = { column = <name or number>, unit = <"s", "ms", "us", "ns", "min", "days" or "date_time"> }
# rate_hz = <rows a second>
"""

RATE = """
[log]
rate_hz = {rate}                       # rows a second, as the logs state it; check it
"""

RATE_TO_CHECK = """
[log]
# TO DO rows a second: the logs state it, but not clearly that this is it. Check it against a run's length timed.
rate_hz = {rate}                       # the logs state {read}
"""

CLOCK = """
[log]
time = {{ column = {column}{unit} }}        # found in the log; check it
"""

LONG = """\
long = {{ sensor = {sensor}, value = {value} }}        # each row holds one reading, so it seems; check it
"""
LONG_SEVERAL = """\
# TO DO each row holds readings of one sensor, so it seems, in several columns ({columns}). Where one of them is
# the reading of every sensor at the ends, name it; an accelerometer's axes need a log of their own.
# long = {{ sensor = <column of the sensors' names>, value = <column of the readings> }}
"""

SAME_CLOCK = """\
# TO DO are both files of a run one logger's? Their stamps begin together ({front} s and {rear} s). Then say so: they
# are joined exactly, without pushes.
# same_clock = true
"""

HEXADECIMAL = """\
hex_counts = true                       # counts such as {example} aren't decimal; check it
"""

DISPLACEMENT = """
[sensors.{name}]
kind = "displacement"
end = "{end}"                       # {told}
column = {column}                   # runs from {low} to {high} in these logs
# counts_range = [<lowest>, <highest>]      # the converter's ends: shows where the sensor was cut off
"""

ASK_END = "TO DO by {by} alone; check it: push this end alone and see which column moves"

FLAT = """\
# TO DO is it column {column}? By its name it reads this end, but it doesn't move as travel does ({low} to {high}): is
# the sensor plugged in, and the right column named?
"""

MEASURES = """\
measures = "stroke"                 # TO DO check it: "travel" where the sensor follows the wheel, not the shock
"""

MEASURES_TRAVEL = """\
measures = "travel"                 # TO DO check it: it reads further than a shock goes; else "stroke"
"""

POINTS = """\
# TO DO calibration: read the sensor topped out and pushed to full travel, and say how many mm lie between.
# points = [[{topped_out}, 0.0], [<reading at full travel>, <mm there>]]
"""

POINTS_MM = """\
points = [[0.0, 0.0], [{reading}, 100.0]]       # its unit is {unit} by its name; check it with a ruler
"""

POINTS_PERCENT = """\
# TO DO full travel: its unit is percent of it by its name. Say how many mm 100 % are (at the rear, of stroke or travel
# as said above), and check by hand what it reads topped out and at full travel.
"""
POINTS_PERCENT_LINE = """\
# points = [[{topped_out}, 0.0], [{full}, <full travel, mm>]]
"""

NOT_MM = """\
# TO DO is it {unit}? By its name it is, but it reads from {low} to {high}: further than any end goes.
"""

ONE_MORE = """
# Column {column} moves too (from {low} to {high}). Another displacement sensor? Then give it a table like the above.
"""

NO_NUMBERS = """
# TO DO column {column} reads an end by its name, but not in bare numbers (such as {example}): have the logger write
# numbers without a unit or anything else, and make the draft anew; else leave this end out.
"""

LOOSE = """
# Column {column} (from {low} to {high}) is taken for no sensor: it moves as much in recordings at rest as in the runs,
# as an input does that nothing is plugged into. Is a sensor on it? Then look at its plug and cable before riding again.
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
"""

SETUP_OF_RUNS = """
# TO DO say which setup each run was ridden with.
"""

ORDER = """\
# Runs stand in the order of their names, 2 before 10. Another order ridden? Give each an order or a started_at.
"""

TIMED = """\
# Runs stand in the order of their clocks.
"""

OTHER_COLUMNS = """\
# TO DO columns of the sensors above aren't in {logs}.
# The other end's logger? Then make one run of the two files, with each end's sensors in its own:
# log = {{ front = "front_1.csv", rear = "rear_1.csv" }}. Else take them out.
"""

NO_RUN = """
# TO DO {log}: {why}. Take the marks off if it is.
# [[runs]]
# log = {log}
# setup = {setup}
"""

ASKED = """\
# TO DO {log}: {why}.
# Else correct its kind, or list it under the runs.
"""

AFTER_ALL = """\
# TO DO {log} was made after the last run. Zero counts for the runs that follow: name the one in before_run, if any.
"""

BY_TIME = "by its time"
BY_NUMBER = "by its number; check it"
BY_COUNT = "TO DO check it: by its number, which may count recordings, not runs"

SAG_LOAD = """\
# TO DO who was aboard.
# load = <"standing", "seated" or "bike_alone">"""

SETTLE_FROM = """\
# TO DO how it was let go: pushed down and released, or raised and let down.
# from = <"compressed" or "extended">"""

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


def _asked(*texts: str) -> frozenset[str]:
    """Return the lines of questions that stand in drafts as they are: the first marked TO DO, and what explains it."""
    found = set()
    for text in texts:
        asking = False
        for line in text.splitlines():
            asking = line.startswith("# TO DO") or (asking and line.startswith("# ") and " = " not in line)
            found |= {line} if asking and "{" not in line else set()
    return frozenset(found)


ANSWERED_LINES = frozenset(HEAD.splitlines()[:3]) | _asked(
    NO_DATE,
    DAY_OR_MONTH,
    RATE_TO_CHECK,
    FRONT,
    REAR,
    POINTS,
    POINTS_PERCENT,
    SETUPS,
    SETUP_OF_RUNS,
    SAG_LOAD,
    SETTLE_FROM,
)
"""What a draft asks and an earlier day has answered."""
ANSWERED_MARKS = ("# TO DO check it:", "# TO DO by its place alone", "# TO DO by what is left alone")
"""The same behind a value."""

NO_STILL = """
# No still recording was found: 10 s in which nobody touches the bike, upright on level ground, tell how the inertial
# sensors sit, and what they read where nothing moves.
# [[static]]
# log = "still_1.csv"
# kind = "still"
# setup = "as_it_came"
"""

_PLAN = """\
# [plan]                            # for `telemetry plan`: how many runs, in which order
# run_min = 5
# return_min = 10
# change_over_min = 10
# [shop]                            # printed on the report
# name = "the shop's"
# contact = "how it is reached"
# logo = "logo.png"                 # beside this file
# language = "en"                   # of the customer's page
# [customer]
# name = "as they wish it printed"
# bike = "their words for it"
"""
_COMPARISON = """
# What else a day may say; take the marks off what you need.
# [comparison]                      # else the first setup ridden is compared with every other
# baseline = "as_it_came"
# candidates = ["changed"]
# focus = {focus}        # at most three, named before riding
# planned_runs = 3                  # of each setup
# named_at = <when you named them: 2026-05-16T08:40:00>
"""
LATER = _COMPARISON.format(focus='["<measure>:front"]') + _PLAN
LATER_BY_POSITION = (
    _COMPARISON.format(focus='["dynamic_sag:front"]')
    + '# smallest_change = { "dynamic_sag:front" = "2 points" }     # the smallest that matters, with its unit\n'
    + _PLAN
)
