"""What one setup's parts do to the rest of the bike, against the first setup's: in sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from telemetry.model.bench import Bench, SetupBench
from telemetry.model.bench_figures import FigureAt, Ranged
from telemetry.model.bench_geometry import Geometry
from telemetry.model.bench_leverage import Leverage
from telemetry.model.bench_springs import COUPLE
from telemetry.model.finding import End, Place
from telemetry.words import figure, upper_first

from .bench_untold import adjuster_changes, oil_lines, sizes_between, untold_lines
from .names import ENDS

NOTHING = "No part is stated that anything could be worked out of"
ALONE = "What is stated of the parts, worked out; nothing of it was ridden"
DEEP_PERCENT, OTHER_PERCENT = (80, 100), (90, 60, 30)
"""Of travel: where springs are told to push otherwise; else at the first of the others at which they do."""
LEAST_MM, LEAST_DEG, LEAST_PERCENT, LEAST_N = 0.5, 0.05, 0.5, 5.0
LEAST_DAMPING, LEAST_NM, LEAST_KG = 0.02, 1.0, 0.5
"""Differences below aren't told in a sentence; own choice. The tables have them."""
NO_DIFFERENCE = "by the parts as stated, no difference worth telling"
WAYS, SITS, WAYS_MM = ("less", "more"), ("higher", "deeper"), ("mm less", "mm more")
"""Of a difference below zero, and above it."""
SPRINGS, MASSES, LEGS, LEVER, STANDS = "springs", "masses", "lower_legs", "leverage", "geometry"
"""Parts of the answer."""
SAG_HERE = "sag here: "


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What one setup's parts do otherwise than the first one's; `changed` is what differs on paper."""

    setup: str
    label: str
    changed: str
    lines: tuple[str, ...]


def bench_finding(bench: Bench) -> str:
    """Return the page's first sentence: what the first other setup's parts do, or what stands here."""
    told = bench_against(bench)
    if told:
        return f"{told[0].label}: {told[0].lines[0]}"
    return "; ".join(_alone(bench.setups[0])) or (ALONE if bench.rows else NOTHING)


def _alone(setup: SetupBench) -> Iterator[str]:
    """Yield what stands first of one setup: where it comes to rest, else how hard its springs push."""
    held = {end: setup.at(end).masses for end in ENDS}
    sits = [f"the {end} at {figure(own.percent, 0)} %" for end, own in held.items() if own is not None]
    if sits:
        yield f"{setup.label}: by its parts it should sit with {' and '.join(sits)} of travel"
        return
    pushes = {end: own.fast.total_n for end in ENDS if (own := setup.at(end).springs) is not None}
    for end, force in pushes.items():
        at_90 = figure(float(force[round(0.9 * (force.size - 1))]), 0)
        yield f"{setup.label}: the {end} pushes with {at_90} N at 90 % of travel"
    lever = setup.rear.leverage
    if lever is not None and not pushes:
        yield f"{setup.label}: {figure(lever.full_travel_mm, 0)} mm of wheel travel, leverage {_span(lever)}"


def bench_against(bench: Bench) -> tuple[Against, ...]:
    """Return what setups' parts do otherwise than the first one's; of those alone that differ from it on paper."""
    changed = {
        own.name: "; ".join(row.words for row in bench.setup_differences if row.candidate == own.name)
        for own in bench.setups[1:]
    }
    told = {own.name: tuple(_against(bench, own)) for own in bench.setups[1:]}
    return tuple(
        Against(setup=own.name, label=own.label, changed=changed[own.name], lines=told[own.name] or (NO_DIFFERENCE,))
        for own in bench.setups[1:]
        if told[own.name] or changed[own.name]
    )


def _against(bench: Bench, own: SetupBench) -> Iterator[str]:
    yield from _leverage(bench, own)
    for end in ENDS:
        yield from _load(bench, own, end)
        deep = list(_springs(bench, own, end))
        yield from deep
        yield from _sag(bench, own, end, pushes=bool(deep))
        yield from oil_lines(bench, own, end)
        yield from adjuster_changes(bench, own, end)
        yield from _damping(bench, own, end)
    yield from _couple(bench, own)
    yield from _geometry(bench, own)
    yield from untold_lines(bench, own)


def rounded(value: float, known_to: float, places: int, *, signed: bool = False) -> str:
    """Return a figure to no more digits than two of how well it is known.

    Examples
    --------
    >>> rounded(3664.2, 1196.0, 0), rounded(437.2, 30.1, 0), rounded(0.58, 0.2, 1, signed=True)
    ('3700', '437', '+0.6')
    """
    if known_to > 0:
        places = min(places, 1 - math.floor(math.log10(known_to)))
    return figure(round(value, places), max(places, 0), signed=signed)


def _size(bench: Bench, apart: float, at: FigureAt, setup: str, tell: tuple[int, str, str]) -> tuple[str, str]:
    """Return the size of a difference, and its range to stand behind it; empty where it has none.

    `tell` is with how many places, and the words of a difference below zero and above it. The range is one of sizes
    where its way is sure; else each end says its own: "(2 more to 127 less)".
    """
    places, *ways = tell
    ranged = bench.apart(at, setup)
    if ranged is None or figure(ranged.low, places) == figure(ranged.high, places):
        return figure(abs(apart), places), ""
    known_to = (ranged.high - ranged.low) / 2
    ends = [(rounded(abs(end), known_to, places), ways[end > 0]) for end in (ranged.low, ranged.high)]
    if apart < 0:
        ends.reverse()
    sure = ranged.low * ranged.high > 0
    least, most = (size if sure or not float(size) else f"{size} {way}" for size, way in ends)
    return rounded(abs(apart), known_to, places), f" ({least} to {most})"


def absent_lines(bench: Bench) -> tuple[str, ...]:
    """Return what can't be told, a line each, with the keys that would give it and the setups it is of."""
    found: dict[tuple[Place, str, str], list[str]] = {}
    for setup in bench.setups:
        for item in setup.absent:
            found.setdefault((item.end, item.what, item.reason), []).append(setup.label)
    alike: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for (end, what, reason), labels in found.items():
        alike.setdefault((what, reason, tuple(labels)), []).append("whole bike" if end == "both" else end)
    every = len(bench.setups)
    return tuple(
        f"{upper_first(' and '.join(places))}, {what}: {reason}{_of(list(labels), every)}."
        for (what, reason, labels), places in alike.items()
    )


