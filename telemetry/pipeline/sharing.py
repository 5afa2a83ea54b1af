"""Trail sections of compared runs: between marks, else of distance, else aligned by travel, else of riding time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from telemetry import comparison, measures
from telemetry.errors import CallError
from telemetry.model.day import RideDay
from telemetry.model.finding import Finding
from telemetry.model.motion import Stretch

from .common_places import DISTANCE_LIMIT_PCT, Motions, marks_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharing:
    """How a trail was shared: each run's stretches, and by what, in words that stand after "Sections:"."""

    stretches: Mapping[str, tuple[Stretch, ...]]
    words: str
    notes: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sections:
    """The sections that are compared.

    `complete` are the numbers, from 0, of those whole in every run; `kept` those of them that were asked for.
    """

    sharing: Sharing
    complete: tuple[int, ...]
    kept: tuple[int, ...]
    count: int

    def of(self, run: str) -> tuple[Stretch, ...]:
        """Return one run's stretches of the kept sections."""
        every = self.sharing.stretches[run]
        return tuple(every[number] for number in self.kept)


_Count = tuple[str, int]


def _uneven(day: RideDay, motions: Motions) -> tuple[str, _Count, _Count] | None:
    """Return a marker that wasn't pressed as often in every run, with two runs that differ: a press is missing."""
    for marker in dict.fromkeys(mark.marker for mark in day.marks if mark.marker):
        counts = [(name, sum((mark.run, mark.marker) == (name, marker) for mark in day.marks)) for name in motions]
        most, least = max(counts, key=lambda item: item[1]), min(counts, key=lambda item: item[1])
        if most[1] != least[1]:
            return marker, most, least
    return None


def _by_marks(day: RideDay, motions: Motions) -> Sharing | Finding | None:
    """Return sections between the marks that all runs have; a note where they have too few; None without any mark."""
    uneven = _uneven(day, motions)
    if uneven is not None:
        marker, (first, count), (other, other_count) = uneven
        kept = replace(day, marks=tuple(mark for mark in day.marks if mark.marker != marker))
        found = _by_marks(kept, motions)
        note = comparison.presses_not_alike(marker, (first, count), (other, other_count))
        return replace(found, notes=(note, *found.notes)) if isinstance(found, Sharing) else note
    marks = {name: marks_of(day, name) for name in motions}
    if not any(marks.values()):
        return None
    shared = set.intersection(*(set(own) for own in marks.values()))
    orders = {name: tuple(mark for mark in own if mark in shared) for name, own in marks.items()}
    first = next(iter(orders))
    if len(shared) < 2 or len(set(orders.values())) > 1:
        other = next((name for name in orders if name != first and list(marks[name]) != list(marks[first])), first)
        told = [", ".join(repr(mark) for mark in marks[name]) or "none" for name in (first, other)]
        return comparison.marks_not_alike(first, told[0], other, told[1])
    stretches = {
        name: measures.sections_between(motion, [marks[name][mark] for mark in orders[name]])
        for name, motion in motions.items()
    }
    return Sharing(stretches=stretches, words=f"{len(shared) - 1} between {len(shared)} marks")


def _by_distance(motions: Motions, count: int) -> Sharing | Finding | None:
    """Return equal shares of distance; a note where runs differ too much in it; None where a run logs none."""
    passed = {name: measures.ridden_distance_m(motion) for name, motion in motions.items()}
    known = {name: metres for name, metres in passed.items() if metres is not None}
    if len(known) < len(motions):
        return None
    ridden = {name: float(metres[-1]) for name, metres in known.items()}
    shortest, longest = min(ridden, key=ridden.__getitem__), max(ridden, key=ridden.__getitem__)
    if not 0 < ridden[longest] <= (1 + DISTANCE_LIMIT_PCT / 100) * ridden[shortest]:
        return comparison.distance_not_alike(
            (shortest, ridden[shortest]), (longest, ridden[longest]), DISTANCE_LIMIT_PCT
        )
    shares = np.linspace(0, 1, count + 1)
    stretches = {name: measures.sections_at(metres, shares) for name, metres in known.items()}
    return Sharing(stretches=stretches, words=f"{count} equal shares of distance")


