"""Polytropic gas and one chamber of it against published figures and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from telemetry.mechanics.gas import ATMOSPHERE_PA, Chamber, polytropic_pressure, polytropic_work
from tests.published.polytropic_gas import EXPANSION, MORAN_SHAPIRO, SINGLE_CHAMBER

exponents = st.floats(1.0, 1.4)
travels = st.floats(0.001, 0.15)


def chamber(**changes: float) -> Chamber:
    figures = {key: SINGLE_CHAMBER[key] for key in ("volume_m3", "area_m2", "pressure_pa")}
    return Chamber(**{**figures, **changes})


@pytest.mark.parametrize("exponent", MORAN_SHAPIRO["exponents"])
def test_the_textbooks_expansion(exponent: float) -> None:
    after, after_to, work, work_to = MORAN_SHAPIRO["exponents"][exponent]
    state = [MORAN_SHAPIRO[key] for key in ("pressure_pa", "volume_m3", "new_volume_m3")]
    assert polytropic_pressure(*state, exponent) == pytest.approx(after, abs=after_to)
    assert polytropic_work(*state, exponent) == pytest.approx(work, abs=work_to)


def test_the_expansion_at_an_exponent_of_1_2() -> None:
    state = [EXPANSION[key] for key in ("pressure_pa", "volume_m3", "new_volume_m3", "exponent")]
    assert polytropic_pressure(*state) == pytest.approx(EXPANSION["after_pa"][0], abs=EXPANSION["after_pa"][1])
    assert polytropic_work(*state) == pytest.approx(EXPANSION["work_j"][0], abs=EXPANSION["work_j"][1])


@pytest.mark.parametrize("exponent", [1.1, 1.2, 1.4, 0.5, 0.0])
def test_work_is_the_textbooks_difference_of_p_v(exponent: float) -> None:
    after = polytropic_pressure(4e5, 0.03, 0.011, exponent)
    by_hand = (after * 0.011 - 4e5 * 0.03) / (1 - exponent)
    assert polytropic_work(4e5, 0.03, 0.011, exponent) == pytest.approx(by_hand, rel=1e-12)


def test_work_passes_smoothly_through_the_isothermal_case() -> None:
    at_one = 4e5 * 0.03 * np.log(0.011 / 0.03)
    assert polytropic_work(4e5, 0.03, 0.011, 1.0) == pytest.approx(at_one, rel=1e-14)
    for near in (1 - 1e-9, 1 + 1e-9, 1 + 1e-13):
        assert polytropic_work(4e5, 0.03, 0.011, near) == pytest.approx(at_one, rel=2e-9)


@pytest.mark.parametrize("exponent", SINGLE_CHAMBER["exponents"])
def test_pressure_force_rate_and_energy_of_the_table(exponent: float) -> None:
    travel, pressure, force, rate, energy = np.array(SINGLE_CHAMBER["exponents"][exponent]).T
    assert chamber().pressure_at_pa(travel, exponent) == pytest.approx(pressure, rel=1e-8)
    assert chamber().force_n(travel, exponent) == pytest.approx(force, rel=2e-7)
    assert chamber().rate_n_m(travel, exponent) == pytest.approx(rate, rel=5e-7)
    assert chamber().energy_j(travel, exponent) == pytest.approx(energy, abs=1e-5)


@given(travels, exponents, st.one_of(st.none(), travels), st.sampled_from([5e-4, -4e-4]))
def test_energy_is_the_integral_of_force(x: float, n: float, settled: float | None, area: float) -> None:
    part = chamber(area_m2=area)
    numeric, _ = quad(lambda at: float(part.force_n(np.array(at), n, settled)), 0.0, x, epsabs=1e-9)
    assert float(part.energy_j(np.array(x), n, settled)) == pytest.approx(numeric, abs=1e-6)


@given(travels, exponents, st.one_of(st.none(), travels), st.sampled_from([5e-4, -4e-4]))
def test_rate_is_the_slope_of_force_and_never_negative(x: float, n: float, settled: float | None, area: float) -> None:
    part, step = chamber(area_m2=area), 1e-6
    below, above = part.force_n(np.array([x - step, x + step]), n, settled)
    rate = float(part.rate_n_m(np.array(x), n, settled))
    assert rate == pytest.approx((above - below) / (2 * step), rel=1e-5)
    assert rate > 0


@given(exponents, travels)
def test_where_it_has_settled_the_exponent_makes_no_difference(n: float, settled: float) -> None:
    at = np.array([settled])
    assert chamber().force_n(at, n, settled) == pytest.approx(chamber().force_n(at, 1.0), rel=1e-12)


@given(travels, st.floats(0.01, 0.14))
def test_isothermal_gas_does_not_care_where_it_rested(x: float, settled: float) -> None:
    at = np.array([x])
    assert chamber().force_n(at, 1.0, settled) == pytest.approx(chamber().force_n(at, 1.0), rel=1e-12)


def test_settled_gas_is_harder_below_where_it_rests_and_softer_above() -> None:
    settled, above, below = 0.05, np.array([0.0, 0.03]), np.array([0.07, 0.12, 0.15])
    assert np.all(chamber().force_n(below, 1.3, settled) > chamber().force_n(below, 1.0))
    assert np.all(chamber().force_n(above, 1.3, settled) < chamber().force_n(above, 1.0))
    assert np.all(chamber().force_n(below, 1.3, settled) < chamber().force_n(below, 1.3))


@given(st.floats(0.1, 10.0), travels, exponents)
def test_force_goes_with_size(scale: float, x: float, n: float) -> None:
    wide = chamber(area_m2=scale * 5e-4, volume_m3=scale * 1e-4)
    at = np.array([x])
    assert wide.force_n(at, n) == pytest.approx(scale * chamber().force_n(at, n), rel=1e-9)


def test_gas_at_the_atmospheres_pressure_does_nothing_where_it_was_filled_and_draws_before() -> None:
    part = chamber(pressure_pa=ATMOSPHERE_PA, filled_at_m=0.04)
    before, there, after = part.force_n(np.array([0.0, 0.04, 0.08]), 1.2)
    assert there == pytest.approx(0.0, abs=1e-9)
    assert before < 0 < after


def test_shapes_are_kept_and_what_is_given_left_alone() -> None:
    at = np.linspace(0.0, 0.15, 6).reshape(2, 3)
    before = at.copy()
    for found in (chamber().force_n(at, 1.3), chamber().rate_n_m(at, 1.3), chamber().energy_j(at, 1.3)):
        assert found.shape == (2, 3)
    assert np.array_equal(at, before)


def test_a_chamber_without_gas_left_says_where() -> None:
    with pytest.raises(ValueError, match=r"no gas left at 200\.0 mm of travel: 100\.0 ml topped out, 100\.0 ml taken"):
        chamber().force_n(np.array([0.1, 0.2, 0.3]), 1.3)
    with pytest.raises(ValueError, match="no gas left at 210"):
        chamber().force_n(np.array([0.1]), 1.3, 0.21)
    with pytest.raises(ValueError, match="no gas left at 250"):
        chamber(filled_at_m=0.25)


@pytest.mark.parametrize("key", ["volume_m3", "pressure_pa"])
@pytest.mark.parametrize("figure", [0.0, -1.0, float("nan"), float("inf")])
def test_impossible_figures_are_named(key: str, figure: float) -> None:
    with pytest.raises(ValueError, match=f"{key} is .* above 0"):
        chamber(**{key: figure})
