"""The handbook's photograph: its picture is the one drawn, its pixels are its points', its figures hold."""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path

import pytest

import telemetry
from tests.bench.drawn_bike import PICTURE, drawn, pixel
from tests.bench.linkage_days import HEAD
from tests.mechanics.linkages_made import ROCKER

DOCS = PICTURE.parents[1]


def example(page: str) -> str:
    blocks = re.findall(r"```toml\n(.*?)```", (DOCS / page).read_text(encoding="utf-8"), re.DOTALL)
    return next(block for block in blocks if "scale" in block)


def test_the_picture_is_the_one_that_is_drawn() -> None:
    assert PICTURE.read_text(encoding="utf-8") == drawn()


@pytest.mark.parametrize("page", ["bench.md", "ride_day.md"])
def test_the_pixels_are_those_of_its_points(page: str) -> None:
    linkage = tomllib.loads(example(page))["bike"]["rear"]["linkage"]
    points = {**ROCKER.fixed, **ROCKER.moving}
    assert {**linkage["fixed"], **linkage["moving"]} == {name: list(pixel(at)) for name, at in points.items()}


def test_its_figures_are_those_the_handbook_tells(tmp_path: Path) -> None:
    (tmp_path / "ride_day.toml").write_text(HEAD + example("bench.md"), encoding="utf-8")
    shutil.copy(PICTURE, tmp_path)
    bench = telemetry.bench_of(telemetry.read_ride_day(tmp_path))
    found = bench.setup("as_built").rear.leverage
    assert round(found.full_travel_mm) == 166
    assert (round(float(found.ratio[0]), 2), round(float(found.ratio[-1]), 2)) == (2.99, 2.33)
    assert found.travel_band.low[-1] < 165.4 < found.travel_band.high[-1]  # of the points it was drawn from
    (row,) = [row for row in bench.rows if (row.part, row.figure.what) == ("geometry", "head angle")]
    assert row.differences["shorter_shock"].value == pytest.approx(-0.35, abs=0.01)
