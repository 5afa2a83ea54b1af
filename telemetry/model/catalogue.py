"""Every measure there is: id, ends, unit, scale and words. Definitions: ``docs/measures.md``.

A measure that isn't listed here isn't printed anywhere.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from .day import SmallestChange
from .finding import ENDS, End, Place

Scale: TypeAlias = Literal["raw", "log", "count"]
Source: TypeAlias = Literal["run", "static"]
Sensing: TypeAlias = Literal["travel", "acceleration"]

_BOTH: tuple[Place, ...] = ("both",)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureSpec:
    """One measure.

    Attributes
    ----------
    name : str
        Its id.
    unit : str
    ends : tuple of {"front", "rear", "both"}
    label : str
        What people read: "Dynamic sag".
    scale, smallest_change
        Only for measures in the family that gets verdicts: the scale of comparison and the default smallest
        change that matters.
    more, less, same : str
        The finding in words when the candidate has more, less, or as much: "sits deeper while riding".
    source : {"run", "static"}
        Whether it comes from a run or from recordings made off the trail.
    by : {"travel", "acceleration"}
        What an end is measured by: a measure of acceleration is compared only where no sensor reads the end's travel.
    in_parts : bool
        Whether it has a value a part: a stretch of trail, or a frequency in Hz.
    """

    name: str
    unit: str
    label: str
    ends: tuple[Place, ...] = ENDS
    scale: Scale | None = None
    smallest_change: SmallestChange | None = None
    more: str = ""
    less: str = ""
    same: str = ""
    source: Source = "run"
    by: Sensing = "travel"
    in_parts: bool = False

    @property
    def in_family(self) -> bool:
        """Whether the measure gets verdicts."""
        return self.scale is not None


def _points(amount: float) -> SmallestChange:
    return SmallestChange(amount=amount, form="points", entered=f"{amount:g} points")


def _percent(amount: float) -> SmallestChange:
    return SmallestChange(amount=amount, form="percent", entered=f"{amount:g} %")


_MM = SmallestChange(amount=1.0, form="mm", entered="1 mm")
_FACTOR = SmallestChange(amount=1.5, form="factor", entered="x1.5")

_ACCELERATION: tuple[MeasureSpec, ...] = (
    MeasureSpec(
        name="wheel_acceleration_rms",
        unit="m/s2",
        label="Shaking of the wheel",
        scale="log",
        smallest_change=_percent(10),
        more="shakes its wheel more",
        less="shakes its wheel less",
        same="shakes its wheel as much",
        by="acceleration",
    ),
    MeasureSpec(
        name="chassis_acceleration_rms",
        unit="m/s2",
        label="Shaking of the chassis",
        scale="log",
        smallest_change=_percent(10),
        more="shakes the chassis more",
        less="shakes the chassis less",
        same="shakes the chassis as much",
        by="acceleration",
    ),
    MeasureSpec(
        name="wheel_acceleration_10_per_min",
        unit="m/s2",
        label="Ten-a-minute knock at the wheel",
        scale="log",
        smallest_change=_percent(10),
        more="knocks its wheel harder ten times a minute",
        less="knocks its wheel less hard ten times a minute",
        same="knocks its wheel as hard ten times a minute",
        by="acceleration",
    ),
    MeasureSpec(
        name="chassis_acceleration_10_per_min",
        unit="m/s2",
        label="Ten-a-minute knock at the chassis",
        scale="log",
        smallest_change=_percent(10),
        more="knocks the chassis harder ten times a minute",
        less="knocks the chassis less hard ten times a minute",
        same="knocks the chassis as hard ten times a minute",
        by="acceleration",
    ),
    MeasureSpec(
        name="moved_compression_speed_10_per_min",
        unit="mm/s",
        label="Ten-a-minute speed into movement",
        scale="log",
        smallest_change=_percent(10),
        more="moves in faster on its ten fastest hits a minute",
        less="moves in slower on its ten fastest hits a minute",
        same="moves in as fast on its ten fastest hits a minute",
        by="acceleration",
    ),
    MeasureSpec(
        name="moved_rebound_speed_10_per_min",
        unit="mm/s",
        label="Ten-a-minute speed out of movement",
        scale="log",
        smallest_change=_percent(10),
        more="moves out faster on its ten fastest returns a minute",
        less="moves out slower on its ten fastest returns a minute",
        same="moves out as fast on its ten fastest returns a minute",
        by="acceleration",
    ),
    MeasureSpec(
        name="moved_length_10_per_min",
        unit="mm",
        label="Ten-a-minute length of movement",
        scale="log",
        smallest_change=_percent(10),
        more="moves further on its ten longest hits a minute",
        less="moves less far on its ten longest hits a minute",
        same="moves as far on its ten longest hits a minute",
        by="acceleration",
    ),
    MeasureSpec(
        name="unloaded_share",
        unit="%",
        label="Wheel unloaded",
        scale="raw",
        smallest_change=_points(2),
        more="leaves its wheel unloaded for longer",
        less="leaves its wheel unloaded for less long",
        same="leaves its wheel unloaded for as long",
        by="acceleration",
    ),
    MeasureSpec(
        name="transmissibility", unit="ratio", label="Passed on from wheel to chassis", by="acceleration", in_parts=True
    ),
    MeasureSpec(name="chassis_frequency", unit="Hz", label="Natural frequency of the chassis", by="acceleration"),
    MeasureSpec(name="chassis_damping", unit="-", label="Damping of the chassis", by="acceleration"),
    MeasureSpec(name="hop_frequency", unit="Hz", label="Wheel hop", by="acceleration"),
    MeasureSpec(
        name="shock_response", unit="m/s2", label="Shock response of the chassis", by="acceleration", in_parts=True
    ),
    MeasureSpec(name="hand_arm_vibration", unit="m/s2", label="Vibration of hands", ends=("front",), by="acceleration"),
    MeasureSpec(
        name="hand_arm_vibration_a8",
        unit="m/s2",
        label="Daily exposure of hands, A(8)",
        ends=("front",),
        by="acceleration",
    ),
    MeasureSpec(
        name="whole_body_vibration", unit="m/s2", label="Vibration of the body", ends=("rear",), by="acceleration"
    ),
    MeasureSpec(
        name="whole_body_vibration_a8",
        unit="m/s2",
        label="Daily exposure of the body, A(8)",
        ends=("rear",),
        by="acceleration",
    ),
)

CATALOGUE: tuple[MeasureSpec, ...] = (
    MeasureSpec(
        name="dynamic_sag",
        unit="%",
        label="Dynamic sag",
        scale="raw",
        smallest_change=_points(2),
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
        smallest_change=_points(2),
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
        smallest_change=_points(2),
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
        smallest_change=_percent(10),
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
        smallest_change=_percent(10),
        more="takes its ten fastest hits a minute faster",
        less="takes its ten fastest hits a minute slower",
        same="takes its ten fastest hits a minute as fast",
    ),
    MeasureSpec(
        name="rebound_speed_10_per_min",
        unit="mm/s",
        label="Ten-a-minute return speed",
        scale="log",
        smallest_change=_percent(10),
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
        smallest_change=_percent(15),
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
        smallest_change=_points(2),
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
        smallest_change=_percent(10),
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
        smallest_change=_percent(10),
        more="front comes back faster against rear",
        less="front comes back slower against rear",
        same="front and rear come back as before against each other",
    ),
    *_ACCELERATION,
    MeasureSpec(name="dive_per_g", unit="%", label="Dive a g of braking", ends=("front",)),
    MeasureSpec(name="dive_per_g_error", unit="%", label="Dive a g of braking, standard error", ends=("front",)),
    MeasureSpec(name="squat_per_g", unit="%", label="Squat a g of accelerating", ends=("rear",)),
    MeasureSpec(name="squat_per_g_error", unit="%", label="Squat a g of accelerating, standard error", ends=("rear",)),
    MeasureSpec(name="pitch_per_g", unit="deg", label="Pitch a g of braking", ends=_BOTH),
    MeasureSpec(name="pitch_per_g_error", unit="deg", label="Pitch a g of braking, standard error", ends=_BOTH),
    MeasureSpec(name="pedal_movement", unit="mm", label="Movement a turn of the cranks", ends=("rear",)),
    MeasureSpec(name="ground_speed", unit="m/s", label="Ground speed", ends=_BOTH),
    MeasureSpec(name="riding_time", unit="s", label="Riding time", ends=_BOTH),
    MeasureSpec(name="airborne_time", unit="s", label="Airborne time", ends=_BOTH),
    MeasureSpec(name="section_time", unit="s", label="Section time", ends=_BOTH, in_parts=True),
    MeasureSpec(name="rider_sag", unit="%", label="Rider sag", source="static"),
    MeasureSpec(name="free_sag", unit="%", label="Free sag", source="static"),
    MeasureSpec(name="friction_band", unit="mm", label="Friction band", source="static"),
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
SPECS: dict[str, MeasureSpec] = {spec.name: spec for spec in (*CATALOGUE, *IN_MM.values())}
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
