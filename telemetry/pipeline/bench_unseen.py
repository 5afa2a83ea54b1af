"""What setups state otherwise and no figure of the bench goes by, and what it would take."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import TypeAlias

from telemetry.bench.masses import WITH_MASSES
from telemetry.bench.put_back import RESOLVED, resting
from telemetry.model.bench import SetupBench
from telemetry.model.bench_figures import Figure, FigureAt, Unseen
from telemetry.model.comparison import SetupDifference
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, Place
from telemetry.model.setting import SettingValue
from telemetry.model.setup_keys import DAMPER_ADJUSTERS, IN_GEOMETRY, LEVERAGE_KEYS, SPECS, is_change, part_of

from .paper_differences import needs_of

Values: TypeAlias = Mapping[FigureAt, Figure]
Again: TypeAlias = Callable[[Setup], Values | None]
"""Works a setup out anew, in place of the one of its name; None where its figures contradict each other."""

SHOCK = ("shock_length_mm", "shock_offset_mm")
BY_ROWS = RESOLVED | frozenset(SHOCK)
"""Keys that a linkage and full travel have taken in as the day is read: judged by figures of what follows from them."""
FOLLOWS = ("leverage", "springs", "masses", "geometry")
WEIGHED = frozenset({"mass_kg", "front_share", "sprung_mass_kg", "unsprung_mass_kg", "tyre_stiffness_n_mm"})
SAME_FORCES = (
    "the same damper_points stand for both setups: state those measured with each, at its own adjusters' positions"
)
NO_FORCES = "it takes damper_points of both setups, measured with each"
OF_A_FORK = "it is a fork's"
OF_FORKS = frozenset({"axle_to_crown_mm", "offset_mm", "oil_level_mm"})
OF_THE_OTHER: Mapping[tuple[Place, str], str] = MappingProxyType(
    {
        ("rear", "measured_travel_mm"): "full travel there is what the leverage gives at stroke_mm",
        ("front", "stroke_mm"): "it is a shock's, a fork has travel_mm",
    }
)
BESIDE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "angled_cup_deg": ("axle_to_crown_mm", "offset_mm"),
        "crown_offset_mm": ("offset_mm", "crown_offset_mm"),
        "bottom_bracket_height_mm": ("bottom_bracket_height_mm", "rear_wheel_diameter_mm", "chainstay_mm"),
        "shock_length_mm": ("shock_length_mm",),
    }
)
"""What the first setup or ``[bike.geometry]`` has to state beside it, for a figure of geometry to move others."""
OF_SETUPS = frozenset({"crown_offset_mm", "shock_length_mm"})
"""Of these, which ``[bike.geometry]`` doesn't hold."""
IN_BIKE = ("head_angle_deg", "wheelbase_mm")


def unseen(
    day: RideDay,
    setups: Sequence[SetupBench],
    values: Mapping[str, Values],
    differences: Sequence[SetupDifference],
    again: Again,
) -> Iterator[Unseen]:
    """Yield what differs from the first setup and moves no figure, with what it would take.

    Parameters
    ----------
    day : RideDay
    setups : sequence of SetupBench
        The first before those that are told against it.
    values : mapping of setup to its figures
    differences : sequence of SetupDifference
    again : callable
    """
    first = day.setups[setups[0].name]
    for own in setups[1:]:
        mine = [item for item in differences if item.candidate == own.name]
        rest = _resting(first, day.setups[own.name], mine, values[own.name], again)
        for item in mine:
            by_rows = item.key in BY_ROWS and not _follows(item, values[first.name], values[own.name])
            reason = _reason(day, first, own, item) if by_rows or (item.end, item.key) in rest else None
            if reason is not None:
                yield Unseen(setup=own.name, end=item.end, key=item.key, reason=reason)


def _resting(
    first: Setup, other: Setup, differences: Iterable[SetupDifference], values: Values, again: Again
) -> frozenset[tuple[Place, str]]:
    told = dict(_counting(values))

    def is_same(back: Setup) -> bool:
        found = again(back)
        return found is not None and dict(_counting(found)) == told

    return resting(first, other, [item for item in differences if item.key not in BY_ROWS], is_same)


