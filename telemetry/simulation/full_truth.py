"""The whole motion of a run as a table: what `truth.json` is measured on."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyarrow as pa
from pyarrow import parquet

from telemetry.dynamics.car import Bike, EndTables
from telemetry.dynamics.half_car import Motion
from telemetry.dynamics.suspension import Suspension
from telemetry.model.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeMotion:
    """One run's motion along the trail.

    Attributes
    ----------
    motion : Motion
        Travel counted from where both ends are topped out.
    bike : Bike
        As it was ridden.
    dampers : (front, rear)
        The suspension whose dampers they are.
    zero_m : (front, rear)
        Travel that a lifted recording calls zero, or 0.
    roads_m : float array, shape (n, 2)
        Height of what each wheel rolls over, m.
    """

    motion: Motion
    bike: Bike
    dampers: tuple[Suspension, Suspension]
    zero_m: tuple[float, float]
    roads_m: Floats


def _forces_n(end: EndTables, own: Suspension, travel_m: Floats, speed_m_s: Floats) -> dict[str, Floats]:
    """Return an end's forces at the wheel along its path, N: positive push the wheel out."""
    at = end.first_m + end.step_m * np.arange(end.force_n.shape[0])
    ratio = np.interp(travel_m, at, end.ratio)
    shaft_m_s = speed_m_s / ratio
    grown = np.where(shaft_m_s > 0, np.interp(travel_m, at, end.end_factor), 1.0)
    return {
        "spring_n": np.interp(travel_m, at, end.force_n),
        "damper_n": own.damper.force_n(shaft_m_s) * grown / ratio,
        "friction_n": end.friction_n * shaft_m_s / np.hypot(shaft_m_s, end.friction_band_m_s) / ratio,
    }


def full_truth_columns(whole: WholeMotion) -> dict[str, Floats]:
    """Return the columns of the table, each of shape (n,): time in s from the trail's beginning, lengths in mm.

    Parameters
    ----------
    whole : WholeMotion

    Notes
    -----
    Past the tables of an end, 20 mm beyond its travel, spring forces stay at their last value.
    """
    motion = whole.motion
    columns: dict[str, Floats] = {"time_s": np.arange(motion.front_m.shape[0]) / motion.rate_hz}
    signals = {
        "front": (motion.front_m, motion.front_m_s, motion.front_tyre_n, whole.bike.front),
        "rear": (motion.rear_m, motion.rear_m_s, motion.rear_tyre_n, whole.bike.rear),
    }
    for place, (name, (travel_m, speed_m_s, tyre_n, end)) in enumerate(signals.items()):
        columns |= {
            f"{name}_travel_mm": 1e3 * (travel_m - whole.zero_m[place]),
            f"{name}_speed_mm_s": 1e3 * speed_m_s,
            **{
                f"{name}_{key}": force_n
                for key, force_n in _forces_n(end, whole.dampers[place], travel_m, speed_m_s).items()
            },
            f"{name}_tyre_n": tyre_n,
            f"{name}_ground_mm": 1e3 * whole.roads_m[:, place],
        }
    return columns


def write_full_truth(path: Path, whole: WholeMotion) -> None:
    """Write the table as Parquet: time in double precision, all else in single."""
    columns = full_truth_columns(whole)
    kinds = {name: pa.float64() if name == "time_s" else pa.float32() for name in columns}
    table = pa.table({name: pa.array(column, type=kinds[name]) for name, column in columns.items()})
    parquet.write_table(table, path, compression="zstd")
