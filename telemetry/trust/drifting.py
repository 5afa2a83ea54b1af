"""Whether a zero drifts or a gain shifts during a run: told by where the bike stands, and by the day's other runs.

A level that changes along the trail is no fault: climbs, descents and smooth parts have levels of their own. So runs
are held against others over the same trail, and a bike that stands against itself. Nor is one that both ends part by at
the same places: no sensor moves the other end.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import End, Finding
from telemetry.words import figure

from .levels import EndLevels, RunLevels

STANDING_OF_CHANGE, LEAST_STANDING = 0.5, 0.01
PATTERN_OF_CHANGE, LEAST_PATTERN = 0.75, 0.015
ACROSS = 1.5
"""By how much more a run without another of its setup may part: a change may act on a part of the trail more."""
TIMES_USUAL = 3.0
SCATTERS, SCATTERS_OF_TWO = 5.0, 8.0
NORMAL = 1.4826
LONE_STANDING, OTHER_STAYS = 0.03, 0.25
GOES_ALONG = (0.3, 2.0)
ALIKE, ALIKE_TIME = 0.6, 1.25
ALONG, ALONG_SHARE, LEAST_ALONG = 0.7, 0.1, 0.005
LITTLE = 1e-4
LEAST_GAIN, GAIN_FITS = 0.05, (0.4, 2.5)
"""Own choices, all of them: shares of full travel, or ratios. Simulated runs of one setup part by 0.007 at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """How one run's levels part from another's along the trail, shares of full travel; `by` is the whole range."""

    other: str
    raw: Floats
    along: Floats
    spread: Floats
    same_setup: bool

    @property
    def by(self) -> float:
        """From where it lies lowest beside the other to where it lies highest."""
        return float(np.ptp(self.along))

    @property
    def scatter(self) -> float:
        """Standard deviation of one share beside its neighbour, slopes left out: large where rides differ."""
        steps = np.diff(self.raw)
        return float(np.median(np.abs(steps - np.median(steps)))) * NORMAL / 2**0.5

    @property
    def late(self) -> float:
        """The last third's mean less the first third's."""
        third = self.along.shape[0] // 3
        return float(self.along[-third:].mean() - self.along[:third].mean())


def _smoothed(values: Floats) -> Floats:
    """Return the running median of three; the first and the last stand twice."""
    padded = np.concatenate([values[:1], values, values[-1:]])
    return np.asarray(np.median([padded[:-2], padded[1:-1], padded[2:]], axis=0))


def parting(one: EndLevels, other: EndLevels, name: str, *, same_setup: bool) -> Parting:
    """Return how one run's levels part from another's along the trail.

    Parameters
    ----------
    one, other : EndLevels
        Of the same end.
    name : str
        The other run.
    same_setup : bool
        Else the other's levels are first drawn to this run's by a ratio, between none and that of their means: some
        changes act everywhere alike, others more where an end lies deeper.
    """
    ratio = 1.0
    if not same_setup:
        centred = other.mean - other.mean.mean()
        ratio = float((centred @ (one.mean - one.mean.mean()) + LITTLE) / (centred @ centred + LITTLE))
        whole = float(one.mean.mean() / max(other.mean.mean(), LITTLE))
        ratio = min(max(ratio, min(1.0, whole)), max(1.0, whole))
    raw = one.mean - ratio * other.mean
    along = _smoothed(raw)
    spread = np.log(np.maximum(one.spread, LITTLE) / np.maximum(other.spread, LITTLE))
    return Parting(other=name, raw=raw, along=along - np.median(along), spread=spread, same_setup=same_setup)


def _correlation(one: Floats, other: Floats) -> float:
    """Return the correlation of two, 0 where either never differs."""
    return float(np.corrcoef(one, other)[0, 1]) if min(np.ptp(one), np.ptp(other)) > 0 else 0.0