def _leverage(bench: Bench, own: SetupBench) -> Iterator[str]:
    old, new = bench.setups[0].rear.leverage, own.rear.leverage
    if old is None or new is None:
        return
    more = new.full_travel_mm - old.full_travel_mm
    if np.array_equal(old.ratio, new.ratio) and not more:
        return
    ratio = new.ratio_at(new.sag_stroke_mm) / old.ratio_at(old.sag_stroke_mm)
    if abs(more) < LEAST_MM and abs(100 * (ratio - 1)) < LEAST_PERCENT:
        return
    _, travels = _size(bench, more, ("rear", LEVER, "wheel travel at full stroke", "mm"), own.name, (1, *WAYS_MM))
    if " mm " not in travels:
        travels = travels.replace(")", f" {WAYS_MM[more > 0]})")
    steps = (
        ("leverage", _span(new), _span(old)),
        ("progression", *(f"{figure(own.progression_percent, 0)} %" for own in (new, old))),
    )
    told = "".join(f", {what} {now} for {was}" for what, now, was in steps if now != was)
    yield f"{figure(new.full_travel_mm, 0)} mm of wheel travel for {figure(old.full_travel_mm, 0)}{travels}{told}"
    slower = 100 * (1 - 1 / ratio)
    if abs(slower) >= LEAST_PERCENT:
        speed, push = ("slower", "less") if slower > 0 else ("faster", "more")
        yield (
            f"at sag the shock's shaft moves {figure(abs(slower), 1)} % {speed}{_between(bench, own, old)} for the "
            f"same speed of the wheel, and the same force at the shock pushes as much {push} at the wheel"
        )


def _between(bench: Bench, own: SetupBench, old: Leverage) -> str:
    """Return by how much slower or faster the shaft moves at sag at 90 %, as well as the ratios are known."""
    apart = bench.apart(("rear", LEVER, "leverage ratio at sag", ""), own.name)
    if apart is None or apart.low * apart.high <= 0:
        return ""
    was = old.ratio_at(old.sag_stroke_mm)
    first, second = (100 * (1 - was / (was + edge)) for edge in (apart.low, apart.high))
    return sizes_between(first, second, 1)


