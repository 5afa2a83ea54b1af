"""How kept days are laid out on a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from telemetry.library import ASKED_FIRST, AsLeft, Found, History
from telemetry.library.bikes import PastMeasure, PastValue
from telemetry.sheet import Table, table
from telemetry.telling.names import KEPT_PLACES
from telemetry.words import counted, decimals, figure, shortened, titled, with_end

from .tables import say, show

LONGEST_HEADLINE = 100


def found_sheet(found: Sequence[Found]) -> None:
    """Print days, two lines each."""
    for day in found:
        whose = f" · {day.customer}" if day.customer else ""
        trail = f" · {day.trail}" if day.trail else ""
        say(f"{day.id}  {day.title} · {day.bike or 'no bike named'}{trail}{whose}")
        say(f"{', '.join(day.setups)}: {shortened(day.headline, LONGEST_HEADLINE)}", indent=2)
    say(f"{counted(len(found), 'kept day')}" if found else "no kept day is like that")


def history_sheet(found: History, *, every: bool) -> None:
    """Print a bike's measures over its days; with `every` all that were asked for, else what is asked about first."""
    say(f"{found.bike}: {counted(len(found.days), 'kept day')}")
    say()
    rows = found.measures if every else [row for row in found.measures if row.measure in ASKED_FIRST]
    for row in rows:
        show(_over_time(kept_title(row.measure, row.end, row.unit), row))
    say("A value is the mean of a setup's runs that day; the interval, 95 %, is of these runs alone, whatever the day")
    others = sorted({row.measure for row in found.measures} - {row.measure for row in rows})
    if others:
        say(f"With --measure: {', '.join(others)}")


def kept_title(measure: str, end: str, unit: str = "") -> str:
    """Return what a kept measure is called; by its name where today's catalogue doesn't know it."""
    from telemetry.model.catalogue import SPECS

    label = SPECS[measure].label if measure in SPECS else measure
    return with_end(titled(label, unit), end)


def _over_time(title: str, row: PastMeasure) -> Table:
    columns = ["date", "setup", "day", "value", "between", "runs"]
    return table(columns, [_past(row.unit, value) for value in row.values], title=title, right_from=3)


def _past(unit: str, value: PastValue) -> list[str]:
    places = decimals(unit)
    between = (
        "one alone"
        if value.low is None or value.high is None
        else f"{figure(value.low, places)} and {figure(value.high, places)}"
    )
    return [value.date, value.setup, value.day, figure(value.value, places), between, str(value.n)]


def left_title(left: AsLeft) -> str:
    """Return what was on which bike, and since when that is known."""
    return f"{left.bike}, as left on {left.date}: {left.label} ({left.setup}), after the last run of {left.day}"


def left_tables(left: AsLeft) -> Iterator[Table]:
    """Yield the settings, a table a place."""
    for place, title in KEPT_PLACES.items():
        rows = [[row.words, row.entered] for row in left.settings if row.end == place]
        if rows:
            yield table(["setting", "as left"], rows, title=title, right_from=9)
