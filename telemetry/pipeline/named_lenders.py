"""Earlier days that a day names: read once, then kept in the user's cache."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from telemetry.errors import CallError, TelemetryError
from telemetry.files import readable_name, write_text
from telemetry.model.day import RideDay
from telemetry.model.earlier import DayLeftOut, EarlierDay
from telemetry.model.measure import MeasureAt
from telemetry.own_folders import cache_folder
from telemetry.planning import DaySpread
from telemetry.ride_day import read_ride_day
from telemetry.ride_day.comparison_tables import FEWEST_EARLIER_DAYS

from .lenders import DEFINITIONS, Lenders, spreads_of
from .studying import study


def named_lenders(day: RideDay, files: Sequence[Path]) -> Lenders:
    """Return the days of ``[comparison] spread_from``; one that can't be used is left out while three are left.

    Which can be used is no matter of what they say, so leaving one out picks none by its spread.

    Parameters
    ----------
    day : RideDay
    files : sequence of Path
        Three or more.

    Raises
    ------
    CallError
        Where fewer than three can be used, naming the key of the first that can't.
    """
    found, wrong = {}, dict[Path, tuple[int, TelemetryError]]()
    for place, file in enumerate(files, 1):
        try:
            found[file] = _lender(file, day)
        except TelemetryError as error:
            wrong[file] = place, error
    if len(found) < FEWEST_EARLIER_DAYS:
        place, first = next(iter(wrong.values()))
        where = f"{day.path}, comparison.spread_from[{place}]"
        remedy = "mend it, or name another"
        raise CallError(where, f"a day that can't be used ({first.line})", "a day with usable runs", remedy) from None
    return Lenders(
        source="spread_from",
        days=tuple(own for own, _ in found.values()),
        spreads=tuple(spreads for _, spreads in found.values()),
        left_out=tuple(
            DayLeftOut(day=f"spread_from[{place}]", date="", reason=f"it can't be used: {why.found}")
            for place, why in wrong.values()
        ),
    )


def _name(file: Path) -> str:
    return readable_name(file.resolve().parent.name)


def _lender(file: Path, today: RideDay) -> tuple[EarlierDay, dict[MeasureAt, DaySpread]]:
    """Return one earlier day and its residual variances, from the cache where the same files were read before."""
    earlier = replace(read_ride_day(file), cutoff_hz=today.cutoff_hz)  # cleaned as today is
    own = EarlierDay(day=_name(file), date=earlier.date.isoformat())
    place = _kept_at(earlier)
    found = _taken_up(place)
    if found is not None:
        return own, found
    done = study(earlier)
    found = spreads_of(done)
    if not done.unread:
        _keep(place, found)
    lost = tuple(run.entry.name for run in done.runs if done.rides.logs.why_not(run.entry) is not None)
    return replace(own, without=lost), found


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