def _by_travel(motions: Motions, count: int) -> Sharing | Finding:
    """Return shares aligned by travel with the run of middling riding time; a note where one agrees too little.

    Runs that measure no end's travel in common are aligned by how their inertial sensors shake.
    """
    order = sorted(motions, key=lambda name: (motions[name].time.riding_s, name))
    reference = order[len(order) // 2]
    found = {name: measures.align(motions[reference], motions[name]) for name in motions if name != reference}
    by = "travel" if all(motions[reference].ends.keys() & motions[name].ends.keys() for name in found) else "shaking"
    worst = min(found, key=lambda name: found[name].after - found[name].needed, default=None)
    if worst is not None and not found[worst].good:
        return comparison.travel_not_alike(by, worst, reference, found[worst].after, found[worst].needed)
    stretches = {reference: measures.section_stretches(motions[reference], count)}
    for name, alignment in found.items():
        shares = measures.aligned_shares(alignment, count)
        stretches[name] = measures.sections_at(measures.ridden_samples(motions[name]), shares)
    words = f"{count} shares aligned by {by} with {reference}"
    if worst is not None:
        before, after = (min(getattr(item, name) for item in found.values()) for name in ("before", "after"))
        furthest = max(item.furthest_s for item in found.values())
        words += (
            f" (correlation of the envelopes at least {after:.2f}, {before:.2f} before; moved by at most "
            f"{furthest:.1f} s)"
        )
    return Sharing(stretches=stretches, words=words)


def share(day: RideDay, motions: Motions) -> Sharing:
    """Share the trail into the same sections in every run.

    Parameters
    ----------
    day : RideDay
    motions : mapping of run to RunMotion
        The runs that take part; one or more.

    Returns
    -------
    Sharing

    Notes
    -----
    Marks come first, then distance, then riding time; aligned by travel only where the day asks for it. What was there
    but can't be used is noted.
    """
    count = comparison.section_count(min(motion.time.riding_s for motion in motions.values()))
    notes: list[Finding] = []
    ways: list[Callable[[], Sharing | Finding | None]] = [
        partial(_by_marks, day, motions),
        partial(_by_distance, motions, count),
    ]
    if day.comparison.align == "travel":
        ways.append(partial(_by_travel, motions, count))
    for way in ways:
        found = way()
        if isinstance(found, Sharing):
            return replace(found, notes=(*notes, *found.notes))
        notes.extend([found] if found is not None else [])
    stretches = {name: measures.section_stretches(motion, count) for name, motion in motions.items()}
    words = f"{count} equal shares of riding time" if count > 1 else "all of riding time as one"
    return Sharing(stretches=stretches, words=words, notes=tuple(notes))


def sections_of(day: RideDay, motions: Motions, wanted: Sequence[int] | None) -> Sections:
    """Share the trail into sections; one that isn't complete in every run is dropped from all.

    Parameters
    ----------
    day : RideDay
    motions : mapping of run to RunMotion
    wanted : sequence of int or None
        Numbers from 1 of the sections asked for.

    Raises
    ------
    CallError
        If a section is asked for that there isn't, or none is complete.
    """
    sharing = share(day, motions)
    count = len(next(iter(sharing.stretches.values())))
    dropped = set().union(*(measures.sections_with_gap(motions[name], sharing.stretches[name]) for name in motions))
    asked = set(range(count)) if wanted is None else {number - 1 for number in wanted}
    if not asked <= set(range(count)):
        wrong = next(number for number in sorted(asked, reverse=True) if number not in range(count))
        raise CallError(str(day.path), f"section {wrong + 1}", f"numbers from 1 to {count}", "name other sections")
    complete = tuple(number for number in range(count) if number not in dropped)
    kept = tuple(number for number in complete if number in asked)
    if not kept:
        found = f"a gap, or nothing ridden, in each of the {count} trail sections"
        raise CallError(str(day.path), found, "at least one whole section", "ride again")
    return Sections(sharing=sharing, complete=complete, kept=kept, count=count)
