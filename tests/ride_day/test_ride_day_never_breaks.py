"""However a ride day is bent, it is read or refused with errors a person can act on; it never breaks."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from telemetry.errors import TelemetryError
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day

MORE = """
[sensors.crown]
kind = "inertial"
end = "front"
columns = { ax = "ax", ay = 5, az = "az" }
acceleration_unit = "g"
[setups.link]
based_on = "oil_8"
[setups.link.rear.linkage]
fixed = { main = [-12.0, 38.0], rocker = [-25.0, 238.0], shock_front = [205.0, 322.0] }
moving = { axle = [-446.0, 12.0], stay = [-108.0, 55.0], link_top = [-85.0, 232.0], shock_rear = [-98.0, 327.0] }
bodies = { swingarm = ["main", "axle", "stay"], link = ["stay", "link_top"], rk = ["rocker", "link_top", "shock_rear"] }
shock = ["shock_front", "shock_rear"]
axle = "axle"
[setups.link.sensors.fork]
points = [[1, 0], [2, 5], [3, 11]]
calibration = "curve"
[[runs]]
log = { front = "run_3.csv", rear = "run_2.csv" }
name = "third"
setup = "link"
started_at = 2026-05-16T10:41:00
start_s = 3
end_s = 60
[[marks]]
run = "third"
at_s = 31.4
name = "first drop"
[plan]
spread = { packing = 1 }
[bike.geometry]
chainstay_in = 17.5
"""

VALUES = st.sampled_from(
    [
        "nan", "-inf", "0", "-1", "1e300", "1.5", "true", '""', '"x"', '"oil_8"', '"third"', "[]", "{}", "[[]]",
        "[1, 2]",
        "[[1, 2], [3, 4]]", '["oil_8"]', "{ a = 1 }", '{ front = "run_1.csv" }', "2026-05-16", "2026-05-16T09:00:00Z",
        "09:00:00", '"../x.csv"', '"2 points"', "[[1, 1e300], [2, -1e300], [3, 0]]", '"\\u001b[31m"',
        "999999999999999999999",
    ]
)  # fmt: skip
BENDS = st.lists(
    st.tuples(st.sampled_from(["drop", "value", "key", "double", "head"]), st.integers(0, 10_000), VALUES),
    min_size=1,
    max_size=4,
)


def bent(text: str, bends: list[tuple[str, int, str]]) -> str:
    lines = text.splitlines()
    for how, where, value in bends:
        place = where % len(lines)
        line = lines[place]
        key, equals, _ = line.partition(" = ")
        if how == "drop":
            lines[place] = ""
        elif how == "value" and equals:
            lines[place] = f"{key} = {value}"
        elif how == "key" and equals:
            lines[place] = line[:1] + line
        elif how == "double":
            lines.insert(place, line)
        elif how == "head" and line.startswith("["):
            lines[place] = line.replace("o", "0", 1)
    return "\n".join(lines) + "\n"


def acceptable(outcome: RideDay | TelemetryError) -> bool:
    """Tell whether a day holds together, or an error says what a person needs on one line."""
    if isinstance(outcome, RideDay):
        orders = [run.order for run in outcome.runs]
        return all(run.setup in outcome.setups for run in outcome.runs) and orders == list(range(1, len(orders) + 1))
    lines = [problem.line for problem in getattr(outcome, "problems", ())]
    parts = [
        part for problem in getattr(outcome, "problems", ()) for part in (problem.key, problem.found, problem.expected)
    ]
    return all(parts) and all(line.isprintable() for line in [outcome.line, *lines])


def outcome_of(folder: Path) -> RideDay | TelemetryError:
    try:
        return read_ride_day(folder)
    except TelemetryError as error:
        return error


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(bends=BENDS)
def test_a_bent_day_is_read_or_refused(day_text: str, folder: Path, bends: list[tuple[str, int, str]]) -> None:
    (folder / "ride_day.toml").write_text(bent(day_text + MORE, bends), encoding="utf-8")
    assert acceptable(outcome_of(folder))
