"""What one setup's parts do to the rest of the bike, against the first setup's: in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from telemetry.model.bench import Bench, SetupBench
from telemetry.model.bench_geometry import Geometry
from telemetry.model.bench_leverage import Leverage
from telemetry.model.finding import ENDS, End
from telemetry.sheet import Table
from telemetry.words import figure

from .bench import part_table
from .names import PLACES

NOTHING = "No part is stated that anything could be worked out of"
ALONE = "What is stated of the parts, worked out; nothing of it was ridden"
DEEP_PERCENT = 90
LEAST_MM, LEAST_SAG_MM, LEAST_DEG, LEAST_PERCENT, LEAST_N = 0.5, 2.0, 0.05, 0.5, 5.0
"""Differences below aren't told in a sentence; own choice. The tables have them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What one setup's parts do otherwise than the first one's."""

    setup: str
    label: str
    lines: tuple[str, ...]


def bench_finding(bench: Bench) -> str:
    """Return the page's first sentence: what the first other setup's parts do, or what stands here."""
    told = bench_against(bench)
    if told:
        return f"{told[0].label}: {told[0].lines[0]}"
    return ALONE if bench.rows else NOTHING


def bench_against(bench: Bench) -> tuple[Against, ...]:
    """Return what setups' parts do otherwise than the first one's; those alone of which anything is to be told."""
    first = bench.setups[0]
    told = (Against(setup=own.name, label=own.label, lines=tuple(_against(first, own))) for own in bench.setups[1:])
    return tuple(own for own in told if own.lines)


def _against(first: SetupBench, own: SetupBench) -> Iterator[str]:
    yield from _leverage(first, own)
    for end in ENDS:
        yield from _springs(first, own, end)
        yield from _sag(first, own, end)
    yield from _geometry(first, own)


def absent_lines(bench: Bench) -> tuple[str, ...]:
    """Return what can't be told, a line each, with the keys that would give it and the setups it is of."""
    found: dict[str, list[str]] = {}
    for setup in bench.setups:
        for item in setup.absent:
            place = "whole bike" if item.end == "both" else item.end
            found.setdefault(f"{place}, {item.what}: {item.reason}", []).append(setup.label)
    every = len(bench.setups)
    return tuple(f"{line[0].upper()}{line[1:]}{_of(of, every)}." for line, of in found.items())


def _leverage(first: SetupBench, own: SetupBench) -> Iterator[str]:
    old, new = first.rear.leverage, own.rear.leverage
    if old is None or new is None:
        return
    more = new.full_travel_mm - old.full_travel_mm
    ratio = new.ratio_at(new.sag_stroke_mm) / old.ratio_at(old.sag_stroke_mm)
    if abs(more) < LEAST_MM and abs(100 * (ratio - 1)) < LEAST_PERCENT:
        return
    yield (
        f"{figure(new.full_travel_mm, 0)} mm of wheel travel for {figure(old.full_travel_mm, 0)}, leverage "
        f"{_span(new)} for {_span(old)}, progression {figure(new.progression_percent, 0)} % for "
        f"{figure(old.progression_percent, 0)} %"
    )
    slower = 100 * (1 - 1 / ratio)
    if abs(slower) >= LEAST_PERCENT:
        speed, push = ("slower", "less") if slower > 0 else ("faster", "more")
        yield (
            f"at sag the shock's shaft moves {figure(abs(slower), 1)} % {speed} for the same speed of the wheel, and "
            f"the same force at the shock pushes as much {push} at the wheel"
        )


def _span(leverage: Leverage) -> str:
    return f"{figure(float(leverage.ratio[0]), 2)} to {figure(float(leverage.ratio[-1]), 2)}"


