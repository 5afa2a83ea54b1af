"""Movement a g: against the closed form of a pitch plane's load transfer, through a damped leg, with trail on top."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import lsim, lti

from telemetry.measures.missing import Missing
from telemetry.measures.phases.along import Along, accelerated, braked
from telemetry.measures.phases.per_g import PerG, Pulled, middle_mean, per_g, pull_of
from telemetry.measures.phases.slow import SlowClock
from tests.measures.phases.made_signals import G_M_S2
from tests.thresholds import threshold

RATE_HZ = 200.0
AT_S = np.arange(round(240 * RATE_HZ)) / RATE_HZ
MASS_KG, HEIGHT_M, WHEELBASE_M, SPRUNG_KG, RATE_N_M, FULL_MM = 90.0, 1.0, 1.22, 45.0, 9000.0, 160.0
TRUE_PCT = 100e3 * MASS_KG * G_M_S2 * HEIGHT_M / WHEELBASE_M / RATE_N_M / FULL_MM
CLOCK = SlowClock(RATE_HZ, ((0, AT_S.shape[0]),))
LEAST_S = threshold("measures.phases.per_g.LEAST_S")
FEWEST = round(threshold("measures.phases.per_g.FEWEST_STRETCHES"))
RANGE_G = threshold("measures.phases.per_g.LEAST_RANGE_G")
TRAIL_SHARE = threshold("measures.phases.per_g.TRAIL_SHARE")


def leg(gain: float) -> lti:
    """Return an end's response: its spring gives way, its damper takes its time."""
    own = np.sqrt(RATE_N_M / SPRUNG_KG)
    return lti([gain * own**2], [1.0, 2 * 0.6 * own, own**2])


def decelerations(rng: np.random.Generator, count: int = 15) -> np.ndarray:
    """Return what the brakes do, m/s2: each ramps up in a quarter of a second and holds."""
    found = np.zeros(AT_S.shape)
    for start in rng.uniform(5, 230, count):
        lasts, most = rng.uniform(0.8, 2.5), rng.uniform(0.15, 0.6) * G_M_S2
        found = np.maximum(found, most * np.clip(np.minimum(AT_S - start, start + lasts - AT_S) / 0.25, 0, 1))
    return found


