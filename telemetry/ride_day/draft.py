"""The first draft of a ``ride_day.toml`` from the logs a folder holds."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from pathlib import Path

from telemetry.model.log import ColumnSketch, LogSketch

from .runs import stem

STATIC_WORDS = {"lift": "lifted", "sag": "sag", "settle": "settle", "bounce": "bounce", "still": "still"}
PLACES = (("fork", "front"), ("shock", "rear"))
INERTIAL_AXES = ("ax", "ay", "az", "gx", "gy", "gz")

_HEAD = """\
# Drafted from the logs found in this folder. Lines that start with "# TO DO" ask for what a log can't tell:
# take the mark off the line beneath and fill in what stands in <>. `telemetry check` says what is still wrong.

[ride_day]
title = {title}
date = {date}                # the day ridden
# trail = "name of the trail, from where to where"
# trail_state = "dry, loose over hard"
# rider_mass_kg = 84              # kitted
# air_temperature_c = 14

[bike]
# name = "your words"
# wheelbase_mm = 1250             # axle to axle: gives ground speed from the lag between the ends
# head_angle_deg = 64.0           # puts front and rear in one direction
"""

_FRONT = """
[bike.front]
# TO DO full travel along the fork axis. Measure it by hand: let the air out in small steps while cycling the leg (or
# take the coil out), push it home until the bumper stops it, read the sensor and a tape at both ends. An end that
# stays pulled down may hold trapped pressure: don't open it, its maker's service must.
# travel_mm = <stated travel, mm>
# measured_travel_mm = <by hand, mm>
# bumper_touch_mm = <where the bumper is first felt, mm>
"""

_REAR = """
[bike.rear]
# TO DO full travel at the axle: the shock's stroke and a leverage curve or ratio.
# stroke_mm = <full stroke of the shock, mm>
# leverage = "leverage.csv"       # columns stroke_mm, travel_mm, from topped out to full stroke
# ratio = <wheel travel over shock stroke, one number where no curve is known>
"""

_SPEED = """
# TO DO
# [sensors.speed]
# kind = "ground_speed"
# column = {column}
# unit = <"m/s" or "km/h">
"""

_SETUPS = """
[setups.as_it_came]
label = "as it came"
# [setups.as_it_came.front]
# air_pressure_bar = <bar>
# [setups.changed]
# based_on = "as_it_came"         # then only what differs

