"""``ride_day.toml``: read and checked in full, drafted from logs, and compared setup by setup."""

from .differences import setup_differences
from .draft import draft_ride_day, logs_in, unwritable_names
from .edits import (
    AddRecording,
    AddRun,
    Bounds,
    ChangedFileError,
    ChangeSetup,
    Edit,
    LeaveOut,
    NameFocus,
    Proposal,
    propose,
    write,
)
from .file import FILE_NAME, find_ride_day
from .read import read_ride_day
from .runs import stem
from .zeroing import lifted_in_force, lifted_next

__all__ = [
    "FILE_NAME",
    "AddRecording",
    "AddRun",
    "Bounds",
    "ChangeSetup",
    "ChangedFileError",
    "Edit",
    "LeaveOut",
    "NameFocus",
    "Proposal",
    "draft_ride_day",
    "find_ride_day",
    "lifted_in_force",
    "lifted_next",
    "logs_in",
    "propose",
    "read_ride_day",
    "setup_differences",
    "stem",
    "unwritable_names",
    "write",
]
