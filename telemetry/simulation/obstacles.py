"""Single obstacles on a trail, as shapes added to its height."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Protocol

import numpy as np

from telemetry.model.arrays import Floats

FACE_M = 0.1
"""Length along the trail of the faces of a jump's gap, m."""


class Obstacle(Protocol):
    """A shape that adds nothing before `at_m` and stays at its last height after ``at_m + length_m``."""

    @property
    def at_m(self) -> float:
        """Where it begins, m."""

    @property
    def length_m(self) -> float:
        """How far it reaches, m."""

    def heights(self, x_m: Floats) -> Floats:
        """Return what it adds to the height at each distance, m, same shape."""


def _needs_above_zero(shape: object, *names: str) -> None:
    """Raise ValueError unless all figures of a shape are finite and the named ones above 0."""
    for field in fields(shape):  # type: ignore[arg-type]
        value = getattr(shape, field.name)
        if not math.isfinite(value) or (field.name in names and value <= 0):
            wanted = "a number above 0" if field.name in names else "a number"
            raise ValueError(f"{type(shape).__name__}: {field.name} is {value:g}, but has to be {wanted}")


def _share(x_m: Floats, at_m: float, length_m: float) -> Floats:
    """Return how much of a length beginning at `at_m` lies behind each distance, 0 to 1."""
    return np.clip((np.asarray(x_m, dtype=float) - at_m) / length_m, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bump:
    """A root or a rock: half a sine wave; a hole where the height is negative.

    Attributes
    ----------
    at_m : float
        Where it begins, m.
    height_m : float
        Height of its top, m.
    length_m : float
        Along the trail, m, above 0.

    Notes
    -----
    ``h sin(pi u / L)``, steepest at its feet: ``pi h / L``.
    """

    at_m: float
    height_m: float
    length_m: float

    def __post_init__(self) -> None:
        _needs_above_zero(self, "length_m")

    def heights(self, x_m: Floats) -> Floats:
        """Return what it adds to the height at each distance, m, same shape."""
        return self.height_m * np.sin(math.pi * _share(x_m, self.at_m, self.length_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Kerb:
    """A step with a straight bevel; the trail stays at the new height.

    Attributes
    ----------
    at_m : float
        Where the bevel begins, m.
    height_m : float
        Step, m: up is positive, down negative.
    bevel_m : float
        Length of the bevel along the trail, m, above 0.
    """

    at_m: float
    height_m: float
    bevel_m: float = 0.02

    def __post_init__(self) -> None:
        _needs_above_zero(self, "bevel_m")

    @property
    def length_m(self) -> float:
        """How far it reaches, m."""
        return self.bevel_m

    def heights(self, x_m: Floats) -> Floats:
        """Return what it adds to the height at each distance, m, same shape."""
        return self.height_m * _share(x_m, self.at_m, self.bevel_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """An edge down to lower ground; the trail stays there.

    Attributes
    ----------
    at_m : float
        Where the edge is, m.
    height_m : float
        How far down, m, above 0.
    face_m : float
        Length of the face along the trail, m, above 0.
    """

    at_m: float
    height_m: float
    face_m: float = 0.05

    def __post_init__(self) -> None:
        _needs_above_zero(self, "height_m", "face_m")

    @property
    def length_m(self) -> float:
        """How far it reaches, m."""
        return self.face_m

    def heights(self, x_m: Floats) -> Floats:
        """Return what it adds to the height at each distance, m, same shape."""
        return -self.height_m * _share(x_m, self.at_m, self.face_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class BrakingBumps:
    """A train of waves that swells and dies away within its first and last wave.

    Attributes
    ----------
    at_m : float
        Where it begins, m.
    height_m : float
        From trough to crest, m, 0 or more.
    wavelength_m : float
        From crest to crest, m, above 0; 0.5 to 2 m on trails (common practice, no source).
    count : int
        Waves, 2 or more.

    Notes
    -----
    ``h/2 sin(2 pi u / wavelength)`` about the ground, times a ramp ``(1 - cos(pi u / wavelength)) / 2`` over the first
    wave and its mirror image over the last: height and slope are zero at both ends.
    """

    at_m: float
    height_m: float
    wavelength_m: float
    count: int

    def __post_init__(self) -> None:
        _needs_above_zero(self, "wavelength_m", "count")
        if self.count < 2:
            raise ValueError(f"BrakingBumps: count is {self.count}, but has to be 2 or more")

    @property
    def length_m(self) -> float:
        """How far it reaches, m."""
        return self.count * self.wavelength_m

    def heights(self, x_m: Floats) -> Floats:
        """Return what it adds to the height at each distance, m, same shape."""
        waves = self.count * _share(x_m, self.at_m, self.length_m)
        swell = np.clip(np.minimum(waves, self.count - waves), 0.0, 1.0)
        return np.asarray(self.height_m / 2 * np.sin(2 * math.pi * waves) * (1 - np.cos(math.pi * swell)) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Jump:
    """A take-off, a gap on the ground's level, and a landing that is the take-off's like, mirrored.

    Attributes
    ----------
    at_m : float
        Where the take-off begins, m.
    lip_m : float
        Height of the lip and of the landing's top, m, above 0.
    ramp_m : float
        Length of the take-off, m, above 0.
    gap_m : float
        From the lip to the landing's top, m; longer than both faces.
    landing_m : float
        Length of the landing, m, above 0.

    Notes
    -----
    Take-off ``h (u / ramp)²``, so it starts smoothly and leaves the lip at slope ``2 h / ramp``; landing
    ``h (1 - u / landing)²``. Faces down into and up out of the gap are straight and 0.1 m long each. A point that
    leaves the lip at horizontal speed v comes down to the lip's height after ``4 h v² / (g ramp)``: below the gap's
    length it meets the landing's face. Shapes by common practice, no source.
    """

    at_m: float
    lip_m: float
    ramp_m: float
    gap_m: float
    landing_m: float

    def __post_init__(self) -> None:
        _needs_above_zero(self, "lip_m", "ramp_m", "gap_m", "landing_m")
        if self.gap_m <= 2 * FACE_M:
            raise ValueError(f"Jump: gap_m is {self.gap_m:g}, but has to be longer than both faces, {2 * FACE_M:g}")

    @property
    def length_m(self) -> float:
        """How far it reaches, m."""
        return self.ramp_m + self.gap_m + self.landing_m

    def heights(self, x_m: Floats) -> Floats:
        """Return what it adds to the height at each distance, m, same shape."""
        lip = self.at_m + self.ramp_m
        top = lip + self.gap_m
        take_off = _share(x_m, self.at_m, self.ramp_m) ** 2
        gap = _share(x_m, top - FACE_M, FACE_M) - _share(x_m, lip, FACE_M)
        landing = (1 - _share(x_m, top, self.landing_m)) ** 2 - 1
        return np.asarray(self.lip_m * (take_off + gap + landing))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tabletop(Jump):
    """A jump whose gap is filled: who comes short lands on the flat.

    Notes
    -----
    Take-off and landing as those of a jump; `gap_m` is the length of the top.
    """

    def heights(self, x_m: Floats) -> Floats:
        """Return what it adds to the height at each distance, m, same shape."""
        top_ends = self.at_m + self.ramp_m + self.gap_m
        take_off = _share(x_m, self.at_m, self.ramp_m) ** 2
        landing = (1 - _share(x_m, top_ends, self.landing_m)) ** 2 - 1
        return np.asarray(self.lip_m * (take_off + landing))
