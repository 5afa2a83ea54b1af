"""One bike over its kept days: what was measured with each setup, and how it was left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from telemetry.errors import CallError

from .catalogue import Catalogue
from .entering import folded
from .held import record_of

MOST_NAMED = 8
ASKED_FIRST = (
    "rider_sag",
    "dynamic_sag",
    "travel_p95",
    "bottom_outs_per_min",
    "friction_band",
    "damping_ratio",
    "rebound_speed_10_per_min",
    "chassis_acceleration_10_per_min",
)
"""What a bike is asked about over time, first; own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastValue:
    """A measure under one setup of one day: the mean of `n` runs or recordings, low and high of its 95 % interval.

    The interval is of that day's runs alone, by Student's t; None with one run.
    """

    day: str
    date: str
    setup: str
    value: float
    n: int
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PastMeasure:
    """One measure at one end, by date."""

    measure: str
    end: str
    unit: str
    values: tuple[PastValue, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A bike's kept days, by date."""

    bike: str
    days: tuple[str, ...]
    measures: tuple[PastMeasure, ...]

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry history --json`."""
        rows = [asdict(row) | {"values": [asdict(value) for value in row.values]} for row in self.measures]
        return {"bike": self.bike, "days": list(self.days), "measures": rows}


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftSetting:
    """A setting on the bike as it was left; `value` is in `unit`, a text where it is no number."""

    end: str
    key: str
    words: str
    value: float | str
    unit: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AsLeft:
    """What was on a bike at the end of its last kept day."""

    bike: str
    day: str
    date: str
    setup: str
    label: str
    settings: tuple[LeftSetting, ...]

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry settings --json`."""
        return asdict(self) | {"settings": [asdict(row) for row in self.settings]}


def bike_named(catalogue: Catalogue, asked: str) -> str:
    """Return the bike that is meant, folded: by its whole name, else by the only one that holds what is asked.

    Raises
    ------
    CallError
        If none does, or several.
    """
    part = folded(asked)
    rows = catalogue.db.execute(
        "SELECT bike_folded, max(bike) FROM versions WHERE newest AND bike_folded != '' AND instr(bike_folded, ?) "
        "GROUP BY bike_folded ORDER BY bike_folded LIMIT ?",
        (part, MOST_NAMED + 1),
    ).fetchall()
    names = {name: shown for name, shown in rows if part}
    exact = catalogue.db.execute("SELECT 1 FROM versions WHERE newest AND bike_folded = ?", (part,)).fetchone()
    if part and exact is not None:
        return part
    if len(names) == 1:
        return str(next(iter(names)))
    where = str(catalogue.store.root)
    if not names:
        raise CallError(where, f"no bike {asked!r}", "the name of a kept day's bike", "`telemetry find` lists them")
    shown = ", ".join(list(names.values())[:MOST_NAMED]) + (" and more" if len(names) > MOST_NAMED else "")
    raise CallError(where, f"several bikes that hold {asked!r}: {shown}", "one of them", "write more of its name")


def history(catalogue: Catalogue, asked: str, measures: Sequence[str] = ()) -> History:
    """Return what was measured of a bike, day by day and setup by setup.

    Parameters
    ----------
    catalogue : Catalogue
    asked : str
        The bike's name, or a part that no other's holds.
    measures : sequence of str
        Only these; empty: all.

    Raises
    ------
    CallError
        If there is no such bike, or several.
    """
    bike = bike_named(catalogue, asked)
    days = catalogue.db.execute(
        "SELECT v.key, d.id, d.date, v.bike FROM versions v JOIN days d ON v.day = d.key "
        "WHERE v.newest AND v.bike_folded = ? ORDER BY d.date, d.id",
        (bike,),
    ).fetchall()
    rows = catalogue.db.execute(
        "SELECT m.measure, m.end, m.unit, d.id, d.date, s.name, x.value, x.n, x.half "
        "FROM versions v JOIN days d ON v.day = d.key JOIN setups s ON s.version = v.key "
        "JOIN measured x ON x.setup = s.key JOIN measures m ON x.measure = m.key "
        "WHERE v.newest AND v.bike_folded = ? ORDER BY d.date, d.id, s.place",
        (bike,),
    )
    found: dict[tuple[str, str, str], list[PastValue]] = {}
    for measure, end, unit, day, date, setup, value, n, half in rows:
        low, high = (None, None) if half is None else (value - half, value + half)
        past = PastValue(day=day, date=date, setup=setup, value=value, n=n, low=low, high=high)
        if not measures or measure in measures:
            found.setdefault((measure, end, unit), []).append(past)
    by_measure = sorted(found.items(), key=lambda row: _in_order(*row[0]))
    told = (PastMeasure(measure=m, end=e, unit=u, values=tuple(own)) for (m, e, u), own in by_measure)
    if measures and not found:
        where, what = str(catalogue.store.root), ", ".join(measures)
        raise CallError(where, f"no {what} of {asked!r}", "a measure that was kept", "without --measure all are named")
    return History(bike=days[-1][3], days=tuple(row[1] for row in days), measures=tuple(told))


def _in_order(measure: str, end: str, unit: str) -> tuple[int, str, int, str]:
    """Return what measures are sorted by: the handbook's order, whichever was kept first."""
    from telemetry.model.catalogue import SPECS  # noqa: PLC0415 - slow to load, needed by few
    from telemetry.model.finding import ENDS  # noqa: PLC0415 - as above

    places = {name: place for place, name in enumerate(SPECS)}
    at = ENDS.index(end) if end in ENDS else len(ENDS)
    return places.get(measure.partition("@")[0], len(places)), measure, at, unit


def settings(catalogue: Catalogue, asked: str) -> AsLeft:
    """Return how a bike was left on its last kept day that says so.

    Raises
    ------
    CallError
        If there is no such bike, or several, or no day tells.
    """
    bike = bike_named(catalogue, asked)
    row = catalogue.db.execute(
        "SELECT d.id, v.number FROM versions v JOIN days d ON v.day = d.key JOIN setups s ON s.version = v.key "
        "WHERE v.newest AND s.is_left AND v.bike_folded = ? ORDER BY d.date DESC, v.kept_at DESC, d.id DESC LIMIT 1",
        (bike,),
    ).fetchone()
    if row is None:
        where = str(catalogue.store.root)
        raise CallError(where, f"no run of {asked!r}", "a day that tells how it was left", "keep one with its runs")
    kept = record_of(catalogue, *row)
    left = next(setup for setup in kept.setups if setup.left)
    told = tuple(
        LeftSetting(
            end=item.end,
            key=item.key,
            words=item.words,
            value=item.entered if item.number is None else item.number,
            unit=item.unit,
            entered=item.entered,
        )
        for item in left.settings
    )
    return AsLeft(bike=kept.bike, day=kept.id, date=kept.date, setup=left.name, label=left.label, settings=told)
