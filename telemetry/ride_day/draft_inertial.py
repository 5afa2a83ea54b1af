"""Inertial sensors in a drafted ``ride_day.toml``: where each sits and in which units, as far as its columns tell."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence

from telemetry.errors import clean_text
from telemetry.model.log import GRAVITY, InertialSketch
from telemetry.units import STANDARD_GRAVITY_M_S2

FRONT = re.compile("front|fork|bars?|handlebar|crown|stem|steerer|head|headtube|triple|lowers?")
REAR = re.compile("rear|back|shock|swingarm|seat|saddle|seatpost|seatstay|chainstay")
WHEEL = re.compile("wheel|axle|hub|lowers?|leg|unsprung|dropout|swingarm|chainstay|slider|caliper")
CHASSIS = re.compile(
    "frame|chassis|crown|bars?|handlebar|stem|steerer|head|headtube|downtube|bb|seat|saddle|seatpost|sprung"
)
NO_GRAVITY_BELOW = 0.4
LINEAR = frozenset({"lin", "linear", "user", "free"})
"""Own choice: in no unit does gravity read less. By their names such sensors have it taken out; many by no word do."""
LEAST_COUNTS = 1250.0
LEAST_DEG_S, MOST_DEG_S = 20.0, 4000.0
"""Own choices: 20 rad/s are over three turns a second; sensors for bikes end at 4000 deg/s or before."""

COUNTS_PER_G = {
    "cm/s2": 100 * STANDARD_GRAVITY_M_S2,
    "mm/s2": 1000 * STANDARD_GRAVITY_M_S2,
    "ft/s2": STANDARD_GRAVITY_M_S2 / 0.3048,
}
COUNTS_PER_DEG_S = {"mdeg/s": 1000.0}
"""Units that a ride day doesn't know are counts of which so many are 1 g, or 1 degree a second."""

PLACED = """\
# ahead_of_axle_mm = <mm>                   # from its end's axle, the rider aboard, forward positive; with the next
# above_axle_mm = <mm>                      # needed where a wheel's and a chassis' sensor tell how an end moves
"""
UNITS = '"g", "m/s2", "milli-g" or "counts"'
HERE = '"front" or "rear"'
ON = '"chassis" or "wheel"'
ASK_END = f"""\
# TO DO which end it sits at; on the frame, the nearer one.
# end = <{HERE}>
"""
ASK_ON = f"""\
# TO DO whether it goes along with the wheel (axle, lower legs, swingarm) or with what is sprung (frame, crown, bar).
# on = <{ON}>
"""
ASK_ACCELERATION = f"""\
# TO DO the unit{{named}}: at rest the three together read 1 g, 9.8 m/s2 or 1000 milli-g; in these logs {{size:.4g}}.
# acceleration_unit = <{UNITS}>
"""
NO_GRAVITY = """\
# TO DO other columns, or the logger set otherwise: the three together read {size:.2g} on average, so gravity isn't in
# them; it is taken out of what is called linear acceleration. Up can't be told without it: log what the sensor reads.
"""
IN_COUNTS = """\
{key} = "counts"                  # {named} by its columns' names: so many of them are 1 {unit}; check it
{per} = {count:g}
"""
ASK_MILLI_G = """\
# TO DO the unit: whole numbers of about {size:.4g} at rest may be thousandths of g, or a converter's counts (some write
# 1024 a g). The logger's handbook tells; with counts, state counts_per_g beside it.
# acceleration_unit = <"milli-g" or "counts">
"""
ASK_COUNTS = """\
acceleration_unit = "counts"              # by its {told}; check it
# TO DO how many counts are 1 g: the data sheet tells it for the range in use, and at rest the three together read it.
# counts_per_g = <near {size:.0f}>
"""
ASK_ROTATION = """\
# TO DO the unit of rotation{named}, by the logger's handbook: these logs read up to {size:.4g}.
# rotation_unit = <"deg/s", "rad/s" or "counts">
"""
ASK_ROTATION_COUNTS = """\
rotation_unit = "counts"                  # as acceleration is; check it
# TO DO how many counts are 1 degree a second, by the data sheet.
# counts_per_deg_s = <counts>
"""
NOT_WHOLE = """
# TO DO columns {named} look like acceleration, but not along three axes: without all three gravity can't be told from
# movement, and nothing is measured by them. Log the third one too.
"""


def inertial_tables(
    sketches: Sequence[InertialSketch], column: Callable[[int], str], taken: Sequence[str], *, marked: bool
) -> Iterator[str]:
    """Return the tables of a log's inertial sensors, and what is to be said of such as aren't whole.

    Parameters
    ----------
    sketches : sequence of InertialSketch
    column : callable
        Gives a column as the ride day names it, by its number.
    taken : sequence of str
        Names that other sensors have.
    marked : bool
        Whether the tables are comments, to be taken up by who wants them.
    """
    names, several = list(taken), sum(sketch.whole for sketch in sketches) > 1
    for sketch in sketches:
        columns = ", ".join(f"{axis} = {column(number)}" for axis, number in sketch.columns.items())
        named = ", ".join(column(number) for number in sketch.columns.values())
        if not sketch.whole:
            yield NOT_WHOLE.format(named=named)
            continue
        names.append(_name(sketch, names))
        text = f'[sensors.{names[-1]}]\nkind = "inertial"\n{_place(sketch)}columns = {{ {columns} }}\n{_units(sketch)}'
        head = f"\n# TO DO columns {named} look like an inertial sensor; take the marks off to use it.\n"
        yield (
            head + re.sub(r"(?m)^(?!#)", "# ", text.replace(PLACED, "").rstrip("\n")) + "\n"
            if marked or (several and _without_gravity(sketch))
            else "\n" + text
        )


