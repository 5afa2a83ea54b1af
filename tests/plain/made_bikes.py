"""Invented bikes and their sensors, as the TOML tells them and as the plain code needs them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tests.plain.plain_signal import Array, PlainEnd, calibrated, travel_to_stroke, with_end_slopes

# a progressive curve in shares of the whole; invented
CURVE_SHARES = ((0.0, 0.0), (0.2, 0.232), (0.4, 0.444), (0.6, 0.643), (0.8, 0.826), (1.0, 1.0))


@dataclass(frozen=True, kw_only=True)
class MadeEnd:
    """One end with its sensor: truth, and the lines that describe it."""

    end: PlainEnd
    decimals: int
    unit: str
    bike_lines: tuple[str, ...]
    setup_lines: tuple[str, ...]
    sensor_lines: tuple[str, ...]
    noise_mm: float  # at the sensor
    files: dict[str, str] = field(default_factory=dict)

    def readings(self, travel_mm: Array, shift_mm: float, rng: np.random.Generator) -> Array:
        """Return what the sensor's log says at these travels, its true zero shifted, as rounded in the file."""
        at_sensor = travel_to_stroke(travel_mm, self.end) if self.end.reads_stroke else travel_mm
        at_sensor = at_sensor + shift_mm + self.noise_mm * rng.normal(size=len(travel_mm))
        low, high = sorted((self.end.points[0][0], self.end.points[-1][0]))
        dense = np.linspace(low - 0.3 * (high - low), high + 0.3 * (high - low), 60_001)
        mm = calibrated(dense, self.end)
        readings = np.interp(at_sensor, mm, dense) if mm[-1] > mm[0] else np.interp(at_sensor, mm[::-1], dense[::-1])
        return np.round(readings, self.decimals)

    @property
    def sensor_full_mm(self) -> float:
        return (
            float(travel_to_stroke(np.array([self.end.full_mm]), self.end)[0])
            if self.end.reads_stroke
            else self.end.full_mm
        )


def length(key: str, value_mm: float, *, imperial: bool) -> tuple[str, float]:
    """Return the TOML line of a length, in mm or inches, and the mm it means."""
    if not imperial:
        return f"{key}_mm = {value_mm:g}", value_mm
    inches = round(value_mm / 25.4, 3)
    return f"{key}_in = {inches}", inches * 25.4


def made_points(rng: np.random.Generator, span_mm: float) -> tuple[tuple[tuple[float, float], ...], str, int, str]:
    """Draw a calibration over a span: points, line or curve, decimals and unit of its readings."""
    kind = str(rng.choice(["counts", "volts", "mm"], p=[0.5, 0.25, 0.25]))
    curved = kind != "mm" and rng.random() < 0.25
    count = 6 if curved else int(rng.choice([2, 2, 3, 5]))
    share = np.linspace(0, 1, count)
    low, high = {
        "counts": (rng.integers(150, 700), rng.integers(2600, 3500)),
        "volts": (rng.uniform(0.2, 0.9), rng.uniform(3.4, 4.3)),
        "mm": (rng.uniform(2, 9), 0.0),
    }[kind]
    if kind == "mm":
        high = low + span_mm
    if rng.random() < 0.4:
        low, high = high, low
    bent = share + (0.06 * np.sin(np.pi * share) if curved else 0.0)
    decimals, unit = {"counts": (0, "count"), "volts": (4, "V"), "mm": (2, "mm")}[kind]
    points = tuple(
        (float(np.round(low + b * (high - low), max(decimals, 2))), float(np.round(s * span_mm, 2)))
        for b, s in zip(bent, share, strict=True)
    )
    return points, "curve" if curved else "line", decimals, unit


def sensor_lines(points: tuple[tuple[float, float], ...], calibration: str) -> tuple[str, ...]:
    listed = ", ".join(f"[{reading:g}, {mm:g}]" for reading, mm in points)
    lines = [f"points = [{listed}]"]
    if calibration == "curve":
        lines.append('calibration = "curve"')
    return tuple(lines)


