"""The one composer: a ride day's logs in, measures, findings and verdicts out.

The stages are siblings and don't know each other; only this package puts them together.
"""

from .adding import Added, add_logs, new_in
from .along import Along, along, close_up_of, report_parts
from .analysing import analyse, analysis_of, require_all_read, require_usable
from .comparing import Selection, compare
from .drafting import Drafted, draft
from .looking import ShownDay, look, nothing_to_see
from .new_recordings import RecordingChecked
from .planning import Known, plan, plan_of
from .reaching import read_and_reach
from .recognising import recognise_log, recognise_logs
from .run_rides import load_ride
from .study import Study
from .studying import study
from .tracing import RunTrace, markable, run_trace
from .watching import DayChecked, LogChecked, Trouble, Watch, last_ridden, new_logs

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
