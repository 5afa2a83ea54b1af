"""Front against rear: vertical, at the wheels, in one direction."""

from __future__ import annotations

import math

from .missing import Missing, Outcome
from .sag import dynamic_sag
from .stroke_speed import (
    compression_speed_10_per_min,
    compression_speed_p95,
    rebound_speed_10_per_min,
    rebound_speed_p95,
)
from .view import EndView

NO_HEAD_ANGLE = Missing("head_angle_deg isn't stated: front and rear can't be put in one direction")


def sag_difference(front: EndView, rear: EndView) -> Outcome:
    """Return front dynamic sag minus rear, % points."""
    of_front, of_rear = dynamic_sag(front), dynamic_sag(rear)
    if isinstance(of_front, Missing):
        return of_front
    return of_rear if isinstance(of_rear, Missing) else of_front - of_rear


def _ratio(front: Outcome, rear: Outcome, head_angle_deg: float | None) -> Outcome:
    if head_angle_deg is None:
        return NO_HEAD_ANGLE
    if isinstance(front, Missing):
        return Missing(f"front: {front.reason}")
    if isinstance(rear, Missing):
        return Missing(f"rear: {rear.reason}")
    return front * math.sin(math.radians(head_angle_deg)) / rear


def compression_speed_ratio(front: EndView, rear: EndView, head_angle_deg: float | None) -> Outcome:
    """Return front over rear ``compression_speed_10_per_min``, both vertical at the wheels."""
    return _ratio(compression_speed_10_per_min(front), compression_speed_10_per_min(rear), head_angle_deg)


def rebound_speed_ratio(front: EndView, rear: EndView, head_angle_deg: float | None) -> Outcome:
    """Return front over rear ``rebound_speed_10_per_min``, both vertical at the wheels."""
    return _ratio(rebound_speed_10_per_min(front), rebound_speed_10_per_min(rear), head_angle_deg)


def compression_speed_p95_ratio(front: EndView, rear: EndView, head_angle_deg: float | None) -> Outcome:
    """Return the same of ``compression_speed_p95``: what a trail section gives in its place."""
    return _ratio(compression_speed_p95(front), compression_speed_p95(rear), head_angle_deg)


def rebound_speed_p95_ratio(front: EndView, rear: EndView, head_angle_deg: float | None) -> Outcome:
    """Return the same of ``rebound_speed_p95``: what a trail section gives in its place."""
    return _ratio(rebound_speed_p95(front), rebound_speed_p95(rear), head_angle_deg)
