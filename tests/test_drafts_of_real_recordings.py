"""Real recordings read from drafts alone: `telemetry new`, what it asks for filled in, `telemetry check`.

Where they come from and what stands in them: the ``SOURCE.md`` beside each.
"""

from __future__ import annotations

import json
import re
import shutil
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.cli.run_here import commanded

DATA = Path(__file__).parent / "data"
OF_TRAVEL = re.compile(
    r"\b(sag|travel|bottom|stroke)\b|\b(hits?|returns?)\b(?! (speed|length), by acceleration)", re.IGNORECASE
)
WHY_NOT = re.compile(r"sag, travel and bottoming can't come from acceleration\)?: everything of travel at the front")


@dataclass(frozen=True, kw_only=True)
class Recording:
    """A file, how `new` reads it, what is filled in, and what `check` has to say."""

    file: str
    rows: int
    dialect: str
    usable: str
    told: frozenset[str]
    fork: str = ""
    shock: str = ""
    rate_hz: int | None = None
    place: tuple[tuple[str, str], ...] = ()


ALWAYS = frozenset({"travel_is_stated", "untrimmed"})
SINES = tuple(
    Recording(
        file=f"damper_rig/mrdamper_10mm1Hz_{current}.txt",
        rows=7000,
        dialect="blanks, decimal point, no header, utf-8",
        usable="with care",
        told=ALWAYS | {"short_run"},
        fork="[[-15, 0.0], [15, 30.0]]",
        shock="[[-100, 0.0], [100, 30.0]]",
    )
    for current in ("0A", "1A")
)
RECORDINGS = (
    *SINES,
    Recording(
        file="damper_rig/mrdamper_raw_15Hz0A.txt",
        rows=8000,
        dialect="comma, decimal point, header in row 7, utf-8",
        usable="with care",
        told=ALWAYS | {"ragged_rows", "short_run"},
        fork="[[-0.45, 0.0], [0.05, 30.0]]",
        shock="[[-0.3, 0.0], [0.3, 30.0]]",
    ),
    Recording(
        file="damper_rig/mrdamper_raw_ME10mm2Hz.txt",
        rows=12500,
        dialect="comma, decimal point, header in row 7, utf-8",
        usable="ride again",
        told=ALWAYS | {"ragged_rows", "short_run", "gap"},
        fork="[[-4.5, 0.0], [-1.5, 30.0]]",
        shock="[[-2, 0.0], [2, 30.0]]",
    ),
    Recording(
        file="steered_bicycle/sbw_5.4kph.log",
        rows=4000,
        dialect="comma, decimal point, header in row 1, utf-8",
        usable="ride again",
        told=frozenset({"no_position_sensor"}),
        rate_hz=100,
    ),
    Recording(
        file="rover_imu/asphalt_imu_03.csv",
        rows=3000,
        dialect="comma, decimal point, header in row 1, utf-8",
        usable="with care",
        told=frozenset({"slow_rate", "untrimmed"}),
        place=(("end", "front"), ("on", "chassis")),
    ),
)


def filled(draft: str, recording: Recording) -> str:
    """Fill in what a draft asks for, as its own lines say: take off the ``# ``, put a value in place of <>."""
    answers = (
        ()
        if not recording.fork
        else (
            ("# travel_mm = <as the maker states it, mm>", "travel_mm = 30"),
            ("# stroke_mm = <full stroke at the shock, mm>", "stroke_mm = 30"),
            ("# ratio = <one number where no curve is known>", "ratio = 2.5"),
        )
    )
    for asked, answer in answers:
        assert asked in draft, asked
        draft = draft.replace(asked, answer)
    draft = draft.replace("# date = ", "date = ")
    for asked, answer in recording.place:
        draft = re.sub(rf"(?m)^# {asked} = <.*$", f'{asked} = "{answer}"', draft)
    if recording.rate_hz is not None:
        draft = draft.replace("# rate_hz = <rows a second>", f"rate_hz = {recording.rate_hz}")
    for points in filter(None, (recording.fork, recording.shock)):
        draft = re.sub(r"(?m)^# points = \[\[<.*$", f"points = {points}", draft, count=1)
    return draft


@pytest.mark.parametrize("recording", RECORDINGS, ids=lambda recording: recording.file)
def test_a_real_recording_is_read_from_its_draft(tmp_path: Path, recording: Recording) -> None:
    shutil.copy(DATA / recording.file, tmp_path)
    code, shown, errors = commanded("new", tmp_path)
    assert (code, errors) == (0, "")
    assert f"{Path(recording.file).name}: {recording.rows} rows; {recording.dialect}" in shown
    file = tmp_path / "ride_day.toml"
    file.write_text(filled(file.read_text(encoding="utf-8"), recording), encoding="utf-8")
    code, shown, errors = commanded("check", tmp_path, "--json")
    assert (code, errors) == (0, "")
    (run,) = json.loads(shown)["runs"]
    assert run["usable"] == recording.usable
    assert {finding["code"] for finding in run["findings"]} == recording.told


@pytest.mark.parametrize("recording", [item for item in RECORDINGS if not item.fork], ids=lambda item: item.file)
def test_without_a_word_on_travel_where_none_is_measured(tmp_path: Path, recording: Recording) -> None:
    shutil.copy(DATA / recording.file, tmp_path)
    assert commanded("new", tmp_path).returncode == 0
    file = tmp_path / "ride_day.toml"
    file.write_text(filled(file.read_text(encoding="utf-8"), recording), encoding="utf-8")
    for command in ("check", "analyse"):
        code, shown, errors = commanded(command, tmp_path)
        assert code == (0 if command == "check" or recording.usable != "ride again" else 2)
        told = WHY_NOT.sub("", shown + errors)
        assert "Traceback" not in told
        assert not OF_TRAVEL.search(told), OF_TRAVEL.search(told)


def test_the_units_of_a_real_inertial_sensor_are_found(tmp_path: Path) -> None:
    """m/s2 and rad/s, as its publishers' figures are (see SOURCE.md): gravity is 9.8, and turns are of a rover's."""
    shutil.copy(DATA / "rover_imu/asphalt_imu_03.csv", tmp_path)
    commanded("new", tmp_path)
    (sensor,) = tomllib.loads((tmp_path / "ride_day.toml").read_text(encoding="utf-8"))["sensors"].values()
    assert (sensor["acceleration_unit"], sensor["rotation_unit"]) == ("m/s2", "rad/s")