def made_front(rng: np.random.Generator, *, dirt: bool, imperial: bool) -> MadeEnd:
    """Draw a fork and its sensor."""
    line, stated = length("travel", 300.0 if dirt else float(rng.choice([120, 150, 160, 170, 180])), imperial=imperial)
    bike, full = [line], stated
    if rng.random() < 0.4:
        full = round(stated * rng.uniform(0.975, 1.0), 1)
        bike.append(f"measured_travel_mm = {full}")
    bumper = None
    if rng.random() < 0.3:
        bumper = round(0.94 * full, 1)
        bike.append(f"bumper_touch_mm = {bumper}")
    into, out, setup = knees(rng)
    points, calibration, decimals, unit = made_points(rng, full)
    end = PlainEnd(
        full_mm=full,
        points=points,
        calibration=calibration,
        bumper_touch_mm=bumper,
        knee_compression_mm_s=into,
        knee_rebound_mm_s=out,
    )
    noise = float(rng.choice([0.02, 0.1, 0.25, 0.9], p=[0.3, 0.3, 0.3, 0.1]))
    return MadeEnd(
        end=end,
        decimals=decimals,
        unit=unit,
        bike_lines=tuple(bike),
        setup_lines=setup,
        sensor_lines=sensor_lines(points, calibration),
        noise_mm=noise,
    )


def knees(rng: np.random.Generator) -> tuple[float | None, float | None, tuple[str, ...]]:
    """Draw a damper's stated knees, or none."""
    if rng.random() < 0.5:
        return None, None, ()
    into, out = float(rng.integers(150, 900)), float(rng.integers(150, 900))
    return into, out, (f"knee_compression_mm_s = {into:g}", f"knee_rebound_mm_s = {out:g}")


def made_rear(rng: np.random.Generator, *, dirt: bool, imperial: bool) -> MadeEnd:
    """Draw a rear end read by the shock's stroke, through a curve or a ratio, or at the axle."""
    kind = str(rng.choice(["curve", "ratio", "travel", "travel_and_ratio"], p=[0.5, 0.25, 0.15, 0.1]))
    line, stroke = length("stroke", 132.0 if dirt else float(rng.choice([50, 55, 62.5, 65])), imperial=imperial)
    bike, files, curve, ratio = [line], {}, (), None
    travel = round(stroke * rng.uniform(2.2, 2.7), 1)
    if kind == "curve":
        table = [(round(s * stroke, 3), round(t * travel, 3)) for s, t in CURVE_SHARES]
        if rng.random() < 0.5:  # a table longer than the stroke in force
            table.append((round(1.1 * stroke, 3), round(1.085 * travel, 3)))
        curve = tuple(table)
        files["leverage.csv"] = "stroke_mm,travel_mm\n" + "".join(f"{s},{t}\n" for s, t in table)
        bike.append('leverage = "leverage.csv"')
        full = float(with_end_slopes(np.array([stroke]), curve)[0])
    elif kind != "travel":
        ratio = round(travel / stroke, 3)
        bike.append(f"ratio = {ratio}")
        full = ratio * stroke
    else:
        line, full = length("travel", travel, imperial=imperial)
        bike = [line]
    into, out, setup = knees(rng)
    stroked = kind in ("curve", "ratio")
    points, calibration, decimals, unit = made_points(rng, round(stroke if stroked else full, 1))
    end = PlainEnd(
        full_mm=full,
        points=points,
        calibration=calibration,
        reads_stroke=stroked,
        curve=curve,
        ratio=ratio,
        knee_compression_mm_s=into,
        knee_rebound_mm_s=out,
    )
    return MadeEnd(
        end=end,
        decimals=decimals,
        unit=unit,
        bike_lines=tuple(bike),
        setup_lines=setup,
        sensor_lines=(*sensor_lines(points, calibration), f'measures = "{"stroke" if stroked else "travel"}"'),
        noise_mm=float(rng.choice([0.02, 0.06, 0.1])),
        files=files,
    )
