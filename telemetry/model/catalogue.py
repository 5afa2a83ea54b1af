"""Every measure there is: id, ends, unit, scale and words. Definitions: ``docs/measures.md``.

A measure that isn't listed here isn't printed anywhere.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import TypeAlias

from .acceleration_measures import ACCELERATION
from .day import SmallestChange
from .finding import ENDS, End, Place
from .measure_spec import MeasureSpec, percent, points
from .within import parted, place_in_words, within

_BOTH: tuple[Place, ...] = ("both",)
_MM = SmallestChange(amount=1.0, form="mm", entered="1 mm")
_FACTOR = SmallestChange(amount=1.5, form="factor", entered="x1.5")

CATALOGUE: tuple[MeasureSpec, ...] = (
    MeasureSpec(
        name="dynamic_sag",
        unit="%",
        label="Dynamic sag",
        scale="raw",
        smallest_change=points(2),
        more="sits deeper while riding",
        less="rides higher",
        same="rides at the same height",
    ),
    MeasureSpec(name="dynamic_sag_median", unit="%", label="Dynamic sag, median"),
    MeasureSpec(
        name="travel_p95",
        unit="%",
        label="Deeper one second in twenty",
        scale="raw",
        smallest_change=points(2),
        more="goes deeper one second in twenty",
        less="stays higher one second in twenty",
        same="is as deep one second in twenty",
    ),
    MeasureSpec(name="travel_max", unit="%", label="Deepest point"),
    MeasureSpec(
        name="hit_depth_10_per_min",
        unit="%",
        label="Ten-a-minute hit depth",
        scale="raw",
        smallest_change=points(2),
        more="takes its ten deepest hits a minute deeper",
        less="takes its ten deepest hits a minute less deep",
        same="takes its ten deepest hits a minute as deep",
    ),
    MeasureSpec(name="hit_depth_p95", unit="%", label="Depth of big hits"),
    MeasureSpec(
        name="deep_hits_per_min",
        unit="1/min",
        label="Hits past 80 %, a minute",
        scale="count",
        smallest_change=_FACTOR,
        more="goes past 80 % more often",
        less="goes past 80 % less often",
        same="goes past 80 % as often",
    ),
    MeasureSpec(name="bottom_outs", unit="count", label="Bottom-outs"),
    MeasureSpec(
        name="bottom_outs_per_min",
        unit="1/min",
        label="Bottom-outs a minute",
        scale="count",
        smallest_change=_FACTOR,
        more="bottoms more",
        less="bottoms less",
        same="bottoms as often",
    ),
    MeasureSpec(name="hard_bottom_outs", unit="count", label="Hard bottom-outs"),
    MeasureSpec(
        name="top_outs_per_min",
        unit="1/min",
        label="Top-outs a minute",
        scale="count",
        smallest_change=_FACTOR,
        more="tops out more",
        less="tops out less",
        same="tops out as often",
    ),
    MeasureSpec(
        name="hits_per_min",
        unit="1/min",
        label="Hits a minute",
        scale="log",
        smallest_change=percent(10),
        more="takes more hits a minute",
        less="takes fewer hits a minute",
        same="takes as many hits a minute",
    ),
    MeasureSpec(name="strokes_per_min", unit="1/min", label="Compression strokes a minute"),
    MeasureSpec(name="hit_length_p50", unit="mm", label="Length of hits, median"),
    MeasureSpec(name="hit_length_p95", unit="mm", label="Length of big hits"),
    MeasureSpec(name="compression_speed_p50", unit="mm/s", label="Hit speed, median"),
    MeasureSpec(name="compression_speed_p95", unit="mm/s", label="Fast hit speed"),
    MeasureSpec(name="rebound_speed_p50", unit="mm/s", label="Return speed, median"),
    MeasureSpec(name="rebound_speed_p95", unit="mm/s", label="Fast return speed"),
    MeasureSpec(
        name="compression_speed_10_per_min",
        unit="mm/s",
        label="Ten-a-minute hit speed",
        scale="log",
        smallest_change=percent(10),
        more="takes its ten fastest hits a minute faster",
        less="takes its ten fastest hits a minute slower",
        same="takes its ten fastest hits a minute as fast",
    ),
    MeasureSpec(
        name="rebound_speed_10_per_min",
        unit="mm/s",
        label="Ten-a-minute return speed",
        scale="log",
        smallest_change=percent(10),
        more="makes its ten fastest returns a minute faster",
        less="makes its ten fastest returns a minute slower",
        same="makes its ten fastest returns a minute as fast",
    ),
    MeasureSpec(name="shaft_compression_speed_p95", unit="mm/s", label="Fast hit speed at the damper shaft"),
    MeasureSpec(name="shaft_rebound_speed_p95", unit="mm/s", label="Fast return speed at the damper shaft"),
    MeasureSpec(name="below_knee_compression_hits", unit="%", label="Hits below the knee"),
    MeasureSpec(name="below_knee_rebound_returns", unit="%", label="Returns below the knee"),
    MeasureSpec(
        name="recovery_time",
        unit="s",
        label="Recovery time",
        scale="log",
        smallest_change=percent(15),
        more="takes longer to recover",
        less="recovers sooner",
        same="recovers as soon",
    ),
    MeasureSpec(
        name="packing",
        unit="mm per hit",
        label="Packing",
        scale="raw",
        smallest_change=_MM,
        more="packs more",
        less="packs less",
        same="packs as much",
    ),
    MeasureSpec(name="strongest_slow_frequency", unit="Hz", label="Strongest slow frequency"),
    MeasureSpec(
        name="sag_difference",
        unit="% points",
        label="Front sag minus rear",
        ends=_BOTH,
        scale="raw",
        smallest_change=points(2),
        more="front sits deeper against rear",
        less="front sits higher against rear",
        same="front and rear share ride height as before",
    ),
    MeasureSpec(
        name="compression_speed_ratio",
        unit="ratio",
        label="Hit speed, front over rear",
        ends=_BOTH,
        scale="log",
        smallest_change=percent(10),
        more="front hits faster against rear",
        less="front hits slower against rear",
        same="front and rear hit as before against each other",
    ),
    MeasureSpec(
        name="rebound_speed_ratio",
        unit="ratio",
        label="Return speed, front over rear",
        ends=_BOTH,
        scale="log",
        smallest_change=percent(10),
        more="front comes back faster against rear",
        less="front comes back slower against rear",
        same="front and rear come back as before against each other",
    ),
    *ACCELERATION,
    MeasureSpec(name="dive_per_g", unit="%", label="Dive a g of braking", ends=("front",)),
    MeasureSpec(name="dive_per_g_error", unit="%", label="Dive a g of braking, standard error", ends=("front",)),
    MeasureSpec(name="squat_per_g", unit="%", label="Squat a g of accelerating", ends=("rear",)),
    MeasureSpec(name="squat_per_g_error", unit="%", label="Squat a g of accelerating, standard error", ends=("rear",)),
    MeasureSpec(name="pedal_movement", unit="mm", label="Movement a turn of the cranks", ends=("rear",)),
    MeasureSpec(name="ground_speed", unit="m/s", label="Ground speed", ends=_BOTH),
    MeasureSpec(name="riding_time", unit="s", label="Riding time", ends=_BOTH),
    MeasureSpec(name="airborne_time", unit="s", label="Airborne time", ends=_BOTH),
    MeasureSpec(name="section_time", unit="s", label="Section time", ends=_BOTH, in_parts=True),
    MeasureSpec(name="zero_level", unit="mm", label="Zero found", source="static", digits=1),
    MeasureSpec(name="rider_sag", unit="%", label="Rider sag", source="static"),
    MeasureSpec(name="free_sag", unit="%", label="Free sag", source="static"),
    MeasureSpec(name="friction_band", unit="mm", label="Friction band", source="static", digits=1),
    MeasureSpec(name="natural_frequency", unit="Hz", label="Natural frequency", source="static"),
    MeasureSpec(name="damping_ratio", unit="-", label="Damping ratio", source="static"),
)

FAMILY: tuple[MeasureSpec, ...] = tuple(spec for spec in CATALOGUE if spec.in_family)
IN_MM: dict[str, MeasureSpec] = {
    spec.name: replace(
        spec,
        name=f"{spec.name}_mm",
        unit="mm",
        label=f"{spec.label} in mm",
        more=f"{spec.more}, in mm",
        less=f"{spec.less}, in mm",
        same=f"{spec.same}, in mm",
    )
    for spec in FAMILY
    if spec.unit == "%" and spec.by == "travel"
}
"""Shares of full travel as mm: compared beside the shares where full travel differs between setups."""


class _Specs(dict[str, MeasureSpec]):
    """Every measure by its id; within a part of the ride it is the same with a word on where."""

    def __missing__(self, measure: str) -> MeasureSpec:
        name, place = parted(measure)
        if not place or name not in self:
            raise KeyError(measure)
        spec, where = self[name], place_in_words(place)
        more, less, same = (f"{words} {where}" if words else "" for words in (spec.more, spec.less, spec.same))
        return replace(spec, name=measure, label=f"{spec.label} {where}", more=more, less=less, same=same)


SPECS = _Specs({spec.name: spec for spec in (*CATALOGUE, *IN_MM.values())})
_SHARES = {spec.name: name for name, spec in IN_MM.items()}


def in_mm(measure: str) -> MeasureSpec | None:
    """Return the row in mm that goes with a share of full travel, within the same part of the ride; None for others.

    Examples
    --------
    >>> in_mm("dynamic_sag@braking").name
    'dynamic_sag_mm@braking'
    """
    name, place = parted(measure)
    own = IN_MM.get(name)
    return own if own is None or place is None else SPECS[within(own.name, place)]


def share_of(measure: str) -> str | None:
    """Return the share of full travel that a row in mm goes with; None for other rows."""
    name, place = parted(measure)
    own = _SHARES.get(name)
    return own if own is None or place is None else within(own, place)


FamilyPlace: TypeAlias = tuple[MeasureSpec, Place]
FAMILY_ROWS: tuple[FamilyPlace, ...] = tuple((spec, end) for spec in FAMILY for end in spec.ends)
"""A row a measure and place: what can get verdicts."""


def compared_rows(by_acceleration: Collection[End]) -> tuple[FamilyPlace, ...]:
    """Return the rows that get verdicts: of acceleration only those of the ends that are measured by it alone.

    Parameters
    ----------
    by_acceleration : collection of End
        Ends with an inertial sensor and none that reads their travel.
    """
    return tuple((spec, end) for spec, end in FAMILY_ROWS if spec.by == "travel" or end in by_acceleration)


def stated_rows(by_travel: Collection[End], by_acceleration: Collection[End]) -> tuple[FamilyPlace, ...]:
    """Return the rows of the ends that sensors are stated for; those of travel at both ends where none is.

    Parameters
    ----------
    by_travel : collection of End
        Ends with a sensor that reads their position.
    by_acceleration : collection of End
        As of `compared_rows`.
    """
    ends: set[Place] = set(by_travel) if by_travel or by_acceleration else set(ENDS)
    ends |= {"both"} if ends >= set(ENDS) else set()
    return tuple(
        (spec, end) for spec, end in compared_rows(by_acceleration) if spec.by == "acceleration" or end in ends
    )


def named_rows(named: Collection[tuple[str, str | None]]) -> tuple[FamilyPlace, ...]:
    """Return the rows within a part of the ride that are compared because they were named.

    Parameters
    ----------
    named : collection of (measure, end)
        As in focus; an end of None is every end of the measure.
    """
    return tuple(
        (SPECS[measure], place)
        for measure, end in named
        if parted(measure)[1] is not None
        for place in SPECS[measure].ends
        if end in (None, place)
    )
