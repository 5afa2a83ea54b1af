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

from importlib import import_module
from typing import TYPE_CHECKING

from .errors import CallError, LogError, RideDayError, TelemetryError

if TYPE_CHECKING:
    from .model.analysis import Analysis, Comparison
    from .model.day import RideDay
    from .model.finding import Finding
    from .model.log import Log
    from .model.plan import Plan
    from .model.ride import Ride
    from .pipeline import analyse, compare, load_ride, plan
    from .ride_day import read_ride_day, setup_differences

__version__ = "0.1.0"

_HOMES = {
    "Analysis": "telemetry.model.analysis",
    "Comparison": "telemetry.model.analysis",
    "Finding": "telemetry.model.finding",
    "Log": "telemetry.model.log",
    "Plan": "telemetry.model.plan",
    "Ride": "telemetry.model.ride",
    "RideDay": "telemetry.model.day",
    "analyse": "telemetry.pipeline",
    "compare": "telemetry.pipeline",
    "load_ride": "telemetry.pipeline",
    "plan": "telemetry.pipeline",
    "read_ride_day": "telemetry.ride_day",
    "setup_differences": "telemetry.ride_day",
}

__all__ = [
    "Analysis",
    "CallError",
    "Comparison",
    "Finding",
    "Log",
    "LogError",
    "Plan",
    "Ride",
    "RideDay",
    "RideDayError",
    "TelemetryError",
    "__version__",
    "analyse",
    "compare",
    "load_ride",
    "plan",
    "read_ride_day",
    "setup_differences",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'telemetry' has no attribute {name!r}")
    value: object = getattr(import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
