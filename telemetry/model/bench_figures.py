"""What the bench's answers are made of: figures with their unit, how well they are known, what lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol, TypeAlias

from .arrays import Floats
from .finding import Place

Json: TypeAlias = dict[str, object]
FigureAt: TypeAlias = tuple[Place, str, str, str]
"""Where a figure is found: its end, its part, what it is, its unit."""
LEAST_REAL = 1e-9
"""Own choice: far below the last digit of any figure."""


def listed(values: Floats, places: int = 3) -> list[float]:
    """Return an array as JSON has it."""
    return [round(float(value), places) + 0.0 for value in values]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of a part, as tables have it.

    Attributes
    ----------
    what : str
        With its place.
    unit : str
    value : float
    places : int
        Decimals.
    main : bool
        Whether it is read first; the others stand in the full tables.
    """

    what: str
    unit: str
    value: float
    places: int = 0
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Width:
    """How well a figure is known that the answer rests on.

    Attributes
    ----------
    end : {"front", "rear", "both"}
    key : str
        Of the ride day; or what was taken where no key states it.
    words, unit : str
        For people.
    plus_minus : float
        One standard deviation, in the key's unit.
    stated : bool
        Whether `plus_minus` states it; else it is the usual width.
    assumed : float or None
        What was taken where nothing is stated.
    """

    end: Place
    key: str
    words: str
    unit: str
    plus_minus: float
    stated: bool
    assumed: float | None = None

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        own: dict[str, object] = {
            "end": self.end,
            "key": self.key,
            "plus_minus": self.plus_minus,
            "stated": self.stated,
        }
        return own if self.assumed is None else {**own, "assumed": self.assumed, "unit": self.unit, "words": self.words}


class Part(Protocol):
    """One part of the answer."""

    @property
    def figures(self) -> tuple[Figure, ...]:
        """What tables show of it, and what is told of the difference between two setups."""

    def to_dict(self) -> Json:
        """Return it as it stands in JSON: no NaN, arrays as lists."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lacking:
    """What can't be worked out.

    Attributes
    ----------
    what : str
        The part of the answer: "springs", "damping ratio".
    reason : str
        Why, and which keys would give it.
    end : {"front", "rear", "both"}
    """

    what: str
    reason: str
    end: Place

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {"what": self.what, "end": self.end, "reason": self.reason}


@dataclass(frozen=True, slots=True, kw_only=True)
class Unseen:
    """What a setup states otherwise than the first and that moves no figure.

    Attributes
    ----------
    setup : str
    end : {"front", "rear", "both"}
    key : str
    reason : str
        What it takes beside it to count; empty where no figure goes by it.
    """

    setup: str
    end: Place
    key: str
    reason: str

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {"setup": self.setup, "end": self.end, "key": self.key, "reason": self.reason}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranged:
    """A value and its 90 % range by how well the figures are known that it rests on."""

    value: float
    low: float
    high: float

    @property
    def is_nothing(self) -> bool:
        """Whether a difference is none but for how it was reckoned: a link laid over another leaves 1e-13 mm."""
        return max(abs(self.low), abs(self.high), abs(self.value)) < LEAST_REAL

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {"value": self.value, "low": self.low, "high": self.high}


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureRow:
    """One figure of one part, of every setup that has it.

    Attributes
    ----------
    end : {"front", "rear", "both"}
    part : str
        A field of an end's or a setup's answer: ``springs``.
    figure : Figure
        What it is; its value is the first setup's.
    values : mapping of setup to Ranged
    differences : mapping of setup to Ranged
        Of each but the first that has it: its value less the first setup's; figures alike in both are off alike.
    """

    end: Place
    part: str
    figure: Figure
    values: Mapping[str, Ranged]
    differences: Mapping[str, Ranged]

    @property
    def at(self) -> FigureAt:
        """Where it is found among all."""
        return self.end, self.part, self.figure.what, self.figure.unit

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {
            "end": self.end,
            "part": self.part,
            "what": self.figure.what,
            "unit": self.figure.unit,
            "setups": {name: value.to_dict() for name, value in self.values.items()},
            "differences": {name: value.to_dict() for name, value in self.differences.items()},
        }
