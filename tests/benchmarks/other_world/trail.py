"""A trail of the other world, and the line a run takes over it: all drawn, so that a seed tells it.

Roughness falls with the wave number, more or less of it stone by stone; rocks, drops, jumps, braking waves and hollows
lie where they were drawn for every run. Amounts are from memory of trails ridden, not measured.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .equations import Floats

STEP_M = 0.01
"""Of the ground along a trail."""
WAVES_PER_M = (0.04, 8.0)
"""Wave numbers of roughness, 1/m."""
OWN_FROM_PER_M = 0.4
"""A run's own line differs from the others' in what is shorter than 2.5 m."""
OWN_SHARE = 0.16
ROCK_OFF_M, ROCK_SHARE = 0.05, 0.12
"""How far beside its place, and by what share higher or lower, a run meets a rock: one standard deviation."""
DIRT_TIMES = 1.6
"""How much larger all is on a dirt bike's track."""
RUN_IN_M = 5.0
"""Even ground at a trail's start and end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trail:
    """What lies on a trail: places along it and lengths in m, heights and depths in m.

    `rough_m` is the root mean square of what is shorter than 4 m, `patches` how much of it there is every 20 m.
    `rocks` are place, half length, height; `drops` and `jumps` place, height; `waves` place, how many, length, height;
    `hollows` place, half length, depth.
    """

    seed: int
    length_m: float
    rough_m: float
    exponent: float
    patches: tuple[float, ...]
    rocks: tuple[tuple[float, float, float], ...]
    drops: tuple[tuple[float, float], ...]
    jumps: tuple[tuple[float, float], ...]
    waves: tuple[tuple[float, int, float, float], ...]
    hollows: tuple[tuple[float, float, float], ...]

    def calmer(self, share: float) -> Trail:
        """Return it with so much of its roughness and rocks; what is long stays."""
        rocks = tuple((at, half, share * height) for at, half, height in self.rocks)
        return replace(self, rough_m=share * self.rough_m, rocks=rocks)


def drawn_trail(rng: np.random.Generator, length_m: float, *, dirt: bool) -> Trail:
    """Draw a trail; a dirt bike's is larger in all but rocks' lengths."""
    times = DIRT_TIMES if dirt else 1.0

    def places(count: int | np.int64, start: float, end: float) -> list[float]:
        return [float(at) for at in rng.uniform(start, length_m - end, int(count))]

    stones = places(rng.poisson(length_m * rng.uniform(0.08, 0.25)), 5, 5)
    edges = places(rng.poisson(length_m * rng.uniform(0.02, 0.1)), 5, 5)
    rocks = [(at, rng.uniform(0.08, 0.25), rng.lognormal(np.log(0.035 * times), 0.4)) for at in stones]
    rocks += [(at, rng.uniform(0.04, 0.07), rng.uniform(0.02, 0.05)) for at in edges]
    patches = np.clip(1 + 0.5 * rng.standard_normal(int(length_m / 20) + 2), 0.3, 2.2)
    return Trail(
        seed=int(rng.integers(1 << 31)),
        length_m=length_m,
        rough_m=times * rng.uniform(0.010, 0.019),
        exponent=rng.uniform(2.0, 2.5),
        patches=tuple(patches.tolist()),
        rocks=tuple(rocks),
        drops=tuple((at, times * rng.uniform(0.12, 0.40)) for at in places(rng.integers(3, 9), 15, 15)),
        jumps=tuple((at, times * rng.uniform(0.3, 0.7)) for at in places(rng.integers(2, 6), 20, 25)),
        waves=tuple(
            (at, int(rng.integers(5, 12)), times * rng.uniform(0.7, 1.3), times * rng.uniform(0.015, 0.035))
            for at in places(rng.integers(2, 6), 15, 20)
        ),
        hollows=tuple(
            (at, times * rng.uniform(4, 7), times * rng.uniform(0.3, 0.8)) for at in places(rng.integers(2, 6), 15, 20)
        ),
    )


def _roughness(rng: np.random.Generator, count: int, exponent: float, low_per_m: float) -> Floats:
    """Draw ground whose spectral density falls with the exponent; 1 is the root mean square of what is under 4 m."""
    wave = np.fft.rfftfreq(count, STEP_M)
    inside = (wave > low_per_m) & (wave < WAVES_PER_M[1])
    size = np.zeros(wave.size)
    size[inside] = wave[inside] ** (-exponent / 2)
    drawn = size * (rng.standard_normal(wave.size) + 1j * rng.standard_normal(wave.size))
    short = np.fft.irfft(np.where(wave > 0.25, drawn, 0), count)
    return np.asarray(np.fft.irfft(drawn, count) / short.std())


def _rounded(along: Floats) -> Floats:
    """Return 0 to 1 over 0 to 1, level at both."""
    within = np.clip(along, 0, 1)
    return np.asarray(3 * within**2 - 2 * within**3)


def _bump(ground: Floats, at_m: float, half_m: float, height_m: float) -> None:
    """Add one rounded bump, or hollow, where it lies on the ground."""
    start, stop = (int(np.clip((at_m + side * half_m) / STEP_M, 0, ground.size)) for side in (-1, 1))
    x = np.arange(start, stop) * STEP_M - at_m
    ground[start:stop] += height_m * (1 + np.cos(np.pi * np.clip(x / half_m, -1, 1))) / 2


def _jump(x: Floats) -> Floats:
    """Return a jump of height 1, `x` m from its foot: 3 m of lip, still rising at its edge, a gap, 4 m of landing."""
    rising = np.clip(x / 3.0, 0, 1)
    lip = rising**2 * (1.6 - 0.6 * rising)
    return np.asarray(lip - 0.45 * _rounded((x - 3.0) / 0.3) - 0.55 * _rounded((x - 3.3) / 4.0))


def ground_m(trail: Trail, rng: np.random.Generator, times: float) -> Floats:
    """Return the ground along one run's line, m, every `STEP_M`, all its heights so many times."""
    count = int(trail.length_m / STEP_M)
    x: Floats = np.arange(count, dtype=np.float64) * STEP_M
    shared = _roughness(np.random.default_rng(trail.seed), count, trail.exponent, WAVES_PER_M[0])
    own = _roughness(rng, count, trail.exponent, OWN_FROM_PER_M)
    patches = np.interp(x, 20.0 * np.arange(len(trail.patches)), trail.patches)
    ground = trail.rough_m * patches * (shared + OWN_SHARE * own / own.std())
    for at, half, height in trail.rocks:
        met = at + ROCK_OFF_M * rng.standard_normal()
        _bump(ground, met, half, height * np.exp(ROCK_SHARE * rng.standard_normal()))
    for at, height in trail.drops:
        ground -= height * _rounded((x - at) / 0.12)
    for at, height in trail.jumps:
        ground += height * _jump(x - at)
    for at, many, length, height in trail.waves:
        inside = (x > at) & (x < at + many * length)
        ground += np.where(inside, height * (1 - np.cos(2 * np.pi * (x - at) / length)), 0)
    for at, half, depth in trail.hollows:
        _bump(ground, at, half, -depth)
    even = np.interp(x, [0, x[-1]], [ground[0], ground[-1]])
    inside = np.clip(x / RUN_IN_M, 0, 1) * np.clip((x[-1] - x) / RUN_IN_M, 0, 1)
    return np.asarray(times * (ground - even) * inside)


def axle_path_m(ground: Floats, radius_m: float, patch_m: float = 0.07) -> Floats:
    """Return what a round tyre makes of ground: the highest circle that touches it, evened over the tyre's patch.

    Parameters
    ----------
    ground : float array, shape (N,)
        m, every `STEP_M`.
    radius_m : float
    patch_m : float
        How long a tyre's patch is. From memory.
    """
    reach = int(0.75 * radius_m / STEP_M)
    top = np.full(ground.size, -np.inf)
    for off in range(-reach, reach + 1):
        lift = np.sqrt(radius_m**2 - (off * STEP_M) ** 2) - radius_m
        top = np.maximum(top, np.roll(ground, -off) + lift)
    half = max(int(patch_m / STEP_M), 1)
    weight = np.hanning(2 * half + 1)[1:-1]
    return np.convolve(np.pad(top, half - 1, mode="edge"), weight / weight.sum(), mode="valid")
