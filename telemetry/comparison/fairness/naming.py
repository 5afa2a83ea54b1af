"""Whether focus and smallest changes were named before riding."""

from __future__ import annotations

from datetime import datetime

from telemetry.model.comparison import FairnessFinding
from telemetry.model.conditions import ComparisonConditions

from .pair import listed, warning

RATES = "naming them after seeing the figures makes the verdicts worthless"


def _stamp(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M:%S}"


def _note(message: str) -> tuple[FairnessFinding, ...]:
    return (FairnessFinding(severity="note", code="naming_not_judged", message=message),)


def focus_named(conditions: ComparisonConditions) -> tuple[FairnessFinding, ...]:
    """Find focus or smallest changes named after the first run began, or say that it isn't known.

    Notes
    -----
    The day's first run counts, whether it takes part or not: its figures could be seen.
    """
    naming = conditions.naming
    if not naming.named:
        return ()
    named = listed(naming.named)
    if naming.named_at is None:
        return _note(
            f"{named} stated without named_at: it isn't known whether before riding, and {RATES}; state named_at in "
            "[comparison] before the first run"
        )
    if naming.first_run_at is None:
        return _note(
            f"{named} named at {_stamp(naming.named_at)}: not judged, for neither started_at nor an absolute stamp in "
            f"the log says when the first run began; state started_at for every run: {RATES}"
        )
    if naming.named_at <= naming.first_run_at:
        return ()
    clock = "started_at" if naming.told_by == "started_at" else "its log's clock"
    message = (
        f"{named} named at {_stamp(naming.named_at)}, after the first run {naming.first_run} began at "
        f"{_stamp(naming.first_run_at)} ({clock}; limit: before it): {RATES}; name them before the next day's riding, "
        "and take this day's verdicts as a first look"
    )
    return (warning("focus_named_late", message),)
