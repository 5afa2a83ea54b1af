"""Layouts of the table: what the ends' readings are, and what stands beside them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from tests.layouts.layout import Columns, Layout
from tests.layouts.ride import ROWS, Cells, axes, clock, drifting, fork, fork_mm, numbers, shock, shock_mm
from tests.logs.written import Manner


def ends(front: tuple[str, Cells], rear: tuple[str, Cells], **others: Cells) -> Columns:
    """Return a log's columns: clock, ends, and what stands beside them."""
    return (("t_ms", clock()), front, rear, *others.items())


def a_row_each(lines: list[str]) -> list[str]:
    """Return lines with a row for each end in place of one for both, the other's cell blank."""
    rows = (line.split(",") for line in lines[1:])
    return [lines[0], *(row for at, front, rear in rows for row in (f"{at},{front},", f"{at},,{rear}"))]


def now_and_then(cells: Cells) -> Cells:
    """Return cells of which one in ten is filled."""
    return lambda: [cell if place % 10 == 0 else "" for place, cell in enumerate(cells())]


def points(fork_points: str, shock_points: str) -> Mapping[str, tuple[str, ...]]:
    return {"fork": (f"points = {fork_points}",), "shock": (f"points = {shock_points}",)}


READINGS = (
    Layout(name="counts of a converter", columns=ends(("A0", fork()), ("A1", shock()))),
    Layout(
        name="volts",
        columns=ends(("fork_V", fork(0.001, 0, 3)), ("shock_V", shock(0.001, 0, 3))),
        sensors=points("[[0.200, 0.0], [2.325, 170.0]]", "[[0.230, 0.0], [3.355, 62.5]]"),
    ),
    Layout(
        name="millivolts with the unit in brackets",
        columns=ends(("Fork [mV]", fork(2)), ("Shock [mV]", shock(2))),
        sensors=points("[[400, 0.0], [4650, 170.0]]", "[[460, 0.0], [6710, 62.5]]"),
    ),
    Layout(
        name="percent of travel",
        columns=ends(("front_%", fork_mm(1 / 1.7, 4)), ("rear_%", shock_mm(1.6, 3))),
        sensors=points("[[0, 0.0], [100, 170.0]]", "[[0, 0.0], [100, 62.5]]"),
    ),
    Layout(
        name="millimetres",
        columns=ends(("fork_mm", fork_mm()), ("shock_mm", shock_mm())),
        said="A column in a length is its own calibration: check it with a ruler.",
    ),
    Layout(
        name="millimetres, the unit in a row beneath the header",
        columns=ends(("fork", fork_mm()), ("shock", shock_mm())),
        manner=Manner(units=("ms", "mm", "mm")),
    ),
    Layout(
        name="centimetres",
        columns=ends(("fork (cm)", fork_mm(0.1, 3)), ("shock (cm)", shock_mm(0.1, 3))),
    ),
    Layout(
        name="inches",
        columns=ends(("Fork (in)", fork_mm(1 / 25.4, 5)), ("Shock (in)", shock_mm(1 / 25.4, 5))),
    ),
    Layout(
        name="a sensor that reads the other way round",
        columns=ends(("fork", fork(-1, 4095)), ("shock", shock(-1, 4095))),
        sensors=points("[[3895, 0.0], [1770, 170.0]]", "[[3865, 0.0], [740, 62.5]]"),
    ),
    Layout(
        name="the rear before the front",
        columns=(("t_ms", clock()), ("rear_pot", shock()), ("front_pot", fork())),
    ),
    Layout(
        name="letters for the ends, the rear first",
        columns=(("t_ms", clock()), ("susp_R", shock()), ("susp_F", fork())),
    ),
    Layout(
        name="temperature and battery before the ends",
        columns=(
            ("t_ms", clock()),
            ("Temp_C", drifting(21, 4, 9)),
            ("Vbat", drifting(3.7, 0.2, 5)),
            ("fork", fork()),
            ("shock", shock()),
        ),
    ),
    Layout(
        name="a receiver's places and speed beside the ends",
        columns=(
            ("t_ms", clock()),
            ("lat", drifting(47.5, 0.001, 60, 7)),
            ("lon", drifting(9.2, 0.001, 70, 7)),
            ("alt_m", drifting(900, 40, 50, 1)),
            ("gps_speed_kmh", drifting(24, 6, 8)),
            ("sats", numbers(lambda: 9.0 + np.arange(ROWS) // 700 % 3)),
            ("fork", fork()),
            ("shock", shock()),
        ),
        said="Ground speed is drafted as comments: take the marks off to use it.",
    ),
    Layout(
        name="an inertial sensor beside the ends",
        columns=(*ends(("fork", fork()), ("shock", shock())), *axes("imu_{}", 1 / 1024, 1 / 16.384, 4).items()),
        said="Its table is drafted as comments: take the marks off to use it.",
    ),
    Layout(
        name="a row for each sensor, the other's cell blank",
        altered=a_row_each,
        said="Each is read at its own clock: the stamps of its rows.",
    ),
    Layout(
        name="a slow sensor beside, blank in most rows",
        columns=(
            ("t_ms", clock()),
            ("fork", fork()),
            ("shock", shock()),
            ("Temp", now_and_then(drifting(21, 4, 9))),
        ),
    ),
)
