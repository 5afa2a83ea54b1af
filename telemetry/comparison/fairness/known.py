"""What couldn't be judged because nothing was stated or measured: no warning isn't a clean bill then."""

from __future__ import annotations

from telemetry.model.comparison import FairnessFinding
from telemetry.model.conditions import ComparisonConditions, RunConditions, SetupConditions
from telemetry.model.finding import ENDS


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


def not_judged(conditions: ComparisonConditions) -> tuple[FairnessFinding, ...]:
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
    message = (
        f"not known of every run and setup, so not judged in full: {', '.join(sorted(unknown))}; write them down on "
        "the day, keep them alike"
    )
    return (FairnessFinding(severity="note", code="not_judged", message=message),)
