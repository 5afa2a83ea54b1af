"""An end's damper, as the bench tells it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .arrays import Floats
from .bench_figures import Figure, Json, listed

MID_RANGE = "mid-range"
"""Where an adjuster stands that has room both ways."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjuster:
    """Where an adjuster stands in its range.

    Attributes
    ----------
    key : str
        Of the setup.
    words : str
    from_closed : float
    of : float or None
    unit : str
    stands : str
        In words.
    """

    key: str
    words: str
    from_closed: float
    of: float | None
    unit: str
    stands: str

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {
            "key": self.key,
            "from_closed": self.from_closed,
            "of": self.of,
            "unit": self.unit,
            "share_open": None if not self.of else self.from_closed / self.of,
            "stands": self.stands,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Oil:
    """A damper's oil.

    Attributes
    ----------
    cst_40c, index : float
        mm²/s at 40 °C; viscosity index.
    grade : int or None
        Of ISO 3448; None between two.
    temperature_c : float
    cst, cst_warm : float or None
        There, and 20 K warmer; None where the rule doesn't reach.
    """

    cst_40c: float
    index: float
    grade: int | None
    temperature_c: float
    cst: float | None
    cst_warm: float | None

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {
            "cst_40c": self.cst_40c,
            "viscosity_index": self.index,
            "iso_grade": self.grade,
            "temperature_c": self.temperature_c,
            "cst": self.cst,
            "cst_20_k_warmer": self.cst_warm,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class DamperForces:
    """A damper: force against speed as measured, the knee that fits it, its oil and adjusters.

    Attributes
    ----------
    speed_mm_s, force_n : float array or None
        At the shaft, compression positive; None without damper points.
    measured_at : str
        Where the adjusters stood then.
    slopes : mapping
        Of ``compression`` and ``rebound``: below, knee, above (N·s/m, mm/s, N·s/m).
    oil : Oil or None
    adjusters : tuple of Adjuster
    """

    speed_mm_s: Floats | None
    force_n: Floats | None
    measured_at: str
    slopes: Mapping[str, tuple[float, float, float]]
    oil: Oil | None
    adjusters: tuple[Adjuster, ...]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Forces at some speeds, knees and slopes, viscosity, where the adjusters stand."""
        found: list[tuple[str, str, float | None, int]] = []
        main: list[str] = []
        if self.speed_mm_s is not None and self.force_n is not None:
            shown = self.speed_mm_s.shape[0] // 4
            for speed, force in zip(self.speed_mm_s[::shown], self.force_n[::shown], strict=True):
                if speed != 0:
                    way = "compression" if speed > 0 else "rebound"
                    what = f"{way} at {abs(float(speed)) / 1e3:.2g} m/s of the shaft"
                    main += [what] if abs(speed) < self.speed_mm_s[-1] else []
                    found.append((what, "N", float(force), 0))
        for way, (below, knee, above) in self.slopes.items():
            if below == above:
                found.append((f"{way}, slope", "N s/m", below, 0))
                continue
            found += [
                (f"{way}, slope below the knee", "N s/m", below, 0),
                (f"{way}, knee", "mm/s", knee, 0),
                (f"{way}, slope above the knee", "N s/m", above, 0),
            ]
        if self.oil is not None:
            warm = self.oil.temperature_c + 20
            found += [
                (f"oil at {self.oil.temperature_c:.0f} °C", "mm²/s", self.oil.cst, 1),
                (f"oil at {warm:.0f} °C", "mm²/s", self.oil.cst_warm, 1),
            ]
        found += [
            (f"{own.words}, open by", "% of its range", 100 * own.from_closed / own.of, 0)
            for own in self.adjusters
            if own.of
        ]
        return tuple(
            Figure(what=what, unit=unit, value=value, places=places, main=what in main)
            for what, unit, value, places in found
            if value is not None
        )

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        found: Json = {"adjusters": [own.to_dict() for own in self.adjusters]}
        if self.speed_mm_s is not None and self.force_n is not None:
            found |= {
                "speed_mm_s": listed(self.speed_mm_s),
                "force_n": listed(self.force_n),
                "measured_at": self.measured_at,
                "slopes": {
                    way: {"below_n_s_m": below, "knee_mm_s": knee, "above_n_s_m": above}
                    for way, (below, knee, above) in self.slopes.items()
                },
            }
        return found if self.oil is None else found | {"oil": self.oil.to_dict()}
