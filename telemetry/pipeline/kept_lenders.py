"""Kept days of the same bike that lend a day their spread, chosen by what was kept before its first run."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import cast

from telemetry import library
from telemetry.errors import CallError
from telemetry.files import Stamp, stamp
from telemetry.library import Catalogue, Lender, folded
from telemetry.model.day import RideDay
from telemetry.model.earlier import DayLeftOut, EarlierDay
from telemetry.model.finding import Place
from telemetry.planning import DaySpread
from telemetry.ride_day.comparison_tables import FEWEST_EARLIER_DAYS, MOST_EARLIER_DAYS

from .conditions import Dates, first_start
from .lenders import DEFINITIONS, Lenders
from .low_pass import LOWERED_TIMES
from .studied import Study

LOGS_REMEMBERED = 256


def with_kept_days(day: RideDay, folder: str | os.PathLike[str] | None) -> RideDay:
    """Return a day that borrows from the days kept in a folder; from none at all with None.

    Parameters
    ----------
    day : RideDay
    folder : str or path, or None
        Of a library. A day whose file states ``spread_from`` borrows from those days, whatever is kept.

    Examples
    --------
    >>> import telemetry
    >>> day = telemetry.with_kept_days(telemetry.read_ride_day("sample_runs/lower_leg_oil"), None)
    >>> telemetry.compare(day).earlier.days
    ()
    """
    own = day.comparison
    if folder is None:
        return replace(day, comparison=replace(own, spread_from=()))
    return replace(day, comparison=replace(own, kept_in=library.library_folder(folder)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """When a day's riding began: its date, and the time of day where that is known, on the clock of the place.

    `ridden`: whether it has begun at all.
    """

    date: str
    at: dt.datetime | None
    ridden: bool

    def is_after(self, kept_at: str) -> bool:
        """Tell whether it began after something was kept: on a later date, where its time of day isn't known."""
        kept = dt.datetime.fromisoformat(kept_at).astimezone().replace(tzinfo=None)
        if not self.ridden:
            return True
        return kept.date().isoformat() < self.date if self.at is None else kept < self.at


def _begun(day: RideDay, done: Study | None) -> Begun:
    if done is None or not day.runs:
        return Begun(date=day.date.isoformat(), at=None, ridden=bool(day.runs))
    dates = Dates(day)
    known = first_start(done, dates)
    date = min(dates.of(run) for run in day.runs)
    return Begun(date=date.isoformat(), at=None if known is None else known[1], ridden=True)


def kept_lenders(day: RideDay, done: Study | None) -> Lenders:
    """Return the kept days that lend to a day, and why others of the bike don't.

    Parameters
    ----------
    day : RideDay
    done : Study or None
        The same day studied; without it, its date stands for when riding began.

    Raises
    ------
    CallError
        If a library was asked for that can't be looked into; one that is there by itself is told in the answer.

    Notes
    -----
    The days of the same bike and trail, of an earlier date, each as its last version kept before this day's first run
    says; the 50 latest. Nothing that is kept later alters them, nor what any of them says of its spread. Where no clock
    tells when the first run began, or the library was begun after it, a day kept on this one's date or later stands,
    marked, as its newest version.
    """
    asked = day.comparison.kept_in
    root = asked or library.library_folder()
    try:
        if not day.bike.name or (asked is None and not library.is_begun(root)):
            return Lenders()
        with library.reading(root) as catalogue:
            return _chosen(catalogue, _Today(day, done))
    except CallError as error:
        if asked is not None:
            raise
        return Lenders(source="library", why_none=f"the kept days can't be looked at: {error.found}")


class _Today:
    """What a day is held against kept ones by."""

    def __init__(self, day: RideDay, done: Study | None) -> None:
        self.day, self.begun = day, _begun(day, done)
        self.bike, self.trail = folded(day.bike.name), folded(day.trail)
        riders = {run.rider or day.rider for run in day.runs} or {day.rider}
        self.riders = {folded(rider) for rider in riders if rider}
        self.customer = folded(day.customer.get("name", ""))
        known = done is not None and any(run.usable for run in done.runs)
        self.low_pass_hz = done.rides.low_pass.cutoff_hz if known and done is not None else None

    def why_not(self, catalogue: Catalogue, kept: Lender) -> str:
        """Return why a kept day isn't like this one; empty where it is."""
        riders = {rider for rider in kept.riders if rider}
        reasons = {
            "on another trail": kept.trail != self.trail or not self.trail,
            "ridden by another": bool(riders and self.riders and riders != self.riders),
            "another customer's": bool(kept.customer and self.customer and kept.customer != self.customer),
            "measured by other definitions": kept.definitions != DEFINITIONS,
            "no setup was ridden twice, or it isn't known how far its runs scatter": not kept.has_spread,
            f"smoothed at {kept.low_pass_hz:.3g} Hz": not self._is_cleaned_alike(kept),
        }
        found = next((reason for reason, holds in reasons.items() if holds), "")
        return found or ("it holds a log of this day" if self._shares_log(catalogue, kept) else "")

    def _is_cleaned_alike(self, kept: Lender) -> bool:
        if kept.asked_cutoff_hz != self.day.cutoff_hz:
            return False
        if self.low_pass_hz is None or not kept.low_pass_hz:
            return True
        return max(self.low_pass_hz, kept.low_pass_hz) <= LOWERED_TIMES * min(self.low_pass_hz, kept.low_pass_hz)

    def _shares_log(self, catalogue: Catalogue, kept: Lender) -> bool:
        logs = {log for run in self.day.runs for log in (run.log, run.rear_log) if log is not None}
        contents = {_content(log, stamp(log)) for log in logs} - {""}
        return library.holds_any(catalogue, kept.key, contents)


