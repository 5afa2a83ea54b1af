"""The one composer: a ride day's logs in, measures, findings and verdicts out.

The stages are siblings and don't know each other; only this package puts them together. What a check needs loads at
once, everything else with the first name that is asked of it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from .analysing import analyse, analysis_of, require_all_read, require_usable
from .reaching import read_and_reach
from .run_rides import load_ride
from .study import Study
from .studying import study

if TYPE_CHECKING:
    from .adding import Added, add_logs, new_in
    from .along import Along, along, close_up_of, report_parts
    from .comparing import Selection, compare
    from .drafting import Drafted, draft
    from .looking import ShownDay, look, nothing_to_see
    from .new_recordings import RecordingChecked
    from .planning import Known, plan, plan_of
    from .recognising import recognise_log, recognise_logs
    from .tracing import RunTrace, markable, run_trace
    from .watching import DayChecked, LogChecked, Trouble, Watch, last_ridden, new_logs

_HOMES = {
    "Added": "adding",
    "Along": "along",
    "DayChecked": "watching",
    "Drafted": "drafting",
    "Known": "planning",
    "LogChecked": "watching",
    "RecordingChecked": "new_recordings",
    "RunTrace": "tracing",
    "Selection": "comparing",
    "ShownDay": "looking",
    "Trouble": "watching",
    "Watch": "watching",
    "add_logs": "adding",
    "along": "along",
    "close_up_of": "along",
    "compare": "comparing",
    "draft": "drafting",
    "last_ridden": "watching",
    "look": "looking",
    "markable": "tracing",
    "new_in": "adding",
    "new_logs": "watching",
    "nothing_to_see": "looking",
    "plan": "planning",
    "plan_of": "planning",
    "recognise_log": "recognising",
    "recognise_logs": "recognising",
    "report_parts": "along",
    "run_trace": "tracing",
}

__all__ = [
    "Added",
    "Along",
    "DayChecked",
    "Drafted",
    "Known",
    "LogChecked",
    "RecordingChecked",
    "RunTrace",
    "Selection",
    "ShownDay",
    "Study",
    "Trouble",
    "Watch",
    "add_logs",
    "along",
    "analyse",
    "analysis_of",
    "close_up_of",
    "compare",
    "draft",
    "last_ridden",
    "load_ride",
    "look",
    "markable",
    "new_in",
    "new_logs",
    "nothing_to_see",
    "plan",
    "plan_of",
    "read_and_reach",
    "recognise_log",
    "recognise_logs",
    "report_parts",
    "require_all_read",
    "require_usable",
    "run_trace",
    "study",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'telemetry.pipeline' has no attribute {name!r}")
    module = import_module(f".{home}", __name__)
    globals().update({other: getattr(module, other) for other, place in _HOMES.items() if place == home})
    return globals()[name]