def _counting(values: Values) -> Iterator[tuple[FigureAt, Figure]]:
    """Yield figures but those that only say again what is stated: oil and adjusters by themselves are no damping."""
    return ((at, own) for at, own in values.items() if at[1] != "damper" or own.unit.startswith("N"))


def _follows(item: SetupDifference, was: Values, now: Values) -> bool:
    """Tell whether figures of what follows from full travel, or from where the rear axle stands, differ."""
    parts = ("geometry",) if item.key in SHOCK else FOLLOWS
    if item.key in SHOCK and _of(was, item.end, ("leverage",)) != _of(now, item.end, ("leverage",)):
        return True
    return any(_of(was, end, parts) != _of(now, end, parts) for end in (item.end, "both"))


def _of(values: Values, end: Place, parts: tuple[str, ...]) -> dict[FigureAt, Figure]:
    return {at: own for at, own in values.items() if at[0] == end and at[1] in parts}


def _reason(day: RideDay, first: Setup, own: SetupBench, item: SetupDifference) -> str | None:
    """Return what it takes; empty where nothing does, None where nothing lacks: the rest says the same already."""
    key, end = item.key, item.end
    of_end = _of_another(key, end)
    if of_end or (key in SPECS and SPECS[key].geometry):
        return of_end or _geometry(day, first, item) or None
    if key in WEIGHED:
        return _lacking(own, (end,) if end != "both" else ENDS, WITH_MASSES) or needs_of(key) or None
    if key in RESOLVED - {*LEVERAGE_KEYS}:
        return _lacking(own, (end,), "springs") or None
    if key in DAMPER_ADJUSTERS and end != "both":
        return _of_clicks(*(setup.at(end).value("damper_points") for setup in (first, day.setups[own.name])))
    needs = needs_of(key) if is_change(key) else ""
    return needs if needs or part_of(key) is None else None


def _of_clicks(was: SettingValue | None, now: SettingValue | None) -> str | None:
    """Return what an adjuster's position takes beside these forces of both dampers; None where it shows in them."""
    if was is None and now is None:
        return NO_FORCES
    return SAME_FORCES if was == now else None


def _of_another(key: str, end: Place) -> str:
    """Return what a key is of that says nothing at that end; empty of others."""
    if end == "rear" and (part_of(key) == "legs" or key in OF_FORKS):
        return OF_A_FORK
    return OF_THE_OTHER.get((end, key), "")


def _lacking(own: SetupBench, ends: Iterable[Place], what: str) -> str:
    held = set(ends)
    return next((item.reason for item in own.absent if item.end in held and item.what == what), "")


def _geometry(day: RideDay, first: Setup, item: SetupDifference) -> str:
    """Return which figures of the bike as measured another geometry lacks to be worked out from."""
    place = {(own_end, key): name for name, (own_end, key) in IN_GEOMETRY.items()}
    beside = BESIDE.get(item.key, (place[item.end, item.key],) if (item.end, item.key) in place else ())
    lacks = [key for key in IN_BIKE if not _is_known(day, first, key)]
    found = [f"{' and '.join(lacks)} in [bike]"] if lacks else []
    gone = [key for key in beside if not _is_known(day, first, key)]
    for where, lacks in (
        ("in [bike.geometry]", [key for key in gone if key not in OF_SETUPS]),
        (f"of {first.label} too", [key for key in gone if key in OF_SETUPS]),
    ):
        found += [f"{' and '.join(lacks)} {where}"] if lacks else []
    return f"it takes {', '.join(found)}" if found else ""


def _is_known(day: RideDay, first: Setup, key: str) -> bool:
    place, own = IN_GEOMETRY.get(key, ("rear" if key == "shock_length_mm" else "both", key))
    held = first.bike if place == "both" else first.at(place).settings
    of_bike = {"head_angle_deg": day.bike.head_angle_deg, "wheelbase_mm": day.bike.wheelbase_mm}
    return key in day.bike.geometry or own in held or of_bike.get(key) is not None