@lru_cache(maxsize=LOGS_REMEMBERED)
def _content(log: Path, _stamp: Stamp | None) -> str:
    """Return the SHA-256 of a log, read once as it stands; empty where it can't be read."""
    try:
        with log.open("rb") as handle:
            return hashlib.file_digest(handle, "sha256").hexdigest()
    except OSError:
        return ""


def _chosen(catalogue: Catalogue, today: _Today) -> Lenders:
    stems = today.day.comparison.kept_days
    kept = library.lenders(catalogue, today.day.bike.name, today.begun.date)
    first = library.begun_at(catalogue)
    is_younger = bool(first) and today.begun.at is not None and not today.begun.is_after(first)
    if stems is None:
        in_time, left = _in_time(kept, today, judged=today.begun.at is not None and not is_younger)
    else:
        in_time, left = _as_then(kept, stems)
    alike: list[Lender] = []
    for one in reversed(in_time):
        if len(alike) == MOST_EARLIER_DAYS:
            break  # older ones aren't needed
        why = today.why_not(catalogue, one)
        if why:
            left.append(DayLeftOut(day=one.id, date=one.date, reason=why))
        else:
            alike.insert(0, one)
    left.sort(key=lambda own: (own.date, own.day))
    if len(alike) < FEWEST_EARLIER_DAYS:
        why_none = _too_few(alike, left, today)
        return Lenders(source="library" if why_none else "", left_out=tuple(left), why_none=why_none)
    return Lenders(
        source="library",
        days=tuple(
            EarlierDay(
                day=one.id, date=one.date, version=one.number, perhaps_late=not today.begun.is_after(one.kept_at)
            )
            for one in alike
        ),
        spreads=tuple(
            {
                (row.measure, cast(Place, row.end)): DaySpread(variance=row.variance, nu=row.nu)
                for row in library.spreads(catalogue, one.key)
            }
            for one in alike
        ),
        left_out=tuple(left),
        library_is_younger=is_younger,
    )


def _too_few(alike: Sequence[Lender], left: Sequence[DayLeftOut], today: _Today) -> str:
    if not alike and not left:
        return ""
    if not today.trail:
        return "kept days lend only to a day that states its trail"
    return f"of this bike's kept days {len(alike) or 'none'} can lend theirs, {FEWEST_EARLIER_DAYS} are needed"


def _in_time(kept: Sequence[Lender], today: _Today, *, judged: bool) -> tuple[list[Lender], list[DayLeftOut]]:
    """Return each day's last version kept before the riding began, and days that have none.

    A version that says it was another bike's is passed over with its day. Where it can't be `judged` what was kept
    before, a day that wasn't stands as its newest version.
    """
    found, late, begun = [], [], today.begun
    for _, versions in groupby(kept, key=lambda one: one.id):
        of_day = list(versions)
        before = [one for one in of_day if begun.is_after(one.kept_at)]
        if before or not judged:
            last = (before or of_day)[-1]
            found += [last] if last.bike == today.bike else []
        else:
            first = of_day[0]
            late.append(DayLeftOut(day=first.id, date=first.date, reason="kept after this day's first run"))
    return found, late


def _as_then(kept: Sequence[Lender], stems: Sequence[str]) -> tuple[list[Lender], list[DayLeftOut]]:
    """Return the versions that a kept day was compared with, and those that aren't kept any more."""
    by_stem = {one.stem: one for one in kept}
    gone = [
        DayLeftOut(day=stem.rpartition(".")[0], date=stem[: len("2026-05-16")], reason="not kept any more")
        for stem in stems
        if stem not in by_stem
    ]
    return [by_stem[stem] for stem in stems if stem in by_stem], gone
