"""Draws are fixed in the suite, whatever a test asks for besides."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

TESTS = Path(__file__).parents[1]
USERS = sorted(path for path in TESTS.rglob("test_*.py") if "@settings(" in path.read_text(encoding="utf-8"))


def drawn() -> list[int]:
    found: list[int] = []

    @given(number=st.integers())
    def draw(number: int) -> None:
        found.append(number)

    draw()
    return found


@pytest.mark.skipif(settings.get_current_profile_name() != "fixed", reason="draws by chance were asked for")
def test_draws_are_the_same_each_time_and_not_timed() -> None:
    assert drawn() == drawn()
    assert settings.default is not None
    assert settings.default.deadline is None
    assert HealthCheck.too_slow in settings.default.suppress_health_check


@pytest.mark.parametrize("path", USERS, ids=lambda path: str(path.relative_to(TESTS)))
def test_settings_of_a_test_leave_draws_and_time_alone(path: Path) -> None:
    asked = re.findall(r"@settings\(([^)]*)\)", path.read_text(encoding="utf-8"))
    assert [words for words in asked if "deadline" in words or "derandomize" in words] == []
    assert [words for words in asked if "suppress_health_check" in words and "too_slow" not in words] == []
