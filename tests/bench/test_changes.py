"""Single changes that a setup allows."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.bench.changes import single_changes

DAY = """\
[ride_day]
date = 2026-05-16
[bike.front]
travel_mm = 170
air_pressure_bar = 6.0
[bike.rear]
stroke_mm = 60
ratio = 2.5
spring_rate_n_mm = 80
[setups.a]
[setups.a.front]
rebound = { clicks_from_closed = 1, of = 18 }
lower_leg_oil_each_ml = 3
[setups.b]
[setups.b.rear]
ratio = 2.7
"""


def told(folder: Path, day: str = DAY) -> dict[str, tuple[str, ...]]:
    (folder / "ride_day.toml").write_text(day, encoding="utf-8")
    setups = telemetry.read_ride_day(folder).setups
    return {change.words: change.cautions for change in single_changes(setups["a"], {"b": setups["b"]})}


def test_only_what_is_stated_and_stays_within_its_range_is_changed(tmp_path: Path) -> None:
    found = told(tmp_path)
    assert set(found) == {
        "air pressure, front: 6.0 → 5.7 bar",
        "air pressure, front: 6.0 → 6.3 bar",
        "volume spacers, front: 0 → 1",  # not one fewer than none
        "rebound, front: 2 clicks towards open",  # it stands a click from closed
        "lower-leg oil, front: 3 → 8 ml each",
        "spring rate, rear: 80 → 75 N/mm",
        "spring rate, rear: 80 → 85 N/mm",
        "the leverage of b, rear",
    }


@pytest.mark.parametrize(
    ("was", "stated", "words"),
    [
        ("air_pressure_bar = 6.0", "air_pressure_bar = 5.13", "air pressure, front: 5.1 → 5.4 bar"),
        ("air_pressure_bar = 6.0", "air_pressure_psi = 81", "air pressure, front: 81 → 85 psi"),
        ("oil_each_ml = 3", "oil_each_ml = 22.51", "lower-leg oil, front: 22.5 → 27.5 ml each"),
        ("rate_n_mm = 80", "rate_n_mm = 78.3", "spring rate, rear: 78 → 85 N/mm"),
        ("spring_rate_n_mm = 80", "spring_rate_lb_in = 450", "spring rate, rear: 450 → 475 lb/in"),
        ("stroke_mm = 60", "stroke_mm = 60\ndamper_oil_cst_40c = 16", "damper oil, rear: 16 → 22 cSt at 40 °C"),
        ("clicks_from_closed = 1", "turns_from_closed = 1", "rebound, front: 0.25 turns towards open"),
    ],
)
def test_a_suggestion_is_a_setting_that_can_be_reached(tmp_path: Path, was: str, stated: str, words: str) -> None:
    assert any(words in told for told in told(tmp_path, DAY.replace(was, stated)))


def test_what_is_opened_says_so(tmp_path: Path) -> None:
    found = told(tmp_path)
    assert any("let the air out first" in words for words in found["volume spacers, front: 0 → 1"])
    assert any("can lock the fork" in words for words in found["lower-leg oil, front: 3 → 8 ml each"])
    assert any("maker's least and most" in words for words in found["air pressure, front: 6.0 → 5.7 bar"])
    assert any("the nearest coil" in words for words in found["spring rate, rear: 80 → 85 N/mm"])


def test_legs_of_their_own_oil_turns_and_fast_rebound_are_changed_too(tmp_path: Path) -> None:
    found = told(
        tmp_path,
        DAY.replace("lower_leg_oil_each_ml = 3", "lower_leg_oil_spring_side_ml = 12").replace(
            "rebound = { clicks_from_closed = 1, of = 18 }", "high_speed_rebound = { turns_from_closed = 1, of = 2 }"
        ),
    )
    assert {words for words in found if "high-speed rebound" in words} == {
        "high-speed rebound, front: 0.25 turns towards closed",
        "high-speed rebound, front: 0.25 turns towards open",
    }
    less, more = (found[f"lower-leg oil, spring side, front: 12 → {ml} ml"] for ml in (7, 17))
    assert any("run dry" in words for words in less)
    assert not any("can lock" in words for words in less)
    assert any("can lock" in words for words in more)


def test_a_coil_fork_has_no_air_to_let_out(tmp_path: Path) -> None:
    """Common practice, no source: dirt bikes' coil forks build up air, and their springs stay loaded."""
    found = told(tmp_path, DAY.replace("air_pressure_bar = 6.0", "spring_rate_n_mm = 8"))
    cautions = found["lower-leg oil, front: 3 → 8 ml each"]
    assert any("spring's load" in words for words in cautions)
    assert not any("let the air out" in words for own in found.values() for words in own)
