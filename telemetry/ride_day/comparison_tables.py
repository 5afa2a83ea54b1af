"""What the tuner wants compared and planned: baseline, focus, smallest changes, spread."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

from telemetry.errors import CallError
from telemetry.model.catalogue import FAMILY, SPECS
from telemetry.model.day import ComparisonSettings, RideDay, SmallestChange
from telemetry.model.finding import ENDS
from telemetry.model.measure import MeasureAt
from telemetry.model.plan_settings import PlanSettings
from telemetry.model.wish import EndWish, Row, Wish
from telemetry.model.within import AT, parted, within
from telemetry.toml_problems import nearest, path_of, shown
from telemetry.toml_tables import made
from telemetry.words import counted

from . import tables as t
from .file import FILE_NAME, find_ride_day
from .problems import Problems
from .smallest_change import forms, parse_smallest_change

MOST_FOCUS = 3
FEWEST_EARLIER_DAYS = 3
MOST_EARLIER_DAYS = 50
IN_PLACE_OF_LOOKS = (
    "planned_runs in its place: the runs of each setup you mean to ride before a verdict, 3 or [3, 6]; with fewer "
    "there is none"
)
PLACES = (*ENDS, "both")
_FAMILY = frozenset(spec.name for spec in FAMILY)


def read_comparison(
    table: t.ComparisonTable, setups: Collection[str], file: Path, places: Collection[str], problems: Problems
) -> ComparisonSettings:
    """Return the ``[comparison]`` table, checked. `spread_from` may lead out of the file's folder.

    Parameters
    ----------
    table : ComparisonTable
    setups : collection of str
    file : Path
    places : collection of str
        Parts of the ride that measures may be taken within: phases, and the day's stretches of trail.
    problems : Problems
    """
    named = table.named_at
    if table.planned_looks is not None:
        problems.add("comparison.planned_looks", shown(table.planned_looks), IN_PLACE_OF_LOOKS)
    return made(
        ComparisonSettings,
        table,
        baseline=_setup(table.baseline, "comparison.baseline", setups, problems),
        candidates=_candidates(table, setups, problems),
        focus=_focus(table.focus, places, problems),
        smallest_change=MappingProxyType(_smallest_changes(table.smallest_change, places, problems)),
        named_at=None if named is None else named.replace(tzinfo=None),
        planned_runs=_planned_runs(table.planned_runs, problems),
        spread_from=_earlier_days(table.spread_from, file, problems),
    )


def _setup(name: str | None, key: str, setups: Collection[str], problems: Problems) -> str | None:
    if name is not None and name not in setups:
        problems.add(key, f"unknown setup {name!r}", nearest(name, setups, "a setup of [setups]"))
    return name


def _candidates(table: t.ComparisonTable, setups: Collection[str], problems: Problems) -> tuple[str, ...]:
    listed = [(name, path_of(("comparison", "candidates", place))) for place, name in enumerate(table.candidates or [])]
    if table.candidate is not None:
        listed.append((table.candidate, "comparison.candidate"))
        if table.candidates is not None:
            problems.add("comparison.candidate", "candidate beside candidates", "one of the two")
    seen: dict[str, None] = {}
    for name, key in listed:
        _setup(name, key, setups, problems)
        if name == table.baseline:
            problems.add(key, f"{name!r}, the baseline itself", "another setup")
        elif name in seen:
            problems.add(key, f"{name!r} again", "each candidate once")
        seen[name] = None
    return tuple(seen)


def _focus(texts: list[str], places: Collection[str], problems: Problems) -> tuple[Row, ...]:
    if len(texts) > MOST_FOCUS:
        problems.add("comparison.focus", f"{len(texts)} measures", f"at most {MOST_FOCUS}")
    rows: dict[Row, None] = {}
    for place, text in enumerate(texts):
        key = path_of(("comparison", "focus", place))
        row = _row(text, key, places, problems)
        if row in rows:
            problems.add(key, f"{text!r} again", "each measure once")
        if row is not None:
            rows[row] = None
    return tuple(rows)


def read_wish(table: t.WishTable, problems: Problems) -> Wish:
    """Return the ``[wish]`` table, checked: measures of travel that are compared, each once."""
    seen: dict[MeasureAt, str] = {}
    found: dict[str, tuple[Row, ...]] = {}
    for way in ("less", "more", "keep"):
        texts = getattr(table, way)
        rows = []
        for place, text in enumerate([texts] if isinstance(texts, str) else texts):
            key = f"wish.{way}" if isinstance(texts, str) else path_of(("wish", way, place))
            row = _wished(text, key, problems)
            if row is None:
                continue
            own = [(row[0], end) for end in SPECS[row[0]].ends if row[1] in (None, end)]
            before = next((seen[at] for at in own if at in seen), None)
            if before is not None:
                problems.add(key, f"{text!r}, which is in {before} too", "each measure once at each end")
            else:
                rows.append(row)
                seen |= dict.fromkeys(own, way)
        found[way] = tuple(rows)
    front, rear = made(EndWish, table.front), made(EndWish, table.rear)
    nothing = not (table.less or table.more) and (table.keep or front == rear == EndWish())
    if nothing and not problems.any_beneath("wish"):
        expected = 'less = "hit_depth_10_per_min:front", or more; or sag_percent or damping_ratio in [wish.front]'
        problems.add("wish", "nothing wished for", expected)
    return Wish(less=found["less"], more=found["more"], keep=found["keep"], front=front, rear=rear)


def _wished(text: str, key: str, problems: Problems) -> Row | None:
    """Return a row of a wish; None with a problem where rides on paper don't tell it."""
    if AT in text:
        problems.add(key, text, "a measure of the whole ride: what happens in parts of it isn't predicted")
        return None
    row = _row(text, key, (), problems)
    if row is not None and SPECS[row[0]].by != "travel":
        problems.add(key, text, "a measure of travel, such as dynamic_sag:front: acceleration isn't predicted")
        return None
    return row


