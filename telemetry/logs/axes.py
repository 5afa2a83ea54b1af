"""Which columns of an unknown log are the axes of inertial sensors, by their names, and in which units."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.log import GRAVITY, InertialSketch
from telemetry.trade_words import BRACKETED, OTHER, of_a_part, plain_words, vocabulary

ACCELERATION = vocabulary(
    "a ac acc accel acceleration accelerometer accelero beschleunigung aceleracion accelerazione aceleracao "
    "versnelling przyspieszenie zrychleni"
).whole
ROTATION = vocabulary("g gy w gyr gyro gyroscope omega rot rotation angvel angrate drehrate rotazione rotacion").whole
_JOINED = (
    *itertools.product(("angular", "ang", "rotation", "rot", "turn", "gyro"), ("velocity", "vel", "rate", "speed")),
    *(("vitesse", "angulaire"), ("velocidad", "angular"), ("velocita", "angolare")),
)
"""Of acceleration and of rotation: words in names; and two that make one of rotation. From memory."""
UNITS = {
    "a": {"g": "g", "mg": "milli-g", "millig": "milli-g", "gal": "cm/s2"}
    | dict.fromkeys(("cm/s2", "cm/s^2", "cm/s²", "cms2"), "cm/s2")
    | dict.fromkeys(("mm/s2", "mm/s^2", "mm/s²", "mms2"), "mm/s2")
    | dict.fromkeys(("ft/s2", "ft/s^2", "ft/s²", "fts2"), "ft/s2")
    | dict.fromkeys(("m/s2", "m/s^2", "m/s²", "ms2", "mps2", "ms-2", "m s-2", "m/s/s"), "m/s2"),
    "g": dict.fromkeys(("dps", "deg/s", "degs", "°/s", "deg s-1", "degpersec"), "deg/s")
    | dict.fromkeys(("rad/s", "rads", "rad s-1", "radpersec"), "rad/s")
    | dict.fromkeys(("mdps", "mdeg/s"), "mdeg/s"),
}
"""Of acceleration and of rotation: what stands in names for units."""
COUNTS = ("raw", "count", "counts", "cnt", "lsb", "adc", "digit", "digits")
_AXIS_IN_BRACKETS = re.compile(r"[(\[{]\s*([xyz])\s*[)\]}]", re.IGNORECASE)

_WORDS = {"a": ACCELERATION, "g": ROTATION}
_ONE_WORD = re.compile(rf"({'|'.join(sorted(ACCELERATION | ROTATION, key=len, reverse=True))})([xyz])(\d*)")
BLOCK_ROWS, FEWEST_BLOCKS = 500, 20
"""Own choices: blocks of a second or so, and enough of them for a median."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One axis by its name: ``ax`` to ``gz``, the unit where the name tells it, and the rest of the name."""

    axis: str
    unit: str | None
    rest: tuple[str, ...]


def axis_of(name: str, unit: str = "") -> Axis | None:
    """Return which axis of an inertial sensor a column is by its name; None where it is none.

    Parameters
    ----------
    name : str
    unit : str
        What a row of units says beneath the name.

    Examples
    --------
    >>> axis_of("accel_x (m/s^2)")
    Axis(axis='ax', unit='m/s2', rest=())
    >>> axis_of("fork_gyroZ_dps")
    Axis(axis='gz', unit='deg/s', rest=('fork',))
    >>> axis_of("mag_x") is axis_of("speed") is None
    True
    """
    name = _AXIS_IN_BRACKETS.sub(r" \1 ", name)
    words = _joined(plain_words(name))
    for what, axis, place, taken in _places(words):
        after = words[place + taken :]
        told, used = _unit(what, (*BRACKETED.findall(name), unit), after)
        rest = (*words[:place], *after[used:])
        return Axis(axis=what + axis, unit=told, rest=rest)
    return None


def _places(words: Sequence[str]) -> Iterator[tuple[str, str, int, int]]:
    """Yield what a name may be: acceleration or rotation, which axis, where that stands and over how many words."""
    for place, (first, second) in enumerate(itertools.pairwise(words)):
        turned = (second, first) if len(second) > 1 else ("", "")  # x_g is no rotation, but something else in g
        for word, axis in ((first, second), turned):
            what = next((key for key, known in _WORDS.items() if word in known), None)
            if what is not None and axis in ("x", "y", "z"):
                yield what, axis, place, 2
    for place, word in enumerate(words):
        one = _ONE_WORD.fullmatch(word)
        if one is not None:
            yield "a" if one[1] in ACCELERATION else "g", one[2], place, 1


