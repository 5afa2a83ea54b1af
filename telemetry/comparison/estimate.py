"""What a verdict needs of a difference, be it of measures or of counts."""

from __future__ import annotations

from typing import Protocol


class Estimate(Protocol):
    """A difference of two setups on its scale with the spread it is judged by."""

    @property
    def d(self) -> float:
        """Candidate minus baseline on the scale of comparison."""

    @property
    def s(self) -> float:
        """Run-to-run standard deviation on that scale."""

    @property
    def nu(self) -> int:
        """Degrees of freedom of `s`."""

    @property
    def p(self) -> float | None:
        """Two-sided p; None where there is no spread to judge by."""

    @property
    def lacks_floor(self) -> bool:
        """Whether the spread between trail sections should be looked at too, and can't."""

    @property
    def one_way(self) -> bool:
        """Whether all runs of one setup came before all of the other's, so that a line is all that tells drift."""

    def half_width(self, level: float) -> float | None:
        """Return the half-width of the two-sided interval at `level`; None where there is no spread to judge by."""
