"""Rows of a plan, made from what a test says."""

from dataclasses import replace

from telemetry.model.catalogue import SPECS
from telemetry.model.plan import RunsOf
from telemetry.planning.day_plan import what_is_seen
from telemetry.planning.rows import PlanRow

RUNS = RunsOf(
    source="own runs",
    setups=("a", "b", "b", "a"),
    orders=(1, 2, 3, 4),
    values=(30.0, 32.0, 33.0, 31.0),
    minutes=(4.0,) * 4,
)
WIDER = replace(RUNS, source="another day", values=(30.0, 32.0, 36.0, 34.0))


def plan_row(measure="dynamic_sag", **changes):
    spec = SPECS[measure]
    basis = {
        "spec": spec,
        "end": spec.ends[0],
        "smallest_change": spec.smallest_change,
        "focus": False,
        "named": False,
        "stated": None,
        "ridden": (),
        "lent": None,
        "baseline": "a",
        "run_min": None,
    }
    return PlanRow(**basis | changes)


def see(*rows, planned_runs=(), **more):
    return what_is_seen(rows, planned_runs=planned_runs, **more)
