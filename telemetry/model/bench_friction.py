"""Friction of an end at rest: the band it may come to rest in, and how that differs between setups."""

from __future__ import annotations

from dataclasses import dataclass

from .bench_figures import Figure, Json
from .finding import End


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A value and its 90 % interval by how far its readings scatter; None where there are too few."""

    value: float
    low: float | None
    high: float | None

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {"value": self.value, "low": self.low, "high": self.high}


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionBand:
    """Where an end comes to rest, let go from compressed less let go from extended.

    Attributes
    ----------
    load : str or None
        As the recordings state it.
    band_mm : Interval
    compressed_mm, extended_mm : tuple of float
        Resting travel of each recording.
    full_mm : float
    """

    load: str | None
    band_mm: Interval
    compressed_mm: tuple[float, ...]
    extended_mm: tuple[float, ...]
    full_mm: float

    @property
    def sag_plus_minus_mm(self) -> float:
        """By how much one sag reading may be off either way."""
        return self.band_mm.value / 2

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {
            "load": self.load,
            "band_mm": self.band_mm.to_dict(),
            "from_compressed_mm": list(self.compressed_mm),
            "from_extended_mm": list(self.extended_mm),
            "sag_reading_plus_minus_mm": self.sag_plus_minus_mm,
            "sag_reading_plus_minus_percent": 100 * self.sag_plus_minus_mm / self.full_mm,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """The bands of one end, by load. They have intervals of their own, so they are no figures of the parts."""

    bands: tuple[FrictionBand, ...]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """None: see `bands`."""
        return ()

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {"bands": [band.to_dict() for band in self.bands]}


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionChange:
    """A setup's band less the first setup's, of the same end and load."""

    setup: str
    end: End
    load: str | None
    difference_mm: Interval

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        own: Json = {"setup": self.setup, "end": self.end, "load": self.load}
        return own | {"difference_mm": self.difference_mm.to_dict()}
