"""Comparisons' conditions for the tests: alike in everything but what a test says."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from telemetry import comparison
from telemetry.model.conditions import ComparisonConditions, RiddenRun, RunConditions, SetupConditions
from telemetry.model.day import EndSetup, Setup
from telemetry.model.finding import Finding
from telemetry.model.sensor import DisplacementSensor
from telemetry.model.setting import AdjusterPosition, Setting
from telemetry.ride_day import setup_differences

DAY = dt.date(2026, 5, 16)
FORK = DisplacementSensor(name="fork", end="front", column="A0", measures="travel", points=((0, 0.0), (4000, 160.0)))
SHOCK = DisplacementSensor(name="shock", end="rear", column="A1", measures="stroke", points=((0, 0.0), (4000, 60.0)))
SENSORS = MappingProxyType({"fork": FORK, "shock": SHOCK})
OIL = {"a": {"front": {"air_pressure_bar": 6.0}}, "b": {"front": {"air_pressure_bar": 6.5}}}
"""What the setups differ in where a test doesn't say: the pressure of one end."""


def clicks(from_closed: float, of: float | None = 16.0) -> AdjusterPosition:
    return AdjusterPosition(from_closed=float(from_closed), of=of, unit="clicks")


def _settings(stated: Mapping[str, object]) -> Mapping[str, Setting]:
    return MappingProxyType({key: Setting(key=key, value=value, entered=str(value)) for key, value in stated.items()})


def make_setup(name: str, stated: Mapping[str, Mapping[str, object]]) -> Setup:
    """Return a setup; `stated` holds "front", "rear", "bike", and "full" for full travels."""
    full = stated.get("full", {})
    return Setup(
        name=name,
        label=name,
        front=EndSetup(
            end="front",
            full_travel_mm=full.get("front", 160.0),
            full_travel_from="travel_mm",
            settings=_settings(stated.get("front", {})),
        ),
        rear=EndSetup(
            end="rear",
            full_travel_mm=full.get("rear", 150.0),
            full_travel_from="ratio",
            settings=_settings(stated.get("rear", {})),
        ),
        bike=_settings(stated.get("bike", {})),
        other=MappingProxyType({}),
        sensors=SENSORS,
    )


def conditions(
    order: Sequence[str] = "abba",
    setups: Mapping[str, Mapping[str, Mapping[str, object]]] | None = None,
    of_runs: Mapping[str, Sequence[object]] | None = None,
    of_setups: Mapping[str, Mapping[str, object]] | None = None,
    **others: object,
) -> ComparisonConditions:
    """Return conditions of a day ridden in `order`; the first setup is the baseline.

    `of_runs` gives a field of RunConditions for each run, `of_setups` fields of SetupConditions for a setup.
    """
    made = {name: make_setup(name, stated) for name, stated in (setups or OIL).items()}
    runs = []
    for place, name in enumerate(order):
        fields = {key: values[place] for key, values in (of_runs or {}).items()}
        own_date = fields.get("date", DAY)
        runs.append(
            RunConditions(
                **{
                    "run": f"run_{place + 1}",
                    "setup": name,
                    "order": place + 1,
                    "order_in_day": sum(run.date == own_date for run in runs) + 1,
                    "date": DAY,
                    "riding_s": 100.0,
                    "rate_hz": 500.0,
                    "sensors": SENSORS,
                    **fields,
                }
            )
        )
    baseline, *candidates = made
    fields = {
        "baseline": baseline,
        "candidates": tuple(candidates),
        "setups": {
            name: SetupConditions(setup=setup, **(of_setups or {}).get(name, {})) for name, setup in made.items()
        },
        "runs": tuple(runs),
        "differences": {name: setup_differences(made[baseline], made[name]) for name in candidates},
        "ridden": tuple(RiddenRun(run=run.run, setup=made[run.setup], date=run.date) for run in runs),
    }
    return ComparisonConditions(**(fields | others))


def found(made: ComparisonConditions, code: str) -> list[Finding]:
    """Return the findings of one code."""
    return [finding for finding in comparison.fairness(made)[0] if finding.code == code]


def only(made: ComparisonConditions, code: str) -> str:
    """Return the message of a code that must be found exactly once, as a warning."""
    (finding,) = found(made, code)
    assert finding.severity == "warning"
    return finding.message


def without_notes(made: ComparisonConditions) -> list[str]:
    return [finding.code for finding in comparison.fairness(made)[0] if finding.severity != "note"]


def turned_round(made: ComparisonConditions) -> ComparisonConditions:
    """Return the same conditions with the runs handed over in another order of the file."""
    return replace(made, runs=tuple(reversed(made.runs)))
