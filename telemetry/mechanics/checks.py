"""Whether a part's figures can be those of a part."""

from __future__ import annotations

from math import isfinite


def require_positive(part: str, **figures: float) -> None:
    """Raise ValueError naming the first figure that isn't finite and above 0."""
    for name, figure in figures.items():
        if not (isfinite(figure) and figure > 0):
            raise ValueError(f"{part}: {name} is {figure:g}; it must be above 0")


def require_not_negative(part: str, **figures: float) -> None:
    """Raise ValueError naming the first figure that isn't finite and 0 or more."""
    for name, figure in figures.items():
        if not (isfinite(figure) and figure >= 0):
            raise ValueError(f"{part}: {name} is {figure:g}; it must be 0 or more")