def check_focus(day: RideDay, problems: Problems) -> None:
    """Refuse a focus on acceleration at ends where it isn't compared: it would decide nothing, without a word."""
    for place, (name, end) in enumerate(day.comparison.focus):
        spec = SPECS[parted(name)[0]]
        ends = {end} if end else set(spec.ends)
        if spec.by == "acceleration" and not ends & day.ends_by_acceleration:
            read = ends & day.travel_ends
            why = "where travel is read" if read else "where no inertial sensor is stated"
            problems.add(
                path_of(("comparison", "focus", place)),
                f"{spec.name} {why}: measured, not compared" if read else f"{spec.name} {why}",
                "a measure of travel, such as dynamic_sag" if read else "an end with an inertial sensor",
            )


def _row(text: str, key: str, places: Collection[str], problems: Problems) -> Row | None:
    """Return a measure and end from ``dynamic_sag``, ``dynamic_sag:front`` or ``dynamic_sag:front@braking``.

    ``dynamic_sag@braking:front`` is the same as the last; None with a problem.
    """
    stated, at, place = text.partition(AT)
    name, _, end = stated.partition(":")
    if at and not end and place.rpartition(":")[2] in PLACES:
        place, _, end = place.rpartition(":")
    if name not in _FAMILY:
        found = f"{name!r}, which is measured but never compared" if name in SPECS else f"unknown measure {name!r}"
        problems.add(key, found, nearest(name, _FAMILY, "a measure that gets verdicts"))
        return None
    if end and end not in SPECS[name].ends:
        problems.add(key, f"end {end!r} of {name}", " or ".join(SPECS[name].ends))
        return None
    if at and place not in places:
        expected = nearest(place, places, "a phase of the ride, or a name under [[stretches]]")
        problems.add(key, f"unknown place {place!r}", expected)
        return None
    return (within(name, place) if at else name), end or None


def _smallest_changes(
    table: Mapping[str, object], places: Collection[str], problems: Problems
) -> dict[Row, SmallestChange]:
    changes: dict[Row, SmallestChange] = {}
    for text, amount in table.items():
        key = f"comparison.smallest_change.{text}"
        row = _row(text, key, places, problems)
        if row is None:
            continue
        change = parse_smallest_change(amount, SPECS[row[0]])
        if change is None:
            problems.add(key, shown(amount), f"an amount with its unit: {forms(SPECS[row[0]], amount)}")
        else:
            changes[row] = change
    return changes


def read_plan(table: t.PlanTable, file: Path, places: Collection[str], problems: Problems) -> PlanSettings:
    """Return the ``[plan]`` table, checked; `places` as of `read_comparison`.

    `spread_from` alone may lead out of the file's folder.
    """
    spread: dict[Row, float] = {}
    for text, value in table.spread.items():
        key = f"plan.spread.{text}"
        row = _row(text, key, places, problems)
        if value <= 0:
            problems.add(key, f"{value:g}", "a standard deviation above 0, in the measure's unit")
        elif row is not None:
            spread[row] = value
    other = None if table.spread_from is None else _other_day(table.spread_from, file, problems)
    return made(PlanSettings, table, spread=MappingProxyType(spread), spread_from=other)


def _planned_runs(stated: int | list[int] | None, problems: Problems) -> tuple[int, ...]:
    planned = (stated,) if isinstance(stated, int) else tuple(stated or ())
    if stated == [] or any(one >= other for one, other in pairwise(planned)):
        problems.add("comparison.planned_runs", shown(stated), "one number of runs of each, or several, each larger")
    return planned


def _earlier_days(texts: list[str] | None, file: Path, problems: Problems) -> tuple[Path, ...] | None:
    if not texts:
        return None if texts is None else ()
    if not FEWEST_EARLIER_DAYS <= len(texts) <= MOST_EARLIER_DAYS:
        expected = f"{FEWEST_EARLIER_DAYS} to {MOST_EARLIER_DAYS} earlier days: fewer don't tell how far days differ"
        problems.add("comparison.spread_from", counted(len(texts), "day"), expected)
        return ()
    found: dict[Path, None] = {}
    for place, text in enumerate(texts):
        key = path_of(("comparison", "spread_from", place))
        other = _other_day(text, file, problems, key)
        if other is not None and other.resolve() in found:
            problems.add(key, f"{text!r} again", "each day once")
        elif other is not None:
            found[other.resolve()] = None
    return tuple(found)


def _other_day(text: str, file: Path, problems: Problems, key: str = "plan.spread_from") -> Path | None:
    expected = f"the path of another day's {FILE_NAME}"
    try:
        other = find_ride_day(file.parent / text)
    except CallError as error:
        problems.add(key, f"{text!r}: {error.found}", expected)
        return None
    except ValueError:  # a null byte
        problems.add(key, repr(text), expected)
        return None
    if not text.strip() or other.samefile(file):
        problems.add(key, f"{text!r}, this day itself", expected)
    return other
