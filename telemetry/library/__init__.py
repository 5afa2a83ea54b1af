"""Days kept: a catalogue, the untouched originals and each run's travel beside it; found again, and cared for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

if TYPE_CHECKING:
    from .backing_up import back_up
    from .bikes import ASKED_FIRST, AsLeft, History, bike_named, history, settings
    from .called import DAY
    from .caring import LookedOver, look_over
    from .catalogue import Catalogue, begin, is_begun, reading
    from .changed import (
        ChangedDay,
        ChangedSetup,
        MeasureKept,
        changed_days,
        key_meant,
        measures_kept,
        nothing_asked,
        scale_of,
    )
    from .differences import unpacked
    from .entering import VERDICTS, Known, folded, newest_of, same_day
    from .finding import Found, Wanted, find
    from .forgetting import Forgotten, Toml, forget, unforgettable, without
    from .held import record_of, travel_of, versions_of
    from .keeping import Put, is_whole, put, take_out
    from .left_bikes import LeftBike, bikes_left, kind_of
    from .lending import Lender, begun_at, holds_any, lenders, spreads
    from .listing import Differing, Listed, page_of
    from .looking_back import Past, past_of
    from .measuring_anew import Due, Entered, due_anew, end_round, enter_anew, write_catalogue
    from .name_in_files import REMOVED, bytes_without
    from .packing import Packed, pack
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
        of_tables,
    )
    from .record_of_comparison import KeptChange, KeptComparison, KeptDifference
    from .spellings import any_of, pattern_of
    from .store import Store, is_what_was_kept, laid_out, lay_out, within
    from .taking_in import TakenIn, take_in
    from .travel_file import TRAVEL_COLUMNS

_HOMES = {
    "backing_up": "back_up",
    "bikes": "ASKED_FIRST AsLeft History bike_named history settings",
    "called": "DAY",
    "caring": "LookedOver look_over",
    "catalogue": "Catalogue begin is_begun reading",
    "changed": "ChangedDay ChangedSetup MeasureKept changed_days key_meant measures_kept nothing_asked scale_of",
    "differences": "unpacked",
    "entering": "VERDICTS Known folded newest_of same_day",
    "finding": "Found Wanted find",
    "forgetting": "Forgotten Toml forget unforgettable without",
    "held": "record_of travel_of versions_of",
    "keeping": "Put is_whole put take_out",
    "left_bikes": "LeftBike bikes_left kind_of",
    "lending": "Lender begun_at holds_any lenders spreads",
    "listing": "Differing Listed page_of",
    "looking_back": "Past past_of",
    "measuring_anew": "Due Entered due_anew end_round enter_anew write_catalogue",
    "name_in_files": "REMOVED bytes_without",
    "packing": "Packed pack",
    "patterns": "LastDay last_day_of last_days_logged_so",
    "place": "library_folder",
    "record": (
        "Kept KeptFile KeptMeans KeptResults KeptRun KeptSetting KeptSetup KeptSpread KeptValue KeptVerdict of_tables"
    ),
    "record_of_comparison": "KeptChange KeptComparison KeptDifference",
    "spellings": "any_of pattern_of",
    "store": "Store is_what_was_kept laid_out lay_out within",
    "taking_in": "TakenIn take_in",
    "travel_file": "TRAVEL_COLUMNS",
}


__all__ = [
    "ASKED_FIRST",
    "DAY",
    "REMOVED",
    "TRAVEL_COLUMNS",
    "VERDICTS",
    "AsLeft",
    "Catalogue",
    "ChangedDay",
    "ChangedSetup",
    "Differing",
    "Due",
    "Entered",
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
    "Known",
    "LastDay",
    "LeftBike",
    "Lender",
    "Listed",
    "LookedOver",
    "MeasureKept",
    "Packed",
    "Past",
    "Put",
    "Store",
    "TakenIn",
    "Toml",
    "Wanted",
    "any_of",
    "back_up",
    "begin",
    "begun_at",
    "bike_named",
    "bikes_left",
    "bytes_without",
    "changed_days",
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
    "is_whole",
    "key_meant",
    "kind_of",
    "laid_out",
    "last_day_of",
    "last_days_logged_so",
    "lay_out",
    "lenders",
    "library_folder",
    "look_over",
    "measures_kept",
    "newest_of",
    "nothing_asked",
    "of_tables",
    "pack",
    "page_of",
    "past_of",
    "pattern_of",
    "put",
    "reading",
    "record_of",
    "same_day",
    "scale_of",
    "settings",
    "spreads",
    "take_in",
    "take_out",
    "travel_of",
    "unforgettable",
    "unpacked",
    "versions_of",
    "within",
    "without",
    "write_catalogue",
]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
