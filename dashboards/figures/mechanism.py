"""How does the rear move? Each setup's linkage topped out, at sag and at full travel, in one drawing to scale."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from typing import Any

import numpy as np
from bokeh.models.annotations import Label

from dashboards.theme import FONT, LIGHT, SetupStyle, bare_figure, plain
from telemetry.model.bench_leverage import POSES, Mechanism, Pose
from telemetry.sheet import table
from telemetry.words import figure as number

from .drawn import Drawn

HEIGHT = 280
POSE_WORDS: Mapping[Pose, str] = {"topped_out": "topped out", "sag": "sag", "full_travel": "full travel"}
STRENGTH: Mapping[Pose, float] = {"topped_out": 1.0, "sag": 0.55, "full_travel": 0.3}
"""The further it is compressed, the paler."""
LINK, SHOCK, PIVOT = 1.8, 5.0, 6.0
ROOM = 0.34
"""Share of the mechanism's length behind its axle, for words: 80 px of a phone's 320."""
LEAST_APART = 0.05
"""Share of the mechanism's length between two lines of words: 12 px on a phone."""
FLATTEST, TALLEST = 2.6, 1.1
"""Width over height of the drawing, at most and at least."""


def mechanism(held: Mapping[str, Mechanism], styles: Mapping[str, SetupStyle]) -> Drawn:
    """Return the linkages of setups, as seen with the bike facing right.

    Parameters
    ----------
    held : mapping of setup to Mechanism
        At least one, all of drawn setups.
    styles : mapping of setup to SetupStyle
    """
    wide, high = _size(held)
    plot = bare_figure(HEIGHT, match_aspect=True, aspect_ratio=min(max(wide / high, TALLEST), FLATTEST))
    plot.sizing_mode = "scale_width"  # as high as it is at that width: no empty room above it on a phone
    plot.grid.visible = False
    plot.axis.visible = False
    plot.min_border_left = 14
    for name, own in _distinct(held).items():
        for pose in reversed(POSES):
            _draw(plot, own, pose, styles[name])
    _name_poses(plot, held)
    rows = [[POSE_WORDS[pose], *(_axle_words(own, pose) for own in held.values())] for pose in POSES]
    told = "; ".join(f"{styles[name].label} {_axle_words(own, 'full_travel')}" for name, own in held.items())
    return Drawn(
        place="rear",
        plot=plot,
        alternative=f"Rear, the mechanism: at full travel the axle has gone, {told}.",
        numbers=table(["axle", *(styles[name].label for name in held)], rows),
        title="mechanism: topped out, at sag, at full travel",
    )


def _size(held: Mapping[str, Mechanism]) -> tuple[float, float]:
    """Return how wide and how high all positions are together, with room for words, mm."""
    at = [place for own in held.values() for places in own.places_mm.values() for place in places.values()]
    wide, high = (max(place[way] for place in at) - min(place[way] for place in at) for way in (0, 1))
    return (1 + ROOM) * wide, max(1.15 * high, 1.0)


def _distinct(held: Mapping[str, Mechanism]) -> Mapping[str, Mechanism]:
    """Return each linkage once, with the first setup that has it; the last one first, so that the first lies on top."""
    found: dict[str, Mechanism] = {}
    for name, own in held.items():
        if all(own.places_mm != other.places_mm for other in found.values()):
            found[name] = own
    return dict(reversed(found.items()))


def _axle_words(own: Mechanism, pose: Pose) -> str:
    start, at = own.places_mm["topped_out"][own.axle], own.places_mm[pose][own.axle]
    back = start[0] - at[0]
    way = "rearward" if back >= 0 else "forward"
    return f"{number(at[1] - start[1], 1)} mm up, {number(abs(back), 1)} mm {way}"


def _draw(plot: Any, own: Mechanism, pose: Pose, style: SetupStyle) -> None:
    at, strength = own.places_mm[pose], STRENGTH[pose]
    look = {"line_color": style.colour, "line_alpha": strength, "line_dash": style.dash}
    sides = [pair for body in own.bodies.values() for pair in combinations(body, 2)]
    plot.multi_line(
        xs=[[at[one][0], at[other][0]] for one, other in sides],
        ys=[[at[one][1], at[other][1]] for one, other in sides],
        line_width=LINK,
        **look,
    )
    for points in (body for body in own.bodies.values() if len(body) == 3):
        plot.patch(
            x=[at[name][0] for name in points],
            y=[at[name][1] for name in points],
            fill_color=style.colour,
            fill_alpha=0.08 * strength,
            line_color=None,
        )
    eyes = [at[name] for name in own.shock]
    plot.line(x=[eye[0] for eye in eyes], y=[eye[1] for eye in eyes], line_width=SHOCK, **look)
    pivots = {name for body in (*own.bodies.values(), own.shock) for name in body}
    for fixed, fill in ((True, style.colour), (False, LIGHT["paper"])):
        names = [name for name in at if name in pivots and (name in own.fixed) == fixed]
        plot.scatter(
            x=[at[name][0] for name in names],
            y=[at[name][1] for name in names],
            size=PIVOT,
            marker=style.marker,
            fill_color=fill,
            fill_alpha=strength,
            line_color=style.colour,
            line_alpha=strength,
        )


def _name_poses(plot: Any, held: Mapping[str, Mechanism]) -> None:
    """Write the first linkage's poses behind its axle, where nothing is drawn; a point that isn't seen makes room."""
    own = next(iter(held.values()))
    xs = [x for one in held.values() for places in one.places_mm.values() for x, _ in places.values()]
    length, above = max(xs) - min(xs), -np.inf
    for pose in POSES:
        y = max(own.places_mm[pose][own.axle][1], above + LEAST_APART * length)
        above = y
        plot.add_layout(
            Label(
                x=min(xs),
                y=y,
                x_offset=-10,
                text=plain(POSE_WORDS[pose]),
                text_align="right",
                text_color=LIGHT["soft"],
                text_font=FONT,
                text_font_size="12px",
                text_baseline="middle",
            )
        )
        plot.scatter(x=[min(xs) - ROOM * length], y=[y], fill_alpha=0, line_alpha=0)
