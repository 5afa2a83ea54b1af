"""A run of the baseline put on paper: ridden back, ridden by a candidate, and both measured as any run is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from telemetry import measures
from telemetry.bench.paper.again import FoundGround, Travelled, as_travelled, found_ground, laid, ridden_again
from telemetry.bench.paper.known import PaperSetup
from telemetry.conditioning import derivative, lowpass
from telemetry.conditioning.speed import still_mask
from telemetry.model.arrays import Floats, read_only
from telemetry.model.catalogue import FamilyPlace
from telemetry.model.day import EndSetup, RideDay, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.measure import MeasureAt
from telemetry.model.motion import Stretch
from telemetry.model.ride import EndSignal
from telemetry.units import STANDARD_GRAVITY_M_S2

from .studied import RunStudy, facts_for

BEFORE_S, AFTER_S = 2.0, 1.0
"""What is ridden on paper before the trail begins and after it ends: a body comes from rest to its course in it."""
SHORTEST_S = 3.0
"""A gap-free stretch shorter than this stays as it was measured, on paper too."""
MM = 1e-3

Values = Mapping[MeasureAt, measures.FamilyValue]


@dataclass(frozen=True, kw_only=True)
class PaperRun:
    """One run of the baseline, to be ridden again at the ends that are known.

    Attributes
    ----------
    day : RideDay
    run : RunStudy
    kept : tuple of (start, stop)
        The sections that are compared.
    ends : tuple of End
    rows : sequence of (spec, end)
        Of travel.
    """

    day: RideDay
    run: RunStudy
    kept: tuple[Stretch, ...]
    ends: tuple[End, ...]
    rows: Sequence[FamilyPlace]

    @cached_property
    def parts(self) -> tuple[Stretch, ...]:
        """The gap-free sample ranges that are ridden on paper."""
        ride = self.run.moved.ride
        first, last = np.searchsorted(ride.time_s, [ride.start_s - BEFORE_S, ride.end_s + AFTER_S])
        cut = ((max(start, int(first)), min(stop, int(last))) for start, stop in ride.segments)
        least = SHORTEST_S * ride.rate_hz
        return tuple((start, stop) for start, stop in cut if stop - start >= least)

    @cached_property
    def settled_m(self) -> Mapping[End, float]:
        """Wheel travel about which each end's gas moves: the mean while riding."""
        time, ride = self.run.moved.time, self.run.moved.ride
        return {end: MM * float(ride.ends[end].travel_mm[time.riding].mean()) for end in self.ends}

    @cached_property
    def measured(self) -> Values:
        """The rows as the run itself gives them."""
        run = self.run.moved
        return measures.pooled_values(run, self.kept, facts_for(self.day, self.run.entry.setup), self.rows)

    @cached_property
    def _travelled(self) -> tuple[Travelled, ...]:
        """How both ends moved in each part."""
        ride, found = self.run.moved.ride, []
        for start, stop in self.parts:
            travel = np.zeros((2, stop - start))
            for end in self.ends:
                travel[ENDS.index(end)] = MM * ride.ends[end].travel_mm[start:stop]
            found.append(as_travelled(travel, ride.rate_hz))
        return tuple(found)

    def grounds(self, baseline: PaperSetup) -> tuple[FoundGround, ...]:
        """Return what each part was ridden over, by the baseline's parts."""
        bike, both = baseline.bike(self.settled_m), (ENDS[0] in self.ends, ENDS[1] in self.ends)
        return tuple(found_ground(bike, both, part) for part in self._travelled)

    def settled_with(self, setup: PaperSetup, baseline: PaperSetup) -> Mapping[End, float]:
        """Return where another's gas settles, under what the baseline's ends push with and what more it carries."""
        found = {}
        for end, own in setup.ends.items():
            more_kg = setup.body.sprung_kg[end] - baseline.body.sprung_kg[end]
            pushed_n = baseline.ends[end].slow_n(self.settled_m[end])
            found[end] = own.settled_m(pushed_n + more_kg * STANDARD_GRAVITY_M_S2 * own.springs.sine)
        return found

    def ridden(
        self,
        setup: PaperSetup,
        baseline: PaperSetup,
        over: tuple[Sequence[FoundGround], Sequence[Floats]],
    ) -> tuple[Floats, ...]:
        """Return the travel of a setup over each part's ground and heights, m, each of shape (2, n)."""
        settled = self.settled_m if setup is baseline else self.settled_with(setup, baseline)
        bike = setup.bike(settled)
        return tuple(ridden_again(bike, ground, heights) for ground, heights in zip(*over, strict=True))

    def heights(self, grounds: Sequence[FoundGround], rng: np.random.Generator | None = None) -> tuple[Floats, ...]:
        """Return the height under both wheels along each part; drawn where it isn't felt, with `rng`."""
        return tuple(laid(ground, rng) for ground in grounds)

    def values(self, setup: Setup, travel_m: Sequence[Floats]) -> Values:
        """Return the rows of this run as it was ridden on paper under a setup."""
        run = self.run.moved
        signals = {end: self._signal(end, setup.at(end), travel_m) for end in self.ends}
        moved = measures.moved_otherwise(run, signals)
        return measures.pooled_values(moved, self.kept, facts_for(self.day, setup.name), self.rows)

    def _signal(self, end: End, setup: EndSetup, travel_m: Sequence[Floats]) -> EndSignal:
        """Return an end's signals of what it travelled on paper, smoothed as the day's logs are."""
        ride = self.run.moved.ride
        own, rate, cutoff = ride.ends[end], ride.rate_hz, self.run.cutoff_hz
        cleaned, travel, speed = own.cleaned_mm.copy(), own.travel_mm.copy(), own.speed_mm_s.copy()
        still = own.still.copy()
        for (start, stop), found in zip(self.parts, travel_m, strict=True):
            part = slice(start, stop)
            cleaned[part] = found[ENDS.index(end)] / MM
            travel[part] = lowpass(np.ascontiguousarray(cleaned[part]), rate, cutoff)
            speed[part] = derivative(travel[part], rate)
            still[part] = still_mask(speed[part], rate, cutoff)
        return replace(
            own,
            cleaned_mm=read_only(cleaned),
            travel_mm=read_only(travel),
            speed_mm_s=read_only(speed),
            still=read_only(still),
            full_travel_mm=setup.full_travel_mm or own.full_travel_mm,
            bumper_touch_mm=setup.bumper_touch_mm,
        )

    def correlations(self, travel_m: Sequence[Floats]) -> dict[End, float]:
        """Return how travel on paper follows measured travel while riding, end by end."""
        found = {}
        riding = self.run.moved.time.riding
        for at, end in enumerate(ENDS):
            if end in self.ends:
                own = self.run.moved.ride.ends[end].travel_mm
                pairs = [
                    (own[start:stop][riding[start:stop]], part[at][riding[start:stop]])
                    for (start, stop), part in zip(self.parts, travel_m, strict=True)
                ]
                measured, paper = (np.concatenate(side) for side in zip(*pairs, strict=True))
                found[end] = float(np.corrcoef(measured, paper)[0, 1])
        return found
