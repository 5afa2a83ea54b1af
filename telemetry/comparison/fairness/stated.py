"""What was written down, and when: focus and smallest changes before riding, and what was left open."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from telemetry.model.conditions import ComparisonConditions, RunConditions, SetupConditions
from telemetry.model.earlier import EarlierDay
from telemetry.model.finding import ENDS, Finding
from telemetry.words import counted, first_to_last

from .pair import listed

FOCUS = "focus"
RATES = "naming them after seeing the figures makes the verdicts worthless"


def _stamp(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M:%S}"


def _note(message: str) -> tuple[Finding, ...]:
    return (Finding(code="naming_not_judged", message=message),)


def focus_named(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find focus or smallest changes named after the first run began, or say that it isn't known.

    Notes
    -----
    The day's first run counts, whether it takes part or not: its figures could be seen.
    """
    naming = conditions.naming
    if not naming.named:
        return ()
    named = listed(naming.named)
    if naming.named_at is None:
        return _note(
            f"{named} stated without named_at: it isn't known whether before riding, and {RATES}; state named_at in "
            "[comparison] before the first run"
        )
    if naming.first_run_at is None:
        return _note(
            f"{named} named at {_stamp(naming.named_at)}: not judged, for neither started_at nor an absolute stamp in "
            f"the log says when the first run began; state started_at for every run: {RATES}"
        )
    if not naming.late:
        return ()
    none = "; such a focus counts as none, every measure is judged alike" if FOCUS in naming.named else ""
    clock = "started_at" if naming.told_by == "started_at" else "its log's clock"
    message = (
        f"{named} named at {_stamp(naming.named_at)}, after the first run {naming.first_run} began at "
        f"{_stamp(naming.first_run_at)} ({clock}; limit: before it): {RATES}{none}; name them before the next day's "
        "riding, and take this day's verdicts as a first look"
    )
    return (Finding(code="focus_named_late", message=message),)


def spread_not_judged(late: Sequence[EarlierDay], *, library_is_younger: bool) -> tuple[Finding, ...]:
    """Note that kept days whose spread is borrowed may have been kept once the figures were known.

    Parameters
    ----------
    late : sequence of EarlierDay
        Kept on this day's date or later, where it can't be judged what was kept before its first run.
    library_is_younger : bool
        Whether it can't because nothing at all had been kept by then; else nothing says when that run began.
    """
    if not late:
        return ()
    why, remedy = (
        "neither started_at nor an absolute stamp in the log says when the first run began",
        "state started_at for every run",
    )
    if library_is_younger:
        why, remedy = "the library was begun after the first run", "keep days as they are ridden"
    dates = first_to_last([day.date for day in late])
    message = (
        f"spread borrowed of {counted(len(late), 'day')} that {'was' if len(late) == 1 else 'were'} kept on this day's "
        f"date or later ({dates}): not judged whether before riding, for {why}; choosing the days that lend after "
        f"seeing the figures makes the verdicts worthless; {remedy}"
    )
    return (Finding(code="spread_not_judged", message=message),)


def unplanned_looks(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Note that no number of runs was stated before riding, and what looking after every run costs then."""
    if conditions.planned_runs or len(conditions.runs) < 2 * len(conditions.setups):
        return ()
    message = (
        "no planned_runs in [comparison]: the verdicts hold for one look at the day; comparing after every run and "
        "stopping at the first change finds one on 10 % of days without any (5 % with a number stated); state the runs "
        "of each setup before riding"
    )
    return (Finding(code="unplanned_looks", message=message),)


def _unknown_of_run(run: RunConditions) -> set[str]:
    known = {
        "ground speed": run.ground_speed_m_s is not None,
        "airborne share": run.airborne_share is not None,
        "air temperature": run.air_temperature_c is not None,
        "rider": bool(run.rider),
    }
    return {name for name, there in known.items() if not there}


def _unknown_of_setup(item: SetupConditions) -> set[str]:
    known = {
        "tyre pressures": all(item.setup.at(end).number("tyre_pressure_bar") is not None for end in ENDS),
        "geometry": bool(item.geometry),
        "friction bands": bool(item.friction_band_mm),
    }
    return {name for name, there in known.items() if not there}


def _air_not_checked(run: RunConditions, item: SetupConditions) -> bool:
    aired = [end for end in ENDS if item.setup.at(end).number("air_pressure_bar") is not None]
    return any(end not in run.pressure_after_bar for end in aired)


def not_judged(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Return a note that lists what isn't known of every run or setup, and so wasn't judged."""
    unknown = set[str]().union(
        *(_unknown_of_run(run) for run in conditions.runs),
        *(_unknown_of_setup(item) for item in conditions.setups.values()),
    )
    if any(_air_not_checked(run, conditions.setups[run.setup]) for run in conditions.runs):
        unknown.add("air pressure after the runs")
    if any(not run.levers for run in conditions.runs):
        unknown.add("lever positions")
    if not unknown:
        return ()
    things = tuple(sorted(unknown))
    message = (
        f"not known of every run and setup, so not judged in full: {', '.join(things)}; write them down on "
        "the day, keep them alike"
    )
    return (Finding(code="not_judged", message=message, things=things),)
