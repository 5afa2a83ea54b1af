"""What a comparison's runs and setups were made under, gathered from the day and its studied runs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from types import MappingProxyType

import numpy as np

from telemetry import measures
from telemetry.bench.whole_bike import stances_of
from telemetry.model.comparison import LeftOut, SetupDifference, UsedRun
from telemetry.model.conditions import (
    ComparisonConditions,
    GeometryKey,
    Load,
    Naming,
    RiddenRun,
    RunConditions,
    SetupConditions,
)
from telemetry.model.day import RideDay, RunEntry
from telemetry.model.finding import ENDS, End, Finding, Place
from telemetry.model.setting import Setting
from telemetry.model.setup_keys import IN_GEOMETRY, SETUP_KEYS

from .recordings import friction_bands
from .studied import RunStudy, Study, facts_for, smallest_change_of

CLOCK_IS_RIGHT = timedelta(days=1)
"""A logger's stamp further than this from the run's date is no clock time: the clock was never set."""


class Dates:
    """The dates of a day's runs; a day's comparison may reach over several.

    Parameters
    ----------
    day : RideDay
    """

    def __init__(self, day: RideDay) -> None:
        self._day = day
        self._ridden = sorted({self.of(run) for run in day.runs})

    def of(self, run: RunEntry) -> date:
        """Return a run's date: its own, else that of its start, else the day's."""
        if run.date is not None:
            return run.date
        return self._day.date if run.started_at is None else run.started_at.date()

    def order_in_day(self, run: RunEntry) -> int:
        """Return a run's place among all runs of its date, from 1."""
        own = self.of(run)
        return sum(self.of(other) == own and other.order <= run.order for other in self._day.runs)

    def used(self, run: RunEntry) -> UsedRun:
        """Return a run that takes part, with its date counted from 1."""
        return UsedRun(
            run=run.name,
            setup=run.setup,
            order=run.order,
            day=self._ridden.index(self.of(run)) + 1,
            order_in_day=self.order_in_day(run) if len(self._ridden) > 1 else None,
        )


def comparison_conditions(
    done: Study, runs: tuple[RunStudy, ...], baseline: str, differences: Mapping[str, tuple[SetupDifference, ...]]
) -> ComparisonConditions:
    """Return everything a comparison's fairness is judged by.

    Parameters
    ----------
    done : Study
    runs : tuple of RunStudy
        Those that take part.
    baseline : str
    differences : mapping of candidate to tuple of SetupDifference

    Raises
    ------
    LogError
        If a settle recording can't be read.
    """
    day, dates = done.day, Dates(done.day)
    bands = friction_bands(done.rides)
    stances = stances_of(day, (baseline, *differences))
    return ComparisonConditions(
        baseline=baseline,
        candidates=tuple(differences),
        setups=MappingProxyType(
            {name: _setup(day, name, bands.get(name, {}), stances.get(name)) for name in (baseline, *differences)}
        ),
        runs=tuple(_run(day, dates, run) for run in runs),
        differences=MappingProxyType(dict(differences)),
        ridden=tuple(
            RiddenRun(run=entry.name, setup=day.setups[entry.setup], date=dates.of(entry)) for entry in day.runs
        ),
        left_out=tuple(
            item for run in done.runs if run.entry.setup in (baseline, *differences) for item in _left_out(run)
        ),
        altitude_m=day.altitude_m,
        naming=_naming(done, dates),
        planned_runs=day.comparison.planned_runs,
    )


def _left_out(run: RunStudy) -> list[LeftOut]:
    """Return what of a run takes no part: all of it, or an end."""
    entry = run.entry
    if not run.usable:
        reason = entry.leave_out or run.error_at("both")
        return [LeftOut(run=entry.name, setup=entry.setup, reason=reason)]
    lost = run.moved.lost.items()
    return [LeftOut(run=entry.name, setup=entry.setup, reason=code, end=end) for end, code in lost]


def _run(day: RideDay, dates: Dates, run: RunStudy) -> RunConditions:
    entry, motion = run.entry, run.moved
    speed = measures.mean_ground_speed(motion, facts_for(day, entry.setup), run.lags)
    riding, airborne = int(motion.time.riding.sum()), motion.time.airborne
    pressures = {"front": entry.pressure_after_front_bar, "rear": entry.pressure_after_rear_bar}
    return RunConditions(
        run=entry.name,
        setup=entry.setup,
        order=entry.order,
        order_in_day=dates.order_in_day(entry),
        date=dates.of(entry),
        riding_s=motion.time.riding_s,
        rate_hz=run.rate_hz,
        ground_speed_m_s=None if isinstance(speed, measures.Missing) or not math.isfinite(speed) else float(speed),
        ground_speed_by="lag" if motion.ride.ground_speed is None else "sensor",
        passed_s=MappingProxyType(_passed_s(day, entry.name, motion)),
        airborne_share=None if airborne is None else float(airborne.sum()) / riding,
        air_temperature_c=day.air_temperature_c if entry.air_temperature_c is None else entry.air_temperature_c,
        rider=entry.rider or day.rider,
        trail_state=entry.trail_state or day.trail_state,
        levers=MappingProxyType(_levers(day, entry)),
        pressure_after_bar=MappingProxyType({end: bar for end in ENDS if (bar := pressures[end]) is not None}),
        sensors=entry.sensors,
        zero_unchecked=_told(run, "zero_unchecked"),
        bottoming_untold=_told(run, "bottoming_untold"),
        false_readings=_false(run.findings, None),
        false_at=MappingProxyType(
            {end: codes for end in ENDS if end not in motion.lost and (codes := _false(run.findings, end))}
        ),
        same_readings=any(finding.code == "same_readings" for finding in run.findings),
    )


