"""Invented rear linkages of every usual kind, topped out; mm, x forward and y up from the bottom bracket."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from telemetry.model.linkage import Linkage

# The handbook's example.
ROCKER = Linkage(
    fixed={"main": (-12.0, 38.0), "rocker": (-25.0, 238.0), "shock_front": (205.0, 322.0)},
    moving={
        "axle": (-446.0, 12.0),
        "stay": (-108.0, 55.0),
        "link_top": (-85.0, 232.0),
        "shock_rear": (-98.0, 327.0),
    },
    bodies={
        "swingarm": ("main", "axle", "stay"),
        "link": ("stay", "link_top"),
        "rocker": ("rocker", "link_top", "shock_rear"),
    },
    shock=("shock_front", "shock_rear"),
    axle="axle",
)
SINGLE_PIVOT = Linkage(
    fixed={"main": (10.0, 60.0), "shock_front": (180.0, 310.0)},
    moving={"axle": (-440.0, 10.0), "shock_rear": (-60.0, 235.0)},
    bodies={"swingarm": ("main", "axle", "shock_rear")},
    shock=("shock_front", "shock_rear"),
    axle="axle",
)
# The axle stands on the seatstay, between two links: four bars.
FOUR_BAR = Linkage(
    fixed={"main": (-8.0, 42.0), "rocker": (-5.0, 255.0), "shock_low": (60.0, 45.0)},
    moving={
        "chainstay_rear": (-405.0, -2.0),
        "axle": (-445.0, 14.0),
        "seatstay_top": (-95.0, 262.0),
        "shock_top": (60.0, 262.0),
    },
    bodies={
        "chainstay": ("main", "chainstay_rear"),
        "seatstay": ("chainstay_rear", "axle", "seatstay_top"),
        "rocker": ("rocker", "seatstay_top", "shock_top"),
    },
    shock=("shock_top", "shock_low"),
    axle="axle",
)
# Two short links carry a rigid rear; the shock stands between the upper link and the frame.
TWIN_LINK = Linkage(
    fixed={"low": (-10.0, 15.0), "high": (-20.0, 160.0), "shock_front": (170.0, 295.0)},
    moving={
        "low_rear": (-52.0, 2.0),
        "high_rear": (-85.0, 190.0),
        "axle": (-442.0, 8.0),
        "shock_rear": (-30.0, 245.0),
    },
    bodies={
        "lower_link": ("low", "low_rear"),
        "upper_link": ("high", "high_rear", "shock_rear"),
        "rear": ("low_rear", "high_rear", "axle"),
    },
    shock=("shock_front", "shock_rear"),
    axle="axle",
)
# The shock's rear eye rides on the swingarm, its front eye on the rocker: both move.
FLOATING = Linkage(
    fixed={"main": (-10.0, 40.0), "rocker": (20.0, 230.0)},
    moving={
        "axle": (-445.0, 10.0),
        "stay": (-120.0, 70.0),
        "link_top": (-90.0, 250.0),
        "shock_front": (80.0, 262.0),
        "shock_rear": (-62.0, 82.0),
    },
    bodies={
        "swingarm": ("main", "axle", "stay", "shock_rear"),
        "link": ("stay", "link_top"),
        "rocker": ("rocker", "link_top", "shock_front"),
    },
    shock=("shock_front", "shock_rear"),
    axle="axle",
)
# As on a dirt bike: a bell crank hangs under the swingarm, a pull rod holds it to the frame.
PULL_ROD = Linkage(
    fixed={"main": (-80.0, 90.0), "rod_front": (-60.0, -75.0), "shock_top": (-70.0, 420.0)},
    moving={
        "axle": (-660.0, 20.0),
        "crank": (-230.0, 30.0),
        "rod_rear": (-215.0, -60.0),
        "shock_low": (-150.0, -10.0),
    },
    bodies={
        "swingarm": ("main", "axle", "crank"),
        "bell_crank": ("crank", "rod_rear", "shock_low"),
        "rod": ("rod_front", "rod_rear"),
    },
    shock=("shock_top", "shock_low"),
    axle="axle",
)


def mirrored(linkage: Linkage) -> Linkage:
    """Return a linkage drawn with the bike facing left."""
    return replace(
        linkage,
        fixed=MappingProxyType({name: (-x, y) for name, (x, y) in linkage.fixed.items()}),
        moving=MappingProxyType({name: (-x, y) for name, (x, y) in linkage.moving.items()}),
    )


STROKES = {
    "rocker": (ROCKER, 62.5),
    "single_pivot": (SINGLE_PIVOT, 55.0),
    "four_bar": (FOUR_BAR, 50.0),
    "twin_link": (TWIN_LINK, 45.0),
    "floating": (FLOATING, 45.0),
    "pull_rod": (PULL_ROD, 90.0),
    "mirrored_rocker": (mirrored(ROCKER), 62.5),
    "mirrored_four_bar": (mirrored(FOUR_BAR), 50.0),
}
