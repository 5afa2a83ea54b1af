"""How often speeds are passed, and the ends' quantiles, on peaks written down by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from telemetry.measures import often_reached_m_s, speed_pairs, stroke_rates
from telemetry.measures.distributions import DEPTHS_PCT, TRAVEL_EDGES_PCT
from telemetry.measures.peak_speeds import FEWEST_STROKES
from telemetry.model.curves import EndCurves, RunPicture
from telemetry.model.finding import End

NOTHING = np.zeros(0)


def curves(end: End, hits_mm_s: Sequence[float], returns_mm_s: Sequence[float]) -> EndCurves:
    return EndCurves(
        end=end,
        full_travel_mm=150.0,
        depth_pct=DEPTHS_PCT,
        deeper_pct=np.zeros(DEPTHS_PCT.shape),
        travel_edges_pct=TRAVEL_EDGES_PCT,
        travel_share_pct=np.zeros(TRAVEL_EDGES_PCT.size - 1),
        speed_edges_mm_s=NOTHING,
        speed_share_pct=NOTHING,
        hit_peaks_mm_s=np.array(hits_mm_s),
        return_peaks_mm_s=np.array(returns_mm_s),
        bottoming_line_pct=97.0,
    )


def run(minutes: float, **ends: tuple[Sequence[float], Sequence[float]]) -> RunPicture:
    return RunPicture(
        run="run_1",
        setup="a",
        order=1,
        riding_s=60 * minutes,
        ends={end: curves(end, *peaks) for end, peaks in ends.items()},  # type: ignore[arg-type,misc]
        deep_hits=(),
        flights=None,
        worst_bursts={},
        overview_s=NOTHING,
        overview_pct={},
    )


def test_rates_count_what_is_faster_not_what_is_as_fast() -> None:
    runs = [run(2.0, front=([500, 1000, 1500, 3000], [400, 800])), run(4.0, front=([1000], []))]
    found = stroke_rates(runs, "front", np.array([0.0, 1.0, 1.5, 4.0]))
    assert found is not None
    assert found.hits_per_min.tolist() == [[2.0, 1.0, 0.5, 0.0], [0.25, 0.0, 0.0, 0.0]]
    assert found.returns_per_min.tolist() == [[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 0.0]]


def test_an_end_that_no_run_measured_has_no_rates() -> None:
    assert stroke_rates([run(2.0, front=([500], [400]))], "rear", np.array([0.0, 1.0])) is None


def test_one_odd_stroke_is_not_often_reached() -> None:
    peaks = [900.0, 2000.0, 9000.0, 1500.0]
    assert often_reached_m_s([run(4.0, front=(peaks, [700.0]))], "front") == 2.0  # the second of 4 min
    assert often_reached_m_s([run(2.0, front=(peaks, []))], "front") == 9.0  # two minutes have one
    assert often_reached_m_s([run(3.0, front=(peaks[:2], [])), run(3.0, front=([2500.0], []))], "front") == 0.9
    assert often_reached_m_s([run(4.0, front=([], []))], "front") == 0.0


def test_the_front_counts_vertical_and_runs_are_pooled() -> None:
    front, rear = np.arange(100.0, 2100.0, 100.0), np.arange(200.0, 4200.0, 200.0)  # 20 each
    halves = [
        run(1.0, front=(front[:9], []), rear=(rear[:12], [])),
        run(1.0, front=(front[9:], []), rear=(rear[12:], [])),
    ]
    (pair,) = speed_pairs(halves, 30.0)  # sin 30 deg is a half; too few returns
    assert pair.kind == "hits"
    assert float(np.interp(0.5, pair.share, pair.front_m_s)) == pytest.approx(0.5 * 1.05)
    assert float(np.interp(0.5, pair.share, pair.rear_m_s)) == pytest.approx(2.1)
    (other,) = speed_pairs(halves, 64.0)
    assert other.front_m_s / pair.front_m_s == pytest.approx(2 * math.sin(math.radians(64.0)))


@pytest.mark.parametrize(("strokes", "told"), [(FEWEST_STROKES - 1, 0), (FEWEST_STROKES, 1)])
def test_quantiles_take_twenty_strokes_at_both_ends(strokes: int, told: int) -> None:
    many, few = np.full(50, 900.0), np.full(strokes, 900.0)
    assert len(speed_pairs([run(1.0, front=(many, []), rear=(few, []))], 64.0)) == told
    assert len(speed_pairs([run(1.0, front=(few, []), rear=(many, []))], 64.0)) == told


def test_a_run_with_one_end_takes_no_part() -> None:
    many = np.full(50, 900.0)
    assert speed_pairs([run(1.0, front=(many, many))], 64.0) == ()
