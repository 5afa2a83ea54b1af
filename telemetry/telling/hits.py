"""Which of a lap's deepest hits tell most, and what differs between them, in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.model.curves import DeepHit
from telemetry.model.finding import OTHER_END
from telemetry.words import counted, figure, quantity, upper_first

from .names import ENDS
from .trail import depth_in_words, speed_in_words

NEAR_S = 0.4
"""Own choice: what the other end does so long before and after belongs to the same obstacle at riding speed."""
AT_ONCE_S = 0.02
KINDS: tuple[tuple[str, Callable[[DeepHit], float]], ...] = (
    ("fastest going in", lambda hit: hit.entry_speed_mm_s),
    ("longest", lambda hit: hit.length_mm),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldHit:
    """One hit that tells something, why it does, and how it differs from its end's deepest."""

    hit: DeepHit
    title: str
    words: str


def _other_end(hit: DeepHit) -> str:
    """Return how far the other end came, and when; empty where it isn't measured."""
    other = OTHER_END[hit.end]
    if other not in hit.trace_pct:
        return ""
    near = np.abs(hit.trace_s - hit.at_s) <= NEAR_S
    times, travel = hit.trace_s[near], hit.trace_pct[other][near]
    deepest = int(np.argmax(travel))
    later_s = float(times[deepest]) - hit.at_s
    when = "at once with it" if abs(later_s) <= AT_ONCE_S else f"{figure(abs(later_s), 2)} s {_when(later_s)}"
    return f"; the {other} came to {figure(float(travel[deepest]), 0)} % {when}"


def _when(later_s: float) -> str:
    return "later" if later_s > 0 else "earlier"


def _beside(hit: DeepHit, deepest: DeepHit) -> str:
    """Return how a hit differs from its end's deepest one."""
    faster = (hit.entry_speed_mm_s - deepest.entry_speed_mm_s) / 1000
    longer = hit.length_mm - deepest.length_mm
    shallower = deepest.depth_pct - hit.depth_pct
    parts = [f"{figure(shallower, 1)} points less deep than the deepest"]
    parts += [f"{quantity(abs(faster), 'm/s')} {'faster' if faster > 0 else 'slower'}"] if abs(faster) >= 0.05 else []
    parts += [f"{figure(abs(longer), 0)} mm {'longer' if longer > 0 else 'shorter'}"] if abs(longer) >= 0.5 else []
    return ", ".join(parts)


def _words(hit: DeepHit, deepest: DeepHit) -> str:
    bottomed = ", bottomed" if hit.bottomed else ""
    own = f"{speed_in_words(hit)} at its fastest going in, {figure(hit.length_mm, 0)} mm long{bottomed}"
    differs = "" if hit is deepest else f": {_beside(hit, deepest)}"
    return f"At {figure(hit.at_s, 2)} s, {own}{differs}{_other_end(hit)}."


def telling_hits(hits: Sequence[DeepHit]) -> tuple[ToldHit, ...]:
    """Return the hits of each end that tell most: the deepest, the fastest going in, the longest; the rear's first.

    Parameters
    ----------
    hits : sequence of DeepHit
        A lap's deepest, of either end.
    """
    found = []
    for end in ENDS:
        own = [hit for hit in hits if hit.end == end]
        if not own:
            continue
        deepest = max(own, key=lambda hit: (hit.bottomed is True, hit.depth_pct))
        chosen: list[tuple[DeepHit, list[str]]] = [(deepest, ["deepest"])]
        for kind, size in KINDS:
            best = max(own, key=size)
            known = next((kinds for hit, kinds in chosen if hit is best), None)
            if known is None:
                chosen.append((best, [kind]))
            else:
                known.append(kind)
        found += [
            ToldHit(
                hit=hit,
                title=f"{upper_first(' and '.join(kinds))}: {depth_in_words(hit)}",
                words=_words(hit, deepest),
            )
            for hit, kinds in chosen
        ]
    return tuple(found)


def the_rest(hits: Sequence[DeepHit], told: Sequence[ToldHit]) -> tuple[DeepHit, ...]:
    """Return the hits that aren't told, in time order."""
    return tuple(hit for hit in hits if all(hit is not one.hit for one in told))


def rest_in_words(rest: Sequence[DeepHit]) -> tuple[str, ...]:
    """Return a sentence an end on the hits that aren't told: how deep and how fast they were."""
    lines = []
    for end in ENDS:
        own = [hit for hit in rest if hit.end == end]
        if own:
            depth = _range([hit.depth_pct for hit in own], 0)
            speed = _range([hit.entry_speed_mm_s / 1000 for hit in own], 1)
            lines.append(f"The {end}'s other {counted(len(own), 'hit')}: {depth} % deep, {speed} m/s going in.")
    return tuple(lines)


def _range(values: Sequence[float], places: int) -> str:
    lowest, highest = figure(min(values), places), figure(max(values), places)
    return lowest if lowest == highest else f"{lowest} to {highest}"
