"""Single changes that a setup allows."""

from __future__ import annotations

from pathlib import Path

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


def told(folder: Path) -> dict[str, tuple[str, ...]]:
    (folder / "ride_day.toml").write_text(DAY, encoding="utf-8")
    day = telemetry.read_ride_day(folder)
    return {change.words: change.cautions for change in single_changes(day.setups["a"], {"b": day.setups["b"]})}


def test_only_what_is_stated_and_stays_within_its_range_is_changed(tmp_path: Path) -> None:
    found = told(tmp_path)
    assert set(found) == {
        "air pressure, front: 6 → 5.7 bar",
        "air pressure, front: 6 → 6.3 bar",
        "volume spacers, front: 0 → 1",  # not one fewer than none
        "rebound, front: 2 clicks towards open",  # it stands a click from closed
        "lower-leg oil, front: 3 → 8 ml",
        "spring rate, rear: 80 → 75.2 N/mm",
        "spring rate, rear: 80 → 84.8 N/mm",
        "the leverage of b, rear",
    }


def test_what_is_opened_says_so(tmp_path: Path) -> None:
    found = told(tmp_path)
    assert any("let the air out first" in words for words in found["volume spacers, front: 0 → 1"])
    assert any("can lock the fork" in words for words in found["lower-leg oil, front: 3 → 8 ml"])
    assert any("maker's least and most" in words for words in found["air pressure, front: 6 → 5.7 bar"])
