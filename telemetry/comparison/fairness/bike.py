"""The bike on paper: geometry, full travel, tyres, and where its adjusters stand."""

from __future__ import annotations

from collections.abc import Iterator

from telemetry.model.conditions import ComparisonConditions, GeometryKey
from telemetry.model.day import SAME_TRAVEL_MM, EndSetup
from telemetry.model.finding import ENDS, Finding
from telemetry.model.setting import AdjusterPosition
from telemetry.model.setup_keys import LEVERAGE_KEYS, SETUP_KEYS, name_of
from telemetry.words import figure, with_end

from .pair import Pair, beyond

ANGLE_DEG, LENGTH_MM = 0.3, 5.0
TYRE_BAR = 0.05
LOAD_SHARE = 0.08
CLICKS_FROM_END = 2.0
SHORT_RANGE_CLICKS = 6.0
"""With fewer clicks in all, hardly any position is further than two from both ends."""


MAKES_GEOMETRY = frozenset(
    {spec.key for spec in SETUP_KEYS if spec.geometry} - {"head_angle_deg", "wheelbase_mm", "bottom_bracket_height_mm"}
) | {*LEVERAGE_KEYS, "travel_mm", "measured_travel_mm"}
"""Parts that a bike stands otherwise by; how it stands may be stated besides."""
REAR_TRAVEL = {(key, "rear") for key in ("travel_mm", "measured_travel_mm")}
STANCE = (
    ("head_angle_deg", "head angle", "°", ANGLE_DEG, 0.05),
    ("bottom_bracket_height_mm", "bottom bracket", " mm", LENGTH_MM, 0.5),
    ("trail_mm", "trail", " mm", LENGTH_MM, 0.5),
    ("wheelbase_mm", "wheelbase", " mm", LENGTH_MM, 0.5),
)
"""What is worked out of how it stands: its words, unit, limit, and from how much on it is told."""
FORK_LENGTH: GeometryKey = ("front", "axle_to_crown_mm")
FORK_TRAVEL: GeometryKey = ("front", "travel_mm")


def _geometry(pair: Pair) -> list[tuple[GeometryKey, float, float]]:
    """Return what both setups state; the fork's full travel counts where its length isn't stated of both."""
    old, new = (dict(item.geometry) for item in (pair.baseline, pair.candidate))
    travels = [item.setup.front.full_travel_mm for item in (pair.baseline, pair.candidate)]
    stated = [(key, old[key], new[key]) for key in old if key in new]
    if travels[0] is not None and travels[1] is not None and not (FORK_LENGTH in old and FORK_LENGTH in new):
        stated.append((FORK_TRAVEL, travels[0], travels[1]))
    return stated


def _moved(key: GeometryKey, old: float, new: float) -> str:
    """Return one geometry figure that differs, in words; empty within its limit."""
    unit, limit, places = ("°", ANGLE_DEG, 2) if key[1].endswith("_deg") else (" mm", LENGTH_MM, 1)
    if not beyond(new - old, limit):
        return ""
    change = figure(new - old, places, signed=True)
    return f"{with_end(name_of(key[1]), key[0])} {old:g} → {new:g}{unit} ({change}, limit {limit:g}{unit})"


def _of_parts(pair: Pair) -> list[str]:
    """Return which parts differ that make a bike stand otherwise, in words."""
    rows = (row for row in pair.differences if (row.key, row.end) not in REAR_TRAVEL)
    return list(dict.fromkeys(name_of(row.key) for row in rows if row.key in MAKES_GEOMETRY))


def _worked_out(pair: Pair) -> tuple[list[str], bool]:
    """Return how the candidate stands otherwise by its parts, in words, and whether any of it is beyond its limit."""
    told, far = [], False
    for key, words, unit, limit, least in STANCE:
        old, new = (item.stance.get(key) for item in (pair.baseline, pair.candidate))
        if old is None or new is None or abs(new - old) < least:
            continue
        far = far or beyond(new - old, limit)
        places = 1 if unit == "°" else 0
        change = figure(new - old, places, signed=True)
        told.append(f"{words} {figure(old, places)} → {figure(new, places)}{unit} ({change})")
    return told, far


