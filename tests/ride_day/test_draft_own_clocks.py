"""The draft of logs of one reading a row, and of a file for each sensor of one logger."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import numpy as np
import pytest

from telemetry.pipeline.drafting import draft

TODAY = dt.date(2026, 5, 16)
RNG = np.random.default_rng(3)
AT = np.arange(1500)
FORK = np.round(1500 + 900 * np.sin(AT / 50) + RNG.normal(0, 4, AT.size)).astype(int)
SHOCK = np.round(1102 + 500 * np.sin(AT / 40) + RNG.normal(0, 4, AT.size)).astype(int)


def rows(fork: object = "fork", shock: object = "shock", *, rest: bool = False) -> list[str]:
    """Return rows by turns; at rest both read nearly the same, and nothing shows that they are two."""
    values = (600 + AT % 2, 602 + AT % 3) if rest else (FORK, SHOCK)
    return [f"{4 * at},{word},{own[at]}" for at in AT for word, own in zip((fork, shock), values, strict=True)]


def drafted(folder: Path, *, header: str = "t_ms,sensor,value", **logs: list[str]) -> str:
    for name, lines in logs.items():
        (folder / f"{name}.csv").write_text("\n".join([*([header] if header else []), *lines]) + "\n", encoding="utf-8")
    return draft(folder, TODAY, ridden=TODAY).path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "header", "long"),
    [
        (("fork", "shock"), "t_ms,sensor,value", {"sensor": "sensor", "value": "value"}),
        ((1, 2), "t_ms,id,counts", {"sensor": "id", "value": "counts"}),
        (("A0", "A1"), "", {"sensor": 2, "value": 3}),
    ],
)
def test_one_reading_a_row_is_drafted_with_a_sensor_for_each_word(
    tmp_path: Path, words: tuple[object, object], header: str, long: dict[str, object]
) -> None:
    text = drafted(tmp_path, header=header, run_1=rows(*words), lifted_1=rows(*words, rest=True))
    found = tomllib.loads(text)
    assert found["log"]["long"] == long
    assert {name: sensor["column"] for name, sensor in found["sensors"].items()} == {
        "fork": str(words[0]),
        "shock": str(words[1]),
    }
    assert [item["kind"] for item in found["static"]] == ["lifted"]
    assert f'#   rows of a sensor, "{words[0]}"' in text


def test_rows_of_several_readings_are_asked_about(tmp_path: Path) -> None:
    lines = [
        line
        for at in AT
        for line in (
            f"{4 * at},fork,{FORK[at]},0,0",
            f"{4 * at},shock,{SHOCK[at]},0,0",
            f"{4 * at},imu,1,2,{980 + at % 7}",
        )
    ]
    text = drafted(tmp_path, header="t_ms,sensor,x,y,z", run_1=lines)
    assert 'TO DO each row holds readings of one sensor, so it seems, in several columns ("x", "z")' in text
    assert "long" not in tomllib.loads(text)["log"]


@pytest.mark.parametrize(("since_ms", "late_ms", "asked"), [(90_000, 8, True), (90_000, 1200, False), (0, 0, False)])
def test_a_file_for_each_sensor_is_asked_about_where_stamps_begin_together(
    tmp_path: Path, since_ms: int, late_ms: int, *, asked: bool
) -> None:
    """Stamps that begin at zero are those of any two loggers."""
    front = [f"{since_ms + 4 * at},{FORK[at]}" for at in AT]
    rear = [f"{since_ms + late_ms + 4 * at},{SHOCK[at]}" for at in AT]
    (tmp_path / "run_1_rear.csv").write_text("\n".join(["t_ms,shock", *rear]) + "\n", encoding="utf-8")
    text = drafted(tmp_path, header="t_ms,fork", run_1_front=front)
    assert ("# same_clock = true" in text) is asked
    assert ("(90.000 s and 90.008 s)" in text) is asked
