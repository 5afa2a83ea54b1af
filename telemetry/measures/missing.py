"""A measure the data can't give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

NEAR_CLOCKS = "no speed sensor, and two loggers' clocks joined by pushes: too far apart for the lag between the ends"
NO_LAG = "no speed sensor, and position isn't read at both ends: no lag between them"
NOT_FROM_ACCELERATION = "sag, travel and bottoming can't come from acceleration"
TWO_CLOCKS = "front and rear were logged by two loggers whose clocks are joined roughly only"


@dataclass(frozen=True, slots=True)
class Missing:
    """Why there is no value."""

    reason: str


Outcome: TypeAlias = float | Missing
