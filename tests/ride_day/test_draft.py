"""The draft: valid TOML whatever the logs hold, refused until filled in, and read once it is."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
import unicodedata
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.errors import CallError, RideDayError
from telemetry.logs import sketch_log
from telemetry.model.day import RideDay
from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.model.sensor import DisplacementSensor, InertialSensor
from telemetry.ride_day import draft_ride_day, logs_in, read_ride_day

TODAY = dt.date(2026, 5, 16)
HEADER = "t_ms,A0,A1,acc_x,acc_y,acc_z,gx,gy,gz,speed"


def written(path: Path, reach: float, seed: int, level: float = 2000, header: str = HEADER) -> None:
    random = np.random.default_rng(seed)
    at = np.arange(1500)
    columns = [
        at * 2,
        np.round(level + reach * np.sin(at / 50) + random.uniform(0, 4, at.size)),
        np.round(level - 100 + reach * np.cos(at / 40) + random.uniform(0, 4, at.size)),
        *(random.normal(level, 1, at.size).round(3) for level in (0, 0, 1, 0, 0, 0)),  # gravity in g along acc_z
        (5 + at % 9),
    ]
    np.savetxt(path, np.column_stack(columns), delimiter=",", header=header, comments="", fmt="%g")


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    folder = tmp_path / 'Quarry "A"'
    folder.mkdir()
    reaches = {"run_1.csv": 1500, "run_2.csv": 1400, "lifted_1.csv": 2, "sag_1.csv": 20, "odd.csv": 10}
    for seed, (name, reach) in enumerate(reaches.items()):
        written(folder / name, reach, seed, level=510 if name == "lifted_1.csv" else 2000)
    (folder / "leverage.csv").write_text("stroke_mm,travel_mm\n0,0\n62.5,165\n", encoding="utf-8")
    (folder / "notes.md").write_text("nothing", encoding="utf-8")
    return folder


def drafted(folder: Path) -> str:
    return draft_ride_day([sketch_log(path) for path in logs_in(folder)], TODAY)


def filled(text: str, values: dict[str, str]) -> str:
    """Do by program what the draft asks for: take the mark off a line and put a value in place of <...>."""
    for line, value in values.items():
        marked = re.compile(rf"^# {re.escape(line)} = .*$", re.MULTILINE)
        assert marked.search(text), f"the draft doesn't ask for {line}"
        text = marked.sub(f"{line} = {value}", text, count=1)
    return text


def with_shock(text: str) -> str:
    """Fill in the calibration that is still asked for: the shock's."""
    assert text.count("# points = ") == 1
    return re.sub(r"(?m)^# points = .*$", f"points = {SHOCK_POINTS}", text)


@pytest.fixture
def read_filled(logs: Path) -> Callable[..., RideDay]:
    def _read(values: dict[str, str]) -> RideDay:
        text = with_shock(filled(drafted(logs), values))
        (logs / "ride_day.toml").write_text(text, encoding="utf-8")
        return read_ride_day(logs)

    return _read


SHOCK_POINTS = "[[305, 0], [3601, 62.5]]"
FRONT = {"date": "2026-05-16", "travel_mm": "170", "points": "[[212, 0.0], [3770, 170.0]]"}


def test_the_draft_is_toml_and_names_every_log(logs: Path) -> None:
    text = drafted(logs)
    document = tomllib.loads(text)
    assert document["ride_day"] == {"title": 'Quarry "A"'}
    assert document["log"]["time"] == {"column": "t_ms", "unit": "ms"}
    assert [run["log"] for run in document["runs"]] == ["run_1.csv", "run_2.csv"]
    assert [(item["log"], item["kind"]) for item in document["static"]] == [
        ("lifted_1.csv", "lifted"),
        ("odd.csv", "sag"),
        ("sag_1.csv", "sag"),
    ]
    for name in ("run_1.csv", "run_2.csv", "lifted_1.csv", "sag_1.csv", "odd.csv"):
        assert f'# "{name}": 1500 rows' in text


def test_columns_are_listed_with_their_range(logs: Path) -> None:
    text = drafted(logs)
    readings = [np.loadtxt(path, delimiter=",", skiprows=1)[:, 1] for path in logs_in(logs)]
    low, high = min(column.min() for column in readings), max(column.max() for column in readings)
    assert f'#   column 2, "A0": {low:g} to {high:g}; looks like travel' in text
    assert '#   column 1, "t_ms": 0 to 2998; looks like time' in text
    assert '#   column 4, "acc_x":' in text


def test_the_draft_says_what_to_measure_and_warns(logs: Path) -> None:
    text = drafted(logs)
    for words in ("topped out", "full travel", "Air out or coil off", "small steps while cycling", "trapped pressure"):
        assert words in text
    assert "its maker's service must" in text


