"""What do the parts do? Leverage, springs, dampers and geometry, worked out at the bench; no log is needed for it."""

from __future__ import annotations

from dashboards.content.parts import part_panels, part_styles
from telemetry.telling.bench import RANGES, assumed_table, begin_tables, notes, tables_by_place
from telemetry.telling.bench_words import absent_lines, bench_against, bench_finding

from .view import Page, View


def page(view: View) -> Page:
    """Return what the parts of every setup do, whatever is chosen: no run has a say in it."""
    bench = view.bench()
    styles = part_styles(bench, view.styles)
    return Page(
        template="parts.html",
        finding=bench_finding(bench),
        panels=part_panels(bench, styles).named,
        facts={
            "key": tuple(styles.values()),
            "left_out": [setup.label for setup in bench.setups if setup.name not in styles],
            "against": tuple((styles.get(own.setup), own) for own in bench_against(bench)),
            "notes": notes(bench),
            "ranges": RANGES,
            "begin": begin_tables(bench),
            "tables": tables_by_place(bench),
            "assumed": assumed_table(bench),
            "absent": absent_lines(bench),
        },
    )