def ridden(seed: int, trail_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Return forward acceleration and front travel, mm, of four minutes on a trail."""
    rng = np.random.default_rng(seed)
    lost = decelerations(rng)
    transfer_mm = 1e3 * MASS_KG * lost * HEIGHT_M / WHEELBASE_M / RATE_N_M
    trail = lsim(leg(1.0), rng.normal(0.0, 1.0, AT_S.shape), AT_S)[1]
    return -lost, 40.0 + lsim(leg(1.0), transfer_mm, AT_S)[1] + trail_mm * trail / trail.std()


def pulled_by(forward_m_s2: np.ndarray, *, losing: bool = True) -> Pulled:
    slow = CLOCK.lowpassed(CLOCK.means(forward_m_s2), 1.5)
    ground = np.ones(CLOCK.count, dtype=bool)
    along = Along(clock=CLOCK, forward_m_s2=slow, cutoff_hz=1.5, confidence="high", told_by="made")
    found = (braked if losing else accelerated)(along, ground)
    what = "braking" if losing else "accelerating"
    return Pulled(clock=CLOCK, pull_g=pull_of(slow, losing=losing), stretches=found, ground=ground, what=what)


def share(travel_mm: np.ndarray) -> np.ndarray:
    return CLOCK.lowpassed(CLOCK.means(100 * travel_mm / FULL_MM), 1.5)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("trail_mm", "within"), [(0.0, 0.03), (6.0, 0.06), (12.0, 0.10)])
def test_dive_a_g_is_the_load_transfer_over_the_spring_rate(seed: int, trail_mm: float, within: float) -> None:
    """m g h / (L k): within 10 % of the truth under trail of 12 mm; the spring's rate 20 % up is told as 17 % less."""
    forward, travel = ridden(seed, trail_mm)
    speed = 8.0 + np.cumsum(forward) / RATE_HZ + np.random.default_rng(seed).normal(0.0, 0.03, AT_S.shape)
    by_speed = np.asarray(np.gradient(CLOCK.lowpassed(CLOCK.means(speed), 1.5), 1 / CLOCK.rate_hz))
    pulled = pulled_by(forward)
    pulled = replace(pulled, pull_g=pull_of(by_speed, losing=True))
    found = per_g(pulled, share(travel))
    assert isinstance(found, PerG)
    assert found.value == pytest.approx(TRUE_PCT, rel=within)
    assert found.stretches >= 10
    assert 0.04 <= found.settling_s <= 0.16  # 2 x 0.6 / 14.1 rad/s = 0.085 s
    stiffer = per_g(pulled, share(40 + (travel - 40) / 1.2))
    assert isinstance(stiffer, PerG)
    assert stiffer.value == pytest.approx(found.value / 1.2)


def test_squat_a_g_is_of_what_speeds_up() -> None:
    forward, travel = ridden(5, 3.0)
    found = per_g(pulled_by(-forward, losing=False), share(travel))
    assert isinstance(found, PerG)
    assert found.value == pytest.approx(TRUE_PCT, rel=0.08)
    lifted = per_g(pulled_by(-forward, losing=False), share(80 - travel))
    assert isinstance(lifted, PerG)
    assert lifted.value == pytest.approx(-found.value)


def test_one_stretch_gone_wrong_moves_little() -> None:
    forward, travel = ridden(6, 3.0)
    pulled = pulled_by(forward)
    start, stop = pulled.stretches[3]
    moved = share(travel)
    wrong = moved.copy()
    wrong[start - 100 : stop + 100] -= 60 * np.linspace(0, 1, stop - start + 200)
    right, other = per_g(pulled, moved), per_g(pulled, wrong)
    assert isinstance(right, PerG)
    assert isinstance(other, PerG)
    assert other.value == pytest.approx(right.value, rel=0.06)


def brakings(count: int, each_s: float, g: float = 0.4) -> Pulled:
    """Return stretches given one by one, each at one pull, with nothing around it."""
    pull, stretches = np.zeros(CLOCK.count), []
    for number in range(count):
        start = 1000 + 1500 * number
        stop = start + round(each_s * CLOCK.rate_hz)
        pull[start:stop] = g
        stretches.append((start, stop))
    return Pulled(
        clock=CLOCK,
        pull_g=pull,
        stretches=tuple(stretches),
        ground=np.ones(CLOCK.count, dtype=bool),
        what="braking",
    )


@pytest.mark.parametrize(
    ("count", "each_s", "g", "found"),
    [
        (FEWEST, LEAST_S / FEWEST, 0.4, True),
        (FEWEST, LEAST_S / FEWEST - 0.01, 0.4, False),
        (FEWEST - 1, 4.0, 0.4, False),
        (0, 4.0, 0.4, False),
        (FEWEST, 2.0, 1.001 * RANGE_G, True),
        (FEWEST, 2.0, 0.999 * RANGE_G, False),
    ],
)
def test_five_seconds_in_five_stretches_are_needed(count: int, each_s: float, g: float, *, found: bool) -> None:
    pulled = brakings(count, each_s, g)
    outcome = per_g(pulled, 20.0 * pulled.pull_g)
    assert isinstance(outcome, PerG) is found
    if isinstance(outcome, PerG):
        assert outcome.value == pytest.approx(20.0)
        assert outcome.spread == pytest.approx(TRAIL_SHARE * 20.0)
    else:
        assert "s of braking in" in outcome.reason


def test_slopes_that_do_not_agree_give_no_value() -> None:
    """With slopes of 10 (1 + s, 1 - s, ...) the middle half's mean deviation is 10 s, its sd 14.4 s."""
    pulled = brakings(8, 2.0)
    for scatter, told in ((0.95, True), (1.05, False)):
        moved = np.zeros(CLOCK.count)
        for number, (start, stop) in enumerate(pulled.stretches):
            moved[start:stop] = 10 * (1 + scatter * (-1) ** number) * pulled.pull_g[start:stop]
        outcome = per_g(pulled, moved)
        assert isinstance(outcome, PerG if told else Missing)
        if isinstance(outcome, PerG):
            own = 1.443 * 10 * scatter / np.sqrt(8)
            assert outcome.spread == pytest.approx(np.hypot(own, TRAIL_SHARE * outcome.value), rel=1e-6)
        else:
            assert "don't agree" in outcome.reason


def test_what_is_flown_next_to_a_stretch_is_not_looked_at() -> None:
    pulled = brakings(FEWEST, 2.0)
    moved = 20.0 * pulled.pull_g
    ground = pulled.ground.copy()
    for _, stop in pulled.stretches:
        moved[stop + 20 : stop + 90] += 50.0
        ground[stop + 20 : stop + 90] = False
    found = per_g(replace(pulled, ground=ground), moved)
    assert isinstance(found, PerG)
    assert found.value == pytest.approx(20.0)


def test_the_middle_half_is_shared_at_its_bounds() -> None:
    values = np.array([5.0, 1.0, 100.0])
    assert middle_mean(values, np.ones(3)) == pytest.approx((1.0 / 12 + 5.0 / 3 + 100.0 / 12) * 2)
    assert middle_mean(np.array([1.0, 7.0]), np.array([1.0, 9.0])) == pytest.approx(7.0)


def test_brakes_and_drive_have_slopes_of_their_own() -> None:
    """Brakes at the front tyre push the fork together, drive at the rear doesn't: 20 % a g and 8 % a g."""
    pulled = brakings(8, 2.0)
    pull = pulled.pull_g.copy()
    for _, stop in pulled.stretches:
        pull[stop + 50 : stop + 250] = -0.3
    moved = np.where(pull > 0, 20.0, 8.0) * pull
    found = per_g(replace(pulled, pull_g=pull), moved)
    assert isinstance(found, PerG)
    assert found.value == pytest.approx(20.0)


def test_what_turns_press_down_is_left_out() -> None:
    """Each braking ends in a turn that weighs 0.3 more: a dive that isn't the brakes' own."""
    pulled = brakings(8, 2.0)
    heavy = np.zeros(CLOCK.count)
    for start, stop in pulled.stretches:
        heavy[start + 150 : stop + 150] = 0.3
    moved = 20.0 * pulled.pull_g + 40.0 * heavy
    known, unknown = per_g(replace(pulled, heavier=heavy), moved), per_g(pulled, moved)
    assert isinstance(known, PerG)
    assert isinstance(unknown, PerG)
    assert known.value == pytest.approx(20.0)
    assert abs(unknown.value - 20.0) > 2.0


def test_a_stretch_reaches_half_way_to_its_neighbour() -> None:
    """What happens 2 s after each counts, 4 s after not; of two that touch each has its own half."""
    pulled = brakings(8, 2.0)
    moved = 20.0 * pulled.pull_g
    for later_s, same in ((2.0, False), (4.0, True)):
        shifted = moved.copy()
        for _, stop in pulled.stretches:
            at = stop + round(later_s * CLOCK.rate_hz)
            shifted[at : at + 50] += 10.0
        found = per_g(pulled, shifted)
        assert isinstance(found, PerG)
        assert (found.value == pytest.approx(20.0)) is same
    halves = tuple((start + 100 * k, start + 100 + 100 * k) for start, _ in pulled.stretches[:4] for k in (0, 1))
    near = replace(pulled, stretches=halves)
    both = per_g(near, moved)
    assert isinstance(both, PerG)
    assert both.stretches == 8