def test_until_filled_in_it_is_refused(logs: Path) -> None:
    (logs / "ride_day.toml").write_text(drafted(logs), encoding="utf-8")
    with pytest.raises(RideDayError, match=r"ride_day\.date: found nothing") as caught:
        read_ride_day(logs)
    asked = {"ride_day.date", "bike.front", "sensors.fork.points", "sensors.shock.points"}
    assert {problem.key for problem in caught.value.problems} == asked


@pytest.mark.parametrize("lacking", ["date", "travel_mm"])
def test_what_it_asks_for_is_needed(read_filled: Callable[..., RideDay], lacking: str) -> None:
    asked = {key: value for key, value in FRONT.items() if key != lacking}
    with pytest.raises(RideDayError, match=r"ride_day\.toml"):
        read_filled(asked)


def test_filled_in_it_is_read(read_filled: Callable[..., RideDay]) -> None:
    day = read_filled(FRONT)
    assert [(run.name, run.setup) for run in day.runs] == [("run_1", "as_it_came"), ("run_2", "as_it_came")]
    assert day.setups["as_it_came"].front.full_travel_mm == 170.0
    assert day.setups["as_it_came"].rear.full_travel_mm == pytest.approx(165.0)
    fork, shock = day.sensors["fork"], day.sensors["shock"]
    assert isinstance(fork, DisplacementSensor)
    assert isinstance(shock, DisplacementSensor)
    assert (fork.column, fork.end, shock.column, shock.end) == ("A0", "front", "A1", "rear")


def test_its_inertial_and_speed_sensors_can_be_taken_up(logs: Path) -> None:
    text = with_shock(filled(drafted(logs), FRONT))
    taken = {
        '# [sensors.inertial]\n# kind = "inertial"\n': '[sensors.inertial]\nkind = "inertial"\n',
        '# end = <"front" or "rear">': 'end = "front"',
        '# on = <"chassis" or "wheel">': 'on = "chassis"',
        "# columns = {": "columns = {",
        '# acceleration_unit = "g"  # by its size': 'acceleration_unit = "g"  # by its size',
        '# rotation_unit = <"deg/s", "rad/s" or "counts">': 'rotation_unit = "deg/s"',
        '# [sensors.speed]\n# kind = "ground_speed"\n# column =': '[sensors.speed]\nkind = "ground_speed"\ncolumn =',
        '# unit = <"m/s" or "km/h">': 'unit = "km/h"',
    }
    for marked, plain in taken.items():
        assert marked in text
        text = text.replace(marked, plain)
    (logs / "ride_day.toml").write_text(text, encoding="utf-8")
    day = read_ride_day(logs)
    inertial = day.sensors["inertial"]
    assert isinstance(inertial, InertialSensor)
    assert dict(inertial.columns) == {
        "ax": "acc_x",
        "ay": "acc_y",
        "az": "acc_z",
        "gx": "gx",
        "gy": "gy",
        "gz": "gz",
    }
    assert {item.name: item.kind for item in day.static} == {
        "lifted_1.csv": "lifted",
        "odd.csv": "sag",
        "sag_1.csv": "sag",
    }


def test_a_log_that_hardly_moves_is_no_run(logs: Path) -> None:
    text = drafted(logs)
    assert '# TO DO "odd.csv": is it a sag recording? its name doesn\'t tell' in text
    assert "odd.csv" not in [run["log"] for run in tomllib.loads(text)["runs"]]


def test_without_recordings_it_asks_for_them(logs: Path) -> None:
    for name in ("lifted_1.csv", "sag_1.csv", "odd.csv"):
        (logs / name).unlink()
    text = drafted(logs)
    assert "Lift both wheels off the ground for 5 s" in text
    assert '# log = "sag_1.csv"' in text


def test_setups_of_runs_are_asked_for_where_there_are_runs(logs: Path) -> None:
    asked = "# TO DO say which setup each run was ridden with."
    assert asked in drafted(logs)
    runs = ("run_1.csv", "run_2.csv")
    for name in runs:
        (logs / name).unlink()
    text = drafted(logs)
    assert "runs" not in tomllib.loads(text)
    assert asked not in text


def test_a_single_log_is_a_run(tmp_path: Path) -> None:
    written(tmp_path / "quiet.csv", 1, 3)
    assert tomllib.loads(drafted(tmp_path))["runs"] == [{"log": "quiet.csv", "setup": "as_it_came"}]


def test_a_log_without_a_clock_asks_for_its_rate() -> None:
    column = ColumnSketch(name=1, number=1, lowest=0.0, highest=9.0, empty_share=0.25, proposal="travel")
    sketch = LogSketch(path=Path("a.txt"), rows=10, dialect="blanks, no header", columns=(column,))
    text = draft_ride_day([sketch], TODAY)
    assert "# rate_hz = <rows a second>" in text
    assert "#   column 1: 0 to 9, up to 25 % empty; looks like travel" in text
    assert tomllib.loads(text)["sensors"]["fork"]["column"] == 1


