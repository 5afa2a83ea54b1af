"""What changed on a bike as riders say it: each key's words for more and for less."""

from __future__ import annotations

import pytest

from telemetry.model.comparison import SetupDifference
from telemetry.telling.riders_words import changed_in_riders_words


@pytest.mark.parametrize(
    ("key", "more", "less"),
    [
        ("damper_oil_cst_40c", "thicker damper oil", "thinner damper oil"),
        ("spring_rate_n_mm", "stiffer spring", "softer spring"),
        ("oil_level_mm", "oil level further from the top", "oil level nearer to the top"),
        ("air_pressure_bar", "more air pressure", "less air pressure"),
        ("rebound", "rebound opened", "rebound closed"),  # positions are counted from closed
    ],
)
def test_more_and_less_of_a_setting(key: str, more: str, less: str) -> None:
    def told(old: float, new: float) -> str:
        return changed_in_riders_words(
            SetupDifference(
                candidate="b", end="rear", key=key, baseline_value=old, candidate_value=new, words="both values"
            ),
            "",
        )

    assert (told(8.0, 9.0), told(9.0, 8.0)) == (f"{more} at the rear", f"{less} at the rear")