def _alike(one: RunLevels, other: RunLevels) -> bool:
    """Tell whether two runs rode the same trail: as long, and moving as much at the same places at one end or more."""
    longer, shorter = max(one.riding_s, other.riding_s), min(one.riding_s, other.riding_s)
    if longer > ALIKE_TIME * shorter:
        return False
    return any(
        _correlation(np.log(one.ends[end].spread + LITTLE), np.log(other.ends[end].spread + LITTLE)) > ALIKE
        for end in one.ends
        if end in other.ends
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Departure:
    """What is wrong with one end of a run: by how much, and beside what that is seen.

    `standing` is where it shows in where the bike stands; `both` where it may be the other run as well; `alone` where
    no other run of the setup tells whether it is the setup that does it.
    """

    by: float
    limit: float
    parting: Parting | None
    standing: bool = False
    both: bool = False
    alone: bool = False


class EndJudge:
    """Judges one end over a day's runs.

    Parameters
    ----------
    runs : sequence of RunLevels
        Those that have the end.
    end : {"front", "rear"}
    change : float
        The smallest change of sag that matters, share of full travel.
    """

    def __init__(self, runs: Sequence[RunLevels], end: End, change: float) -> None:
        self._runs = {run.run: run for run in runs if end in run.ends}
        self._end = end
        self._standing = max(LEAST_STANDING, STANDING_OF_CHANGE * change)
        self._pattern = max(LEAST_PATTERN, PATTERN_OF_CHANGE * change)
        self._parts: dict[tuple[str, str], Parting] = {}
        for one, other in combinations(self._runs.values(), 2):
            if _alike(one, other):
                self._parts[one.run, other.run] = self._parting(one, other)
                self._parts[other.run, one.run] = self._parting(other, one)

    def _parting(self, one: RunLevels, other: RunLevels) -> Parting:
        return parting(one.ends[self._end], other.ends[self._end], other.run, same_setup=one.setup == other.setup)

    def beside(self, name: str, departure: Departure) -> Parting | None:
        """Return how a run that parts does from what is most like it: its setup's other runs, else as found."""
        own = self._own(name, list(self._runs))
        return departure.parting if own is None or own.by <= self._pattern else own

    def goes_along(self, name: str, with_it: Parting) -> bool:
        """Tell whether this end of a run parts from another where the other end does: then the ride did it."""
        own = self._parts.get((name, with_it.other))
        if own is None or own.by <= max(LEAST_ALONG, ALONG_SHARE * with_it.by):
            return False
        return abs(_correlation(own.along, with_it.along)) > ALONG

    def alike_in_setup(self, name: str) -> bool:
        """Tell whether a run lies as its setup's other runs do: then what parts it from others the setup may do."""
        own = self._own(name, list(self._runs))
        return own is not None and own.by <= self._pattern

    def departures(self) -> dict[str, Departure]:
        """Return what is wrong by run: who parts most is told first, and no other run is held against it then."""
        found = {name: item for name in self._runs if (item := self._by_standing(name)) is not None}
        rest = [name for name in self._runs if name not in found]
        while apart := {name: item for name in rest if (item := self._by_trail(name, rest)) is not None}:
            most = max(apart, key=lambda name: abs(apart[name].by) / apart[name].limit)
            if apart[most].both:
                return found | apart
            found[most] = apart[most]
            rest.remove(most)
        return found

    def _others(self, name: str, among: Sequence[str]) -> list[Parting]:
        return sorted(
            (self._parts[name, other] for other in among if (name, other) in self._parts), key=lambda part: part.by
        )

    def _own(self, name: str, among: Sequence[str]) -> Parting | None:
        """Return the middle one of how a run parts from its setup's other runs."""
        return _middle([part for part in self._others(name, among) if part.same_setup])

    def _by_standing(self, name: str) -> Departure | None:
        """Tell an end that stands elsewhere after the ride than before it, where riding levels went along."""
        run = self._runs[name]
        stood = run.ends[self._end].stood
        if stood is None:
            return None
        by = stood[1] - stood[0]
        others = self._others(name, list(self._runs))
        own = self._own(name, list(self._runs))
        beside = own if own is not None and abs(own.late) > GOES_ALONG[0] * abs(by) else _middle(others)
        limit = self._standing if beside is not None else LONE_STANDING
        limit = max(limit, TIMES_USUAL * self._usual_standing(name))
        if abs(by) <= limit:
            return None
        if beside is None and not self._alone(run, by):
            return None
        levels = run.ends[self._end].mean
        third = levels.shape[0] // 3
        late = [float(levels[-third:].mean() - levels[:third].mean())] if beside is None else [beside.late]
        if beside is not None and beside.same_setup:
            late.append(float(beside.raw[-third:].mean()))
        if not any(GOES_ALONG[0] * abs(by) <= item * np.sign(by) <= GOES_ALONG[1] * abs(by) for item in late):
            return None
        return Departure(by=by, limit=limit, parting=beside, standing=True)

    def _usual_standing(self, name: str) -> float:
        """Return by how much the other runs stand elsewhere after the ride: nobody stands alike to the mm."""
        stood = [run.ends[self._end].stood for run in self._runs.values() if run.run != name]
        moved = [abs(after - before) for before, after in filter(None, stood)]
        return float(np.median(moved)) if moved else 0.0

    def _alone(self, run: RunLevels, by: float) -> bool:
        """Tell whether the other end stands where it stood: who gets off or leans moves both."""
        for end, levels in run.ends.items():
            if end != self._end:
                return levels.stood is not None and abs(levels.stood[1] - levels.stood[0]) <= OTHER_STAYS * abs(by)
        return False

    def _usual(self, name: str, among: Sequence[str]) -> float | None:
        """Return by how much other runs part from each other; None where there are no two."""
        pairs = [self._parts[pair] for pair in combinations(among, 2) if name not in pair and pair in self._parts]
        same = [part.by for part in pairs if part.same_setup] or [part.by for part in pairs]
        return float(np.median(same)) if same else None

    def _by_trail(self, name: str, among: Sequence[str]) -> Departure | None:
        """Tell an end whose levels part from the other runs' along the trail."""
        others = self._others(name, among)
        middle = _middle(others)
        if middle is None:
            return None
        usual = self._usual(name, among)
        own = self._own(name, among)
        if own is not None and own.by <= self._pattern:  # alike in the setup's runs: the setup may do it
            return None
        limit = self._pattern if own is not None and usual is not None else ACROSS * self._pattern
        scatters = SCATTERS_OF_TWO if usual is None else SCATTERS
        limit = max(limit, TIMES_USUAL * (usual or 0.0), scatters * middle.scatter)
        if middle.by <= limit:
            return None
        by = float(np.copysign(middle.by, _furthest(middle.along)))
        return Departure(by=by, limit=limit, parting=middle, both=usual is None, alone=own is None)


def _middle(parts: Sequence[Parting]) -> Parting | None:
    """Return the middle one of partings in order, of two the smaller; None of none."""
    return parts[(len(parts) - 1) // 2] if parts else None


def _furthest(along: Floats) -> float:
    """Return by how much levels come to part from where they began, signed."""
    off = along - np.median(along[:2])
    return float(off[np.argmax(np.abs(off))])


def _elsewhere(along: Floats) -> Bools:
    """Tell where levels lie nearer to where they part furthest than to where they began."""
    off = along - np.median(along[:2])
    return np.asarray(np.abs(off) > np.abs(off).max() / 2)


def _gain(levels: EndLevels, part: Parting) -> float | None:
    """Return by what ratio an end moves more where its levels lie elsewhere; None where a gain doesn't explain both."""
    moved = _elsewhere(part.along)
    if not moved.any() or moved.all():
        return None
    ratio = float(np.exp(np.median(part.spread[moved]) - np.median(part.spread[~moved])))
    shift = float(part.along[moved].mean() - part.along[~moved].mean())
    expected = (ratio - 1) * (float(levels.mean[moved].mean()) - shift)
    fits = abs(ratio - 1) > LEAST_GAIN and GAIN_FITS[0] <= shift / (expected or LITTLE) <= GAIN_FITS[1]
    return ratio if fits else None


def _since(run: RunLevels, part: Parting | None) -> tuple[float | None, str]:
    """Return the second from which on a run parts, and that with the other run in words."""
    if part is None:
        return None, ""
    second = float(run.begins_s[int(np.argmax(_elsewhere(part.along)))])
    return second, f" from about {second:.0f} s on beside {part.other} over the same trail"


def _finding(run: RunLevels, end: End, departure: Departure) -> Finding:
    levels = run.ends[end]
    full, part = levels.full_travel_mm, departure.parting
    second, since = _since(run, part)
    limit = f"limit {departure.limit * full:.1f} mm"
    to_do = "no verdict at this end; check the sensor's clamp, rod, plug and supply, then ride again"
    if departure.alone:
        to_do = "check the sensor's clamp, rod, plug and supply; or the setups differ so: ride each twice to tell"
    gain = None if part is None else _gain(levels, part)
    which = (
        f"; or it is {part.other} that does: two runs don't tell which" if departure.both and part is not None else ""
    )
    by = figure(departure.by * full, 1, signed=True)

    def finding(code: str, what: str) -> Finding:
        message = f"{run.run}, {end}: {what}{which}: {to_do}"
        return Finding(code=code, message=message, end=end, second=second, no_verdict=not departure.alone)

    if gain is not None:
        return finding("gain_shift", f"moves {gain:.2f} times as much{since}, and parts by {by} mm ({limit})")
    if departure.standing:
        what = f"stands {by} mm elsewhere after the ride than before it ({limit}), and riding levels went along{since}"
        return finding("zero_drifts", what)
    return finding("zero_drifts", f"parts by {by} mm{since} ({limit})")


def _ridden_otherwise(run: RunLevels, end: End, departure: Departure) -> Finding:
    full = run.ends[end].full_travel_mm
    second, since = _since(run, departure.parting)
    by, limit = figure(departure.by * full, 1, signed=True), f"{departure.limit * full:.1f} mm"
    message = (
        f"{run.run}: both ends part at the same places{since} ({end} by {by} mm, limit {limit}): "
        "ridden otherwise there, pushed, or crashed, or both sensors' supply sags; "
        "look at the run along the trail before you trust its levels"
    )
    return Finding(code="ridden_otherwise", message=message, second=second)


def drift_findings(runs: Sequence[RunLevels], change: Mapping[End, float]) -> dict[str, tuple[Finding, ...]]:
    """Return what each run is told of a zero that drifts or a gain that shifts during it.

    Parameters
    ----------
    runs : sequence of RunLevels
        Of one day.
    change : mapping of end to float
        The smallest change of sag that matters, share of full travel.
    """
    found: dict[str, list[Finding]] = {}
    by_name = {run.run: run for run in runs}
    judges = {end: EndJudge(runs, end, least) for end, least in change.items()}
    ridden: dict[str, Finding] = {}
    for end, judge in judges.items():
        others = [other for of, other in judges.items() if of != end]
        for name, departure in judge.departures().items():
            part, run = judge.beside(name, departure), by_name[name]
            if part is None or not any(other.goes_along(name, part) for other in others):
                found.setdefault(name, []).append(_finding(run, end, departure))
            elif not judge.alike_in_setup(name):
                ridden.setdefault(name, _ridden_otherwise(run, end, departure))
    return {name: (*found.get(name, ()), *([ridden[name]] if name in ridden else [])) for name in {**found, **ridden}}
