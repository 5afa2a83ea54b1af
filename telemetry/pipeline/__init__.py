"""The one composer: a ride day's logs in, measures, findings and verdicts out.

The stages are siblings and don't know each other; only this package puts them together. Each part loads with the first
name that is asked of it: what looks into kept days alone needs nothing that reads a log.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

if TYPE_CHECKING:
    from .adding import Added, add_logs, new_in
    from .alongside import Along, along, close_up_of, report_parts
    from .analysing import analyse, analysis_of, require_all_read, require_usable
    from .benching import bench_of, bench_where_it_holds, require_parts_agree
    from .comparing import compare
    from .drafting import Drafted, draft
    from .expecting import asks_what_next, expected, ridden_alike, unstated
    from .exporting import Exported, export
    from .forgetting import forget
    from .keeping import KeptDay, keep
    from .kept_days import Library, open_library
    from .kept_laps import laps_kept
    from .kept_lenders import with_kept_days
    from .kind_ranges import bikes_like, bikes_of_kind
    from .loading import load_ride
    from .looking import ShownDay, look, nothing_to_see, shown_of, study_behind
    from .new_recordings import RecordingChecked
    from .packing import ids_found, is_id, pack_day, pack_kept
    from .patterns import draft_from_kept, last_days_like
    from .planning import Known, known_of, plan, plan_of
    from .predicting import predict
    from .putting_together import together
    from .reaching import read_and_reach
    from .reanalysing import Asked, Hands, Reanalysed, reanalyse
    from .recognising import recognise_log, recognise_logs
    from .studied import Selection, Study
    from .studying import study
    from .tracing import RunTrace, markable, run_trace
    from .unnaming import unnamed
    from .watching import DayChecked, LogChecked, Trouble, Watch, last_ridden, new_logs

_HOMES = {
    "adding": "Added add_logs new_in",
    "alongside": "Along along close_up_of report_parts",
    "analysing": "analyse analysis_of require_all_read require_usable",
    "benching": "bench_of bench_where_it_holds require_parts_agree",
    "comparing": "compare",
    "drafting": "Drafted draft",
    "expecting": "asks_what_next expected ridden_alike unstated",
    "exporting": "Exported export",
    "forgetting": "forget",
    "keeping": "KeptDay keep",
    "kept_days": "Library open_library",
    "kept_laps": "laps_kept",
    "kept_lenders": "with_kept_days",
    "kind_ranges": "bikes_like bikes_of_kind",
    "loading": "load_ride",
    "looking": "ShownDay look nothing_to_see shown_of study_behind",
    "new_recordings": "RecordingChecked",
    "packing": "ids_found is_id pack_day pack_kept",
    "patterns": "draft_from_kept last_days_like",
    "planning": "Known known_of plan plan_of",
    "predicting": "predict",
    "putting_together": "together",
    "reaching": "read_and_reach",
    "reanalysing": "Asked Hands Reanalysed reanalyse",
    "recognising": "recognise_log recognise_logs",
    "studied": "Selection Study",
    "studying": "study",
    "tracing": "RunTrace markable run_trace",
    "unnaming": "unnamed",
    "watching": "DayChecked LogChecked Trouble Watch last_ridden new_logs",
}

__all__ = [
    "Added",
    "Along",
    "Asked",
    "DayChecked",
    "Drafted",
    "Exported",
    "Hands",
    "KeptDay",
    "Known",
    "Library",
    "LogChecked",
    "Reanalysed",
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
    "asks_what_next",
    "bench_of",
    "bench_where_it_holds",
    "bikes_like",
    "bikes_of_kind",
    "close_up_of",
    "compare",
    "draft",
    "draft_from_kept",
    "expected",
    "export",
    "forget",
    "ids_found",
    "is_id",
    "keep",
    "known_of",
    "laps_kept",
    "last_days_like",
    "last_ridden",
    "load_ride",
    "look",
    "markable",
    "new_in",
    "new_logs",
    "nothing_to_see",
    "open_library",
    "pack_day",
    "pack_kept",
    "plan",
    "plan_of",
    "predict",
    "read_and_reach",
    "reanalyse",
    "recognise_log",
    "recognise_logs",
    "report_parts",
    "require_all_read",
    "require_parts_agree",
    "require_usable",
    "ridden_alike",
    "run_trace",
    "shown_of",
    "study",
    "study_behind",
    "together",
    "unnamed",
    "unstated",
    "with_kept_days",
]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
