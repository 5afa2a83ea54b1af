"""Drafts of folders by unlike loggers: right by themselves, and checked after six edited lines at most."""

from __future__ import annotations

import datetime as dt
import json
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests import riders_logs as made
from tests.cli.run_here import commanded
from tests.riders_logs import Form, Sensor

MOST_EDITED = 6
BOTH = {"front": made.FORK, "rear": made.SHOCK}
Written = Mapping[str, made.Motion]


def usual(prefix: str = "run_", lifted: str = "lifted_1", sag: str = "sag_standing") -> dict[str, made.Motion]:
    return {f"{prefix}{n}": made.run(n) for n in (1, 2, 10)} | {lifted: made.lifted(11), sag: made.sag(12)}


def sensors(front: str, rear: str, **how: Any) -> dict[str, Sensor]:
    return {
        "front": Sensor(column=front, topped_out=212, full=3770, **how),
        "rear": Sensor(column=rear, topped_out=3601, full=305, **how),
    }


def in_mm(front: str, rear: str) -> dict[str, Sensor]:
    return {
        "front": Sensor(column=front, topped_out=2, full=170, decimals=2),
        "rear": Sensor(column=rear, topped_out=1, full=62.5, decimals=2),
    }


def by_clock(at_s: float, *, hour: int) -> str:
    return (dt.datetime(2026, 5, 16, hour, 12) + dt.timedelta(seconds=at_s)).isoformat(timespec="milliseconds")


NOT_TRAVEL: Mapping[str, Callable[[float], float]] = {
    "RPM": lambda at: 4000 + 2500 * ((at * 0.7) % 1),
    "Temp": lambda at: 20 + at % 5,
    "mag_x": lambda at: 300 * ((at * 1.3) % 1),
    "Battery": lambda at: 12 + (at * 7) % 2,
}


@dataclass(frozen=True, kw_only=True)
class Folder:
    """What is written, and what the draft has to say of it."""

    logs: Written
    sensors: Mapping[str, Sensor]
    columns: tuple[object, object]
    runs: tuple[object, ...]
    form: Form = field(default_factory=Form)
    kinds: Mapping[str, str] | None = None
    ending: str = ".csv"
    edits: int = MOST_EDITED
    date: bool = False
    options: tuple[str, ...] = ()


