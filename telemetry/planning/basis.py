"""What a row is planned from: its spread on the scale of comparison, and where that is from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from telemetry.model.plan import MOST_RUNS, RunsOf, SpreadSource
from telemetry.statistics.counting import Counted, overdispersion
from telemetry.statistics.difference import DOES_NOT_VARY
from telemetry.statistics.runs_needed import detectable_change, fewest, runs_for_both, upper_spread
from telemetry.statistics.scale import Measuring, margin
from telemetry.words import counted, decimals, figure, shown_unit

from .counts import detectable_count_change, runs_for_counts, upper_counts
from .rows import JudgedBy, PlanRow
from .spread import CountSpread, Spread, by_setup, pooled_spread, stated_on_log

NO_LEVEL = "a stated spread of it needs its level too, which comes from a run or from another day (spread_from)"
NO_RATE = "a rare event is planned from its rate: ride a run, or name another day (spread_from)"
ONE_WAY_COUNT = "a rare event gets no verdict where all runs of one setup come before the other's"
NO_EVENT = "it never happened in the runs it would be planned from"
NO_SOURCE = "no spread: state one, name another day (spread_from), or ride two runs of a setup"

DEFAULT_SPREADS: Mapping[str, float] = MappingProxyType(
    {
        "dynamic_sag": 0.5,
        "travel_p95": 0.8,
        "hit_depth_10_per_min": 0.8,
        "hits_per_min": 0.04,
        "compression_speed_10_per_min": 0.05,
        "rebound_speed_10_per_min": 0.04,
        "recovery_time": 0.06,
        "packing": 1.0,
        "sag_difference": 0.7,
        "compression_speed_ratio": 0.06,
        "rebound_speed_ratio": 0.05,
        "wheel_acceleration_rms": 0.05,
        "chassis_acceleration_rms": 0.05,
        "wheel_acceleration_10_per_min": 0.06,
        "chassis_acceleration_10_per_min": 0.06,
        "fast_shaking_passed_on": 0.02,
        "moved_compression_speed_10_per_min": 0.05,
        "moved_rebound_speed_10_per_min": 0.04,
        "moved_length_10_per_min": 0.05,
        "unloaded_share": 0.8,
    }
)
"""Run-to-run standard deviation on the scale of comparison: points, mm a hit, shares (0.04 is 4 %). Own choice: wider
than simulated riders scatter. Rare events have none: they are planned from their rate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """A row's spread, and the smallest change that matters, on the scale of comparison.

    Attributes
    ----------
    measuring : Measuring or None
        Back to the measure's unit; None where its level isn't known.
    margin : float
    """

    spread: Spread | CountSpread
    measuring: Measuring | None
    margin: float
    source: SpreadSource
    words: str
    where: str

    @property
    def unlent(self) -> Basis:
        """The same without what earlier days will lend to the day."""
        if isinstance(self.spread, CountSpread) or not self.spread.lent_nu:
            return self
        return replace(self, spread=replace(self.spread, lent_nu=0.0))

    def runs(self, by: JudgedBy, *, upper: bool = False) -> int | None:
        """Return the runs of each that give both chances, 2 to 30; None where 30 don't."""
        if isinstance(self.spread, CountSpread):
            found = upper_counts(self.spread) if upper else self.spread
            return runs_for_counts(found, self.margin, by.level, most=MOST_RUNS, inner_level=by.inner_level)
        s = self.spread.s if not upper or self.spread.nu is None else upper_spread(self.spread.s, self.spread.nu)
        lent_nu = self.spread.lent_nu

        def needed(times: float, most: int) -> int | None:
            return runs_for_both(
                s * times, self.margin, by.level, most=most, inner_level=by.inner_level, further_nu=lent_nu
            )

        if not by.one_way:
            return needed(1.0, MOST_RUNS)
        return fewest(lambda n: by.allows(n) and needed(by.times(n), n) is not None, MOST_RUNS)

    def detectable(self, runs_each: int, by: JudgedBy) -> float | None:
        """Return the change seen with an 80 % chance, on the scale; None where none is."""
        if isinstance(self.spread, CountSpread):
            return detectable_count_change(self.spread, runs_each, by.level)
        if not by.allows(runs_each):
            return None
        return detectable_change(runs_each, self.spread.s * by.times(runs_each), by.level, self.spread.lent_nu)


def _centre(row: PlanRow) -> float | None:
    """Return the measure's level: of this day's baseline, else of all its runs, else of another day's."""
    for runs in row.ridden:
        groups = by_setup(runs, log=row.spec.scale == "log")
        if groups:
            used = [groups[row.baseline]] if row.baseline in groups else list(groups.values())
            mean = float(np.concatenate([values for values, _ in used]).mean())
            return float(np.exp(mean)) if row.spec.scale == "log" else mean
    return None


def _from(runs: RunsOf) -> str:
    whose = "of this day" if runs.source == "own runs" else "of another day"
    return f"{counted(len(runs.values), 'run')} {whose}"


def _spread_of(row: PlanRow, centre: float | None) -> tuple[Spread, SpreadSource, str] | str:
    """Return a continuous row's spread, its source and that in words, or why there is none."""
    log = row.spec.scale == "log"
    if row.stated is not None:
        if log and centre is None:
            return NO_LEVEL
        s = stated_on_log(row.stated, centre) if log and centre is not None else row.stated
        return Spread(s=s, nu=None, lent_nu=0.0 if row.lent is None else row.lent.nu), "stated", "stated"
    still = False
    for runs in row.ridden:
        if runs.source == "another day" and row.lent is not None:
            break
        found = pooled_spread(by_setup(runs, log=log))
        if found is not None and found.s > 0:
            return (found, runs.source, _from(runs)) if runs.source != "own runs" else _with_lent(row, found, runs)
        still = still or found is not None
    if row.lent is not None:
        found = Spread(s=math.sqrt(row.lent.variance), nu=row.lent.nu, lent_nu=row.lent.nu)
        return found, "earlier days", f"{row.lent.days} earlier days"
    return DOES_NOT_VARY if still else _lacking(row, NO_SOURCE)


