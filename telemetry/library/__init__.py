"""Days kept: a catalogue, the untouched originals and each run's travel beside it; found again, and cared for."""

from __future__ import annotations

from .backing_up import back_up
from .bikes import AsLeft, History, history, settings
from .caring import LookedOver, look_over
from .catalogue import Catalogue, begin, is_begun, reading
from .entering import VERDICTS, folded, same_day
from .finding import Found, Wanted, find
from .forgetting import REMOVED, Forgotten, Toml, forget, pattern_of, unforgettable
from .held import record_of, travel_of
from .keeping import Put, put, take_out
from .lending import Lender, holds_any, lenders, spreads
from .measuring_anew import Due, due_anew, end_round, enter_anew
from .patterns import LastDay, last_day_of, last_days_logged_so
from .place import library_folder
from .record import (
    Kept,
    KeptFile,
    KeptMeans,
    KeptResults,
    KeptRun,
    KeptSetting,
    KeptSetup,
    KeptSpread,
    KeptValue,
    KeptVerdict,
)
from .record_of_comparison import KeptChange, KeptComparison, KeptDifference
from .store import Store, is_what_was_kept, laid_out, lay_out, within

__all__ = [
    "REMOVED",
    "VERDICTS",
    "AsLeft",
    "Catalogue",
    "Due",
    "Forgotten",
    "Found",
    "History",
    "Kept",
    "KeptChange",
    "KeptComparison",
    "KeptDifference",
    "KeptFile",
    "KeptMeans",
    "KeptResults",
    "KeptRun",
    "KeptSetting",
    "KeptSetup",
    "KeptSpread",
    "KeptValue",
    "KeptVerdict",
    "LastDay",
    "Lender",
    "LookedOver",
    "Put",
    "Store",
    "Toml",
    "Wanted",
    "back_up",
    "begin",
    "due_anew",
    "end_round",
    "enter_anew",
    "find",
    "folded",
    "forget",
    "history",
    "holds_any",
    "is_begun",
    "is_what_was_kept",
    "laid_out",
    "last_day_of",
    "last_days_logged_so",
    "lay_out",
    "lenders",
    "library_folder",
    "look_over",
    "pattern_of",
    "put",
    "reading",
    "record_of",
    "same_day",
    "settings",
    "spreads",
    "take_out",
    "travel_of",
    "unforgettable",
    "within",
]
