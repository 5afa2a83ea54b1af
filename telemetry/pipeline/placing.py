"""Named stretches of trail in every run: where they were marked, else carried over from the first run that has them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from telemetry import measures, trust
from telemetry.model.day import RideDay, TrailStretch
from telemetry.model.finding import Finding, Step
from telemetry.model.motion import Stretch

from .common_places import DISTANCE_LIMIT_PCT, Motions, marks_of

UNPLACED = "no run says yet where it lies"
STAGE = "stretches"


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One run's named stretches of trail: samples, or why their place isn't known; what is told of them."""

    named: Mapping[str, Stretch | measures.Missing]
    steps: tuple[Step, ...]
    findings: tuple[Finding, ...]


def _marked(motion: measures.RunMotion, stated: TrailStretch) -> Stretch | measures.Missing:
    """Return the samples of a stretch in the run that states it."""
    time_s = motion.ride.time_s
    bounds = np.array([stated.start_s, stated.end_s], dtype=float)
    if bounds[0] < time_s[0] - 1e-9 or bounds[1] > time_s[-1] + 1 / motion.ride.rate_hz:
        return measures.Missing(
            f"stated from {bounds[0]:g} to {bounds[1]:g} s, and the run goes from {time_s[0]:.1f} to {time_s[-1]:.1f} s"
        )
    start, stop = np.searchsorted(time_s, bounds - 1e-9).tolist()
    return start, stop


def _alike(source: measures.RunMotion, run: measures.RunMotion) -> bool:
    """Tell whether two runs may start and end at the same places: by distance where both log it, else by time."""
    ridden = [measures.ridden_distance_m(one) for one in (source, run)]
    first, second = (
        one.time.riding_s if metres is None or any(own is None for own in ridden) else float(metres[-1])
        for one, metres in zip((source, run), ridden, strict=True)
    )
    return max(first, second) <= (1 + DISTANCE_LIMIT_PCT / 100) * min(first, second)


def _sure_marks(day: RideDay, names: tuple[str, str]) -> tuple[dict[str, float], dict[str, float]]:
    """Return two runs' marks by name, without a marker's presses where one has more of them: they are other places."""
    pressed = [Counter(mark.marker for mark in day.marks if mark.run == name and mark.marker) for name in names]
    doubtful = {marker for marker in pressed[0] | pressed[1] if pressed[0][marker] != pressed[1][marker]}
    sure = replace(day, marks=tuple(mark for mark in day.marks if mark.marker not in doubtful))
    return marks_of(sure, names[0]), marks_of(sure, names[1])


def _fixed(day: RideDay, names: tuple[str, str], motions: Motions) -> list[measures.Fixed]:
    """Return the samples of places that two runs share: start and end where they are alike, and marks of one name."""
    source, run = (motions[name].ride.time_s for name in names)
    here, there = _sure_marks(day, names)
    shared = [(here[mark], there[mark]) for mark in here if mark in there]
    fixed = [(int(np.searchsorted(source, one)), int(np.searchsorted(run, other))) for one, other in shared]
    if _alike(motions[names[0]], motions[names[1]]):
        fixed = [(0, 0), *fixed, (source.shape[0], run.shape[0])]
    rising = all(one[0] < other[0] and one[1] < other[1] for one, other in pairwise(fixed))
    return fixed if rising else []


def _step(motion: measures.RunMotion, name: str, where: Stretch, told: str) -> Step:
    time_s = motion.ride.time_s
    first_s, last_s = float(time_s[where[0]]), float(time_s[min(where[1], time_s.shape[0] - 1)])
    return Step(stage=STAGE, words=f"{name}: {first_s:.1f} to {last_s:.1f} s, {told}")


class _Placing:
    """Finds each named stretch of a day in its runs."""

    def __init__(self, day: RideDay, motions: Motions, sources: frozenset[str]) -> None:
        self._day, self._motions = day, motions
        self._marked: dict[tuple[str, str], Stretch | measures.Missing] = {
            (run, stretch.name): _marked(motions[run], stretch)
            for stretch in day.stretches
            for run in motions
            if stretch.run == run
        }
        self._alignments: dict[tuple[str, str], measures.Alignment] = {}
        order = [run.name for run in day.runs if run.name in sources]
        self._source: dict[str, tuple[str, Stretch]] = {}
        for name in day.stretch_names:
            for run in order:
                where = self._marked.get((run, name))
                if where is not None and not isinstance(where, measures.Missing):
                    self._source.setdefault(name, (run, where))

    def _aligned(self, source: measures.RunMotion, run: measures.RunMotion) -> measures.Alignment:
        """Return how two runs are aligned: found once, for all stretches."""
        pair = source.ride.name, run.ride.name
        if pair not in self._alignments:
            self._alignments[pair] = measures.align(source, run)
        return self._alignments[pair]

    def of(self, run: str) -> Placed:
        """Return one run's stretches."""
        named: dict[str, Stretch | measures.Missing] = {}
        steps, findings = [], []
        for name in self._day.stretch_names:
            where, told = self._found(run, name)
            named[name] = where
            if not isinstance(where, measures.Missing):
                steps.append(_step(self._motions[run], name, where, told))
            elif where.reason != UNPLACED:  # that is told once, of the day
                findings.append(trust.stretch_not_placed(run, name, where.reason))
        return Placed(named=named, steps=tuple(steps), findings=tuple(findings))

    def _found(self, run: str, name: str) -> tuple[Stretch | measures.Missing, str]:
        own = self._marked.get((run, name))
        if own is not None:
            return own, "as marked"
        if name not in self._source:
            elsewhere = [stretch.run for stretch in self._day.stretches if stretch.name == name and stretch.run]
            reason = f"marked only in {', '.join(elsewhere)}, which can't be used" if elsewhere else UNPLACED
            return measures.Missing(reason), ""
        source, where = self._source[name]
        fixed = _fixed(self._day, (source, run), self._motions)
        found = measures.carried(self._motions[source], self._motions[run], where, fixed, self._aligned)
        if isinstance(found, measures.Missing):
            return measures.Missing(f"carried over from {source}, {found.reason}"), ""
        return found.stretch, f"carried over from {source} by {found.by}, known to {found.known_to_s:.1f} s"


def places(day: RideDay, motions: Motions, sources: frozenset[str]) -> Mapping[str, Placed]:
    """Return the named stretches of trail in every run.

    Parameters
    ----------
    day : RideDay
        Its marks with the presses.
    motions : mapping of run to RunMotion
        Of every run that can be measured.
    sources : frozenset of str
        The runs that a stretch may be carried over from: usable ones.
    """
    placing = _Placing(day, motions, sources)
    return {run: placing.of(run) for run in motions}