USUAL_RUNS = ("run_1.csv", "run_2.csv", "run_10.csv")
USUAL_KINDS = {"lifted_1.csv": "lifted", "sag_standing.csv": "sag"}
FOLDERS = {
    "counts": Folder(logs=usual(), sensors=BOTH, columns=("A0", "A1"), runs=USUAL_RUNS, kinds=USUAL_KINDS),
    "other readings first": Folder(
        logs=usual(),
        sensors=sensors("Fork", "Shock"),
        form=Form(others=NOT_TRAVEL),
        columns=("Fork", "Shock"),
        runs=USUAL_RUNS,
    ),
    "rear first, German": Folder(
        logs=usual("Fahrt_", "angehoben", "Negativfederweg_stehend"),
        sensors=dict(reversed(sensors("Gabelweg", "Dämpferhub").items())),
        form=Form(clock="Zeit_ms", delimiter=";", decimal=",", others={"Drehzahl": NOT_TRAVEL["RPM"]}),
        columns=("Gabelweg", "Dämpferhub"),
        runs=("Fahrt_1.csv", "Fahrt_2.csv", "Fahrt_10.csv"),
        kinds={"angehoben.csv": "lifted", "Negativfederweg_stehend.csv": "sag"},
    ),
    "French, in mm": Folder(
        logs=usual("descente_", "soulevé", "sag_debout"),
        sensors=in_mm("débattement avant (mm)", "amortisseur (mm)"),
        form=Form(clock="temps (s)", stamp=lambda at: f"{at:.3f}", delimiter="\t"),
        columns=("débattement avant (mm)", "amortisseur (mm)"),
        runs=("descente_1.csv", "descente_2.csv", "descente_10.csv"),
        kinds={"soulevé.csv": "lifted", "sag_debout.csv": "sag"},
        edits=4,
    ),
    "Spanish": Folder(
        logs=usual("bajada", "levantada", "sag_sentado"),
        sensors=sensors("Horquilla", "Amortiguador trasero"),
        form=Form(clock="tiempo_ms", others={"Velocidad": lambda at: 20 + at % 9, "Temperatura": lambda at: at % 30}),
        columns=("Horquilla", "Amortiguador trasero"),
        runs=("bajada1.csv", "bajada2.csv", "bajada10.csv"),
        kinds={"levantada.csv": "lifted", "sag_sentado.csv": "sag"},
    ),
    "Italian, in Latin letters": Folder(
        logs=usual("discesa ", "sollevata", "sag in piedi"),
        sensors=sensors("Forcella", "Mono"),
        form=Form(others={"Velocità": lambda at: 20 + at % 9, "Giri": NOT_TRAVEL["RPM"]}, encoding="cp1252"),
        columns=("Forcella", "Mono"),
        runs=("discesa 1.csv", "discesa 2.csv", "discesa 10.csv"),
        kinds={"sollevata.csv": "lifted", "sag in piedi.csv": "sag"},
    ),
    "Portuguese": Folder(
        logs=usual("descida_", "levantada", "sag_sentado"),
        sensors=sensors("Suspensão dianteira", "Suspensão traseira"),
        columns=("Suspensão dianteira", "Suspensão traseira"),
        runs=("descida_1.csv", "descida_2.csv", "descida_10.csv"),
    ),
    "Dutch": Folder(
        logs=usual("rit_", "opgetild", "sag_staand"),
        sensors=sensors("voorvork", "schokdemper"),
        form=Form(clock="tijd_ms", others={"snelheid": lambda at: at % 11, "toerental": NOT_TRAVEL["RPM"]}),
        columns=("voorvork", "schokdemper"),
        runs=("rit_1.csv", "rit_2.csv", "rit_10.csv"),
        kinds={"opgetild.csv": "lifted", "sag_staand.csv": "sag"},
    ),
    "Polish": Folder(
        logs=usual("zjazd_", "uniesiony", "sag_stojąc"),
        sensors=sensors("Widelec", "Tłumik"),
        form=Form(others={"Prędkość": lambda at: at % 11, "Obroty": NOT_TRAVEL["RPM"]}),
        columns=("Widelec", "Tłumik"),
        runs=("zjazd_1.csv", "zjazd_2.csv", "zjazd_10.csv"),
        kinds={"uniesiony.csv": "lifted", "sag_stojąc.csv": "sag"},
    ),
    "Czech": Folder(
        logs=usual("sjezd_", "zdvihnuto", "sag_vstoje"),
        sensors=sensors("Vidlice", "Tlumič"),
        form=Form(others={"Teplota": lambda at: at % 30, "Otáčky": NOT_TRAVEL["RPM"]}),
        columns=("Vidlice", "Tlumič"),
        runs=("sjezd_1.csv", "sjezd_2.csv", "sjezd_10.csv"),
        kinds={"zdvihnuto.csv": "lifted", "sag_vstoje.csv": "sag"},
    ),
    "letters for the ends": Folder(
        logs=usual(),
        sensors=dict(reversed(sensors("susp_F", "susp_R").items())),
        columns=("susp_F", "susp_R"),
        runs=USUAL_RUNS,
    ),
    "letters alone": Folder(
        logs=usual(),
        sensors=dict(reversed(sensors("F", "R").items())),
        columns=("F", "R"),
        runs=USUAL_RUNS,
    ),
    "names that say nothing": Folder(
        logs={
            "LOG0001": made.lifted(1),
            "LOG0002": made.sag(2),
            "LOG0003": made.run(3),
            "LOG0004": made.run(4),
            "LOG0005": made.settle(5),
            "LOG0006": made.bounce(6),
            "LOG0007": made.run(7),
        },
        sensors=BOTH,
        ending=".TXT",
        columns=("A0", "A1"),
        runs=("LOG0003.TXT", "LOG0004.TXT", "LOG0007.TXT"),
        kinds={"LOG0001.TXT": "lifted", "LOG0002.TXT": "sag", "LOG0005.TXT": "settle", "LOG0006.TXT": "bounce"},
    ),
    "numbered columns without a clock": Folder(
        logs=usual(),
        sensors=BOTH,
        form=Form(clock="", head="# some logger\n"),
        options=("--date", "2026-05-16"),
        date=True,
        columns=("A0", "A1"),
        runs=USUAL_RUNS,
    ),
    "setups in names, one count": Folder(
        logs={"firm 1": made.run(1), "soft 2": made.run(2), "soft 3": made.run(3), "firm 10": made.run(4)},
        sensors=sensors("front", "rear"),
        columns=("front", "rear"),
        runs=("firm 1.csv", "soft 2.csv", "soft 3.csv", "firm 10.csv"),
    ),
    "days in names": Folder(
        logs={
            "2026-05-16_09-00-00": made.lifted(1),
            "2026-05-16_09-05-00": made.run(2),
            "2026-05-16_09-25-00": made.run(3),
        },
        sensors=sensors("front", "rear"),
        columns=("front", "rear"),
        runs=("2026-05-16_09-05-00.csv", "2026-05-16_09-25-00.csv"),
        kinds={"2026-05-16_09-00-00.csv": "lifted"},
        date=True,
        edits=5,
    ),
}


