"""A layout's log read as its owner would: drafted, what is asked filled in, what the table says written, measured."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import telemetry
from tests.cli.run_here import commanded
from tests.layouts.inertial import THE_SENSOR, sensor
from tests.layouts.layout import RUN, Layout
from tests.layouts.ride import AXES, COUNTS_PER_DEG_S, COUNTS_PER_G, FORK, SHOCK
from tests.riders_logs import OF_THE_BIKE

Values = Mapping[tuple[str, str], float]
"""Measures by name and end."""

POINTS = {
    "fork": f"points = {[list(point) for point in FORK]}",
    "shock": f"points = {[list(point) for point in SHOCK]}",
}
HEAD, TAIL = "[ride_day]\ndate = 2026-05-16\n", '[setups.it]\n[[runs]]\nlog = "{log}"\nsetup = "it"\n'
TRAVEL = f"""\
{HEAD}[bike.front]
travel_mm = 170
[bike.rear]
stroke_mm = 62.5
ratio = 2.64
[log]
[sensors.fork]
kind = "displacement"
end = "front"
column = "fork"
[sensors.shock]
kind = "displacement"
end = "rear"
measures = "stroke"
column = "shock"
{TAIL}"""
"""A day written by hand: where nothing can be drafted, and of the truth."""
FELT = f"""\
{HEAD}[sensors.imu]
kind = "inertial"
end = "front"
on = "chassis"
columns = {{{{ {{columns}} }}}}
acceleration_unit = "counts"
counts_per_g = {COUNTS_PER_G}
{TAIL}"""


def with_lines(text: str, table: str, lines: Sequence[str]) -> str:
    """Return a ride day in which a table holds these lines, in place of its own of the same keys."""
    if not re.search(rf"(?m)^\[{table}\]$", text):
        text = re.sub(r"(?m)^(?=\[sensors)", f"[{table}]\n", text, count=1)
    head, mark, rest = text.partition(f"[{table}]\n")
    own, *others = re.split(r"(?m)^(?=(?:# )?\[)", rest, maxsplit=1)
    keys = {line.split(" = ")[0] for line in lines} | ({"time"} if any("rate_hz" in line for line in lines) else set())
    own = re.sub(rf"(?m)^(# )?({'|'.join(keys)}) = .*\n", "", own)
    return head + mark + "".join(f"{line}\n" for line in lines) + own + "".join(others)


def answered(text: str, layout: Layout, *, written: bool = True) -> str:
    """Return a day with the questions of every draft answered and, if so, what the table says of a layout written."""
    for asked, answer in OF_THE_BIKE:
        text = re.sub(rf"(?m)^{asked}$", answer, text, count=1)
    for name, points in POINTS.items():
        if f"[sensors.{name}]\n" in text and not re.search(r"(?m)^points = ", _table(text, name)):
            text = with_lines(text, f"sensors.{name}", (points,))
    for name, lines in layout.sensors.items() if written else ():
        text = with_lines(text, f"sensors.{name or _only_sensor(text)}", lines)
    return with_lines(text, "log", layout.log) if layout.log and written else text


def _table(text: str, sensor_name: str) -> str:
    return re.split(r"(?m)^(?=\[)", text.partition(f"[sensors.{sensor_name}]\n")[2], maxsplit=1)[0]


def _only_sensor(text: str) -> str:
    (name,) = re.findall(r"(?m)^\[sensors\.(\S+)\]$", text)
    return str(name)


def values(folder: Path) -> Values:
    """Return every measure of the only run of a day."""
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    return {(item.measure, item.end): item.value for item in run.measures}


def measured(folder: Path, text: str) -> Values:
    """Return every measure of the only run of a day that is written into a folder."""
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    return values(folder)


def drafted(folder: Path, layout: Layout) -> tuple[str, str]:
    """Return the day drafted from a layout's logs, by hand where it can't be; and all that was said."""
    layout.write(folder)
    done = commanded("new", folder)
    if done.returncode:
        return TRAVEL.format(log=RUN + layout.ending), done.stderr
    text = (folder / "ride_day.toml").read_text(encoding="utf-8")
    return text, text


@cache
def truth(kind: str) -> Values:
    """Return the measures of the same readings in a plain wide log: of "travel", or of acceleration with or without
    "rotation"."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        if kind == "travel":
            layout = Layout(name="the truth")
            layout.write(folder)
            return measured(folder, answered(TRAVEL.format(log=f"{RUN}.csv"), layout))
        Layout(name="the truth", columns=sensor("a*", "g*", 1, 1, 0)).write(folder)
        turned = kind == "rotation"
        columns = ", ".join(f"{axis} = '{axis}'" for axis in AXES[: 6 if turned else 3])
        text = FELT.format(columns=columns, log=f"{RUN}.csv")
        unit = ('rotation_unit = "counts"', f"counts_per_deg_s = {COUNTS_PER_DEG_S}")
        return measured(folder, with_lines(text, "sensors.imu", unit) if turned else text)


def truth_of(layout: Layout) -> Values:
    """Return the truth that a layout's log is held against."""
    if THE_SENSOR not in layout.sensors:
        return truth("travel")
    return truth("rotation" if len(layout.columns) > 6 else "acceleration")
