"""Draws of all figures together, laid out so that a few of them spread a change as far as many would."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from telemetry.bench.stated import Draw
from telemetry.model.arrays import Floats
from telemetry.model.finding import Place

Figure: TypeAlias = tuple[Place, str, str]
"""Its place, its key and what is stated of it, as text."""


@dataclass(slots=True)
class Drawn:
    """One draw: each figure once, alike wherever the same is stated of it, each by itself where two setups differ.

    Attributes
    ----------
    rng : numpy.random.Generator
        For figures that weren't laid out.
    laid : mapping of Figure to float
        By how many widths each is off, of those that were.
    alike : bool
        Whether a figure is off alike in both setups even where they differ: a step by one pump or one syringe.
    taken : dict
        Gains each figure that was asked for.
    """

    rng: np.random.Generator
    laid: Mapping[Figure, float] = field(default_factory=dict)
    alike: bool = False
    taken: dict[Figure, float] = field(default_factory=dict)

    def __call__(self, place: Place, key: str, value: object) -> float:
        """Return by how many widths a figure is off."""
        at: Figure = (place, key, "" if self.alike else repr(value))
        if at not in self.taken:
            self.taken[at] = self.laid[at] if at in self.laid else float(self.rng.standard_normal())
        return self.taken[at]


@dataclass(slots=True)
class _Asked:
    """As stated, and which figures were asked for, in that order."""

    alike: bool
    figures: dict[Figure, None] = field(default_factory=dict)

    def __call__(self, place: Place, key: str, value: object) -> float:
        self.figures[place, key, "" if self.alike else repr(value)] = None
        return 0.0


def _in_order(figures: Sequence[Figure]) -> list[Figure]:
    """Return the figures with those first of which more than one value is stated: setups differ by them."""
    stated = Counter((place, key) for place, key, _ in figures)
    return sorted(figures, key=lambda figure: stated[figure[0], figure[1]] == 1)


def laid_out(count: int, many: int, rng: np.random.Generator) -> Floats:
    """Return draws of many figures, by how many widths each is off, of shape (count, many).

    Parameters
    ----------
    count, many : int
        How many draws, three or more; of how many figures.
    rng : numpy.random.Generator

    Notes
    -----
    Normal draws have a spread and correlations of their own: of 24 the spread is off by 15 %, and two figures that add
    up or cancel by as much again, alike for every day. So each figure's draws are brought to a mean of 0 and
    a mean square of 1, and those of the first `count` - 1 figures to be uncorrelated (Gram and Schmidt, as QR): what
    moves in proportion to them spreads as far as of many draws.
    """
    drawn = rng.standard_normal((count, many))
    drawn -= drawn.mean(axis=0)
    apart = min(many, count - 1)
    basis, scale = np.linalg.qr(drawn[:, :apart])
    drawn[:, :apart] = basis * np.sign(np.diag(scale))
    return np.asarray(drawn / np.sqrt(np.mean(drawn**2, axis=0)), dtype=float)


FEWEST = 3
"""Fewer draws can't be laid out."""


@dataclass(frozen=True, slots=True)
class Draws:
    """A number of draws of all figures that parts on paper rest on."""

    seed: tuple[int, ...]
    alike: bool
    off: Mapping[Figure, Floats]

    def one(self, number: int) -> Drawn:
        """Return one draw."""
        laid = {figure: float(every[number]) for figure, every in self.off.items()}
        return Drawn(np.random.default_rng((*self.seed, number)), laid, alike=self.alike)


def draws_of(asking: Callable[[Draw], object], count: int, seed: tuple[int, ...], *, alike: bool = False) -> Draws:
    """Return draws of every figure that is asked for.

    Parameters
    ----------
    asking : callable
        Asks for them, as stated.
    count : int
    seed : tuple of int
    alike : bool
        As of `Drawn`.
    """
    asked = _Asked(alike)
    _ = asking(asked)
    figures = _in_order(list(asked.figures))
    if count < FEWEST or not figures:
        return Draws(seed, alike, {})
    off = laid_out(count, len(figures), np.random.default_rng(seed))
    return Draws(seed, alike, dict(zip(figures, off.T, strict=True)))
