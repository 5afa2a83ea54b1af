"""One push and what follows: the decay of an oscillator whose equation of motion is integrated here, and the limits."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from telemetry.measures.bounce import Decay, bounce_decay, decay
from telemetry.measures.missing import Missing
from tests.measures.bare_rides import bare_end, bare_ride
from tests.thresholds import threshold

FEWEST = int(threshold("measures.bounce.FEWEST_SWINGS"))


def let_go(hertz: float, damping: float, seconds: float, rate_hz: float = 2000.0) -> np.ndarray:
    """Integrate x'' + 2 d w x' + w^2 x = 0 from x = 1 at rest, w = 2 pi f: no closed form is used."""
    w = 2 * math.pi * hertz
    at_s = np.arange(round(seconds * rate_hz)) / rate_hz
    solved = solve_ivp(
        lambda _, state: (state[1], -2 * damping * w * state[1] - w**2 * state[0]),
        (0, seconds),
        (1.0, 0.0),
        t_eval=at_s,
        rtol=1e-10,
        atol=1e-12,
    )
    return solved.y[0]


def pushed(hertz: float, damping: float, seconds: float = 4.0) -> np.ndarray:
    """Return an end that stands at 60 mm, is pressed 80 mm deeper, and let go."""
    press = 60 + 80 * (1 - np.cos(np.pi * np.arange(2000) / 2000)) / 2
    return np.concatenate([np.full(500, 60.0), press, 60 + 80 * let_go(hertz, damping, seconds)])


@pytest.mark.parametrize(("hertz", "damping"), [(1.5, 0.05), (2.0, 0.15), (3.0, 0.22)])
def test_frequency_and_damping_are_those_of_the_equation_of_motion(hertz: float, damping: float) -> None:
    travel = pushed(hertz, damping)
    found = bounce_decay(bare_ride(end := bare_end("front", travel), rate_hz=2000.0), end)
    assert isinstance(found, Decay)
    assert found.damping == pytest.approx(damping, rel=1e-3)
    assert found.frequency_hz == pytest.approx(hertz, rel=1e-3)


@pytest.mark.parametrize("size", [0.01, 80.0])
def test_friction_takes_the_same_off_every_swing_and_counts_for_no_damping(size: float) -> None:
    """Worked by hand: each swing 0.6 of the one before, less a hundredth of the first; half periods of 0.2 s."""
    swings = [size]
    for _ in range(5):
        swings.append(0.6 * swings[-1] - size / 100)
    found = decay(np.array(swings), np.array([0.1, 0.1, 0.1, 0.1, 0.3, 0.5]))
    assert isinstance(found, Decay)
    assert found.damping == pytest.approx(0.5108256 / math.sqrt(math.pi**2 + 0.5108256**2), rel=1e-6)
    assert found.frequency_hz == pytest.approx(2.5 / math.sqrt(1 - found.damping**2))


def test_four_swings_show_a_decay_and_three_none() -> None:
    swings = 50 * 0.5 ** np.arange(float(FEWEST))
    assert isinstance(decay(swings, np.full(FEWEST, 0.2)), Decay)
    fewer = decay(swings[1:], np.full(FEWEST - 1, 0.2))
    assert isinstance(fewer, Missing)
    assert fewer.reason == f"{FEWEST - 1} swings after the push, at least {FEWEST} needed"
    for count, told in ((1, "1 swing after"), (0, "no swings after")):
        few = decay(swings[:count], np.full(count, 0.2))
        assert isinstance(few, Missing)
        assert few.reason.startswith(told)


@pytest.mark.parametrize(
    "swings",
    [
        pytest.param([5.0, 4.0, 3.0, 2.0], id="each as much less: a ratio of 1"),
        pytest.param([3.0, 2.0, 4.0, 4.0], id="a ratio of 0"),
        pytest.param([4.0, 3.0, 3.0, 4.0], id="below 0"),
        pytest.param([1.0, 2.0, 4.0, 8.0], id="growing"),
        pytest.param([5.0, 5.0, 5.0, 5.0], id="all alike: none to tell"),
    ],
)
def test_swings_that_do_not_die_away_evenly_give_none(swings: list[float]) -> None:
    found = decay(np.array(swings), np.full(4, 0.2))
    assert isinstance(found, Missing)
    assert "don't die away evenly" in found.reason


def test_the_longest_stretch_counts() -> None:
    long, short = pushed(2.0, 0.1, 4.0), pushed(3.5, 0.1, 2.0)
    for first, second in ((long, short), (short, long)):
        end = bare_end("rear", np.concatenate([first, second]))
        segments = ((0, first.shape[0]), (first.shape[0], first.shape[0] + second.shape[0]))
        found = bounce_decay(bare_ride(end, rate_hz=2000.0, segments=segments), end)
        assert isinstance(found, Decay)
        assert found.frequency_hz == pytest.approx(2.0, rel=2e-3)


def test_a_stretch_that_begins_deeper_than_the_push_begins_with_no_turning_point() -> None:
    lowered = 160 - 100 * (1 - np.cos(np.pi * np.arange(1000) / 1000)) / 2
    end = bare_end("front", np.concatenate([lowered, pushed(2.0, 0.1)]))
    found = bounce_decay(bare_ride(end, rate_hz=2000.0), end)
    assert isinstance(found, Decay)
    assert found.damping == pytest.approx(0.1, rel=2e-3)


@pytest.mark.parametrize("before", [[60.0] * 50, [139.0]], ids=["pressed", "begun a sample before"])
def test_swings_are_counted_from_the_push_on(before: list[float]) -> None:
    """Down to 140 mm, then 20, 100, 50 and 70: four swings, the least there may be."""
    corners = [140.0, 20.0, 100.0, 50.0, 70.0, 65.0]
    pieces = [np.linspace(a, b, 40) for a, b in pairwise(corners)]
    end = bare_end("rear", np.concatenate([np.linspace(before[0], 140, len(before) + 1)[:-1], *pieces]))
    assert isinstance(bounce_decay(bare_ride(end), end), Decay)


def test_without_a_push_there_is_none() -> None:
    end = bare_end("front", np.full(4000, 60.0))
    found = bounce_decay(bare_ride(end), end)
    assert found == Missing("no push in the recording")


def test_noise_widens_the_gate_that_tells_swings() -> None:
    """Six times its standard deviation: the last swings drown, and too few are left."""
    end = bare_end("front", pushed(2.0, 0.22), noise_mm=10.0)
    assert isinstance(bounce_decay(bare_ride(end, rate_hz=2000.0), end), Missing)
