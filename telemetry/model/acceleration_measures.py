"""The measures of acceleration; what the catalogue lists of them."""

from __future__ import annotations

from .measure_spec import MeasureSpec, percent, points

ACCELERATION: tuple[MeasureSpec, ...] = (
    MeasureSpec(
        name="wheel_acceleration_rms",
        unit="m/s2",
        label="Shaking of the wheel",
        scale="log",
        smallest_change=percent(10),
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
        smallest_change=percent(10),
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
        smallest_change=percent(10),
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
        smallest_change=percent(10),
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
        smallest_change=percent(10),
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
        smallest_change=percent(10),
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
        smallest_change=percent(10),
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
        smallest_change=points(2),
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