def _joined(words: Sequence[str]) -> tuple[str, ...]:
    """Return words with two that make one joined: ``angular velocity`` is one of rotation's."""
    for place, pair in enumerate(itertools.pairwise(words)):
        if pair in _JOINED:
            return (*words[:place], "angvel", *words[place + 2 :])
    return tuple(words)


@lru_cache(maxsize=16)
def axis_triples(names: tuple[str, ...]) -> tuple[tuple[int, int, int], ...]:
    """Return the places, from 0, of columns whose names are alike but for a letter x, y or z: of what has three axes.

    Examples
    --------
    >>> axis_triples(("t", "Bx", "By", "Bz", "x_fork", "y_fork"))
    ((1, 2, 3),)
    """
    found: dict[tuple[str, ...], dict[str, int]] = {}
    for place, name in enumerate(names):
        words = plain_words(name)
        for at, word in enumerate(words):
            for axis, left in {(word[-1], word[:-1]), (word[0], word[1:])}:
                if axis in "xyz":
                    found.setdefault((*words[:at], f"{left}*", *words[at + 1 :]), {}).setdefault(axis, place)
    return tuple((own["x"], own["y"], own["z"]) for own in found.values() if len(own) == 3)


def _unit(what: str, stated: Sequence[str], after: Sequence[str]) -> tuple[str | None, int]:
    """Return the unit that brackets, a row of units or the next words tell, and how many of these words it takes.

    One that isn't known is returned as it stands.
    """
    known = UNITS[what] | dict.fromkeys(COUNTS, "counts")
    for text in stated:
        if text.strip().lower() in known:
            return known[text.strip().lower()], 0
    for count in (3, 2, 1):
        told = known.get("".join(after[:count]))
        if told is not None and len(after) >= count:
            return told, count
    return next((text.strip() for text in stated if any(sign in text for sign in "/^²")), None), 0


def inertial_sketches(
    names: Sequence[str], units: Sequence[str], numbers: Mapping[int, Floats]
) -> tuple[InertialSketch, ...]:
    """Return the inertial sensors that a log's columns make up, told apart by what else their names say.

    Parameters
    ----------
    names : sequence of str
        Of all columns.
    units : sequence of str
        The row beneath them, or nothing.
    numbers : mapping of place, from 0, to float array
        Readings of the columns that hold numbers; NaN where a cell is empty.

    Returns
    -------
    tuple of InertialSketch
        Those with acceleration along one axis or more, in the log's order.
    """
    sensors: dict[tuple[str, ...], dict[str, tuple[int, str | None]]] = {}
    for place, name in enumerate(names):
        found = axis_of(name, units[place] if place < len(units) else "") if place in numbers else None
        if found is not None:
            sensors.setdefault(found.rest, {}).setdefault(found.axis, (place, found.unit))
    sensors = {rest: _as_acceleration(_whole_rotation(axes), numbers) for rest, axes in sensors.items()}
    if not any(axis[0] == "a" for axes in sensors.values() for axis in axes):
        sensors |= _bare_axes(names, units, numbers)
    _lend_rotation(sensors)
    return tuple(
        _sketch(rest, axes, numbers) for rest, axes in sensors.items() if any(axis.startswith("a") for axis in axes)
    )


_Axes = dict[str, tuple[int, str | None]]


def _bare_axes(
    names: Sequence[str], units: Sequence[str], numbers: Mapping[int, Floats]
) -> dict[tuple[str, ...], _Axes]:
    """Return columns named x, y, z alone that read acceleration: by their unit, or together about gravity."""
    found = {}
    for places in axis_triples(tuple(names)):
        rest = tuple(word for word in plain_words(names[places[0]]) if word != "x")
        bare = len(rest) < len(plain_words(names[places[0]])) and not OTHER.speaks_in(rest) and not of_a_part(rest)
        if not bare or not all(place in numbers for place in places):
            continue
        stated = [(*BRACKETED.findall(names[at]), units[at] if at < len(units) else "") for at in places]
        axes = {f"a{axis}": (at, _unit("a", own, ())[0]) for axis, at, own in zip("xyz", places, stated, strict=True)}
        told = all(unit in UNITS["a"].values() for _, unit in axes.values())
        length = _length(axes, numbers, "a")
        by_size = any(low <= length <= high for low, high in GRAVITY.values()) and not _in_steps(axes, numbers, "a")
        if told or by_size:
            found[rest] = axes
    return found