def test_columns_of_the_same_name_go_by_number() -> None:
    columns = tuple(
        ColumnSketch(name="A", number=number, lowest=0.0, highest=9.0, empty_share=0, proposal="travel")
        for number in (1, 2)
    )
    document = tomllib.loads(
        draft_ride_day([LogSketch(path=Path("a.csv"), rows=9, dialect="", columns=columns)], TODAY)
    )
    assert [document["sensors"][name]["column"] for name in ("fork", "shock")] == [1, 2]


def test_which_files_may_be_logs(logs: Path) -> None:
    beside = (".hidden.csv", "Leverage_2.csv", "a.toml", ".csv", "truth.json", "config.json")
    for name in (*beside, "b.csv.gz", "c.TXT", "d.dat", "e.tsv", "f.log", "i.jsonl", "j.ndjson", "k.json"):
        (logs / name).write_text("1,2\n", encoding="utf-8")
    (logs / "g.csv").symlink_to(logs / "run_1.csv")
    (logs / "h.csv").mkdir()
    names = [path.name for path in logs_in(logs)]
    assert names == sorted(
        [
            "b.csv.gz",
            "c.TXT",
            "d.dat",
            "e.tsv",
            "f.log",
            "i.jsonl",
            "j.ndjson",
            "k.json",
            "run_1.csv",
            "run_2.csv",
            "lifted_1.csv",
            "sag_1.csv",
            "odd.csv",
        ]
    )


def test_a_folder_that_cannot_be_listed(tmp_path: Path) -> None:
    with pytest.raises(CallError, match="no such file"):
        logs_in(tmp_path / "nowhere")


UNSEEN = ("\u202e", "\u200b", "\u00a0", "\u2028", "\x7f", "\x9b", "\ufeff", "\u3164", "\U000e0041", "\u00ad")


def test_a_draft_holds_no_letter_that_cannot_be_seen() -> None:
    """Neither in what is read nor in what is left as comments, whose marks a person takes off."""
    name = "A" + "".join(UNSEEN) + "0"
    columns = tuple(
        ColumnSketch(
            name=f"{name}{number}",
            number=number,
            lowest=0.0,
            highest=9.0,
            empty_share=0.0,
            proposal=proposal,
            time_unit=None,
        )
        for number, proposal in enumerate(("time", "travel", "travel", "travel", "ground_speed"), 1)
    )
    runs = [LogSketch(path=Path(f"{name}f") / f"{name}{n}.csv", rows=9, dialect="comma", columns=columns) for n in "12"]
    text = draft_ride_day(runs, TODAY)
    assert not [letter for letter in UNSEEN if letter in text]
    document = tomllib.loads(text)
    assert document["ride_day"]["title"] == f"{name}f"
    assert [run["log"] for run in document["runs"]] == [f"{name}1.csv", f"{name}2.csv"]
    assert document["sensors"]["fork"]["column"] == f"{name}2"
    speed = next(line for line in text.splitlines() if line.startswith("# column = ") and "5" in line)
    assert tomllib.loads(speed.removeprefix("# "))["column"] == f"{name}5"


TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)
PROPOSALS = st.sampled_from(["time", "travel", "inertial", "ground_speed", "constant", "text", "unknown"])
COLUMNS = st.lists(st.tuples(TEXT, PROPOSALS, st.floats(-1e6, 1e6), st.floats(0, 1e6)), min_size=1, max_size=6)


@given(
    found=COLUMNS,
    log=TEXT.filter(lambda name: name not in (".", "..") and "/" not in name and "\0" not in name),
    rows=st.integers(1, 9),
)
def test_any_names_give_toml_that_holds_them(found: list[tuple[str, str, float, float]], log: str, rows: int) -> None:
    columns = tuple(
        ColumnSketch(
            name=name,
            number=number,
            lowest=None if proposal == "text" else low,
            highest=None if proposal == "text" else low + span,
            empty_share=0.0,
            proposal=proposal,
            time_unit="ms" if proposal == "time" else None,
        )
        for number, (name, proposal, low, span) in enumerate(found, 1)
    )
    sketch = LogSketch(path=Path("folder") / log, rows=rows, dialect="comma", columns=columns)
    text = draft_ride_day([sketch], TODAY)
    document = tomllib.loads(text)
    assert not [
        letter for letter in text if unicodedata.category(letter) in ("Cc", "Cf", "Zl", "Zp") and letter != "\n"
    ]
    assert log in [entry["log"] for entry in [*document.get("runs", []), *document.get("static", [])]]
    travel = [column for column in columns if column.proposal == "travel"]
    own = [
        column.name if [c.name for c in columns].count(column.name) == 1 and str(column.name).strip() else column.number
        for column in travel
    ]
    assert [sensor["column"] for sensor in document.get("sensors", {}).values()] == own[:2]