def _with_lent(row: PlanRow, own: Spread, runs: RunsOf) -> tuple[Spread, SpreadSource, str]:
    """Return the spread of this day's runs, together with what earlier days lend where it is like theirs."""
    lent, nu = row.lent, own.nu or 0.0
    if lent is None or lent.is_unlike(own.s**2, nu):
        return own, "own runs", _from(runs)
    variance, together = lent.pooled(own.s**2, nu)
    found = Spread(s=math.sqrt(variance), nu=together, lent_nu=lent.nu)
    return found, "own runs", f"{_from(runs)} and {lent.days} earlier days"


def _lacking(row: PlanRow, otherwise: str) -> str:
    """Return why runs that there are don't give the measure, else what to do."""
    return next((runs.reason for runs in row.ridden if runs.reason), otherwise)


def _default(row: PlanRow) -> tuple[Spread, SpreadSource, str] | str:
    found = DEFAULT_SPREADS.get(row.spec.name)
    return NO_SOURCE if found is None else (Spread(s=found, nu=None), "default", "default, own choice")


def _continuous(row: PlanRow, *, defaults: bool) -> Basis | str:
    centre = _centre(row)
    found = _spread_of(row, centre)
    if defaults and found == NO_SOURCE:
        found = _default(row)
    if isinstance(found, str):
        return found
    spread, source, where = found
    log = row.spec.scale == "log"
    if log and centre is None and row.smallest_change.form == "unit":
        return NO_LEVEL
    known = not log or centre is not None
    at = 1.0 if centre is None else centre
    size = f"{figure(100 * spread.s, 1)} %" if log else _amount(spread.s, row.spec.unit)
    return Basis(
        spread=spread,
        measuring=Measuring(scale="log" if log else "raw", centre=at) if known else None,
        margin=margin(row.smallest_change, row.spec.scale or "raw", at),
        source=source,
        words=size,
        where=where,
    )


def _amount(value: float, unit: str) -> str:
    return f"{figure(value, max(decimals(unit), 2))} {'points' if unit.startswith('%') else shown_unit(unit)}".strip()


def _counts(runs: RunsOf) -> list[Counted]:
    """Return counts and minutes by setup; rates times minutes are whole numbers."""
    groups: dict[str, list[tuple[int, float]]] = {}
    for setup, rate, minutes in zip(runs.setups, runs.values, runs.minutes, strict=True):
        groups.setdefault(setup, []).append((round(rate * minutes), minutes))
    return [Counted(events=tuple(y for y, _ in g), minutes=tuple(e for _, e in g)) for g in groups.values()]


def _rate(row: PlanRow) -> tuple[float, float, SpreadSource] | str:
    """Return events a minute and riding minutes of a run, of this day's baseline, else of all its runs, else another's.

    A stated run_min stands for the minutes.
    """
    for runs in row.ridden:
        if not runs.values:
            continue
        use = [place for place, setup in enumerate(runs.setups) if setup == row.baseline] or range(len(runs.values))
        minutes = [runs.minutes[place] for place in use]
        events = sum(round(runs.values[place] * runs.minutes[place]) for place in use)
        each = row.run_min or float(np.mean(minutes))
        return (events / sum(minutes), each, runs.source) if events else NO_EVENT
    return _lacking(row, NO_RATE)


def _varying(row: PlanRow, rate: float, each: float, rated: SpreadSource) -> tuple[CountSpread, SpreadSource, str]:
    """Return how counts vary: as stated, else as this day's runs do, else as another's; never less than by chance."""
    if row.stated is not None:
        phi = max(1.0, row.stated**2 * each / rate)
        return CountSpread(rate_per_min=rate, minutes=each, phi=phi, nu=None), "stated", "stated"
    for runs in row.ridden:
        phi, nu = overdispersion(_counts(runs))
        if nu > 0:
            found = CountSpread(rate_per_min=rate, minutes=each, phi=max(phi, 1.0), nu=nu)
            return found, runs.source, _from(runs)
    return CountSpread(rate_per_min=rate, minutes=each, phi=1.0, nu=None), rated, "too few runs: taken as pure chance"


def _rare(row: PlanRow) -> Basis | str:
    found = _rate(row)
    if isinstance(found, str):
        return found
    rate, each, rated = found
    spread, source, where = _varying(row, rate, each, rated)
    return Basis(
        spread=spread,
        measuring=Measuring(scale="log", centre=rate),
        margin=margin(row.smallest_change, "count", rate),
        source=source,
        words=f"{figure(rate, 1)} a minute for {figure(each, 1)} min, {figure(spread.phi, 1)} x chance",
        where=where,
    )


def basis_of(row: PlanRow, *, defaults: bool = False, one_way: bool = False) -> Basis | str:
    """Return what a row is planned from, or why it can't be.

    Parameters
    ----------
    row : PlanRow
    defaults : bool
        Whether to take a default spread where none is known.
    one_way : bool
        Whether all runs of one setup come before the other's.

    Returns
    -------
    Basis or str

    Notes
    -----
    The first there is of: stated; this day's runs, with what earlier days lend; earlier days; another day's runs.
    """
    if row.spec.scale != "count":
        return _continuous(row, defaults=defaults)
    return ONE_WAY_COUNT if one_way else _rare(row)