def _span(leverage: Leverage) -> str:
    first, last = (figure(float(leverage.ratio[at]), 2) for at in (0, -1))
    return first if first == last else f"{first} to {last}"


def _springs(bench: Bench, own: SetupBench, end: End) -> Iterator[str]:
    old, new = bench.setups[0].at(end).springs, own.at(end).springs
    if old is None or new is None:
        return
    gas = "" if new.warmer_n is None else ", fast"
    told: list[str] = []
    for percent in (*DEEP_PERCENT, *OTHER_PERCENT):
        if told and percent in OTHER_PERCENT:
            break
        at = round(percent / 100 * (old.fast.total_n.size - 1))
        apart = float(new.fast.total_n[at] - old.fast.total_n[at])
        if abs(apart) >= LEAST_N:
            at_percent = (end, SPRINGS, f"force at {percent} % of travel{gas}", "N")
            size, between = _size(bench, apart, at_percent, own.name, (0, *WAYS))
            told.append(f"{size} N {WAYS[apart > 0]} at {percent} %{between}")
    if told:
        yield f"{' and '.join(told)} of the {end}'s travel, as it rides"


def _load(bench: Bench, own: SetupBench, end: End) -> Iterator[str]:
    """Yield that an end was weighed otherwise: rider, pack or battery, and no part of the bike."""
    old, new = bench.setups[0].at(end).masses, own.at(end).masses
    weighed = any(
        (item.candidate, item.end, item.key) == (own.name, end, "sprung_mass_kg") for item in bench.setup_differences
    )
    if weighed and old is not None and new is not None and abs(new.sprung_kg - old.sprung_kg) >= LEAST_KG:
        yield (
            f"the {end} carries {figure(new.sprung_kg, 1)} kg for {figure(old.sprung_kg, 1)}: where it sits and how it "
            "is damped goes by that too, not by the parts alone; where rider and bike are the same, state it once"
        )


def _sag(bench: Bench, own: SetupBench, end: End, *, pushes: bool) -> Iterator[str]:
    """Yield how much deeper an end comes to rest; that it stays, where its springs push otherwise further in."""
    old, new = bench.setups[0].at(end).masses, own.at(end).masses
    if old is None or new is None:
        return
    apart = new.sag_mm - old.sag_mm
    if abs(apart) >= LEAST_MM:
        size, between = _size(bench, apart, (end, MASSES, "sag at rest, without friction", "mm"), own.name, (1, *SITS))
        yield (
            f"the {end} should sit {size} mm {SITS[apart > 0]} at rest{between}: "
            f"{figure(100 * new.sag_mm / new.full_mm, 1)} % of its travel for "
            f"{figure(100 * old.sag_mm / old.full_mm, 1)}"
        )
    elif pushes:
        yield f"the {end} comes to rest where it did, within {LEAST_MM:g} mm"


def _damping(bench: Bench, own: SetupBench, end: End) -> Iterator[str]:
    old, new = bench.setups[0].at(end).masses, own.at(end).masses
    if old is None or new is None or old.damping_ratio is None or new.damping_ratio is None:
        return
    apart = new.damping_ratio - old.damping_ratio
    if abs(apart) >= LEAST_DAMPING:
        size, between = _size(bench, apart, (end, MASSES, "damping ratio at sag", ""), own.name, (2, *WAYS))
        yield (
            f"the {end}'s damping ratio at sag is {figure(new.damping_ratio, 2)} for {figure(old.damping_ratio, 2)}, "
            f"{size} {WAYS[apart > 0]}{between}"
        )


def _couple(bench: Bench, own: SetupBench) -> Iterator[str]:
    """Yield how legs that push unlike bend the axle at full travel, where it is known that they do."""
    first = bench.setups[0]
    old, new = first.front.lower_legs, own.front.lower_legs
    if old is None or new is None:
        return
    was, bends = (0.0 if legs.crossover else abs(legs.couple_nm) for legs in (old, new))
    if old.crossover != new.crossover and max(abs(old.couple_nm), abs(new.couple_nm)) < LEAST_NM:
        yield "legs with the same gas push alike, joined or not: a crossover evens out legs that push unlike"
        return
    known = bench.ranged(("front", LEGS, COUPLE, "N m"), first.name if was > bends else own.name)
    if abs(bends - was) < LEAST_NM or (known is not None and known.low * known.high <= 0):
        return
    if new.crossover:
        yield f"at full travel nothing bends the axle any more, which unlike legs bent with {figure(was, 1)} N m"
        return
    sides = " and ".join(
        f"{figure(force, 0)} N on the {side} side"
        for side, force in zip(("spring", "damper"), new.sides_n, strict=True)
    )
    yield f"at full travel the lower legs bend the axle with {figure(bends, 1)} N m for {figure(was, 1)}: {sides}"


