"""The suspension telemetry analyser: logs in, measures, a like-for-like comparison and a report out.

Heavy libraries load with the first name that needs them, so that ``import telemetry`` is quick.

Examples
--------
>>> import telemetry
>>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
>>> analysis = telemetry.analyse(day)
>>> len(analysis.runs), analysis.measures["unit"][0]
(6, '%')
>>> telemetry.compare(day).results["verdict"][0]
'unchanged'
>>> telemetry.plan(day).order.letters
'A B B A B A A B B A A B A B B A B A'
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .errors import CallError, LogError, RideDayError, TelemetryError
from .lazily import names_of

if TYPE_CHECKING:
    from .model.analysis import Analysis, Comparison
    from .model.bench import Bench
    from .model.day import RideDay
    from .model.finding import Finding
    from .model.log import Log
    from .model.plan import Plan
    from .model.prediction import Predicted
    from .model.ride import Ride
    from .pipeline import (
        Library,
        analyse,
        bench_of,
        compare,
        keep,
        load_ride,
        open_library,
        plan,
        predict,
        with_kept_days,
    )
    from .ride_day import read_ride_day, setup_differences

__version__ = "0.1.0"

_HOMES = {
    "model.analysis": "Analysis Comparison",
    "model.bench": "Bench",
    "model.day": "RideDay",
    "model.finding": "Finding",
    "model.log": "Log",
    "model.plan": "Plan",
    "model.prediction": "Predicted",
    "model.ride": "Ride",
    "pipeline": "Library analyse bench_of compare keep load_ride open_library plan predict with_kept_days",
    "ride_day": "read_ride_day setup_differences",
}

__all__ = [
    "Analysis",
    "Bench",
    "CallError",
    "Comparison",
    "Finding",
    "Library",
    "Log",
    "LogError",
    "Plan",
    "Predicted",
    "Ride",
    "RideDay",
    "RideDayError",
    "TelemetryError",
    "__version__",
    "analyse",
    "bench_of",
    "compare",
    "keep",
    "load_ride",
    "open_library",
    "plan",
    "predict",
    "read_ride_day",
    "setup_differences",
    "with_kept_days",
]


if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)


def __dir__() -> list[str]:
    return sorted(__all__)
