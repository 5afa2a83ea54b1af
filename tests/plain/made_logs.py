"""Logs in many layouts: delimiters, decimal marks, headers, clocks, encodings, drawn from a seed."""

from __future__ import annotations

import gzip
import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from tests.plain.plain_signal import Array

TIME_NAMES = {
    "s": ("time_s", "Time (s)", "t [s]"),
    "ms": ("t_ms", "time [ms]", "ms"),
    "us": ("t_us", "time (us)", "micros"),
    "date_time": ("stamp", "time", "Date/Time"),
}
TO_SECONDS = {"s": 1.0, "ms": 1e-3, "us": 1e-6}
JUNK = ("Logger export", "device;7", "Rate 500 Hz", "", "rider R1", "firmware 2.4, channel set B")
SENSOR_NAMES = (
    "A0",
    "fork pot",
    "ch 1",
    "Gabel (mm)",
    "D\u00e4mpfer",
    "pos_raw",
    "A1",
    "link angle",
    "in-2",
    "Federweg \u00d8",
)
EXTRA_NAMES = ("temp", "battery V", "AUX", "status")


@dataclass(frozen=True, kw_only=True)
class Layout:
    """How a day's logger writes its files."""

    delimiter: str
    decimal: str
    junk: tuple[str, ...]
    header: bool
    unit_row: bool
    encoding: str
    gz: bool
    time_unit: str | None  # none: no clock
    time_name: str
    decimals: int
    first_s: float
    names: tuple[str, ...]  # of all columns but the clock's, as written
    keys: tuple[str, ...]  # whose column each is: "front", "rear", "ground", or "" for one nobody needs

    @property
    def resolution_s(self) -> float:
        """The clock's stamp resolution, s."""
        if self.time_unit is None:
            return 1e-9
        return TO_SECONDS.get(self.time_unit, 1.0) * 10.0**-self.decimals

    @property
    def suffix(self) -> str:
        return ".txt.gz" if self.gz and self.delimiter == "\t" else ".csv.gz" if self.gz else ".csv"

    def column(self, key: str) -> str:
        """Return the TOML value that names a column: its name, or its number from 1."""
        number = self.keys.index(key)
        if self.header:
            return json.dumps(self.names[number])
        return str(number + 1 + (self.time_unit is not None))

    def time_column(self) -> str:
        return json.dumps(self.time_name) if self.header else "1"


def made_layout(rng: np.random.Generator, keys: tuple[str, ...], rate_hz: float) -> Layout:
    """Draw a layout for a log that needs these columns."""
    delimiter = str(rng.choice([";", ",", "\t", " ", "|"]))
    decimal = "," if delimiter != "," and rng.random() < 0.4 else "."
    header = bool(rng.random() < 0.85)
    unit = [None, "s", "ms", "us", "date_time"][rng.choice(5, p=[0.12, 0.28, 0.28, 0.18, 0.14])]
    decimals = {
        "s": int(rng.integers(3, 7)),
        "ms": int(rng.integers(0, 3)),
        "us": 0,
        "date_time": int(rng.choice([3, 6])),
    }
    all_keys = [*keys, *[""] * int(rng.integers(0, 3))]
    names = [str(name) for name in rng.choice(SENSOR_NAMES, size=len(all_keys), replace=False)]
    extras = iter(rng.permutation(EXTRA_NAMES))
    names = [name if key else str(next(extras)) for name, key in zip(names, all_keys, strict=True)]
    if delimiter == " ":
        names = [name.replace(" ", "_") for name in names]
    order = rng.permutation(len(names))
    time_name = "" if unit is None else str(rng.choice(TIME_NAMES[unit]))
    junk = [str(line) for line in rng.choice(JUNK, size=int(rng.integers(0, 5)), replace=False)] if header else []
    return Layout(
        delimiter=delimiter,
        decimal=decimal,
        junk=tuple(junk),
        header=header,
        unit_row=bool(header and rng.random() < 0.25),
        encoding=str(rng.choice(["utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252"])),
        gz=bool(rng.random() < 0.25),
        time_unit=unit,
        time_name=time_name.replace(" ", "_") if delimiter == " " else time_name,
        decimals=decimals.get(unit or "", 0)
        if rate_hz <= 1000
        else max(decimals.get(unit or "", 0), 4 * (unit == "s")),
        first_s=float(rng.choice([0.0, 0.0, 3.25, 1712.5])),
        names=tuple(names[i] for i in order),
        keys=tuple(all_keys[i] for i in order),
    )


def stamps(time_s: Array, layout: Layout) -> tuple[Array, list[str]]:
    """Return the clock as written: in seconds as a reader gets it, and its cells."""
    if layout.time_unit == "date_time":
        start = datetime(2026, 5, 16, 9, 12, 0)
        ticks = np.round((time_s + layout.first_s) / layout.resolution_s).astype(int)
        whole = [
            start + timedelta(seconds=0) + timedelta(microseconds=int(k * layout.resolution_s * 1e6 + 0.5))
            for k in ticks
        ]
        spec = "milliseconds" if layout.decimals == 3 else "microseconds"
        return ticks * layout.resolution_s, [value.isoformat(timespec=spec) for value in whole]
    unit_s = TO_SECONDS[layout.time_unit or "s"]
    cells = [f"{value:.{layout.decimals}f}" for value in (time_s + layout.first_s) / unit_s]
    return np.array([float(cell) for cell in cells]) * unit_s, [cell.replace(".", layout.decimal) for cell in cells]


def cells_of(values: Array, decimals: int, layout: Layout) -> list[str]:
    """Return a column as written; a missing reading is an empty cell."""
    return ["" if np.isnan(v) else f"{v:.{decimals}f}".replace(".", layout.decimal) for v in values]


def lines_of(columns: list[list[str]], layout: Layout) -> list[str]:
    """Return the table's lines; blanks pad each column to one width."""
    if layout.delimiter != " ":
        return [layout.delimiter.join(row) for row in zip(*columns, strict=True)]
    widths = [max(len(cell) for cell in column) for column in columns]
    return [
        "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True))
        for row in zip(*columns, strict=True)
    ]


def write_log(path: Path, time_s: Array, columns: dict[str, tuple[Array, int, str]], layout: Layout) -> Array:
    """Write a log and return its clock as a reader gets it.

    `columns` holds, by key, readings, their decimals and their unit; columns nobody needs are filled in.
    """
    time_read_s, table = time_s, []
    if layout.time_unit is not None:
        time_read_s, cells = stamps(time_s, layout)
        table.append([layout.time_name, f"[{layout.time_unit}]", *cells])
    for number, (name, key) in enumerate(zip(layout.names, layout.keys, strict=True)):
        idle = 20 + number + np.round(np.sin(time_s / 7), 1)
        values, decimals, unit = columns.get(key, (idle, 1, "C"))
        table.append([name, f"[{unit}]", *cells_of(values, decimals, layout)])
    head = [*([0] if layout.header else []), *([1] if layout.unit_row else [])]
    wanted = [[*(column[i] for i in head), *column[2:]] for column in table]
    text = "\n".join([*layout.junk, *lines_of(wanted, layout), ""])
    data = text.encode(layout.encoding)
    path.write_bytes(gzip.compress(data, mtime=0) if layout.gz else data)
    return time_read_s
