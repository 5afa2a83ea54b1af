"""`plan`: what to ride, how many runs of it, and what such a day can see."""

from __future__ import annotations

import string
from collections.abc import Mapping
from dataclasses import dataclass, replace

from telemetry import planning
from telemetry.errors import CallError, TelemetryError
from telemetry.model.analysis import Analysis
from telemetry.model.catalogue import in_mm, stated_rows
from telemetry.model.day import RideDay
from telemetry.model.finding import Place
from telemetry.model.measure_spec import MeasureSpec
from telemetry.model.plan import MOST_RUNS, Plan, RunsOf, SpreadSource, Work
from telemetry.model.sensor import InertialSensor
from telemetry.model.within import parted, within
from telemetry.planning import PlanRow
from telemetry.ride_day import read_ride_day
from telemetry.telling.day import unplaced
from telemetry.telling.plan import with_advice
from telemetry.telling.sheets import plan_sheet

from .analysing import analysis_of, require_all_read, require_usable
from .earlier import NONE, Earlier, earlier_days
from .studied import Behind, Progress, baseline_of, smallest_change_of
from .studying import study
from .valuing import rows_within

FEWEST_RUNS = 2
MINUTE_S = 60.0


def planned_setups(day: RideDay) -> tuple[str, ...]:
    """Return the setups to ride, the baseline first: as named, else those ridden, else those written down.

    Raises
    ------
    CallError
        With fewer than two, or more than letters can name.
    """
    ridden = tuple(dict.fromkeys(run.setup for run in day.runs))
    written = tuple(day.setups)
    named = day.comparison.candidates
    baseline = baseline_of(day) or next((name for name in written if name not in named), None)
    others = [name for name in ridden if name != baseline] or [name for name in written if name != baseline]
    candidates = tuple(name for name in named or others if name != baseline)
    if baseline is None or not candidates:
        found = f"one setup ({baseline!r})" if baseline else "no setup"
        remedy = "write the other under [setups], with based_on and what differs"
        raise CallError(str(day.path), found, "two setups to ride against each other", remedy)
    if len(candidates) >= len(string.ascii_uppercase):
        found = f"{len(candidates) + 1} setups"
        raise CallError(str(day.path), found, "26 at most", "name those to ride in [comparison] candidates")
    return baseline, *candidates


def _checked_runs(day: RideDay, runs: int | None) -> None:
    if runs is not None and not FEWEST_RUNS <= runs <= MOST_RUNS:
        expected = f"{FEWEST_RUNS} to {MOST_RUNS} runs of each setup"
        raise CallError(str(day.path), f"runs = {runs}", expected, "one of each decides nothing")


