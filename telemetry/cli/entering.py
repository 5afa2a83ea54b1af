"""How drafts and entered logs are laid out on a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.pipeline import Added, Drafted
from telemetry.sheet import table
from telemetry.words import counted

from .tables import say, show

COLUMNS = ["no", "column", "lowest", "highest", "looks like"]


def drafted_sheet(drafted: Drafted, folder: Path) -> None:
    """Print what was found in a folder's logs, those that are written alike together, and what comes next."""
    groups: dict[object, list[LogSketch]] = {}
    for sketch in drafted.sketches:
        groups.setdefault(tuple((column.name, column.number) for column in sketch.columns), []).append(sketch)
    for group in groups.values():
        for sketch in group:
            say(f"{sketch.path.name}: {sketch.rows} rows; {sketch.dialect}")
        rows = [_row([sketch.columns[column.number - 1] for sketch in group]) for column in group[0].columns]
        show(table(COLUMNS, rows, title="their columns" if len(group) > 1 else "its columns", right_from=9))
    for line in drafted.refused:
        say(f"not taken: {line}")
    for line in drafted.told:
        say(f"look at it: {line}")
    text = drafted.path.read_text(encoding="utf-8")
    asked = text.count("# TO DO")
    what = f"go through its {counted(asked, 'TO DO line')}" if asked else "it asks for nothing"
    say(f"wrote {drafted.path}: {what}, then `telemetry check {folder}`")


def _row(alike: Sequence[ColumnSketch]) -> list[str]:
    lows = [column.lowest for column in alike if column.lowest is not None]
    highs = [column.highest for column in alike if column.highest is not None]
    first = alike[0]
    return [
        str(first.number),
        str(first.name),
        f"{min(lows):g}" if lows else "",
        f"{max(highs):g}" if highs else "",
        first.proposal,
    ]


def added_sheet(added: Added, failed: Sequence[str]) -> None:
    """Print what each new log is, what isn't entered and why, and how the file changes."""
    for item in added.entered:
        rear = "" if item.rear_log is None else f" and {item.rear_log.name}"
        before = "" if item.before_run is None else f", before {item.before_run}"
        ridden = f", ridden with {added.setup}" if item.what.kind == "run" else before
        say(f"{item.log.name}{rear}: {item.what.kind}{ridden}")
        if item.what.question:
            say(item.what.question, indent=2)
    for line in added.left:
        say(f"not entered: {line}")
    for line in failed:
        say(f"can't be read: {line}")
    for sign, line in () if added.proposal is None else added.proposal.lines:
        say(line, indent=2) if sign == " " else say(f"{sign} {line}")
