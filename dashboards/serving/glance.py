"""A glance at a day's own file, for the list of days: whatever is wrong with it, the others stand."""

from __future__ import annotations

from pathlib import Path

from dashboards.pages.day_list import Glance, glance_of
from telemetry.ride_day import read_ride_day

from .complaints import what_went_wrong


def glance(path: Path) -> Glance:
    """Return what the list says of a day's file, or what is wrong with it."""
    try:
        return glance_of(read_ride_day(path))
    except Exception as error:  # noqa: BLE001 - one bad day never harms the list
        return Glance(wrong=what_went_wrong(error))
