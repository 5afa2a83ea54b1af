"""What earlier days say of how far runs of one setup scatter; read once, then kept in the user's cache."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from telemetry.errors import CallError, TelemetryError
from telemetry.files import write_text
from telemetry.model.catalogue import FAMILY_ROWS, compared_rows
from telemetry.model.day import RideDay
from telemetry.model.measure import MeasureAt
from telemetry.model.plan import RunsOf
from telemetry.own_folders import cache_folder
from telemetry.planning import Borrowed, DaySpread, borrowed, by_setup, pooled_spread
from telemetry.ride_day import read_ride_day

from .analysing import require_all_read
from .studying import study
from .valuing import valued

DEFINITIONS = 2
"""Raised with every change of a measure's definition or of the rule: what was kept before is read anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What the named earlier days lend.

    Attributes
    ----------
    borrowed : mapping of (measure, end) to Borrowed
        Rows that three days or more tell of.
    days : int
    """

    borrowed: Mapping[MeasureAt, Borrowed]
    days: int


NONE = Earlier(borrowed=MappingProxyType({}), days=0)


def earlier_days(day: RideDay) -> Earlier:
    """Return what the days of ``[comparison] spread_from`` lend to a day.

    Parameters
    ----------
    day : RideDay

    Raises
    ------
    CallError
        Where such a day can't be used, naming the key.
    """
    files = day.comparison.spread_from
    if not files:
        return NONE
    kept = [_spreads(file, f"{day.path}, comparison.spread_from[{place}]", day) for place, file in enumerate(files, 1)]
    rows = [[found[row] for found in kept if row in found] for row in _ROWS]
    lent = borrowed(rows)
    return Earlier(
        borrowed=MappingProxyType({row: item for row, item in zip(_ROWS, lent, strict=True) if item is not None}),
        days=len(files),
    )


_ROWS: tuple[MeasureAt, ...] = tuple((spec.name, end) for spec, end in FAMILY_ROWS if spec.scale != "count")


def _spreads(file: Path, where: str, today: RideDay) -> dict[MeasureAt, DaySpread]:
    """Return one earlier day's residual variances, from the cache where the same files were read before."""
    try:
        earlier = replace(read_ride_day(file), cutoff_hz=today.cutoff_hz)  # cleaned as today is
        place = _kept_at(earlier)
        found = _taken_up(place)
        if found is None:
            found = _measured(earlier)
            _keep(place, found)
    except TelemetryError as error:
        remedy = "mend it, or name another"
        raise CallError(where, f"a day that can't be used ({error.line})", "a day with usable runs", remedy) from None
    return found


def _measured(day: RideDay) -> dict[MeasureAt, DaySpread]:
    done = study(day)
    require_all_read(done.unread)
    runs = tuple(run for run in done.runs if run.usable)
    found = valued(done, runs, None)
    spreads = {}
    for spec, end in compared_rows(day.ends_by_acceleration):
        values = [(run.entry, found.values[run.entry.name][spec.name, end].value) for run in runs]
        told = [(entry, value) for entry, value in values if value is not None]
        of_row = RunsOf(
            source="another day",
            setups=tuple(entry.setup for entry, _ in told),
            orders=tuple(entry.order for entry, _ in told),
            values=tuple(value for _, value in told),
        )
        spread = None if spec.scale == "count" else pooled_spread(by_setup(of_row, log=spec.scale == "log"))
        if spread is not None and spread.s > 0 and spread.nu is not None:
            spreads[spec.name, end] = DaySpread(variance=spread.s**2, nu=spread.nu)
    return spreads


def _kept_at(day: RideDay) -> Path:
    """Return the file of the cache for a day as it stands: its own file, every log, cut-off and definitions."""
    curves = [setup.rear.leverage for setup in day.setups.values()]
    content = hashlib.sha256(f"{DEFINITIONS} {day.cutoff_hz!r} {curves!r}\n".encode() + day.source)
    for file in sorted(day.logs):
        with suppress(OSError), file.open("rb") as handle:  # what can't be read is told when it is needed
            content.update(f"\n{file.name}\n".encode() + hashlib.file_digest(handle, "sha256").digest())
    return cache_folder() / "earlier_days" / f"{content.hexdigest()}.json"


def _taken_up(place: Path) -> dict[MeasureAt, DaySpread] | None:
    """Return what was kept; None where nothing was, or it can't be read."""
    try:
        rows = json.loads(place.read_text(encoding="utf-8"))
        return {(name, end): DaySpread(variance=float(s2), nu=float(nu)) for name, end, s2, nu in rows}
    except (OSError, ValueError, TypeError):
        return None


def _keep(place: Path, found: Mapping[MeasureAt, DaySpread]) -> None:
    """Keep what a day gave; where that can't be written it is worked out again next time."""
    rows = [[name, end, spread.variance, spread.nu] for (name, end), spread in found.items()]
    with suppress(OSError, TelemetryError):
        place.parent.mkdir(parents=True, exist_ok=True)
        write_text(place, json.dumps(rows))