def runs_of(analysis: Analysis, measure: str, end: Place, source: SpreadSource = "own runs") -> RunsOf:
    """Return what a day's runs say of one measure; those left out or unusable say nothing.

    Minutes are those of the part of the ride that the measure is taken within.
    """
    used = [run for run in analysis.runs if run.measures and run.entry.leave_out is None]
    told = [(run, value) for run in used if (value := run.value(measure, end)) is not None]
    whole, place = parted(measure)  # what lacks over a ride lacks within its parts, and is told of it once
    ridden = "riding_time" if place is None else within("riding_time", place)
    reasons = [
        row.reason
        for key in ((measure, end), (whole, end), (ridden, "both"))
        for run in used
        for row in run.absent
        if (row.measure, row.end) == key
    ]
    reason = next(iter(reasons), "" if told else "no usable run")
    return RunsOf(
        source=source,
        setups=tuple(run.entry.setup for run, _ in told),
        orders=tuple(run.entry.order for run, _ in told),
        values=tuple(value for _, value in told),
        minutes=tuple((run.value(ridden, "both") or 0.0) / MINUTE_S for run, _ in told),
        reason=reason,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of how far runs scatter: this day's own runs, another day's, and what earlier days lend."""

    own: Analysis | None = None
    other: Analysis | None = None
    earlier: Earlier = NONE

    def runs_of(self, measure: str, end: Place) -> tuple[RunsOf, ...]:
        """Return what these days' runs say of one measure, this day's first."""
        days: tuple[tuple[SpreadSource, Analysis | None], ...] = (("own runs", self.own), ("another day", self.other))
        return tuple(runs_of(of, measure, end, source) for source, of in days if of is not None)


def known_of(analysis: Analysis) -> Known:
    """Return what is known of how far a day's runs scatter once it is analysed: its own, and what earlier days lend."""
    behind = analysis.behind
    earlier = earlier_days(behind.done.day, behind.done) if isinstance(behind, Behind) else NONE
    return Known(own=analysis, earlier=earlier)


def _unfelt(day: RideDay, spec: MeasureSpec, end: Place) -> tuple[RunsOf, ...]:
    """Return why a measure of acceleration can't be had with the sensors that are stated; nothing where it can."""
    stated = [day.sensors, *(setup.sensors for setup in day.setups.values())]
    sites = {(one.end, one.on) for own in stated for one in own.values() if isinstance(one, InertialSensor)}
    lacking = next((on for on in spec.felt_on if (end, on) not in sites), None)
    if lacking is None:
        return ()
    reason = f"no inertial sensor on the {lacking} at the {end}"
    return (RunsOf(source="own runs", setups=(), orders=(), values=(), minutes=(), reason=reason),)


def _row(day: RideDay, spec: MeasureSpec, end: Place, known: Known) -> PlanRow:
    settings, keys = day.plan, ((spec.name, end), (spec.name, None))
    stated: Mapping[tuple[str, str | None], float] = {} if settings is None else settings.spread
    spread = next((stated[key] for key in keys if key in stated), None)
    return PlanRow(
        spec=spec,
        end=end,
        smallest_change=smallest_change_of(day, spec.name, end),
        focus=any(key in day.comparison.focus for key in keys),
        named=spread is not None or any(key in day.comparison.smallest_change for key in keys),
        stated=spread,
        ridden=known.runs_of(spec.name, end) or _unfelt(day, spec, end),
        lent=known.earlier.borrowed.get((spec.name, end)),
        baseline=planned_setups(day)[0],
        run_min=None if settings is None or parted(spec.name)[1] else settings.run_min,
        judged_as=1 + _in_mm_too(day, spec, end),
    )


def _in_mm_too(day: RideDay, spec: MeasureSpec, end: Place) -> bool:
    """Tell whether a share of travel is compared in mm as well: where full travel differs between the setups."""
    if in_mm(spec.name) is None or end == "both":
        return False
    return len({round(day.setups[name].at(end).full_travel_mm or 0.0, 1) for name in planned_setups(day)}) > 1


def _work(day: RideDay, own: Analysis | None) -> Work:
    """Return what the day's runs take; the riding time of runs already ridden stands in for run_min."""
    settings = day.plan
    stated = None if settings is None else settings.run_min
    ridden = [] if own is None else [run.value("riding_time", "both") for run in own.runs]
    times = [time for time in ridden if time is not None]
    return Work(
        run_min=sum(times) / len(times) / MINUTE_S if stated is None and times else stated,
        return_min=None if settings is None else settings.return_min,
        change_over_min=None if settings is None else settings.change_over_min,
        day_min=None if settings is None else settings.day_min,
        from_runs=stated is None and bool(times),
    )


def plan_of(day: RideDay, known: Known, runs: int | None = None) -> Plan:
    """Return a day's plan from what is stated, its own runs, earlier days and another day's.

    Parameters
    ----------
    day : RideDay
    known : Known
    runs : int, optional
        Runs of each setup that can be afforded, 2 to 30.

    Raises
    ------
    CallError
    """
    _checked_runs(day, runs)
    names = planned_setups(day)
    planned = (*stated_rows(day.travel_ends, day.ends_by_acceleration), *rows_within(day))
    rows = [_row(day, spec, end, known) for spec, end in planned]
    found = planning.plan_day(day, names, rows, _work(day, known.own), runs)
    found = with_advice(replace(found, earlier=known.earlier.told))
    lines = [line for line in (unplaced(day),) if line]
    unread = () if known.own is None else known.own.unread
    return replace(found, advice=(*found.advice, *lines), tell=plan_sheet, unread=unread)


def _other_day(day: RideDay, progress: Progress | None) -> Analysis | None:
    """Return the analysis of the day whose spread is to be taken.

    Raises
    ------
    CallError
        Where that day can't be used.
    """
    if day.plan is None or day.plan.spread_from is None:
        return None
    try:
        analysis = analysis_of(study(read_ride_day(day.plan.spread_from), progress))
        require_all_read(analysis.unread)
        if not analysis.runs:
            raise CallError(str(day.plan.spread_from), "no runs", "a day that was ridden")
        require_usable(analysis)
    except TelemetryError as error:
        where = f"{day.path}, plan.spread_from"
        remedy = "mend it, name another, or state [plan] spread"
        raise CallError(where, f"a day that can't be used ({error.line})", "a day with usable runs", remedy) from None
    return analysis


def plan(day: RideDay, runs: int | None = None, *, progress: Progress | None = None) -> Plan:
    """Plan a day's runs: order, number, and what they can see; a day without runs will do.

    Parameters
    ----------
    day : RideDay
    runs : int, optional
        Runs of each setup that can be afforded, 2 to 30; by default as many as are needed.
    progress : callable, optional
        Told each run's name before it is studied.

    Returns
    -------
    Plan
        ``.to_dict()`` is the JSON of ``telemetry plan --json``.

    Raises
    ------
    CallError
        If there aren't two setups, or `runs` is out of range, or the other day can't be used.
    LogError
        If there is no room for the logs.

    Examples
    --------
    >>> import telemetry
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    >>> telemetry.plan(day).order.letters
    'A B B A B A A B B A A B A B B A B A'
    """
    _checked_runs(day, runs)
    planned_setups(day)
    other = _other_day(day, progress)
    done = study(day, progress, even_none=True) if day.runs else None
    own = None if done is None else analysis_of(done)
    return plan_of(day, Known(own=own, other=other, earlier=earlier_days(day, done)), runs)