def drafted(folder: Path, *options: str) -> dict[str, Any]:
    done = commanded("new", folder, *options)
    assert (done.returncode, done.stderr) == (0, "")
    return tomllib.loads((folder / "ride_day.toml").read_text(encoding="utf-8"))


ANSWERS = (*made.OF_THE_BIKE, (r"# rate_hz = <.*", "rate_hz = 100"))


def answered(folder: Path, points: Mapping[str, str]) -> int:
    """Fill in what the draft asks for, a line at a time; return how many lines that took."""
    file = folder / "ride_day.toml"
    text, edits = file.read_text(encoding="utf-8"), 0
    for asked, answer in (*ANSWERS, *((r"# points = .*", own) for own in points.values())):
        text, found = re.subn(rf"(?m)^{asked}$", answer, text, count=1)
        edits += found
    file.write_text(text, encoding="utf-8")
    return edits


def points_of(own: Mapping[str, Sensor]) -> dict[str, str]:
    full = {"front": 170.0, "rear": 62.5}
    return {
        end: f"points = [[{own[end].topped_out}, 0.0], [{own[end].full}, {full[end]}]]" for end in ("front", "rear")
    }


@pytest.mark.parametrize("name", FOLDERS)
def test_a_folder_of_an_unlike_logger(tmp_path: Path, name: str) -> None:
    case = FOLDERS[name]
    for stem, motion in case.logs.items():
        made.write(tmp_path / f"{stem}{case.ending}", motion, case.sensors, case.form)
    (tmp_path / "notes.txt").write_text("pumped up, 6.1 bar\n3 clicks\n", encoding="utf-8")
    day = drafted(tmp_path, *case.options)
    assert tuple(day["sensors"][sensor]["column"] for sensor in ("fork", "shock")) == case.columns
    assert tuple(run["log"] for run in day["runs"]) == case.runs
    if case.kinds is not None:
        assert {item["log"]: item["kind"] for item in day["static"]} == case.kinds
    assert ("date" in day["ride_day"]) is case.date
    assert answered(tmp_path, points_of(case.sensors)) <= case.edits
    done = commanded("check", tmp_path, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert {run["usable"] for run in json.loads(done.stdout)["runs"]} <= {"good", "with care"}


ONE_EACH = {
    "fork and shock": ("run_{}_fork", "run_{}_shock", "run_1"),
    "front and rear": ("front_{}", "rear_{}", "run_1"),
    "letters": ("f_{}", "r_{}", "run_1"),
    "German": ("Fahrt{}_Gabel", "Fahrt{}_Dämpfer", "fahrt_1"),
}


@pytest.mark.parametrize("name", ONE_EACH)
@pytest.mark.parametrize("own_names", [True, False])
def test_two_loggers_make_one_run(tmp_path: Path, name: str, *, own_names: bool) -> None:
    front, rear, run = ONE_EACH[name]
    columns = ("fork_pot", "shock_pot") if own_names else ("value", "value")
    own = sensors(*columns)
    for form, end in ((front, "front"), (rear, "rear")):
        for n in (1, 2):
            made.write(tmp_path / f"{form.format(n)}.csv", made.run(n), {end: own[end]}, Form())
        made.write(tmp_path / f"lifted_{form.format(1)}.csv", made.lifted(5), {end: own[end]}, Form())
    day = drafted(tmp_path)
    assert [item["log"] for item in day["runs"]] == [
        {"front": f"{front.format(n)}.csv", "rear": f"{rear.format(n)}.csv"} for n in (1, 2)
    ]
    assert day["runs"][0]["name"] == run
    assert {(item["kind"], item["end"]) for item in day["static"]} == {("lifted", "front"), ("lifted", "rear")}
    assert answered(tmp_path, points_of(own)) <= MOST_EDITED
    done = commanded("check", tmp_path, "--json")
    assert (done.returncode, done.stderr) == (0, "")


def test_clocks_go_before_names(tmp_path: Path) -> None:
    for name, hour in (("run_1", 11), ("run_2", 10), ("lifted_9", 9), ("sag_1", 10)):
        motion = made.MOTIONS[name.split("_")[0]](hour)
        stamp = Form(clock="time", stamp=lambda at, hour=hour: by_clock(at + (60 if hour == 10 else 0), hour=hour))
        late = Form(clock="time", stamp=lambda at: by_clock(at + 600, hour=10))
        made.write(tmp_path / f"{name}.csv", motion, BOTH, late if name == "sag_1" else stamp)
    day = drafted(tmp_path)
    assert [run["log"] for run in day["runs"]] == ["run_2.csv", "run_1.csv"]
    assert day["runs"][0]["started_at"] == dt.datetime(2026, 5, 16, 10, 13)
    assert {item["log"]: item["before_run"] for item in day["static"]} == {
        "lifted_9.csv": "run_2",
        "sag_1.csv": "run_1",
    }
    assert day["ride_day"]["date"] == dt.date(2026, 5, 16)


def test_a_named_sensor_that_does_not_move_is_asked_about(tmp_path: Path) -> None:
    for n in (1, 2):
        front, rear = made.run(n)
        made.write(tmp_path / f"run_{n}.csv", (0 * front, rear), sensors("fork_pot", "shock_pot"), Form())
    drafted(tmp_path)
    text = (tmp_path / "ride_day.toml").read_text(encoding="utf-8")
    assert 'TO DO is it column "fork_pot"? By its name it reads this end, but it doesn\'t move' in text


def test_a_named_column_that_holds_more_than_numbers_is_asked_about(tmp_path: Path) -> None:
    for n in (1, 2):
        log = made.write(tmp_path / f"run_{n}.csv", made.run(n), sensors("fork_pot", "shock_pot"), Form())
        log.write_text(re.sub(r"(?m)(\d)$", r"\1 cnt", log.read_text(encoding="utf-8")), encoding="utf-8")
    assert "shock" not in drafted(tmp_path)["sensors"]
    text = (tmp_path / "ride_day.toml").read_text(encoding="utf-8")
    assert '# TO DO column "shock_pot" reads an end by its name, but not in bare numbers (such as' in text


def test_millimetres_that_no_end_travels_are_asked_about(tmp_path: Path) -> None:
    for n in (1, 2):
        made.write(tmp_path / f"run_{n}.csv", made.run(n), sensors("fork_mm", "shock_mm"), Form())
    drafted(tmp_path)
    assert "# TO DO is it mm?" in (tmp_path / "ride_day.toml").read_text(encoding="utf-8")


def test_what_lies_beside_logs_is_no_log(tmp_path: Path) -> None:
    for n in (1, 2):
        made.write(tmp_path / f"run_{n}.csv", made.run(n), BOTH, Form())
    for name in ("notes.txt", "README.txt", "Notizen.txt", "report.csv", "ride_day.backup.txt", "ride_day_old.csv"):
        (tmp_path / name).write_text("a,b\n" + "1,2\n" * 200, encoding="utf-8")
    (tmp_path / "weather.txt").write_text("dry\nwarm\n", encoding="utf-8")
    (tmp_path / "shock curve.csv").write_text("stroke_mm,travel_mm\n0,0\n30,75\n62.5,165\n", encoding="utf-8")
    day = drafted(tmp_path)
    assert [run["log"] for run in day["runs"]] == ["run_1.csv", "run_2.csv"]
    assert day["bike"]["rear"] == {"leverage": "shock curve.csv", "stroke_mm": 62.5}


@pytest.mark.parametrize(
    ("recordings", "asked"),
    [
        (("lifted", "lifted_2"), {"lifted_2"}),
        (("lifted_1", "lifted_2"), {"lifted_2"}),
        (("lifted_1", "sag_2", "lifted_3"), {"sag_2", "lifted_3"}),
        (("lifted_1", "lifted_3"), set()),
        (("lifted_1", "lifted_2", "lifted_3"), set()),
        (("lifted", "lifted_before_run_2"), set()),
    ],
)
def test_a_number_that_may_count_recordings_is_asked_about(
    tmp_path: Path, recordings: tuple[str, ...], asked: set[str]
) -> None:
    """Taken for a run's number it would set zero from another run on than it was recorded before."""
    for name in ("run_1", "run_2", "run_3", *recordings):
        motion = made.run(3) if name.startswith("run") else made.MOTIONS[name.split("_")[0]](4)
        made.write(tmp_path / f"{name}.csv", motion, BOTH, Form())
    drafted(tmp_path)
    tables = (tmp_path / "ride_day.toml").read_text(encoding="utf-8").split("[[static]]")[1:]
    found = {
        name for name in recordings for table in tables if f'"{name}.csv"' in table and "TO DO check it: by" in table
    }
    assert found == asked
