"""The handbook's table of thresholds holds every number the code judges by, and no other."""

from __future__ import annotations

import ast
import importlib
from pathlib import Path

import numpy as np
import pytest

from tests.thresholds import documented

PACKAGE = Path(__file__).parents[1] / "telemetry"
JUDGING = ("conditioning", "measures", "trust")
DRAFTING = ("arranging", "draft_ends", "draft_inertial", "folder", "layout", "recognising")
"""Modules of `ride_day` that tell by what a log reads what it is."""
WORK = {
    "how much is worked on at once, and how it is stored": {
        *("conditioning.end.MOST_COUNTS", "conditioning.end.SHAFT_KNOTS", "conditioning.smoothing.BLOCK"),
        "conditioning.despiking.AT_ONCE",
        *("measures.force.search.ROWS", "measures.force.search.SMALL"),
        *("measures.alignment.CELLS_HZ", "measures.alignment.MOST_CELLS", "measures.ground_speed.WINDOWS_AT_ONCE"),
        *("measures.pyramids.STEP", "measures.strokes.BLOCK", "trust.blocks.PARTS", "trust.slip.MOST_CUTS"),
        *(
            "measures.inertial.band.PADDING",
            "measures.inertial.weighting.CELL_HZ",
            "measures.inertial.spectra.HIGHEST_HZ",
        ),
        *(
            "trust.same_readings.ROWS_LOOKED_AT",
            "conditioning.noise.FEW_STEPS",
            "trust.changed_places.ROWS_LOOKED_AT",
            "trust.looked_at.ROWS_LOOKED_AT",
        ),
    },
    "rates to which a signal is thinned that holds nothing faster": {
        "measures.inertial.integration.AVERAGED_HZ",
        *("conditioning.speed.THINNED_RATE_HZ", "measures.ground_speed.THINNED_RATE_HZ"),
        *("measures.slow_frequency.THINNED_RATE_HZ", "trust.levels.THINNED_HZ"),
        *("conditioning.inertial.courses.BLOCKS_HZ", "conditioning.inertial.turning.BLOCKS_HZ"),
        *("measures.phases.slow.THINNED_RATE_HZ", "measures.force.sampling.THINNED_HZ"),
    },
    "what figures draw": {
        *("measures.aligned.EVERY_S", "measures.distributions.SPEED_BINS"),
        *("measures.distributions.FASTEST_MM_S", "measures.distributions.SPEED_SOFTENING_MM_S"),
        *("measures.peak_speeds.FEWEST_STROKES", "measures.peak_speeds.OFTEN_PER_MIN"),
        *("measures.pictured.AFTER_S", "measures.pictured.BEFORE_S", "measures.pictured.DEEPEST"),
        *("measures.pictured.OVERVIEW_PIECES", "measures.pictured.TRACE_POINTS", "measures.peak_speeds.OFTEN_PER_MIN"),
    },
    "a place to look in, not to judge by": {"measures.push_groups.LOOK_S"},
    "how a filter is made": {"measures.phases.slow.ORDER", "measures.phases.slow.SHORTEST"},
    "computed from others": {
        "measures.inertial.band.TWO_PASS",
        *(
            "conditioning.smoothing.TWO_PASS",
            "measures.ground_speed.SLOWEST_RATE_HZ",
            "conditioning.despiking.MAD_TO_SD",
        ),
    },
    "the earth's, and a normal distribution's": {
        *("conditioning.ground.EARTH_RADIUS_M", "trust.drifting.NORMAL", "measures.phases.per_g.DEVIATION_TO_SD"),
    },
    "keeps a division from nothing": {
        "measures.force.fitting.RIDGE",
        "measures.inertial.placing.LEAST",
        "trust.drifting.LITTLE",
    },
}
"""Numbers that decide nothing a rider is told: not in the table, and why."""


def numbers(value: object) -> tuple[float, ...]:
    """Return a constant's numbers, nested ones one after the other; none where it holds something else."""
    if isinstance(value, tuple) and value:
        parts = [numbers(part) for part in value]
        return tuple(number for part in parts for number in part) if all(parts) else ()
    return (float(value),) if isinstance(value, (int, float)) and not isinstance(value, bool) else ()


def names_of(path: Path) -> set[str]:
    """Return the names in capitals that a module gives a value of its own."""
    found = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        targets = (
            node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        )
        found |= {name.id for target in targets for name in ast.walk(target) if isinstance(name, ast.Name)}
    return {name for name in found if name.isupper() and not name.startswith("_")}


def in_code() -> dict[str, tuple[float, ...]]:
    found = {}
    judging = [path for package in JUDGING for path in (PACKAGE / package).rglob("*.py")]
    for path in sorted([*judging, *(PACKAGE / "ride_day" / f"{name}.py" for name in DRAFTING)]):
        place = ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
        module = importlib.import_module(f"telemetry.{place}")
        found |= {f"{place}.{name}": numbers(getattr(module, name)) for name in names_of(path)}
    return {name: values for name, values in found.items() if values}


@pytest.mark.parametrize("name", documented())
def test_the_code_has_the_documented_number(name: str) -> None:
    place, _, constant = name.rpartition(".")
    found = numbers(getattr(importlib.import_module(f"telemetry.{place}"), constant))
    assert np.array_equal(found, documented()[name])


def test_every_number_the_code_judges_by_is_documented() -> None:
    work = set().union(*WORK.values())
    found = set(in_code())
    assert sorted(found - work - set(documented())) == [], "enter them in docs/thresholds.md"
    assert sorted(work - found) == []
