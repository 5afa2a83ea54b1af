"""The one composer: a ride day's logs in, measures, findings and verdicts out.

The stages are siblings and don't know each other; only this package puts them together.
"""

from .along import Along, along, close_up_of
from .analysing import analyse, analysis_of, require_runs, require_usable
from .comparing import Wish, compare
from .drafting import draft
from .editing import AddRun, Bounds, ChangedFileError, LeaveOut, NameFocus, Proposal, new_logs, propose, write
from .loading import load_ride
from .looking import Seen, look
from .planning import Known, plan, plan_of
from .readable import Readable, analyse_readable
from .reporting import report_parts
from .study import Study, study
from .watching import DayChecked, LogChecked, Trouble, Watch

__all__ = [
    "AddRun",
    "Along",
    "Bounds",
    "ChangedFileError",
    "DayChecked",
    "Known",
    "LeaveOut",
    "LogChecked",
    "NameFocus",
    "Proposal",
    "Readable",
    "Seen",
    "Study",
    "Trouble",
    "Watch",
    "Wish",
    "along",
    "analyse",
    "analyse_readable",
    "analysis_of",
    "close_up_of",
    "compare",
    "draft",
    "load_ride",
    "look",
    "new_logs",
    "plan",
    "plan_of",
    "propose",
    "report_parts",
    "require_runs",
    "require_usable",
    "study",
    "write",
]