def _springs(first: SetupBench, own: SetupBench, end: End) -> Iterator[str]:
    old, new = first.at(end).springs, own.at(end).springs
    if old is None or new is None:
        return
    at = round(DEEP_PERCENT / 100 * (old.fast.total_n.size - 1))
    apart = float(new.fast.total_n[at] - old.fast.total_n[at])
    if abs(apart) >= LEAST_N:
        way = "more" if apart > 0 else "less"
        yield (f"{figure(abs(apart), 0)} N {way} at {DEEP_PERCENT} % of the {end}'s travel, as it rides")


def _sag(first: SetupBench, own: SetupBench, end: End) -> Iterator[str]:
    old, new = first.at(end).masses, own.at(end).masses
    if old is None or new is None or abs(new.sag_mm - old.sag_mm) < LEAST_SAG_MM:
        return
    deeper = "deeper" if new.sag_mm > old.sag_mm else "higher"
    yield (
        f"the {end} should sit {figure(abs(new.sag_mm - old.sag_mm), 0)} mm {deeper} at rest: "
        f"{figure(100 * new.sag_mm / new.full_mm, 0)} % of its travel for {figure(100 * old.sag_mm / old.full_mm, 0)}"
    )


def _geometry(first: SetupBench, own: SetupBench) -> Iterator[str]:
    if first.geometry is None or own.geometry is None:
        return
    old, new = first.geometry.stance.known, own.geometry.stance.known
    told = []
    for key, words, unit, places, least in (
        ("head_angle_deg", "head angle", "°", 1, LEAST_DEG),
        ("bottom_bracket_height_mm", "bottom bracket", " mm", 0, LEAST_MM),
        ("trail_mm", "trail", " mm", 0, LEAST_MM),
        ("wheelbase_mm", "wheelbase", " mm", 0, LEAST_MM),
    ):
        if key in old and key in new and abs(new[key] - old[key]) >= least:
            change = figure(new[key] - old[key], places, signed=True)
            told.append(f"{words} {change}{unit} to {figure(new[key], places)}{unit}")
    if told:
        yield (f"unladen, {', '.join(told)}")
    yield from _keeping(own.geometry)


def _keeping(geometry: Geometry) -> Iterator[str]:
    keeps, angle = geometry.keeps, geometry.stance.head_angle_deg
    if keeps is None or angle is None or abs(angle - keeps.head_angle_deg) < LEAST_DEG:
        return
    ways = []
    if keeps.fork_mm is not None:
        ways.append(f"a fork {figure(abs(keeps.fork_mm), 0)} mm {'longer' if keeps.fork_mm > 0 else 'shorter'}")
    if keeps.cup_deg is not None:
        way = "steeper" if keeps.cup_deg > 0 else "slacker"
        ways.append(f"cups {figure(abs(keeps.cup_deg), 1)}° {way}")
    if ways:
        yield (f"{' or '.join(ways)} would keep the head angle at {figure(keeps.head_angle_deg, 1)}°")


def remarks(bench: Bench) -> tuple[str, ...]:
    """Return what else has to be said of leverage and geometry, each once with the setups it is of."""
    found: dict[str, list[str]] = {}
    for setup in bench.setups:
        held = [*(setup.rear.leverage.remarks if setup.rear.leverage is not None else ())]
        held += setup.geometry.remarks if setup.geometry is not None else ()
        if setup.rear.leverage is not None and setup.rear.leverage.sag_from:
            held.append(f"sag here: {setup.rear.leverage.sag_from}")
        for line in held:
            found.setdefault(line, []).append(setup.label)
    every = len(bench.setups)
    return tuple(f"{line[0].upper()}{line[1:]}{_of(of, every)}." for line, of in found.items())


def _of(labels: list[str], every: int) -> str:
    return "" if len(labels) == every else f" ({', '.join(labels)})"


def part_tables(bench: Bench) -> tuple[Table, ...]:
    """Return a table for each part, rear before front, as the command prints them."""
    places = [(row.end, row.part) for row in bench.rows]
    return tuple(
        part_table(bench, place, part)
        for place in PLACES
        for part in dict.fromkeys(part for end, part in places if end == place)
    )