def geometry_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find stated angles over 0.3 degrees and stated lengths over 5 mm apart, and what parts under test make of them.

    Notes
    -----
    Where parts differ that a bike stands otherwise by, its geometry is part of what is tested: nobody can put it back.
    """
    moved = [words for key, old, new in _geometry(pair) if (words := _moved(key, old, new))]
    parts, (worked_out, far) = _of_parts(pair), _worked_out(pair)
    if not moved and not (parts and far):
        return ()
    baseline, candidate = pair.labels
    if not parts:
        message = (
            f"{candidate} has another geometry than {baseline}: {'; '.join(moved)}; it steers and is weighted "
            "differently, so part of any difference may be the rider's: put the geometry back (spacers, cups, flip "
            "chips) or say so"
        )
        return (pair.finds("geometry_differs", message),)
    computed = [f"worked out: {', '.join(worked_out)}"] if worked_out else []
    message = (
        f"{candidate} has another geometry than {baseline}: {'; '.join([*moved, *computed])}; it comes with what is "
        f"tested ({', '.join(parts)}): what they did is what all of it did together, steering and weight included"
    )
    return (pair.finds("geometry_differs", message),)


def full_travel_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find ends whose full travel differs between the setups."""
    found = []
    for end in ENDS:
        old, new = (item.setup.at(end).full_travel_mm for item in (pair.baseline, pair.candidate))
        if old is None or new is None or not beyond(new - old, SAME_TRAVEL_MM):
            continue
        baseline, candidate = pair.labels
        message = (
            f"{candidate} has {figure(new, 1)} mm of full travel at the {end} and {baseline} {figure(old, 1)} mm "
            f"(limit {SAME_TRAVEL_MM:g} mm): the same per cent are other millimetres; read the millimetres first"
        )
        found.append(pair.finds("full_travel_differs", message))
    return tuple(found)


def tyre_pressure_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find ends whose tyre pressures differ by over 0.05 bar."""
    found = []
    for end in ENDS:
        old, new = (item.setup.at(end).number("tyre_pressure_bar") for item in (pair.baseline, pair.candidate))
        if old is None or new is None or not beyond(new - old, TYRE_BAR):
            continue
        baseline, candidate = pair.labels
        message = (
            f"the {end} tyre had {new:.4g} bar with {candidate} and {old:.4g} bar with {baseline}, "
            f"{figure(new - old, 2, signed=True)} bar (limit {TYRE_BAR:g} bar): the tyre is a spring too; set both "
            "alike before every run, unless that is the change under test"
        )
        found.append(pair.finds("tyre_pressure_differs", message))
    return tuple(found)


def load_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find ends that were weighed with unlike sprung masses: no part of the bike, but sag goes by it."""
    found = []
    for end in ENDS:
        old, new = (item.setup.at(end).number("sprung_mass_kg") for item in (pair.baseline, pair.candidate))
        if old is None or new is None or not beyond(new / old - 1, LOAD_SHARE):
            continue
        baseline, candidate = pair.labels
        message = (
            f"the {end} carries {new:.4g} kg with {candidate} and {old:.4g} kg with {baseline} (sprung_mass_kg), "
            f"{figure(100 * (new / old - 1), 0, signed=True)} % (limit {100 * LOAD_SHARE:g} %): sag and damping go by "
            "what is carried, not by the parts alone; weigh both again, with the same rider, pack and battery"
        )
        found.append(pair.finds("load_differs", message))
    return tuple(found)


def _clicks(end: EndSetup) -> Iterator[tuple[str, AdjusterPosition]]:
    for key, setting in end.settings.items():
        if isinstance(setting.value, AdjusterPosition) and setting.value.unit == "clicks":
            yield key, setting.value


def _count(clicks: float) -> str:
    return f"{clicks:g} click{'' if clicks == 1 else 's'}"


def _at_end(position: AdjusterPosition) -> str:
    """Return the words for an adjuster within two clicks of either end; empty where it isn't."""
    of, short = position.of, position.of is not None and position.of < SHORT_RANGE_CLICKS
    limit = 0.0 if short else CLICKS_FROM_END
    range_words = "" if of is None else f" (of {of:g})"
    if position.from_closed <= limit:
        return f"{_count(position.from_closed)} from closed{range_words}"
    if of is not None and of - position.from_closed <= limit:
        return f"{_count(of - position.from_closed)} from open{range_words}"
    return ""


def adjusters_at_end(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find adjusters within two clicks of either end.

    Notes
    -----
    Turns aren't judged. An adjuster with fewer than six clicks in all is judged at its very ends only. An adjuster
    whose range isn't stated is judged at its closed end only.
    """
    found = []
    for item in conditions.setups.values():
        for end in ENDS:
            stand = [
                f"{name_of(key)} {words}" for key, value in _clicks(item.setup.at(end)) if (words := _at_end(value))
            ]
            if stand:
                message = (
                    f"{item.setup.label}, {end}: {', '.join(stand)}; limit {CLICKS_FROM_END:g} clicks from either end: "
                    "there the adjuster has little left and its clicks differ in size; choose oil, shims or spring so "
                    "that it stands mid-range"
                )
                found.append(Finding(code="adjusters_at_end", message=message))
    return tuple(found)