def _name(sketch: InertialSketch, taken: Sequence[str]) -> str:
    name = re.sub(r"[^a-z0-9]+", "_", "_".join(sketch.words)).strip("_") or "inertial"
    own = f"{name}_imu" if name in taken else f"inertial_{name}" if name.isdigit() else name
    return next(way for way in (own, *(f"{own}_{number}" for number in range(2, len(taken) + 3))) if way not in taken)


def _place(sketch: InertialSketch) -> str:
    end = _one_of(sketch.words, {"front": FRONT, "rear": REAR})
    on = _one_of(sketch.words, {"wheel": WHEEL, "chassis": CHASSIS})
    told = "by its columns' names; check it"
    return (
        (f'end = "{end}"                             # {told}\n' if end else ASK_END)
        + (f'on = "{on}"                              # {told}\n' if on else ASK_ON)
        + PLACED
    )


def _one_of(words: Sequence[str], known: Mapping[str, re.Pattern[str]]) -> str | None:
    """Return what alone the words speak of; None where they speak of neither or both."""
    found = [what for what, own in known.items() if any(map(own.fullmatch, words))]
    return found[0] if len(found) == 1 else None


def _units(sketch: InertialSketch) -> str:
    unit, text = _acceleration(sketch)
    return text + (_rotation(sketch, unit) if "gx" in sketch.columns else "")


def _acceleration(sketch: InertialSketch) -> tuple[str | None, str]:
    """Return the unit of acceleration, None where it is asked for, and what the draft says of it."""
    named, size = sketch.acceleration_unit, sketch.acceleration
    if _without_gravity(sketch):
        return None, NO_GRAVITY.format(size=size)
    if named is not None:
        return _named_acceleration(named, size)
    if sketch.in_steps and _within("milli-g", size):
        return None, ASK_MILLI_G.format(size=size)
    by_size = next((unit for unit in GRAVITY if _within(unit, size)), None)
    if by_size is not None:
        told = f"by its size: the three together read {size:.4g} on average; check it"
        return by_size, f'acceleration_unit = "{by_size}"  # {told}\n'
    if size > LEAST_COUNTS:
        return "counts", ASK_COUNTS.format(size=size, told="size")
    return None, ASK_ACCELERATION.format(size=size, named="")


def _named_acceleration(named: str, size: float) -> tuple[str | None, str]:
    if named in GRAVITY:
        return named, f'acceleration_unit = "{named}"  # by its columns\' names; check it\n'
    if named == "counts":
        return named, ASK_COUNTS.format(size=size, told="columns' names")
    if named in COUNTS_PER_G:
        count = COUNTS_PER_G[named]
        return "counts", IN_COUNTS.format(
            key="acceleration_unit", named=named, unit="g", per="counts_per_g", count=count
        )
    return None, ASK_ACCELERATION.format(size=size, named=f", {clean_text(named)} by its columns' names")


def _without_gravity(sketch: InertialSketch) -> bool:
    told = sketch.acceleration_unit is not None or LINEAR & set(sketch.words)
    return bool(told) and sketch.acceleration < NO_GRAVITY_BELOW


def _within(unit: str, size: float) -> bool:
    low, high = GRAVITY[unit]
    return low <= size <= high


def _rotation(sketch: InertialSketch, acceleration: str | None) -> str:
    size, named = sketch.rotation, sketch.rotation_unit
    if named is not None and named != "counts":
        return _named_rotation(named, size)
    if named == "counts" or (acceleration == "counts" and sketch.rotation_in_steps):
        return ASK_ROTATION_COUNTS
    if not (sketch.in_steps and sketch.rotation_in_steps):
        if LEAST_DEG_S <= size <= MOST_DEG_S:
            return f'rotation_unit = "deg/s"  # by its size: up to {size:.4g}; check it\n'
        if acceleration == "m/s2" and size < LEAST_DEG_S:
            return f'rotation_unit = "rad/s"  # as m/s2 goes with rad/s, and by its size: up to {size:.4g}; check it\n'
    return ASK_ROTATION.format(size=size, named="")


def _named_rotation(named: str, size: float) -> str:
    if named in COUNTS_PER_DEG_S:
        count = COUNTS_PER_DEG_S[named]
        return IN_COUNTS.format(key="rotation_unit", named=named, unit="deg/s", per="counts_per_deg_s", count=count)
    if named in ("deg/s", "rad/s"):
        return f'rotation_unit = "{named}"  # by its columns\' names; check it\n'
    return ASK_ROTATION.format(size=size, named=f", {clean_text(named)} by its columns' names")
