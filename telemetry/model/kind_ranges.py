"""Where bikes of a kind lie, as they were left: what a shop's own days say, with how many bikes; never a grade."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from .arrays import Floats
from .finding import Place

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantile:
    """Of the bikes measured; that of all such bikes lies from `low` to `high` in 95 %; None where nothing bounds it."""

    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KindValues:
    """One measure at one end: a value a bike, shape (n,)."""

    measure: str
    end: Place
    unit: str
    values: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRow:
    """One measure at one end over the bikes of a kind, in its unit.

    `least` and `most` bound the middle 80 %. `beside` is the bike that is held beside them; None without one.
    """

    measure: str
    end: Place
    unit: str
    n_bikes: int
    median: Quantile
    least: Quantile
    most: Quantile
    beside: float | None = None

    def to_dict(self) -> dict[str, object]:
        """Return the row as it stands in JSON."""
        return asdict(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRefused:
    """A measure that so few bikes tell alike, or none, and why."""

    measure: str
    end: Place
    n_bikes: int
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRanges:
    """The bikes of a kind, each as it was left on its last kept day.

    Attributes
    ----------
    kind : str
    n_bikes, n_days : int
        Bikes that were measured alike, and all kept days of theirs; a bike counts once.
    definitions, cutoff_hz
        Which they were measured and cleaned by.
    left_out : tuple of (bike, reason)
    rows, refused
    beside : str
        The bike held beside them; empty: none.
    """

    kind: str
    n_bikes: int
    n_days: int
    definitions: int
    cutoff_hz: float | None
    left_out: tuple[tuple[str, str], ...]
    rows: tuple[KindRow, ...]
    refused: tuple[KindRefused, ...]
    beside: str = ""

    @property
    def measures(self) -> pd.DataFrame:
        """One row a measure and end: ``median``, ``least`` and ``most`` with their ends as ``median_low`` and so on."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        flat = []
        for row in self.rows:
            own: dict[str, object] = {"measure": row.measure, "end": row.end, "unit": row.unit, "n_bikes": row.n_bikes}
            for name in ("median", "least", "most"):
                found: Quantile = getattr(row, name)
                own |= {name: found.value, f"{name}_low": found.low, f"{name}_high": found.high}
            flat.append(own | {"beside": row.beside})
        return pd.DataFrame(flat)

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry bikes --json`."""
        return {
            "kind": self.kind,
            "bikes": self.n_bikes,
            "days": self.n_days,
            "definitions": self.definitions,
            "cutoff_hz": self.cutoff_hz,
            "beside": self.beside or None,
            "left_out": [{"bike": bike, "reason": reason} for bike, reason in self.left_out],
            "measures": [row.to_dict() for row in self.rows],
            "not_told": [asdict(row) for row in self.refused],
        }
