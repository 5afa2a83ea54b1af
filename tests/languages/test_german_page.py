"""No English word is left on the German page: of every kind of day, its words against the English page's."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

import telemetry
from dashboards.report import render_for_the_customer
from telemetry.languages import language
from telemetry.pipeline import report_parts
from tests.bench.linkage_days import table
from tests.mechanics.linkages_made import ROCKER
from tests.pipeline.inertial_days import make_inertial_day
from tests.pipeline.setup_days import make_setup_day
from tests.pipeline.small_days import make_day

SAMPLES = Path(__file__).parents[2] / "sample_runs"
ALIKE = {"sag", "setup", "setups", "version", "hz", "mm", "ml", "bar", "min", "cst", "°c", "x", "spacer", "low", "high"}
ALIKE |= {
    "s",
    "m",
    "s²",
    "drift",
    "was",
    "minute",
    "service",
    "speed",
    "in",
    "so",
    "an",
    "am",
    "bike",
    "sensor",
    "front",
}
"""Words of both languages, and the trade's own in Germany too ("Low-Speed-Druckstufe", "die Front"). From memory."""


def one_lap(folder: Path) -> Path:
    return make_day(folder, "a", seconds=20.0)


def one_of_each(folder: Path) -> Path:
    return make_day(folder, "ab", seconds=20.0)


def four_setups(folder: Path) -> Path:
    return make_day(folder, "abcdabcd", seconds=20.0, deeper_mm={"b": 9.0, "c": -9.0})


def by_acceleration(folder: Path) -> Path:
    return make_inertial_day(folder, ("a", "b", "b", "a"), seconds=20.0)


def a_lap_by_acceleration(folder: Path) -> Path:
    return make_inertial_day(folder, ("a",), seconds=20.0)


MADE: tuple[Callable[[Path], Path], ...] = (
    one_lap,
    one_of_each,
    four_setups,
    by_acceleration,
    a_lap_by_acceleration,
    make_setup_day,
)


def words(page: str) -> set[str]:
    """Return the words a reader meets, also those who listen: text and labels, without styles and scripts."""
    body = re.sub(r"<(style|script)\b.*?</\1>", " ", page, flags=re.DOTALL)
    labels = " ".join(re.findall(r'(?:aria-label|alt|title)="([^"]*)"', body))
    text = unescape(f"{re.sub(r'<[^>]+>', ' ', body)} {labels}")
    return {word.lower() for word in re.findall(r"[^\W\d_]+", text)}


def both(folder: Path) -> tuple[str, str, str]:
    day = telemetry.read_ride_day(folder)
    analysis, comparison, _ = report_parts(day)
    pages = [render_for_the_customer(analysis, comparison, language=language(code)) for code in ("en", "de")]
    return pages[0], pages[1], day.source.decode()


@pytest.mark.parametrize("made", [*MADE, *sorted(path.name for path in SAMPLES.iterdir() if path.is_dir())])
def test_no_english_word_is_left(tmp_path: Path, made: Callable[[Path], Path] | str) -> None:
    english, german, source = both(SAMPLES / made if isinstance(made, str) else made(tmp_path / "day"))
    from_the_file = {word.lower() for word in re.findall(r"[^\W\d_]+", source)}
    assert words(german) & words(english) - from_the_file <= ALIKE
    # a word of the file's own that a sentence of ours uses too would be hidden by it
    ours = {"the", "of", "and", "with", "changed", "between", "deeper", "not", "is"} & words(english)
    quoted = {word.lower() for word in re.findall(r"[^\W\d_]+", " ".join(re.findall(r'"([^"]*)"', source)))}
    assert words(german) & ours <= quoted


def test_numbers_have_a_comma(tmp_path: Path) -> None:
    _, german, _ = both(SAMPLES / "lower_leg_oil")
    shown = unescape(re.sub(r"<(style|script|svg)\b.*?</\1>|<[^>]+>", " ", german, flags=re.DOTALL))
    shown = shown.replace("16.05.2026", "").replace(telemetry.__version__, "")
    assert not re.findall(r"\d\.\d", shown)
    assert not re.findall(r"[ (]-\d", shown)
    assert re.findall(r"−\d,\d", shown)


def test_what_a_lever_and_another_link_are_set_to_is_said_in_german(tmp_path: Path) -> None:
    """A lever's own positions have German words; three links that differ don't all read "as measured"."""
    lower = replace(ROCKER, moving={**ROCKER.moving, "axle": (-446.0, 2.0)})
    links = "".join(table(link, where=f"setups.{name}.rear") for name, link in (("a", ROCKER), ("b", lower)))
    bike = '[ride_day]\ndate = 2026-05-16\n[bike.rear]\nstroke_mm = 55\nlever = "firm"\n[setups.a]\n[setups.b]\n'
    (tmp_path / "ride_day.toml").write_text(f"{bike}{links}", encoding="utf-8")
    english, german, _ = both(tmp_path)
    assert {"fest", "vermessen"} <= words(german)
    assert "firm" not in words(german)
    assert "andere Punkte" in unescape(german).replace("\xa0", " ")
    assert "other points" in unescape(english).replace("\xa0", " ")
