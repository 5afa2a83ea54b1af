"""Strokes against rainflow counting, which finds the same reversals by another road."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import rainflow
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.measures.turning_points import turning_points
from tests.measures.made_rides import made_motion, path

# ASTM E1049-85 (2011), 5.4.4, Fig. 6: series and half and full cycles as printed in several public sources.
E1049_SERIES = (-2, 1, -3, 5, -1, 3, -4, 4, -2)
E1049_COUNTS = {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}
MM_A_UNIT, MIDDLE_MM = 12.0, 70.0


def level_mm(value: float) -> float:
    return MIDDLE_MM + MM_A_UNIT * value


def test_strokes_of_the_standards_series_are_its_ranges_between_reversals() -> None:
    """Ridden in half-cosines of 0.4 s; the first range starts at the log's start and the last is unfinished."""
    corners = [(level_mm(value), 0.4) for value in E1049_SERIES[1:]]
    end = made_motion({"front": path(*corners, start=level_mm(E1049_SERIES[0]))}).ends["front"]
    inner = list(pairwise(E1049_SERIES[1:-1]))
    for strokes, ranges in (
        (end.compressions, [(a, b) for a, b in inner if b > a]),
        (end.rebounds, [(a, b) for a, b in inner if b < a]),
    ):
        assert strokes.start_mm == pytest.approx([level_mm(a) for a, _ in ranges], abs=0.2)
        assert strokes.stop_mm == pytest.approx([level_mm(b) for _, b in ranges], abs=0.2)


def test_the_reversals_of_strokes_give_the_standards_counts() -> None:
    corners = [(level_mm(value), 0.4) for value in E1049_SERIES[1:]]
    end = made_motion({"front": path(*corners, start=level_mm(E1049_SERIES[0]))}).ends["front"]
    by_start = sorted(
        [
            (start, place, stop)
            for strokes in (end.compressions, end.rebounds)
            for start, place, stop in zip(strokes.start, strokes.start_mm, strokes.stop_mm, strict=True)
        ]
    )
    reversals = [place for _, place, _ in by_start] + [by_start[-1][2]]
    series = [level_mm(E1049_SERIES[0]), *reversals, level_mm(E1049_SERIES[-1])]
    counted: dict[int, float] = {}
    for size, _, count, _, _ in rainflow.extract_cycles(series):
        units = round(size / MM_A_UNIT)
        assert size == pytest.approx(MM_A_UNIT * units, abs=0.4)
        counted[units] = counted.get(units, 0.0) + count
    assert counted == E1049_COUNTS


def counts(series: list[float], gate: float) -> dict[float, float]:
    """Return rainflow counts of ranges no smaller than the gate."""
    return {size: count for size, count in rainflow.count_cycles(series) if size >= gate}


@given(st.lists(st.integers(-30, 30).map(float), min_size=3, max_size=60), st.sampled_from([2.0, 5.0, 11.0]))
@settings(max_examples=300)
def test_the_gate_loses_no_cycle_as_large_as_itself(values: list[float], gate: float) -> None:
    """What the gate calls chatter is what rainflow counts as cycles smaller than the gate, and nothing else."""
    signal = np.array(values)
    found = turning_points(signal, gate)
    if found.samples.size == 0:
        assert np.ptp(signal) < gate
        assert counts(values, gate) == {}
        return
    last = int(found.samples[-1])
    last_is_high = found.starts_high == (found.samples.size % 2 == 1)
    tail = signal[last:]
    unfinished = float(tail.min() if last_is_high else tail.max())
    kept = [values[0], *signal[found.samples].tolist(), unfinished, values[-1]]
    assert counts(kept, gate) == counts(values, gate)