def _whole_rotation(axes: _Axes) -> _Axes:
    """Return the axes without rotation where that isn't there about all three: a part of it turns nothing."""
    return axes if {"gx", "gy", "gz"} <= axes.keys() else {axis: own for axis, own in axes.items() if axis[0] == "a"}


def _as_acceleration(axes: _Axes, numbers: Mapping[int, Floats]) -> _Axes:
    """Return gx, gy, gz as acceleration where they alone are there and as long as gravity in g."""
    if set(axes) != {"gx", "gy", "gz"}:
        return axes
    length = _length(axes, numbers, "g")
    told = {unit for _, unit in axes.values()}
    if told == {None} and 0.8 <= length <= 1.25:
        return {f"a{axis[1]}": own for axis, own in axes.items()}
    return axes


def _lend_rotation(sensors: dict[tuple[str, ...], _Axes]) -> None:
    """Give the only rotation there is, named otherwise, to the only acceleration there is."""
    accelerating = [rest for rest, axes in sensors.items() if any(axis[0] == "a" for axis in axes)]
    turning = [rest for rest, axes in sensors.items() if any(axis[0] == "g" for axis in axes)]
    if len(accelerating) == len(turning) == 1 and accelerating != turning:
        sensors[accelerating[0]] |= sensors.pop(turning[0])


def _length(axes: _Axes, numbers: Mapping[int, Floats], what: str) -> float:
    """Return the median length, over short blocks, of the mean of acceleration or rotation; NaN without any.

    A mean holds little but gravity, however hard a bike is shaken: single rows of a rough run read up to twice that.
    """
    columns = [numbers[place] for axis, (place, _) in axes.items() if axis.startswith(what)]
    rows = columns[0].shape[0] if columns else 0
    if rows == 0:
        return float("nan")
    size = max(1, min(BLOCK_ROWS, rows // FEWEST_BLOCKS))
    starts = np.arange(0, rows - size + 1, size)
    squares = np.zeros(starts.shape[0])
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        for column in columns:
            there = np.isfinite(column)
            sums = np.add.reduceat(np.where(there, column, 0.0), starts)
            squares += np.square(sums / np.add.reduceat(there, starts, dtype=float))
    lengths = np.sqrt(squares)
    lengths = lengths[np.isfinite(lengths)]
    return float(np.median(lengths)) if lengths.size else float("nan")


def _sketch(rest: tuple[str, ...], axes: _Axes, numbers: Mapping[int, Floats]) -> InertialSketch:
    def told(what: str) -> str | None:
        units = {unit for axis, (_, unit) in axes.items() if axis.startswith(what)}
        return units.pop() if len(units) == 1 else None

    return InertialSketch(
        words=rest,
        columns={axis: axes[axis][0] + 1 for axis in sorted(axes)},
        acceleration_unit=told("a"),
        rotation_unit=told("g"),
        acceleration=_length(axes, numbers, "a"),
        rotation=_most(axes, numbers),
        in_steps=_in_steps(axes, numbers, "a"),
        rotation_in_steps=_in_steps(axes, numbers, "g"),
    )


def _most(axes: _Axes, numbers: Mapping[int, Floats]) -> float:
    """Return the largest reading of rotation but for one in a hundred, NaN without any."""
    columns = [np.abs(numbers[place]) for axis, (place, _) in axes.items() if axis.startswith("g")]
    finite = [column[np.isfinite(column)] for column in columns]
    return max((float(np.quantile(column, 0.99)) for column in finite if column.size), default=float("nan"))


def _in_steps(axes: _Axes, numbers: Mapping[int, Floats], what: str) -> bool:
    """Return whether acceleration or rotation reads whole numbers alone, as a converter's counts are."""
    columns = [numbers[place] for axis, (place, _) in axes.items() if axis.startswith(what)]
    finite = [column[np.isfinite(column)] for column in columns]
    return bool(finite) and all(bool(np.all(column == np.rint(column))) for column in finite)
