"""What happened where on the trail, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.model.curves import DeepHit, TrailEvent
from telemetry.model.finding import End
from telemetry.sheet import Table, table
from telemetry.words import counted, figure, quantity, share_of_travel, upper_first

from .names import ENDS

LISTED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class EventWords:
    """One hit, figure by figure, as it stands in a table's cells."""

    what: str
    end: End
    run: str
    place: str
    section: str
    at: str
    depth: str
    speed: str


def depth_in_words(hit: DeepHit | TrailEvent) -> str:
    """Return how deep a hit went: ``81.0 % (130 mm)``."""
    return share_of_travel(hit.depth_pct, hit.depth_mm)


def speed_in_words(hit: DeepHit | TrailEvent) -> str:
    """Return a hit's fastest moment: ``2.3 m/s``."""
    return quantity(hit.entry_speed_mm_s / 1000, "m/s")


def event_in_words(event: TrailEvent, unit: str) -> EventWords:
    """Return one event in words; its place is in `unit`."""
    return EventWords(
        what="bottomed" if event.kind == "bottom-out" else "deep hit",
        end=event.end,
        run=event.run,
        place=f"{figure(event.place, 1)} {unit}",
        section=str(event.section),
        at=f"{figure(event.at_s, 2)} s",
        depth=depth_in_words(event),
        speed=speed_in_words(event),
    )


def event_table(events: Sequence[TrailEvent], unit: str) -> Table:
    """Return events as a table; their places are in `unit`."""
    told = [event_in_words(event, unit) for event in events]
    rows = [[row.end, row.run, row.section, row.place, row.at, row.depth, row.speed, row.what] for row in told]
    columns = ["end", "run", "section", "place", "second of the log", "depth", "fastest going in", "what"]
    return table(columns, rows)


def deepest_of_each_end(events: Sequence[TrailEvent], most: int = LISTED) -> list[TrailEvent]:
    """Return the deepest of each end, those that bottomed first."""
    found = []
    for end in ENDS:
        own = [event for event in events if event.end == end]
        found.extend(sorted(own, key=lambda event: (event.kind != "bottom-out", -event.depth_pct))[:most])
    return found


def deepest_in_words(events: Sequence[TrailEvent]) -> str:
    """Return where each end went deepest, in a sentence."""
    parts = []
    for end in ENDS:
        own = [event for event in events if event.end == end]
        if not own:
            continue
        deepest = max(own, key=lambda event: event.depth_pct)
        bottoms = sum(event.kind == "bottom-out" for event in own)
        bottomed = f", bottomed {counted(bottoms, 'time')}" if bottoms else ""
        parts.append(
            f"{end} deepest in section {deepest.section}: {figure(deepest.depth_pct, 0)} % "
            f"({figure(deepest.depth_mm, 0)} mm), {deepest.run}{bottomed}"
        )
    return upper_first("; ".join(parts) or "no hit of 6 % of travel or more")
