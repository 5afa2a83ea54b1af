"""A measure the data can't give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

NEAR_CLOCKS = "no speed sensor, and two loggers' clocks joined by pushes: too far apart for the lag between the ends"
NO_LAG = "no speed sensor, and one end measured: no lag between the ends"
TWO_CLOCKS = "front and rear were logged by two loggers whose clocks are joined roughly only"


@dataclass(frozen=True, slots=True)
class Missing:
    """Why there is no value."""

    reason: str


Outcome: TypeAlias = float | Missing