def _told(run: RunStudy, code: str) -> tuple[End, ...]:
    """Return the measured ends at which a run has a finding."""
    ends = {finding.end for finding in run.findings if finding.code == code}
    return tuple(end for end in ENDS if end in ends and end not in run.moved.lost)


def _passed_s(day: RideDay, run: str, motion: measures.RunMotion) -> dict[str, float]:
    """Return how much was ridden until each place that tells where a run was; a name that stands twice tells none."""
    ride, ridden_s = motion.ride, np.cumsum(motion.time.riding) / motion.time.rate_hz
    pushed = {"pushes at the start": (ride.start_from, 0.0), "pushes at the end": (ride.end_from, motion.time.riding_s)}
    places = {name: seconds for name, (told_by, seconds) in pushed.items() if told_by == "pushes"}
    names = Counter(mark.name for mark in day.marks if mark.run == run)
    for mark in day.marks:
        if mark.run == run and names[mark.name] == 1:
            sample = min(int(np.searchsorted(ride.time_s, mark.at_s)), len(ridden_s) - 1)
            places[mark.name] = float(ridden_s[sample])
    return places


def _false(findings: tuple[Finding, ...], end: End | None) -> tuple[str, ...]:
    """Return the codes that say of part of an end's readings, or of a run's, that no wheel made them."""
    false = (item for item in findings if item.no_verdict or item.spec.withholds == "run")
    return tuple(sorted({item.code for item in false if item.end == end}))


def _levers(day: RideDay, entry: RunEntry) -> dict[End, str]:
    """Return the lever positions a run was ridden in: its own, else its setup's."""
    found: dict[End, str] = {}
    for end in ENDS:
        own, usual = getattr(entry, f"lever_{end}"), day.setups[entry.setup].at(end).settings.get("lever")
        if own is not None or usual is not None:
            found[end] = str(own if usual is None or own is not None else usual.value)
    return found


def _setup(
    day: RideDay, name: str, bands: Mapping[tuple[End, Load], float], stance: Mapping[str, float] | None
) -> SetupConditions:
    setup = day.setups[name]
    full = {end: setup.at(end).full_travel_mm for end in ENDS}
    return SetupConditions(
        setup=setup,
        geometry=MappingProxyType(_geometry(day, name)),
        stance=stance or MappingProxyType({}),
        friction_band_mm=MappingProxyType(dict(bands)),
        smallest_sag_mm=MappingProxyType(
            {
                end: smallest_change_of(day, "dynamic_sag", end).amount * travel / 100
                for end, travel in full.items()
                if travel is not None
            }
        ),
    )


def _geometry(day: RideDay, name: str) -> dict[GeometryKey, float]:
    """Return what is stated of a setup's geometry: its own figures, else the bike's."""
    setup = day.setups[name]
    stated = {key: value for key, value in day.bike.geometry.items() if key in IN_GEOMETRY}
    found: dict[GeometryKey, float] = {IN_GEOMETRY[key]: value for key, value in stated.items()}
    own: dict[Place, Mapping[str, Setting]] = {"both": setup.bike, **{end: setup.at(end).settings for end in ENDS}}
    for place, settings in own.items():
        for spec in SETUP_KEYS:
            setting = settings.get(spec.key) if spec.geometry else None
            if setting is not None and isinstance(setting.value, float):
                found[place, spec.key] = setting.value
    return found


def _naming(done: Study, dates: Dates) -> Naming:
    day, settings = done.day, done.day.comparison
    named = {"focus": settings.focus, "smallest_change": settings.smallest_change}
    begun = first_start(done, dates)
    return Naming(
        named=tuple(key for key, value in named.items() if value),
        named_at=settings.named_at,
        first_run=begun[0] if begun else "",
        first_run_at=begun[1] if begun else None,
        told_by="started_at" if any(run.started_at is not None for run in day.runs) else "log",
    )


def first_start(done: Study, dates: Dates) -> tuple[str, datetime] | None:
    """Return the day's first run and when it began: by started_at, else by its log's absolute stamp."""
    starts = [(run.started_at, run.name) for run in done.day.runs if run.started_at is not None]
    if starts:
        moment, name = min(starts)
        return name, moment
    first = done.runs[0]
    stamp = first.first_stamp
    if stamp is None or abs(stamp.date() - dates.of(first.entry)) > CLOCK_IS_RIGHT:
        return None
    return first.entry.name, stamp