# Runs in the order ridden; give each the setup it was ridden with.
"""

_TAIL = """
# Recordings made off the trail, each a log of its own:
# [[static]]
# log = "lifted_1.csv"
# kind = "lifted"                 # both wheels off the ground for 5 s: the true zero of each end
# setup = "as_it_came"
# [[static]]
# log = "sag_1.csv"
# kind = "sag"
# load = "standing"               # standing, seated, bike_alone
# setup = "as_it_came"
"""


def _text(value: str) -> str:
    """Return a TOML string; JSON's escapes are TOML's."""
    return json.dumps(value, ensure_ascii=False)


def _column(column: ColumnSketch) -> str:
    return str(column.name) if isinstance(column.name, int) else _text(column.name)


def static_kind(name: str) -> str | None:
    """Return the kind of recording a file's name tells, None where it tells none.

    Examples
    --------
    >>> static_kind("Lifted_1.csv"), static_kind("run_3.csv")
    ('lifted', None)
    """
    return next((kind for word, kind in STATIC_WORDS.items() if word in name.lower()), None)


def _columns(sketch: LogSketch) -> list[str]:
    lines = [f"# {sketch.path.name}: {sketch.rows} rows; {sketch.dialect}"]
    for column in sketch.columns:
        span = "text" if column.lowest is None else f"{column.lowest:g} to {column.highest:g}"
        empty = f", {100 * column.empty_share:.0f} % empty" if column.empty_share > 0 else ""
        lines.append(f"#   column {column.number} {_column(column)}: {span}{empty}; looks like {column.proposal}")
    return lines


def _log_table(sketch: LogSketch) -> str:
    time = next((column for column in sketch.columns if column.proposal == "time"), None)
    if time is None:
        return "\n[log]\n# TO DO the log has no clock: state its rate.\n# rate_hz = <rows a second>\n"
    unit = f', unit = "{time.time_unit}"' if time.time_unit else ""
    return f"\n[log]\ntime = {{ column = {_column(time)}{unit} }}\n"


def _displacement(name: str, end: str, column: ColumnSketch) -> str:
    stroke = '# measures = <"stroke" or "travel">\n' if end == "rear" else ""
    low, high = column.lowest or 0.0, column.highest or 1.0
    what = "the shock's stroke or the wheel's travel" if end == "rear" else "travel"
    return (
        f"\n[sensors.{name}]\n"
        'kind = "displacement"\n'
        f'end = "{end}"                     # proposed: check it by pushing one end alone\n'
        f"column = {_column(column)}\n"
        f"# TO DO calibration: the reading topped out and at full travel, with {what} in mm\n"
        f"# (in this log the column runs from {low:g} to {high:g}).\n"
        f"{stroke}"
        "# points = [[<reading>, 0.0], [<reading>, <mm>]]\n"
    )


def _inertial(columns: Sequence[ColumnSketch]) -> str:
    named = {}
    for axis in INERTIAL_AXES:
        column = next((item for item in columns if str(item.name).lower().replace("_", "") == axis), None)
        if column is not None:
            named[axis] = _column(column)
    if not {"ax", "ay", "az"} <= set(named):
        return ""
    pairs = ", ".join(f"{axis} = {name}" for axis, name in named.items())
    return (
        "\n# TO DO an inertial sensor seems to be logged; take the marks off if it is wanted:\n"
        "# [sensors.crown]\n"
        '# kind = "inertial"\n'
        '# end = "front"\n'
        '# on = "chassis"                  # or "wheel"\n'
        f"# columns = {{ {pairs} }}\n"
        '# acceleration_unit = <"g" or "m/s2">\n'
        '# rotation_unit = <"deg/s" or "rad/s">\n'
    )


def _proposed(sketch: LogSketch, proposal: str) -> list[ColumnSketch]:
    return [column for column in sketch.columns if column.proposal == proposal]


def draft_ride_day(sketches: Sequence[LogSketch], today: dt.date) -> str:
    """Return the text of a first ``ride_day.toml``.

    Parameters
    ----------
    sketches : sequence of LogSketch
        Logs that could be read, at least one.
    today : date

    Returns
    -------
    str
        TOML; what the logs can't tell stands in comments marked TO DO, so that nothing is guessed silently.
    """
    runs = [sketch for sketch in sketches if static_kind(sketch.path.name) is None]
    first = (runs or list(sketches))[0]
    travel = _proposed(first, "travel")
    listing = "\n".join(line for sketch in sketches for line in _columns(sketch))
    parts = [
        _HEAD.format(title=_text(first.path.resolve().parent.name), date=today.isoformat()),
        _FRONT if travel else "",
        _REAR if len(travel) > 1 else "",
        f"\n{listing}\n",
        _log_table(first),
        *(_displacement(*place, column) for place, column in zip(PLACES, travel, strict=False)),
        *(f"# column {_column(column)} moves too; is it a displacement sensor?\n" for column in travel[2:]),
        _inertial(_proposed(first, "inertial")),
        *(_SPEED.format(column=_column(column)) for column in _proposed(first, "ground_speed")),
        _SETUPS,
        *(f'[[runs]]\nlog = {_text(sketch.path.name)}\nsetup = "as_it_came"\n' for sketch in runs),
        *(_static(sketch) for sketch in sketches if static_kind(sketch.path.name)),
        _TAIL,
    ]
    return "".join(parts)


def _static(sketch: LogSketch) -> str:
    kind = static_kind(sketch.path.name)
    lines = [f'\n[[static]]\nlog = {_text(sketch.path.name)}\nkind = "{kind}"\nsetup = "as_it_came"\n']
    if kind == "sag":
        lines.append('# TO DO\n# load = <"standing", "seated" or "bike_alone">\n')
    if kind == "settle":
        lines.append('# TO DO\n# from = <"compressed" or "extended">\n')
    return "".join(lines)


def logs_in(folder: Path) -> list[Path]:
    """Return the files of a folder that may be logs, by name; links and hidden files are passed over."""
    endings = (".csv", ".csv.gz", ".txt", ".txt.gz", ".log", ".log.gz", ".tsv", ".dat")
    return sorted(
        path
        for path in folder.iterdir()
        if path.is_file()
        and not path.is_symlink()
        and path.name.lower().endswith(endings)
        and stem(path.name)
        and not path.name.startswith(".")
        and not path.name.lower().startswith("leverage")
    )
