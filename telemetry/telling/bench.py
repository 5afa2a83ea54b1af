"""What the parts of each setup do, in tables: a setup a column, so that what differs stands side by side."""

from __future__ import annotations

from telemetry.model.bench import Bench
from telemetry.sheet import Sheet, Table, table


def bench_sheet(bench: Bench) -> Sheet:
    """Return the bench's tables and lines; what can't be told is listed with its reason."""
    return tuple(filter(None, [_absent(bench)]))


def _absent(bench: Bench) -> Table | None:
    rows = [[setup.label, item.end, item.what, item.reason] for setup in bench.setups for item in setup.absent]
    return table(["setup", "end", "not told", "why"], rows, right_from=4) if rows else None
