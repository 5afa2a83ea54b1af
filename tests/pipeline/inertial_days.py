"""Small ride days on disk whose logs hold inertial sensors alone, for tests of the whole program."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from tests.measures.inertial_rides import pushed, shaken

RATE_HZ = 200.0
G_M_S2 = 9.80665
HEAD = """\
[ride_day]
title = "A day by acceleration"
date = 2026-05-16
[bike]
name = "Test mule"
[log]
time = { column = "t_ms", unit = "ms" }
"""
SENSOR = """\
[sensors.{name}]
kind = "inertial"
end = "{end}"
on = "{on}"
columns = {{ {columns} }}
acceleration_unit = "g"
rotation_unit = "deg/s"
"""
SITES = {
    "fork": ("front", "wheel"),
    "crown": ("front", "chassis"),
    "axle": ("rear", "wheel"),
    "seat": ("rear", "chassis"),
}
"""What the sensors of these days are called, and where each sits."""
SHARES = {"fork": 2.0, "crown": 1.0, "axle": 1.8, "seat": 0.8}


def sensor_tables(sensors: Sequence[str]) -> str:
    """Return the ride day's tables of some of these sensors."""
    text = []
    for name in sensors:
        end, on = SITES[name]
        columns = ", ".join(f'{axis} = "{name}_{axis}"' for axis in ("ax", "ay", "az", "gx", "gy", "gz"))
        text.append(SENSOR.format(name=name, end=end, on=on, columns=columns))
    return "".join(text)


def upward(seconds: float, seed: int, harder: float = 1.0) -> np.ndarray:
    """Return upward acceleration of a run, m/s2: stand, three pushes, stand, ride, stand, three pushes, stand."""
    rest, push = np.zeros(round(2.5 * RATE_HZ)), pushed(RATE_HZ)
    ride = harder * shaken(seconds, seed, RATE_HZ)
    return np.concatenate([rest, push, rest, ride, rest, push, rest])


def columns_of(name: str, up_m_s2: np.ndarray, seed: int) -> dict[str, np.ndarray]:
    """Return a sensor's columns: shaken upward as given while it leans left and right by a few degrees."""
    own, count = np.random.default_rng(seed), up_m_s2.shape[0]
    shaking = np.convolve(np.abs(up_m_s2) > 1e-9, np.hanning(201) / 100, "same")
    lean = np.radians(4) * shaking * np.convolve(own.standard_normal(count), np.hanning(200) / 8, "same")
    force = {"x": np.zeros(count), "y": np.sin(lean), "z": np.cos(lean)}
    turning = {"x": np.degrees(np.gradient(lean) * RATE_HZ), "y": np.zeros(count), "z": np.zeros(count)}
    felt = {f"{name}_a{axis}": own_share * (1 + up_m_s2 / G_M_S2) for axis, own_share in force.items()}
    turned = {f"{name}_g{axis}": rate for axis, rate in turning.items()}
    return {key: value + 0.003 * own.standard_normal(count) for key, value in felt.items()} | {
        key: value + 0.05 * own.standard_normal(count) for key, value in turned.items()
    }


def write_log(path: Path, columns: Mapping[str, np.ndarray]) -> None:
    count = next(iter(columns.values())).shape[0]
    rows = np.column_stack([np.arange(count) * 1000 / RATE_HZ, *columns.values()])
    header = ",".join(["t_ms", *columns])
    row = ",".join(["%.5f"] * rows.shape[1])  # all rows at once: one by one takes half as long again
    path.write_text(f"{header}\n" + f"{row}\n" * count % tuple(rows.ravel().tolist()), encoding="ascii")


def make_inertial_day(
    folder: Path,
    setups: Sequence[str],
    *,
    sensors: Sequence[str] = ("fork", "crown"),
    seconds: float = 40.0,
    harder: Mapping[str, float] | None = None,
    extra: str = "",
) -> Path:
    """Write a day with one run of each entry of `setups`, in that order; return its folder."""
    folder.mkdir(parents=True, exist_ok=True)
    text = [HEAD, sensor_tables(sensors)]
    for place, name in enumerate(dict.fromkeys(setups)):
        text.append(f"[setups.{name}]\nlabel = 'setup {name}'\n[setups.{name}.front]\nair_pressure_bar = {6 + place}\n")
    for number, name in enumerate(setups, 1):
        up = upward(seconds, number, (harder or {}).get(name, 1.0))
        logged: dict[str, np.ndarray] = {}
        for place, sensor in enumerate(sensors):
            own = up if SITES[sensor][1] == "chassis" else np.where(_ridden(up.shape[0], seconds), up, 0.0)
            logged |= columns_of(sensor, SHARES[sensor] * own, 10 * number + place)
        write_log(folder / f"run_{number}.csv", logged)
        text.append(f'[[runs]]\nlog = "run_{number}.csv"\nsetup = "{name}"\n')
    (folder / "ride_day.toml").write_text("\n".join([*text, extra]), encoding="utf-8")
    return folder


def _ridden(count: int, seconds: float) -> np.ndarray:
    """Tell where the run is ridden: wheels don't go down with the pushes."""
    time_s, start_s = np.arange(count) / RATE_HZ, 2.5 + 2.1 + 2.5
    return np.asarray((time_s >= start_s) & (time_s < start_s + seconds))
