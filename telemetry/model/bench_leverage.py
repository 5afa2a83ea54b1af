"""What the rear's leverage is, as the bench tells it: curve, ratio, axle path, and the mechanism to draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

import numpy as np

from .arrays import Floats
from .bench_figures import Figure, Json, listed
from .linkage import LinkagePath

Pose: TypeAlias = Literal["topped_out", "sag", "full_travel"]
POSES: tuple[Pose, ...] = ("topped_out", "sag", "full_travel")
AS_SOLVED = 10
"""Places of a curve in JSON: a linkage is solved to 1e-9 mm, and who checks it shall see that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Between which a whole curve lies at 90 %, by how well its points are known; same shape as the curve."""

    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Mechanism:
    """A linkage's points in three positions, to be drawn.

    Attributes
    ----------
    bodies : mapping of name to point names
    shock : (name, name)
    axle : str
    fixed : tuple of str
    places_mm : mapping of pose to (mapping of name to (x, y))
        x forward, y up.
    """

    bodies: Mapping[str, tuple[str, ...]]
    shock: tuple[str, str]
    axle: str
    fixed: tuple[str, ...]
    places_mm: Mapping[Pose, Mapping[str, tuple[float, ...]]]

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        places: Json = {
            pose: {name: [round(x, 3), round(y, 3)] for name, (x, y) in at.items()}
            for pose, at in self.places_mm.items()
        }
        bodies = {name: list(points) for name, points in self.bodies.items()}
        return places | {"bodies": bodies, "shock": list(self.shock), "axle": self.axle, "fixed": list(self.fixed)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Leverage:
    """Wheel travel over shock stroke.

    Attributes
    ----------
    stroke_mm, travel_mm, ratio : float arrays, shape (n,)
        From topped out to full stroke; the ratio is d travel / d stroke.
    axle_x_mm : float array or None
        How far the axle goes forward, less than 0 rearward; of a linkage alone.
    came_from : str
        "linkage", "photograph", "leverage.csv", "ratio = 2.64".
    known_to : str
        How well that is known, in words; empty where nothing is.
    sag_mm : float
        At the wheel.
    sag_from : str
        Where sag comes from, in words.
    travel_band, ratio_band : Band or None
    path : LinkagePath or None
        Every point of a linkage over the stroke.
    remarks : tuple of str
        What else has to be said of it.
    """

    stroke_mm: Floats
    travel_mm: Floats
    ratio: Floats
    axle_x_mm: Floats | None
    came_from: str
    known_to: str
    sag_mm: float = 0.0
    sag_from: str = ""
    travel_band: Band | None = None
    ratio_band: Band | None = None
    path: LinkagePath | None = None
    remarks: tuple[str, ...] = ()

    @property
    def full_travel_mm(self) -> float:
        """At the wheel, at full stroke."""
        return float(self.travel_mm[-1])

    @property
    def sag_stroke_mm(self) -> float:
        """Stroke of the shock at sag."""
        return float(np.interp(self.sag_mm, self.travel_mm, self.stroke_mm))

    def ratio_at(self, stroke_mm: float) -> float:
        """Return the ratio at a stroke."""
        return float(np.interp(stroke_mm, self.stroke_mm, self.ratio))

    @property
    def progression_percent(self) -> float:
        """By how much of the first ratio it falls to the last; less than 0: it rises."""
        return float(100 * (self.ratio[0] - self.ratio[-1]) / self.ratio[0])

    @property
    def mechanism(self) -> Mechanism | None:
        """The linkage topped out, at sag and at full travel; None where there is none."""
        if self.path is None:
            return None
        strokes = (0.0, self.sag_stroke_mm, float(self.stroke_mm[-1]))
        linkage, path = self.path.linkage, self.path
        places = {
            pose: MappingProxyType(
                {
                    name: tuple(float(np.interp(stroke, path.stroke_mm, at[:, axis])) for axis in (0, 1))
                    for name, at in path.points_mm.items()
                }
            )
            for pose, stroke in zip(POSES, strokes, strict=True)
        }
        return Mechanism(
            bodies=linkage.bodies,
            shock=linkage.shock,
            axle=linkage.axle,
            fixed=tuple(linkage.fixed),
            places_mm=MappingProxyType(places),
        )

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Full travel, ratio at the start, at sag and at the end, progression, axle path."""
        stroke = self.sag_stroke_mm
        found = [
            Figure(what="wheel travel at full stroke", unit="mm", value=self.full_travel_mm, places=1, main=True),
            Figure(what="shock stroke", unit="mm", value=float(self.stroke_mm[-1]), places=1),
            Figure(what="leverage ratio topped out", unit="", value=float(self.ratio[0]), places=2),
            Figure(what="leverage ratio at sag", unit="", value=self.ratio_at(stroke), places=2, main=True),
            Figure(what="leverage ratio at full stroke", unit="", value=float(self.ratio[-1]), places=2, main=True),
            Figure(what="progression", unit="%", value=self.progression_percent, places=1, main=True),
            Figure(what="shock stroke at sag", unit="%", value=float(100 * stroke / self.stroke_mm[-1]), places=1),
        ]
        if self.axle_x_mm is not None:
            back = -self.axle_x_mm
            found.append(Figure(what="axle rearward at most", unit="mm", value=float(back.max()), places=1))
            found.append(Figure(what="axle rearward at full travel", unit="mm", value=float(back[-1]), places=1))
        return tuple(found)

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        stroke = self.sag_stroke_mm
        found: Json = {"from": self.came_from, "known_to": self.known_to}
        found |= {"stroke_mm": listed(self.stroke_mm, AS_SOLVED), "travel_mm": listed(self.travel_mm, AS_SOLVED)}
        found |= {"ratio": listed(self.ratio, AS_SOLVED)}
        if self.axle_x_mm is not None:
            found["axle_x_mm"] = listed(self.axle_x_mm, AS_SOLVED)
        for name, band, places in (("travel", self.travel_band, 4), ("ratio", self.ratio_band, 5)):
            if band is not None:
                unit = "_mm" if name == "travel" else ""
                found |= {
                    f"{name}_low{unit}": listed(band.low, places),
                    f"{name}_high{unit}": listed(band.high, places),
                }
        found |= {
            "full_travel_mm": self.full_travel_mm,
            "progression_percent": self.progression_percent,
            "ratio_at_start": float(self.ratio[0]),
            "ratio_at_sag": self.ratio_at(stroke),
            "ratio_at_end": float(self.ratio[-1]),
            "sag_mm": self.sag_mm,
            "sag_stroke_mm": stroke,
            "sag_from": self.sag_from,
            "remarks": list(self.remarks),
        }
        mechanism = self.mechanism
        return found if mechanism is None else found | {"mechanism": mechanism.to_dict()}
