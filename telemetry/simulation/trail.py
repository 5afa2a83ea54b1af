"""Trails: stretches of ground with speeds and obstacles, and what one run down a trail passes over."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from telemetry.model.arrays import Floats, read_only

from .obstacles import Obstacle
from .pace import STEP_M, Course
from .road import rough_road

BLEND_M = 4.0
"""Length over which one ground becomes the next, and the trail begins and ends; own choice."""

BRAKING_M_S2 = 4.0
"""Largest change of speed where stretches meet; common practice, no source."""

PLACE_M = 5.0
"""Standard deviation of an obstacle's place at a line share of one; own choice: 0.15 m at 3 %."""

FARTHEST = 3.0
"""Standard deviations at which a line's variation of an obstacle is cut off."""

LARGEST_SHARE = 0.3
"""Of a line's own part: at 3 standard deviations an obstacle keeps a tenth of its height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A part of a trail with one kind of ground.

    Attributes
    ----------
    length_m : float
        Above 0.
    level_m3 : float
        Roughness at 0.1 cycle/m, m³, 0 or more: `road.GEOMETRIC_MEAN_M3` has the classes.
    waviness : float
        Exponent of its spectrum.
    speed_m_s : float
        Ground speed, m/s, above 0.
    obstacles : tuple of Obstacle
        Places counted from the stretch's beginning, each wholly within it.
    """

    length_m: float
    level_m3: float
    speed_m_s: float
    waviness: float = 2.0
    obstacles: tuple[Obstacle, ...] = ()

    def __post_init__(self) -> None:
        if not (0 < self.length_m < math.inf and 0 < self.speed_m_s < math.inf):
            raise ValueError(f"a stretch of {self.length_m:g} m at {self.speed_m_s:g} m/s: both have to be above 0")
        if not 0 <= self.level_m3 < math.inf:
            raise ValueError(f"a stretch's roughness is {self.level_m3:g} m³, but has to be 0 or more")
        for obstacle in self.obstacles:
            if obstacle.at_m < 0 or obstacle.at_m + obstacle.length_m > self.length_m:
                ends_m = obstacle.at_m + obstacle.length_m
                raise ValueError(f"{obstacle} ends at {ends_m:g} m, but the stretch is from 0 to {self.length_m:g} m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Trail:
    """Stretches one after the other, and the seed from which their ground is drawn.

    Attributes
    ----------
    stretches : tuple of Stretch
    seed : int
    course : Course or None
        Speed, turns and gradient along the whole trail; None where each stretch has its speed, straight and level.
    obstacles : tuple of Obstacle
        Beside those of the stretches, counted from the trail's beginning, each wholly within it.
    """

    stretches: tuple[Stretch, ...]
    seed: int
    course: Course | None = None
    obstacles: tuple[Obstacle, ...] = ()

    def __post_init__(self) -> None:
        if not self.stretches:
            raise ValueError("a trail needs a stretch or more")

    @property
    def length_m(self) -> float:
        """Length of all stretches, m."""
        return sum(stretch.length_m for stretch in self.stretches)


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """What one run passes over, at evenly spaced distances from the trail's beginning.

    Attributes
    ----------
    step_m : float
        Spacing, m.
    height_m : float array, shape (n,), read-only
        Height of the ground, m, against the trail's mean slope; 0 where the trail begins.
    speed_m_s : float array, shape (n,), read-only
        Ground speed, m/s.
    course : Course or None
        The trail's.
    """

    step_m: float
    height_m: Floats
    speed_m_s: Floats
    course: Course | None = None

    @property
    def distance_m(self) -> Floats:
        """Distance of every sample from the trail's beginning, m, shape (n,)."""
        return _places_m(0, self.height_m.shape[0], self.step_m)


def _places_m(first: int, after: int, step_m: float) -> Floats:
    """Return distances of the samples from `first` to before `after`, m."""
    return step_m * np.arange(first, after, dtype=np.float64)


def _ramp(x_m: Floats, ramp: tuple[float, float]) -> Floats:
    """Return a rise from 0 to 1 along half a cosine wave, given where it starts and how long it is."""
    start_m, length_m = ramp
    share = np.clip((x_m - start_m) / length_m, 0.0, 1.0)
    return np.asarray((1 - np.cos(math.pi * share)) / 2)


def _starts_m(trail: Trail) -> list[float]:
    """Return where each stretch begins, and where the last one ends."""
    return [0.0, *np.cumsum([stretch.length_m for stretch in trail.stretches]).tolist()]


def _ground(trail: Trail, lines: list[np.random.Generator], line_share: float, step_m: float) -> Floats:
    """Return roughness of all stretches, each faded into the next at constant power."""
    starts = _starts_m(trail)
    lengths = [stretch.length_m for stretch in trail.stretches]
    inner = [min(BLEND_M, *pair) for pair in pairwise(lengths)]
    first, last = min(BLEND_M, lengths[0] / 2), min(BLEND_M, lengths[-1] / 2)
    ramps = [
        (0.0, first),
        *((start - blend / 2, blend) for start, blend in zip(starts[1:-1], inner, strict=True)),
        (starts[-1] - last, last),
    ]
    height = np.zeros(round(starts[-1] / step_m))
    seeds = np.random.SeedSequence(trail.seed).spawn(len(lengths))
    for stretch, seed, line, rise, fall in zip(trail.stretches, seeds, lines, ramps, ramps[1:], strict=False):
        begin, end = math.ceil(rise[0] / step_m), min(math.floor(sum(fall) / step_m) + 1, height.shape[0])
        own, off = (
            rough_road(rng, (end - begin) * step_m, step_m, level_m3=stretch.level_m3, waviness=stretch.waviness)
            for rng in (np.random.default_rng(seed), line)
        )
        x_m = _places_m(begin, end, step_m)
        share = np.sin(math.pi / 2 * _ramp(x_m, rise)) * np.cos(math.pi / 2 * _ramp(x_m, fall))
        height[begin:end] += share * (math.sqrt(1 - line_share**2) * own + line_share * off)
    return height


def _shapes(trail: Trail, lines: list[np.random.Generator], line_share: float, step_m: float) -> Floats:
    """Return what the obstacles add, each varied in height and place."""
    starts = _starts_m(trail)
    height = np.zeros(round(starts[-1] / step_m))
    steps = np.zeros(height.shape[0] + 1)
    placed = [
        (obstacle, line, start)
        for stretch, line, start in zip(trail.stretches, lines, starts, strict=False)
        for obstacle in stretch.obstacles
    ]
    placed += [(obstacle, lines[-1], 0.0) for obstacle in trail.obstacles]
    for obstacle, line, start in placed:
        higher, further = line_share * np.clip(line.standard_normal(2), -FARTHEST, FARTHEST)
        origin = start + PLACE_M * further
        begins, ends = obstacle.at_m, obstacle.at_m + obstacle.length_m
        reach = (math.floor((origin + begins) / step_m), math.ceil((origin + ends) / step_m))
        first, after = np.clip(reach, 0, height.shape[0])
        x_m = _places_m(int(first), int(after), step_m) - origin
        height[first:after] += (1 + higher) * obstacle.heights(x_m)
        steps[after] += (1 + higher) * float(obstacle.heights(np.array([ends]))[0])
    return np.asarray(height + np.cumsum(steps)[:-1])


def _speed(trail: Trail, step_m: float) -> Floats:
    """Return speed along the trail: its square goes from stretch to stretch along half a cosine wave."""
    starts = _starts_m(trail)
    x_m = _places_m(0, round(starts[-1] / step_m), step_m)
    if trail.course is not None:
        own = trail.course.speed_m_s
        return np.interp(x_m, STEP_M * np.arange(own.shape[0]), own)
    square: Floats = np.full(x_m.shape[0], trail.stretches[0].speed_m_s ** 2, dtype=np.float64)
    for (before, after), start in zip(pairwise(trail.stretches), starts[1:], strict=False):
        change = after.speed_m_s**2 - before.speed_m_s**2
        braking = math.pi * abs(change) / (4 * BRAKING_M_S2)
        blend = min(max(BLEND_M, braking), before.length_m, after.length_m)
        first, last = math.floor((start - blend / 2) / step_m), math.ceil((start + blend / 2) / step_m)
        square[first:last] += change * _ramp(x_m[first:last], (start - blend / 2, blend))
        square[last:] += change
    return np.asarray(np.sqrt(square), dtype=float)


def profile(trail: Trail, *, line_rng: np.random.Generator, line_share: float = 0.03, step_m: float = 0.01) -> Profile:
    """Return what one run down a trail passes over.

    Parameters
    ----------
    trail : Trail
        Its ground is the same for every run.
    line_rng : numpy.random.Generator
        Draws what is this run's own.
    line_share : float, optional
        How much of it is, 0 to 0.3; the default is common practice, no source.
    step_m : float, optional
        Spacing, m; at most 0.05, half of the shortest wave.

    Returns
    -------
    Profile

    Raises
    ------
    ValueError
        If `line_share` or `step_m` is out of its range.

    Notes
    -----
    Ground of a run: ``sqrt(1 - s²) own + s off``, both of the stretch's spectrum and independent: the spectrum stays,
    two runs correlate by ``1 - s²``. Obstacles: height by ``1 + s N``, place by ``5 m s N``, N normal, cut off at 3.
    Where stretches meet, one ground fades into the next over 4 m, and speed changes with at most 4 m/s² where the
    stretches are long enough. The trail begins and ends on smooth ground.
    """
    if not 0 <= line_share <= LARGEST_SHARE:
        raise ValueError(f"a line varies by a share from 0 to {LARGEST_SHARE:g}, not {line_share:g}")
    lines = line_rng.spawn(len(trail.stretches))
    height = _ground(trail, lines, line_share, step_m) + _shapes(trail, lines, line_share, step_m)
    speed_m_s = read_only(_speed(trail, step_m))
    return Profile(step_m=step_m, height_m=read_only(height), speed_m_s=speed_m_s, course=trail.course)


def wheel_path(height_m: Floats, step_m: float, radius_m: float) -> Floats:
    """Return the height of a rolling wheel's lowest point, m, where a rigid circle only touches the ground from above.

    Parameters
    ----------
    height_m : float array, shape (n,)
        Ground at evenly spaced distances, m.
    step_m : float
        Spacing, m.
    radius_m : float
        Of the wheel with its tyre, m.

    Returns
    -------
    float array, shape (n,)
        Nowhere below the ground.

    Notes
    -----
    ``max over |u| < R of h(x + u) + sqrt(R² - u²) - R``, over the samples there are: the ground is taken for a row of
    points, between which the wheel sinks by at most ``step² / (8 R)``. Under the axle alone: the tyre's give, and that
    contact ahead of the axle also pushes back, are not in it.
    """
    height = np.asarray(height_m, dtype=float)
    path = height.copy()
    relief = float(np.ptp(height)) if height.shape[0] else 0.0
    for k in range(1, min(math.ceil(radius_m / step_m), height.shape[0])):
        sag = math.sqrt(max(radius_m**2 - (k * step_m) ** 2, 0.0)) - radius_m
        if -sag > relief:
            break
        np.maximum(path[:-k], height[k:] + sag, out=path[:-k])
        np.maximum(path[k:], height[:-k] + sag, out=path[k:])
    return path
