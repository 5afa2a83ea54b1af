"""A day's baseline and candidates ridden on paper: as stated, with drawn parts, over drawn ground."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from telemetry.bench.paper.again import FoundGround
from telemetry.bench.paper.drawn import Draws, draws_of
from telemetry.bench.paper.known import PaperSetup, paper_setup
from telemetry.bench.paper.loads import Pushed
from telemetry.bench.paper.shown import ShownEnd
from telemetry.bench.stated import Draw, as_stated
from telemetry.model.arrays import Floats
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.wish import Wish
from telemetry.units import STANDARD_GRAVITY_M_S2

from .paper_rides import PaperRun, Values

PART_DRAWS, GROUND_DRAWS = 24, 2
"""Draws of all parts together, shared out to the runs; draws of the unseen ground, each run's. Own choices."""
AGAIN = 0.5
"""Of the draws of parts, how many are ridden in a second run too: what differs there is chance. Own choice."""
SEED = 20260516
AT_ONCE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Ridden:
    """One run ridden on paper by the baseline's parts and each candidate's.

    Attributes
    ----------
    run : int
        Which of the baseline's.
    back : Values
    by_candidate : tuple of Values
    off : mapping of "place key" to float
        By how many widths each figure was drawn off.
    draw : int
        Which draw of parts.
    pushed : Pushed
    apart : tuple of mapping of end to float
        How far each candidate's travel lies from the baseline's, root mean square, % of full travel.
    """

    run: int
    back: Values
    by_candidate: tuple[Values, ...]
    off: Mapping[str, float]
    draw: int
    pushed: Pushed
    apart: tuple[Mapping[End, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AsStated:
    """One run with parts as stated over the smooth ground, and how close that comes to what was measured."""

    ridden: Ridden
    correlations: Mapping[End, float]
    unseen: Mapping[End, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """All rides on paper of a baseline and its candidates."""

    as_stated: tuple[AsStated, ...]
    over_ground: tuple[Ridden, ...]
    with_parts: tuple[Ridden, ...]


@dataclass(frozen=True, kw_only=True)
class Trying:
    """What is ridden on paper.

    Attributes
    ----------
    day : RideDay
    baseline : Setup
    candidates : tuple of Setup
    ends : tuple of End
        Those that are measured and known.
    runs : tuple of PaperRun
        The baseline's.
    bands_mm : mapping of setup to mapping of end to float
        Friction bands, where settling was recorded; a setup without has the baseline's.
    shown : mapping of end to ShownEnd
        What force maps show of the baseline's ends that ride by them.
    steps : bool
        Whether a candidate is a step from the baseline, off by as much as that wherever it is stated.
    part_draws, ground_draws : int
        Draws of all parts together, shared out to the runs; of the unseen ground, each run's.
    wish : Wish or None
        For which single changes are ridden too.
    """

    day: RideDay
    baseline: Setup
    candidates: tuple[Setup, ...]
    ends: tuple[End, ...]
    runs: tuple[PaperRun, ...]
    bands_mm: Mapping[str, Mapping[End, float]] = field(default_factory=dict)
    shown: Mapping[End, ShownEnd] = field(default_factory=dict)
    steps: bool = False
    part_draws: int = PART_DRAWS
    ground_draws: int = GROUND_DRAWS
    wish: Wish | None = None

    def papers(self, draw: Draw = as_stated) -> tuple[PaperSetup, ...]:
        """Return baseline and candidates on paper.

        Raises
        ------
        PartError, ValueError
            If figures contradict each other.
        """
        usual = self.bands_mm.get(self.baseline.name, {})
        return tuple(
            paper_setup(
                self.day,
                (setup, self.baseline),
                self.ends,
                {**usual, **self.bands_mm.get(setup.name, {})},
                draw,
                self.shown,
            )
            for setup in (self.baseline, *self.candidates)
        )

    @cached_property
    def draws(self) -> Draws:
        """The draws of all parts together.

        Raises
        ------
        PartError, ValueError
            If figures contradict each other.
        """
        return draws_of(self.papers, self.part_draws, (SEED, 2), alike=self.steps)

    def _ridden(
        self, number: int, papers: tuple[PaperSetup, ...], grounds: Sequence[FoundGround], heights: Sequence[Floats]
    ) -> tuple[Ridden, tuple[Floats, ...]]:
        run, (own, *others) = self.runs[number], papers
        back = run.ridden(own, own, (grounds, heights))
        after = [run.ridden(other, own, (grounds, heights)) for other in others]
        ridden = Ridden(
            run=number,
            back=run.values(self.baseline, back),
            by_candidate=tuple(run.values(setup, found) for setup, found in zip(self.candidates, after, strict=True)),
            off={},
            draw=0,
            pushed=_pushed(own, grounds),
            apart=tuple(_apart(back, found, own) for found in after),
        )
        return ridden, back

    @property
    def rides_with_parts(self) -> int:
        """How many rides with drawn parts there are: half the draws twice, but of small steps and of one run."""
        twice = len(self.runs) > 1 and not self.steps
        return self.part_draws + (int(AGAIN * self.part_draws) if twice else 0)

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
        drawn = [self._ridden(number, papers, grounds, run.heights(grounds, rng))[0] for _ in range(self.ground_draws)]
        return first, tuple(drawn)

    def drawn(self, place: int) -> Ridden | None:
        """Return one run with drawn parts; None where no bike that can be ridden was drawn.

        Beyond as many as there are draws, the same draws in another run each.
        """
        which, again = place % self.part_draws, place // self.part_draws
        number = (which + again) % len(self.runs)
        run, draw = self.runs[number], self.draws.one(which)
        try:
            papers = self.papers(draw)
            grounds = run.grounds(papers[0])
            found, _ = self._ridden(number, papers, grounds, run.heights(grounds))
        except ValueError:
            return None
        off: dict[str, float] = {}
        for (where, key, _value), widths in draw.taken.items():
            off.setdefault(f"{where} {key}", widths)
        return replace(found, off=off, draw=which)


THROUGH_THE_FRAME = 0.25
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
    """Ride candidates on paper, two runs at a time.

    Raises
    ------
    UnriddenError, PartError, ValueError
        With parts as stated.
    """
    tell = progress or (lambda _name: None)
    _ = trying.draws
    for run in trying.runs:
        _ = run.parts, run.settled_m, run.measured  # worked out before they are shared
    with ThreadPoolExecutor(AT_ONCE) as at_once:
        stated: list[tuple[AsStated, tuple[Ridden, ...]]] = []
        for run, found in zip(trying.runs, at_once.map(trying.stated, range(len(trying.runs))), strict=True):
            tell(f"{run.run.entry.name} on paper")
            stated.append(found)
        parts: list[Ridden] = []
        for number, drawn in enumerate(at_once.map(trying.drawn, range(trying.rides_with_parts)), 1):
            tell(f"parts drawn {number} times")
            if drawn is not None:
                parts.append(drawn)
    return Tried(
        as_stated=tuple(first for first, _ in stated),
        over_ground=tuple(one for _, drawn in stated for one in drawn),
        with_parts=tuple(parts),
    )
