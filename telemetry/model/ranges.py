"""The range a number may lie in, with its unit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Range:
    """A closed range with its unit; `said` in place of its words where its bounds would tell too little."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False
    said: str = ""

    @property
    def words(self) -> str:
        """The range for a person."""
        if self.said:
            return self.said
        kind = "a whole number" if self.whole else "a number"
        return f"{kind} from {self.low:g} to {self.high:g} {self.unit}".strip()

    def holds(self, value: object) -> bool:
        """Tell whether a value is a number within; NaN, infinities, truth values and text aren't."""
        right = int if self.whole else int | float
        return isinstance(value, right) and not isinstance(value, bool) and self.low <= value <= self.high
