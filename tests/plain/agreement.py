"""How far the product may be from the plain code, and where it is further."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tests.plain.plain_measures import Values

POINTS = {"dynamic_sag": 0.2, "dynamic_sag_median": 0.2, "sag_difference": 0.3}  # of full travel
COUNTS = {"bottom_outs": 0.0, "hard_bottom_outs": 0.0}
SHARES = {
    "travel_p95": 0.005,
    "travel_max": 0.005,
    "hit_depth_10_per_min": 0.007,
    "hit_depth_p95": 0.007,
    "hit_length_p50": 0.02,
    "hit_length_p95": 0.02,
    "strokes_per_min": 0.015,
    "hits_per_min": 0.02,
    "bottom_outs_per_min": 0.005,
    "strongest_slow_frequency": 0.02,
    "riding_time": 0.005,
    "ground_speed": 0.03,
    "recovery_time": 0.05,
}
SPEED_SHARE = 0.03  # every speed and ratio of speeds


@dataclass(frozen=True, kw_only=True)
class Disagreement:
    """One measure on which the two codes differ by more than they may."""

    run: str
    measure: str
    end: str
    plain: float | None
    product: float | None
    allowed: float | None
    reason: str = ""


def allowed_of(measure: str, plain: float, minutes: float) -> float:
    """Return by how much a measure may differ, in its unit."""
    if measure.startswith("below_knee"):
        return 2.5
    in_its_unit = {
        **COUNTS,
        **POINTS,
        "deep_hits_per_min": 1.01 / minutes,  # one event on the line
        "top_outs_per_min": 1.01 / minutes,
        "packing": 0.15 + 0.05 * abs(plain),
        "airborne_time": 0.03,
    }
    return in_its_unit.get(measure, SHARES.get(measure, SPEED_SHARE) * abs(plain) + 1e-9)


def product_values(run: dict) -> Values:
    """Return the measures of one run in the answer's form, of the whole of it: the plain code knows no phases."""
    return {(row["measure"], row["end"]): row["value"] for row in run["measures"] if "@" not in row["measure"]}


def disagreements(answer: dict, expected: dict[str, Values]) -> Iterator[Disagreement]:
    """Yield every measure of every run on which the product and the plain code differ."""
    runs = {run["run"]: run for run in answer["runs"]}
    for name, values in expected.items():
        got = product_values(runs[name])
        why = {(row["measure"], row["end"]): row["reason"] for row in runs[name]["absent"]}
        minutes = (values["riding_time", "both"] or 0.0) / 60
        for key, plain in values.items():
            product = got.get(key)
            allowed = None if plain is None else allowed_of(key[0], plain, minutes)
            if plain is None and product is None:
                continue
            if plain is None or product is None or allowed is None or abs(plain - product) > allowed:
                yield Disagreement(
                    run=name,
                    measure=key[0],
                    end=key[1],
                    plain=plain,
                    product=product,
                    allowed=allowed,
                    reason=why.get(key, ""),
                )
        for key in got.keys() - values.keys():
            yield Disagreement(run=name, measure=key[0], end=key[1], plain=None, product=got[key], allowed=None)
