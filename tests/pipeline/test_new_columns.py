"""What a draft makes of units, of lines above the readings, and of inputs that nothing is plugged into."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from tests import riders_logs as made
from tests.cli.run_here import commanded
from tests.riders_logs import Form, Sensor

BOTH = {"front": made.FORK, "rear": made.SHOCK}
CHANNELS = {
    "front": Sensor(column="ch1", topped_out=212, full=3770),
    "rear": Sensor(column="ch2", topped_out=3601, full=305),
}


PERCENT = {"front": Sensor(column="fork_pct", topped_out=0, full=100, decimals=2)}


def drafted(folder: Path, *options: str) -> str:
    done = commanded("new", folder, *options)
    assert (done.returncode, done.stderr) == (0, "")
    return (folder / "ride_day.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(("front", "rear"), [("front_travel_%", "rear_stroke_%"), ("fork_pct", "shock [%]")])
def test_percent_of_travel_is_calibrated_by_full_travel(tmp_path: Path, front: str, rear: str) -> None:
    """Lifted, the fork reads 1 %: offered as the zero it would make the scale 1 % wrong."""
    fork = Sensor(column=front, topped_out=1, full=100, decimals=2)
    shock = Sensor(column=rear, topped_out=100, full=0, decimals=2)
    for name, motion in {"run_1": made.run(1), "run_2": made.run(2), "lifted_1": made.lifted(3)}.items():
        made.write(tmp_path / f"{name}.csv", motion, {"front": fork, "rear": shock}, Form())
    text = drafted(tmp_path)
    assert re.findall(r"(?m)^# points = .*", text) == [
        "# points = [[0.0, 0.0], [100.0, <full travel, mm>]]",
        "# points = [[100.0, 0.0], [0.0, <full travel, mm>]]",
    ]
    assert text.count("# TO DO full travel: its unit is percent of it") == 2


def test_shares_called_percent_are_asked_about(tmp_path: Path) -> None:
    shares = {"front": Sensor(column="fork_pct", topped_out=0, full=1, decimals=4)}
    for n in (1, 2):
        made.write(tmp_path / f"run_{n}.csv", made.run(n), shares, Form())
    assert "# points = [[<reading topped out>" in drafted(tmp_path)


@pytest.mark.parametrize("rest", ["lifted", "sag"])
def test_an_input_with_nothing_plugged_in_is_set_aside(tmp_path: Path, rest: str) -> None:
    """Its readings are as unlike from row to row at rest as in a run; it stands before both sensors."""
    random = np.random.default_rng(7)
    loose = Form(others=dict.fromkeys(("ch0",), lambda _at: random.uniform(0, 4095)), others_first=True)
    for name, motion in {"run_1": made.run(1), "run_2": made.run(2), f"{rest}_1": made.MOTIONS[rest](3)}.items():
        made.write(tmp_path / f"{name}.csv", motion, CHANNELS, loose)
    text = drafted(tmp_path)
    day = tomllib.loads(text)
    assert [day["sensors"][sensor]["column"] for sensor in ("fork", "shock")] == ["ch1", "ch2"]
    assert (
        len(re.findall(r'(?m)^# Column "ch0" \(from .*\) is taken for no sensor: it moves as much in rec', text)) == 1
    )
    assert 'column 2, "ch0"' in text
    assert "looks like travel" not in next(line for line in text.splitlines() if 'column 2, "ch0"' in line)


def test_a_run_named_as_a_recording_sets_no_column_aside(tmp_path: Path) -> None:
    for n, name in enumerate(("run_1", "run_2", "lifted_1")):
        made.write(tmp_path / f"{name}.csv", made.run(n), BOTH, Form())
    day = tomllib.loads(drafted(tmp_path))
    assert [day["sensors"][sensor]["column"] for sensor in ("fork", "shock")] == ["A0", "A1"]


SURE, ASKED = "rate_hz = 100 ", "# the logs state 100"


@pytest.mark.parametrize(
    ("head", "date", "rate"),
    [
        ("Logger: some box\nDate: 16.05.2026\nSample rate: 100 Hz\n\n", "date = 2026-05-16 ", SURE),
        ("# Aufgezeichnet am 16.05.2026 09:12\n# Abtastrate [kHz],0.1\n", "date = 2026-05-16 ", SURE),
        ("Fréquence d'échantillonnage: 100 Hz\nGPS rate: 10 Hz\nFirmware date: 2024-01-02\n", "# TO DO the day", SURE),
        ("Date: 5/16/2026\nRate 100\n", "date = 2026-05-16 ", ASKED),
        ("Date: 05/06/2025\nAnalog 100 Hz\nIMU 200 Hz\n", "date = 2025-06-05               # or 2025-05-06", ASKED),
        ("Date: 01.01.1980\nSamples: 1200\nFilter: 50 Hz\n", "# TO DO the day", "# rate_hz = <"),
    ],
)
def test_what_logs_state_above_their_readings_is_used(tmp_path: Path, head: str, date: str, rate: str) -> None:
    for n in (1, 2):
        made.write(tmp_path / f"run_{n}.csv", made.run(n), BOTH, Form(clock="", head=head))
    text = drafted(tmp_path)
    day = tomllib.loads(text)
    assert (date in text, rate in text) == (True, True)
    assert day["log"].get("rate_hz") == (None if "<" in rate else 100)


def test_a_day_taken_over_asks_no_more_what_was_answered(tmp_path: Path) -> None:
    head = "Date: 05/06/2025\nRate 100\n"
    for folder in ("earlier", "later"):
        (tmp_path / folder).mkdir()
        made.write(tmp_path / folder / "run_1.csv", made.run(1), PERCENT, Form(clock="", head=head))
    text = drafted(tmp_path / "earlier")
    for asked in (
        "nothing tells which number is the month",
        "not clearly that this is it",
        "its unit is percent of it",
    ):
        assert asked in text
    text = re.sub(r"# points = .*", "points = [[0, 0], [100, 170]]", text)
    text = text.replace("# travel_mm = <as the maker states it, mm>", "travel_mm = 170")
    (tmp_path / "earlier" / "ride_day.toml").write_text(text, encoding="utf-8")
    taken = drafted(tmp_path / "later", "--like", str(tmp_path / "earlier"))
    assert tomllib.loads(taken)["log"]["rate_hz"] == 100
    assert "not clearly that this is it" not in taken
    assert "its unit is percent of it" not in taken
    assert taken.count("nothing tells which number is the month") == 1
