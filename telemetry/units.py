"""Unit suffixes of keys, and exact conversions from imperial spellings to the metric key.

Sources: the inch is 25.4 mm and the avoirdupois pound 0.45359237 kg by the international yard and pound
agreement of 1959; standard gravity 9.80665 m/s2 by the 3rd General Conference on Weights and Measures, 1901.
"""

from __future__ import annotations

from dataclasses import dataclass

MM_PER_INCH = 25.4
KG_PER_POUND = 0.45359237
STANDARD_GRAVITY_M_S2 = 9.80665
NEWTON_PER_POUND_FORCE = KG_PER_POUND * STANDARD_GRAVITY_M_S2
BAR_PER_PSI = NEWTON_PER_POUND_FORCE / (MM_PER_INCH * 1e-3) ** 2 * 1e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class ImperialSpelling:
    """One imperial suffix: metric = (entered - offset) * factor."""

    metric_suffix: str
    suffix: str
    unit: str
    factor: float
    offset: float = 0.0

    def to_metric(self, entered: float) -> float:
        """Return the value in the metric suffix's unit."""
        return (entered - self.offset) * self.factor


IMPERIAL: tuple[ImperialSpelling, ...] = (
    ImperialSpelling(metric_suffix="_bar", suffix="_psi", unit="psi", factor=BAR_PER_PSI),
    ImperialSpelling(metric_suffix="_n_mm", suffix="_lb_in", unit="lb/in", factor=NEWTON_PER_POUND_FORCE / MM_PER_INCH),
    ImperialSpelling(metric_suffix="_kg", suffix="_lb", unit="lb", factor=KG_PER_POUND),
    ImperialSpelling(metric_suffix="_c", suffix="_f", unit="°F", factor=5 / 9, offset=32.0),
    ImperialSpelling(metric_suffix="_mm", suffix="_in", unit="in", factor=MM_PER_INCH),
)
