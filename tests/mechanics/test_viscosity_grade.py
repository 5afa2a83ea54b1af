"""Viscosity index and grade against the standards' own examples."""

from __future__ import annotations

import pytest

from telemetry.mechanics.viscosity_grade import GRADES_CST, cst_at_100c, grade_of, viscosity_index
from tests.published import iso_3448

D2270 = ((73.30, 8.86, 92), (22.83, 5.05, 156))
"""mm2/s at 40 and 100 degrees C and index: ASTM D2270, worked examples of procedures A and B (from memory)."""


@pytest.mark.parametrize(("cst_40c", "cst_100c", "index"), D2270)
def test_the_index_is_that_of_the_standards_examples(cst_40c: float, cst_100c: float, index: int) -> None:
    assert round(viscosity_index(cst_40c, cst_100c)) == index
    back = cst_at_100c(cst_40c, viscosity_index(cst_40c, cst_100c))
    assert back == pytest.approx(cst_100c, rel=1e-6)


def test_an_oil_too_thin_for_the_index_gives_none() -> None:
    assert cst_at_100c(5.0, 50) is None
    assert cst_at_100c(1.5, 100) is None


@pytest.mark.parametrize(("grade", "limits"), iso_3448.GRADES.items())
def test_grades_are_those_of_the_standard(grade: int, limits: tuple[float, float, float]) -> None:
    middle, least, most = limits
    assert [grade_of(cst) for cst in (1.001 * least, middle, 0.999 * most)] == [grade] * 3
    assert grade_of(0.99 * least) != grade != grade_of(1.01 * most)


def test_grades_reach_ten_percent_either_way() -> None:
    assert all(grade_of(0.91 * middle) == grade == grade_of(1.09 * middle) for grade, middle in GRADES_CST.items())
    assert grade_of(12.5) is None
