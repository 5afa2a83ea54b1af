"""A measure the data can't give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Missing:
    """Why there is no value."""

    reason: str


Outcome: TypeAlias = float | Missing
