"""A day's baseline and candidate ridden on paper: as stated, with drawn parts, over drawn ground."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace

import numpy as np

from telemetry.bench.paper.again import FoundGround
from telemetry.bench.paper.known import Drawn, PaperSetup, paper_setup
from telemetry.bench.paper.loads import Pushed
from telemetry.bench.stated import Draw, as_stated
from telemetry.model.arrays import Floats
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, End
from telemetry.units import STANDARD_GRAVITY_M_S2

from .paper_rides import PaperRun, Values

PART_DRAWS, GROUND_DRAWS = 24, 2
"""Draws of all parts together, shared out to the runs; draws of the unseen ground, each run's. Own choices."""
SEED = 20260516
AT_ONCE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Ridden:
    """One run ridden on paper by the baseline's parts and the candidate's.

    Attributes
    ----------
    run : int
        Which of the baseline's.
    back, by_candidate : Values
    off : mapping of "place key" to float
        By how many widths each figure was drawn off.
    pushed : Pushed
    apart : mapping of end to float
        How far the two rides' travel lies apart, root mean square, % of the baseline's full travel.
    """

    run: int
    back: Values
    by_candidate: Values
    off: Mapping[str, float]
    pushed: Pushed
    apart: Mapping[End, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class AsStated:
    """One run with parts as stated over the smooth ground, and how close that comes to what was measured."""

    ridden: Ridden
    correlations: Mapping[End, float]
    unseen: Mapping[End, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """All rides on paper of a candidate."""

    as_stated: tuple[AsStated, ...]
    over_ground: tuple[Ridden, ...]
    with_parts: tuple[Ridden, ...]


@dataclass(frozen=True, kw_only=True)
class Trying:
    """What is ridden on paper.

    Attributes
    ----------
    day : RideDay
    baseline, candidate : Setup
    ends : tuple of End
        Those that are measured and known.
    runs : tuple of PaperRun
        The baseline's.
    friction_n : mapping of end to float
    """

    day: RideDay
    baseline: Setup
    candidate: Setup
    ends: tuple[End, ...]
    runs: tuple[PaperRun, ...]
    friction_n: Mapping[End, float] = field(default_factory=dict)

    def papers(self, draw: Draw = as_stated) -> tuple[PaperSetup, PaperSetup]:
        """Return baseline and candidate on paper.

        Raises
        ------
        PartError, ValueError
            If figures contradict each other.
        """
        own, other = (
            paper_setup(self.day, (setup, self.baseline), self.ends, self.friction_n, draw)
            for setup in (self.baseline, self.candidate)
        )
        return own, other

    def _ridden(
        self,
        number: int,
        papers: tuple[PaperSetup, PaperSetup],
        grounds: Sequence[FoundGround],
        heights: Sequence[Floats],
    ) -> tuple[Ridden, tuple[Floats, ...]]:
        run = self.runs[number]
        back = run.ridden(papers[0], papers[0], (grounds, heights))
        by_candidate = run.ridden(papers[1], papers[0], (grounds, heights))
        ridden = Ridden(
            run=number,
            back=run.values(self.baseline, back),
            by_candidate=run.values(self.candidate, by_candidate),
            off={},
            pushed=_pushed(papers[0], grounds),
            apart=_apart(back, by_candidate, papers[0]),
        )
        return ridden, back

    def stated(self, number: int) -> tuple[AsStated, tuple[Ridden, ...]]:
        """Return a run as stated, and over drawn grounds.

        Raises
        ------
        UnriddenError
        """
        run, papers = self.runs[number], self.papers()
        grounds = run.grounds(papers[0])
        ridden, back = self._ridden(number, papers, grounds, run.heights(grounds))
        first = AsStated(ridden=ridden, correlations=run.correlations(back), unseen=_unseen(grounds))
        rng = np.random.default_rng((SEED, 1, number))
        drawn = [self._ridden(number, papers, grounds, run.heights(grounds, rng))[0] for _ in range(GROUND_DRAWS)]
        return first, tuple(drawn)

    def drawn(self, place: int) -> Ridden | None:
        """Return one run with drawn parts; None where no bike that can be ridden was drawn."""
        number = place % len(self.runs)
        run, draw = self.runs[number], Drawn(np.random.default_rng((SEED, 2, place)))
        try:
            papers = self.papers(draw)
            grounds = run.grounds(papers[0])
            found, _ = self._ridden(number, papers, grounds, run.heights(grounds))
        except ValueError:
            return None
        off: dict[str, float] = {}
        for (where, key, _value), widths in draw.taken.items():
            off.setdefault(f"{where} {key}", widths)
        return replace(found, off=off)


THROUGH_THE_FRAME = 0.15
"""How much of what one end moves otherwise is taken to reach the other as a doubt of the model; own choice."""


def _apart(back: Sequence[Floats], by_candidate: Sequence[Floats], paper: PaperSetup) -> dict[End, float]:
    """Return how far two rides lie apart at each end, root mean square, % of full travel, and by way of the other."""
    own = {}
    for end, known in paper.ends.items():
        at = ENDS.index(end)
        squares = np.concatenate([(one[at] - two[at]) ** 2 for one, two in zip(back, by_candidate, strict=True)])
        own[end] = float(1e5 * np.sqrt(squares.mean()) / known.springs.full_mm)
    whole = math.hypot(*own.values())
    return {end: math.hypot(value, THROUGH_THE_FRAME * whole) for end, value in own.items()}


def _pushed(paper: PaperSetup, grounds: Sequence[FoundGround]) -> Pushed:
    """Return what each end pushed up with on the mean, and the weight that it carries."""
    lengths = np.array([ground.moved.slow_n.shape[1] for ground in grounds], dtype=float)
    found = {}
    for end, own in paper.ends.items():
        means = np.array([ground.mean_n[ENDS.index(end)] for ground in grounds])
        mean = float(means @ lengths / lengths.sum()) / own.springs.sine
        found[end] = (mean, paper.body.sprung_kg[end] * STANDARD_GRAVITY_M_S2)
    return found


def _unseen(grounds: Sequence[FoundGround]) -> dict[End, float]:
    """Return the share of the time in which each tyre felt no ground."""
    found: dict[End, float] = {}
    for at, end in enumerate(ENDS):
        off = [ground.wheels[at] for ground in grounds]
        known = [wheel.off for wheel in off if wheel is not None]
        if known:
            found[end] = float(np.concatenate(known).mean())
    return found


def tried(trying: Trying, progress: Callable[[str], None] | None = None) -> Tried:
    """Ride a candidate on paper, two runs at a time.

    Raises
    ------
    UnriddenError, PartError, ValueError
        With parts as stated.
    """
    tell = progress or (lambda _name: None)
    _ = trying.papers()
    for run in trying.runs:
        _ = run.parts, run.settled_m, run.measured  # worked out before they are shared
    with ThreadPoolExecutor(AT_ONCE) as at_once:
        stated: list[tuple[AsStated, tuple[Ridden, ...]]] = []
        for run, found in zip(trying.runs, at_once.map(trying.stated, range(len(trying.runs))), strict=True):
            tell(f"{run.run.entry.name} on paper")
            stated.append(found)
        parts: list[Ridden] = []
        for number, drawn in enumerate(at_once.map(trying.drawn, range(PART_DRAWS)), 1):
            tell(f"parts drawn {number} times")
            if drawn is not None:
                parts.append(drawn)
    return Tried(
        as_stated=tuple(first for first, _ in stated),
        over_ground=tuple(one for _, drawn in stated for one in drawn),
        with_parts=tuple(parts),
    )
