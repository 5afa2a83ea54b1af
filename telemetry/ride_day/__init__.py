"""``ride_day.toml``: read and checked in full, drafted from logs, and compared setup by setup.

Reading loads at once, all that drafts, edits and recognises with the first name asked of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

from .file import FILE_NAME, find_ride_day
from .read import WrongDay, read_as_far, read_ride_day
from .runs import stem
from .zeroing import lifted_in_force, lifted_next

if TYPE_CHECKING:
    from .arranging import NewLog, Ridden, ends_of_files, in_order, paired, placed
    from .as_written import PLACES, WrittenSetting, raw_of, written_settings
    from .differences import setup_differences
    from .draft import draft_ride_day
    from .edits import (
        AddRecording,
        AddRun,
        Bounds,
        ChangedFileError,
        ChangeSetup,
        Edit,
        LeaveOut,
        NameFocus,
        PlaceMark,
        PlaceStretch,
        Proposal,
        propose,
        write,
    )
    from .last_day import as_left, left_with
    from .log_files import LOG_ENDINGS, logs_in, unwritable_names
    from .log_names import read_name
    from .nameless import names_said, unnamed, without_customer
    from .recognising import KINDS, Kinds, Recognised, Scale, kind_in_words, recognised, signals_of
    from .rewritten import toml_of
    from .taking_over import Pattern, TakenOver, draft_like
    from .typed_values import metric_value, number_typed, spelled, spellings_of, typed

_HOMES = {
    "last_day": "as_left left_with",
    "arranging": "NewLog Ridden ends_of_files in_order paired placed",
    "as_written": "PLACES WrittenSetting raw_of written_settings",
    "differences": "setup_differences",
    "draft": "draft_ride_day",
    "rewritten": "toml_of",
    "taking_over": "Pattern TakenOver draft_like",
    "edits": "AddRecording AddRun Bounds ChangedFileError ChangeSetup Edit LeaveOut NameFocus PlaceMark PlaceStretch "
    "Proposal propose write",
    "log_files": "LOG_ENDINGS logs_in unwritable_names",
    "log_names": "read_name",
    "nameless": "names_said unnamed without_customer",
    "recognising": "KINDS Kinds Recognised Scale kind_in_words recognised signals_of",
    "typed_values": "metric_value number_typed spelled spellings_of typed",
}

__all__ = [
    "FILE_NAME",
    "KINDS",
    "LOG_ENDINGS",
    "PLACES",
    "AddRecording",
    "AddRun",
    "Bounds",
    "ChangeSetup",
    "ChangedFileError",
    "Edit",
    "Kinds",
    "LeaveOut",
    "NameFocus",
    "NewLog",
    "Pattern",
    "PlaceMark",
    "PlaceStretch",
    "Proposal",
    "Recognised",
    "Ridden",
    "Scale",
    "TakenOver",
    "WrittenSetting",
    "WrongDay",
    "as_left",
    "draft_like",
    "draft_ride_day",
    "ends_of_files",
    "find_ride_day",
    "in_order",
    "kind_in_words",
    "left_with",
    "lifted_in_force",
    "lifted_next",
    "logs_in",
    "metric_value",
    "names_said",
    "number_typed",
    "paired",
    "placed",
    "propose",
    "raw_of",
    "read_as_far",
    "read_name",
    "read_ride_day",
    "recognised",
    "setup_differences",
    "signals_of",
    "spelled",
    "spellings_of",
    "stem",
    "toml_of",
    "typed",
    "unnamed",
    "unwritable_names",
    "without_customer",
    "write",
    "written_settings",
]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
