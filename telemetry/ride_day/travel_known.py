"""Full travel beside what is wrong and beside what is calibrated: whether it is known, and in the same unit."""

from __future__ import annotations

from functools import cache

from telemetry.model.day import EndSetup
from telemetry.model.sensor import DisplacementSensor
from telemetry.model.setup_keys import LEVERAGE_KEYS, OF_ENDS
from telemetry.toml_tables import Table
from telemetry.units import MM_PER_INCH

from . import tables as t
from .imperial import spellings
from .problems import Problems
from .widths import KEY as WIDTHS

TRAVEL_KEYS = frozenset({"travel_mm", "measured_travel_mm", "stroke_mm", *LEVERAGE_KEYS})
"""What full travel and leverage rest on."""
LEAST_SPAN = 0.12
"""Of full travel or stroke: points nearer together than this calibrate nothing, or aren't in mm. Own choice: just over
what centimetres come to."""
UNITS = (("inches", MM_PER_INCH), ("cm", 10.0), ("metres", 1000.0))
ABOUT = (0.5, 1.3)
"""So much of full travel or stroke, points that were read in such a unit span: own choice."""


@cache
def _harmless(table: type[Table]) -> frozenset[str]:
    return spellings(t.keys_of(table))


@cache
def _harmless_at_an_end() -> frozenset[str]:
    return spellings(frozenset(spec.key for spec in OF_ENDS if spec.key not in TRAVEL_KEYS)) | {WIDTHS}


def may_hide_travel(path: str, problems: Problems) -> bool:
    """Tell whether a wrong key may be why an end's full travel or leverage isn't known, or isn't right.

    Parameters
    ----------
    path : str
        Of the end's table: ``bike.front``, ``setups.oil_8.rear``.
    problems : Problems
        A wrong key that is unknown may be any, and an unknown table beside the end's may be meant to be it.
    """
    above = path.rpartition(".")[0]
    beside = _harmless(t.BikeTable if above == "bike" else t.SetupTable)
    wholly = problems.is_wrong(path) or problems.is_wrong(above)
    return wholly or not (
        problems.wrong_in(path) <= _harmless_at_an_end()
        and problems.wrong_in(above) <= beside
        and problems.wrong_in("") <= _harmless(t.Document)
    )


def check_span(sensor: DisplacementSensor, end: EndSetup, problems: Problems) -> None:
    """Refuse calibration points that span next to nothing of what the sensor reads: they are in another unit, mostly.

    Parameters
    ----------
    sensor : DisplacementSensor
    end : EndSetup
        Where it sits.
    problems : Problems
    """
    what, whole = ("stroke", end.stroke_mm) if sensor.measures == "stroke" else ("full travel", end.full_travel_mm)
    places = [mm for _, mm in sensor.points]
    if whole is None or len(places) < 2:
        return
    span = max(places) - min(places)
    if not 0 < span <= LEAST_SPAN * whole:
        return
    expected = "points in mm, from topped out to near the deepest"
    for unit, factor in UNITS:
        if ABOUT[0] * whole <= span * factor <= ABOUT[1] * whole:
            points = ", ".join(f"[{reading:.10g}, {mm * factor:.6g}]" for reading, mm in sensor.points[:2])
            expected = f"mm: are these {unit}? Then points = [{points}{', …' if len(places) > 2 else ''}]"
            break
    found = f"points that span {span:.4g} mm of {whole:.4g} mm of {what}"
    problems.add(f"sensors.{sensor.name}.points", found, expected)
