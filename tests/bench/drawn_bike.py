"""The handbook's photograph: an invented bike from the side, drawn anew by ``python -m tests.bench.drawn_bike``."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

from tests.mechanics.linkages_made import ROCKER

PICTURE = Path(__file__).parents[2] / "docs" / "img" / "bike_from_the_side.svg"
WIDTH, HEIGHT = 2800, 1400
MM_PER_PX = 0.8
GROUND_MM, WHEELBASE_MM, REAR_MM, FRONT_MM = -340.0, 1252.0, 352.0, 376.0
"""Ground below the bottom bracket; wheels' radii over the tyre."""


def pixel(at: tuple[float, float]) -> tuple[int, int]:
    """Return the column and row of a point given in mm from the bottom bracket."""
    return round(1250 + at[0] / MM_PER_PX), round(900 - at[1] / MM_PER_PX)


def _line(one: tuple[float, float], other: tuple[float, float], width: int, colour: str) -> str:
    (x1, y1), (x2, y2) = pixel(one), pixel(other)
    look = f'stroke="{colour}" stroke-width="{width}" stroke-linecap="round"'
    return f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" {look}/>'


def _circle(at: tuple[float, float], radius_mm: float, width: int, fill: str = "none") -> str:
    x, y = pixel(at)
    return (
        f'<circle cx="{x}" cy="{y}" r="{radius_mm / MM_PER_PX:.0f}" fill="{fill}" stroke="#3a3a3a" '
        f'stroke-width="{width}"/>'
    )


ASIDE = {
    "main": (40, 64, "start"),
    "axle": (-30, 84, "middle"),
    "stay": (-60, -30, "end"),
    "rocker": (24, 14, "start"),
    "link_top": (-24, 14, "end"),
    "shock_rear": (-24, -18, "end"),
    "shock_front": (0, -40, "middle"),
}
"""Where a point's words stand beside it, so that none lies over another."""


def _named(name: str, at: tuple[float, float]) -> str:
    (x, y), (right, down, anchor) = pixel(at), ASIDE[name]
    return (
        f'<circle cx="{x}" cy="{y}" r="9" fill="#fdfcfa" stroke="#D55E00" stroke-width="5"/>'
        f'<text x="{x + right}" y="{y + down}" text-anchor="{anchor}" paint-order="stroke" stroke="#fdfcfa" '
        f'stroke-width="10">{name} {x}, {y}</text>'
    )


def drawn() -> str:
    """Return the picture as SVG."""
    at = {**ROCKER.fixed, **ROCKER.moving}
    rear, front = at["axle"], (at["axle"][0] + WHEELBASE_MM, GROUND_MM + FRONT_MM)
    head_low, head_high = (560.0, 560.0), (508.0, 668.0)
    frame = [(0.0, 0.0), head_low, head_high, (-60.0, 470.0), (0.0, 0.0)]
    parts = [
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fdfcfa"/>',
        _line((-850.0, GROUND_MM), (1200.0, GROUND_MM), 4, "#6d6a64"),
        *(_circle(axle, radius, 22) for axle, radius in ((rear, REAR_MM), (front, FRONT_MM))),
        *(_circle(axle, 25.0, 8) for axle in (rear, front)),
        *(_line(one, other, 26, "#c9c5bd") for one, other in pairwise(frame)),
        _line(at["shock_front"], (322.0, 322.0), 18, "#c9c5bd"),
        _line(head_low, front, 22, "#9b978f"),
        _circle((0.0, 0.0), 42.0, 10, "#c9c5bd"),
        *(
            _line(at[one], at[other], 14, "#3a3a3a")
            for body in ROCKER.bodies.values()
            for one, other in combinations(body, 2)
        ),
        _line(at["shock_rear"], at["shock_front"], 34, "#0072B2"),
        *(_named(name, place) for name, place in at.items()),
    ]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        'font-family="system-ui, DejaVu Sans, sans-serif" font-size="38" fill="#1d1f21">'
        "<title>An invented bike from the side, its pivots marked with their pixels</title>"
    )
    return "\n".join([head, *parts, "</svg>", ""])


if __name__ == "__main__":
    PICTURE.write_text(drawn(), encoding="utf-8")