def _geometry(bench: Bench, own: SetupBench) -> Iterator[str]:
    first = bench.setups[0]
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
            what = "bottom bracket height" if words == "bottom bracket" else words
            between = _edges(bench.apart(("both", STANDS, what, unit.strip()), own.name), places)
            told.append(f"{words} {figure(new[key], places)}{unit} ({change}{unit}{f', {between}' if between else ''})")
    if told:
        yield (f"unladen, {', '.join(told)}")
    yield from _keeping(bench, own, own.geometry)


def _edges(value: Ranged | None, places: int) -> str:
    """Return between what a difference lies; nothing where both ends read alike."""
    if value is None:
        return ""
    low, high = (figure(edge, places, signed=True) for edge in (value.low, value.high))
    return "" if low == high else f"{low} to {high}"


def _keeping(bench: Bench, own: SetupBench, geometry: Geometry) -> Iterator[str]:
    keeps, angle = geometry.keeps, geometry.stance.head_angle_deg
    if keeps is None or angle is None or abs(angle - keeps.head_angle_deg) < LEAST_DEG:
        return
    apart = bench.apart(("both", STANDS, "head angle", "°"), own.name)
    if apart is not None and apart.low * apart.high < 0:
        yield (
            "that the head angle differs isn't sure by how well both are known: measured alike with one gauge, state "
            "its plus_minus"
        )
        return
    ways = []
    if keeps.fork_mm is not None:
        between = _sizes(bench, own, "to keep the head angle: fork longer by", "mm", 0)
        way = "longer" if keeps.fork_mm > 0 else "shorter"
        ways.append(f"a fork {figure(abs(keeps.fork_mm), 0)} mm {way}{between}")
    if keeps.cup_deg is not None:
        way = "steeper" if keeps.cup_deg > 0 else "slacker"
        between = _sizes(bench, own, "or, to keep it: cups steeper by", "°", 1)
        ways.append(f"cups {figure(abs(keeps.cup_deg), 1)}° {way}{between}")
    if ways:
        yield f"{' or '.join(ways)} would keep the head angle at {figure(keeps.head_angle_deg, 1)}°"


def _sizes(bench: Bench, own: SetupBench, what: str, unit: str, places: int) -> str:
    """Return between what sizes a figure of the whole bike lies, to stand behind it; nothing where they read alike."""
    value = bench.ranged(("both", STANDS, what, unit), own.name)
    return "" if value is None else sizes_between(value.low, value.high, places)


def remarks(bench: Bench) -> tuple[str, ...]:
    """Return what else has to be said of leverage and geometry, each once with the setups it is of.

    Sag that is taken as the first setup's is said with the first's.
    """
    found: dict[str, list[str]] = {}
    first = bench.setups[0].label
    as_first = f"both ends as with {first}"
    taken: list[str] = []
    for setup in bench.setups:
        held = [*(setup.rear.leverage.remarks if setup.rear.leverage is not None else ())]
        held += setup.geometry.remarks if setup.geometry is not None else ()
        if setup.rear.leverage is not None and setup.rear.leverage.sag_from:
            if setup.rear.leverage.sag_from == as_first:
                taken.append(setup.label)
            else:
                held.append(f"{SAG_HERE}{setup.rear.leverage.sag_from}")
        for line in held:
            found.setdefault(line, []).append(setup.label)
    every, too = len(bench.setups), f", taken for {' and '.join(taken)} too"
    return tuple(
        f"{upper_first(line)}{_of(of, every)}{too if taken and line.startswith(SAG_HERE) and first in of else ''}."
        for line, of in found.items()
    )


def _of(labels: list[str], every: int) -> str:
    return "" if len(labels) == every else f" ({', '.join(labels)})"
