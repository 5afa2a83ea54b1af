"""A day's answers and signals as files: read back they are what the day holds, and nothing is half."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from pyarrow import parquet

import telemetry
from telemetry.columnar import defused, write_frame
from telemetry.model.analysis import Analysis, Comparison
from telemetry.pipeline import export
from tests.cli.run_here import commanded
from tests.pipeline.small_days import make_day, trail, write_log

OWN = """
[customer]
name = "Ada Brook"
[shop]
name = "Bench Nine"
[[marks]]
run = "run_1"
at_s = 10.0
name = "=drop"
"""
UNIT = re.compile(r"_(s|mm|percent|mm_s|m_s|m_s2|hz)$")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a day of five runs, the last of which isn't ridden."""
    folder = make_day(tmp_path_factory.mktemp("day"), "abbaa", deeper_mm={"b": 9.0}, seconds=30.0, extra=OWN)
    front, stroke = trail(30.0, 5)
    write_log(folder / "run_5.csv", 0 * front + 40, 0 * stroke + 15)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace('title = "A test day"', 'title = "A test day"\nrider = "Cy Dell"')
    file.write_text(
        text.replace('log = "run_3.csv"', 'log = "run_3.csv"\nname = "+3"\nnote = "for Ada"'), encoding="utf-8"
    )
    return folder


@pytest.fixture(scope="module")
def answers(folder: Path) -> tuple[Analysis, Comparison]:
    day = telemetry.read_ride_day(folder)
    return telemetry.analyse(day), telemetry.compare(day)


@pytest.fixture(scope="module")
def out(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("out")
    for form in ("parquet", "csv"):
        done = commanded("export", folder, "--out", place / form, "--format", form)
        assert done.returncode == 0, done.stderr
        assert done.stdout.startswith("without signals of run_5: run_5: ")
        assert done.stderr == ""
    return place


def read(path: Path) -> pd.DataFrame:
    return pd.read_parquet(path) if path.suffix == ".parquet" else pd.read_csv(path)


def tables(answers: tuple[Analysis, Comparison]) -> dict[str, pd.DataFrame]:
    analysis, comparison = answers
    named = {"measures": analysis.measures, "findings": analysis.findings, "fairness": comparison.fairness}
    return named | {"hits": analysis.hits(), "returns": analysis.returns(), "verdicts": comparison.results}


def alike(one: pd.DataFrame, other: pd.DataFrame, text: Callable[[str], str]) -> None:
    """Hold two frames together: the same columns and values; what is missing is missing, whatever stands for it."""
    assert list(one.columns) == list(other.columns)
    assert len(one) == len(other) > 0
    for name in one:
        left, right = one[name], other[name]
        if pd.api.types.is_numeric_dtype(right) and not pd.api.types.is_bool_dtype(right):
            np.testing.assert_array_equal(left.to_numpy(float, na_value=np.nan), right.to_numpy(float, na_value=np.nan))
        else:
            found, wanted = (list(cells.astype(object).where(cells.notna(), "")) for cells in (left, right))
            assert found == [text(cell) if isinstance(cell, str) else cell for cell in wanted]


@pytest.mark.parametrize(("form", "text"), [("parquet", str), ("csv", defused)])
def test_tables_read_back_are_those_of_the_day(
    form: str, text: Callable[[str], str], out: Path, answers: tuple[Analysis, Comparison]
) -> None:
    for name, frame in tables(answers).items():
        alike(read(out / form / f"{name}.{form}"), frame, text)
    runs = set(read(out / form / f"hits.{form}")["run"])
    assert runs == {"run_1", "run_2", text("+3"), "run_4"}


@pytest.mark.parametrize("form", ["parquet", "csv"])
def test_signals_read_back_give_the_measures_again(
    form: str, out: Path, folder: Path, answers: tuple[Analysis, Comparison]
) -> None:
    files = sorted((out / form / "signals").iterdir())
    assert [file.name for file in files] == [
        f"0{n}_{run}.{form}" for n, run in enumerate(["run_1", "run_2", "_3", "run_4"], 1)
    ]
    ride = telemetry.load_ride(answers[0].day, "run_1")  # full travel is the day's, so every run's
    for file, run in zip(files, answers[0].runs, strict=False):
        signals = read(file)
        on_ground = signals[signals.riding_time & ~signals.airborne]
        for end, signal in ride.ends.items():
            sag = on_ground[f"{end}_travel_mm"].mean()
            p95 = signals.loc[signals.riding_time, f"{end}_travel_mm"].quantile(0.95)
            found = [100 * travel / signal.full_travel_mm for travel in (sag, p95)]
            assert found == pytest.approx([run.value(name, end) for name in ("dynamic_sag", "travel_p95")], rel=1e-12)


def test_columns_carry_their_units(out: Path) -> None:
    for file in (out / "parquet" / "signals").iterdir():
        assert all(UNIT.search(name) or name in ("riding_time", "airborne") for name in read(file))
    numbers = read(out / "parquet" / "hits.parquet").select_dtypes("number").columns
    assert all(UNIT.search(name) or name == "section" for name in numbers)


def test_parquet_carries_how_it_was_cleaned(out: Path, answers: tuple[Analysis, Comparison]) -> None:
    file = parquet.ParquetFile(out / "parquet" / "signals" / "01_run_1.parquet")
    told = {key.decode(): value.decode() for key, value in file.schema_arrow.metadata.items()}
    assert told["program"] == f"suspension-telemetry {telemetry.__version__}"
    assert told["definitions"].isdigit()
    assert told["run"] == "run_1"
    assert json.loads(told["history"]) == [step.to_dict() for step in answers[0].runs[0].history]
    column = file.metadata.row_group(0).column(1)
    assert column.compression == "ZSTD"
    assert "BYTE_STREAM_SPLIT" in column.encodings
    assert not any("DICTIONARY" in encoding for encoding in column.encodings)
    hits = parquet.read_schema(out / "parquet" / "hits.parquet").metadata
    assert json.loads(hits[b"conditioning"])["cutoff_hz"] == answers[0].conditioning["cutoff_hz"]


def test_the_file_beside_tells_all_that_is_known(out: Path, answers: tuple[Analysis, Comparison]) -> None:
    for form in ("parquet", "csv"):
        told = json.loads((out / form / "about.json").read_text(encoding="utf-8"))
        assert told["conditioning"] == json.loads(json.dumps(dict(answers[1].conditioning)))
        assert told["runs"][2] == {"run": "+3", "setup": "b", "order": 3, "signals": f"signals/03__3.{form}"}
        assert told["runs"][4]["signals"] is None
        assert list(told["no_hits"]) == ["run_5"]
        assert sorted(told["files"]) == sorted(
            path.relative_to(out / form).as_posix() for path in (out / form).rglob(f"*.{form}")
        )
        assert (told["rider"], told["customer"]["name"], told["shop"]["name"]) == ("Cy Dell", "Ada Brook", "Bench Nine")


def test_names_are_left_out_where_asked(folder: Path, tmp_path: Path) -> None:
    studied, written = list[str](), list[str]()
    day = telemetry.read_ride_day(folder)
    left = [replace(run, leave_out="Ada fell") if run.name == "run_4" else run for run in day.runs]
    done = export(
        replace(day, runs=tuple(left)),
        tmp_path / "out",
        "csv",
        names=False,
        progress=studied.append,
        writing=written.append,
    )
    assert (studied, written) == (["run_1", "run_2", "+3", "run_4", "run_5"], ["run_1", "run_2", "+3", "run_4"])
    for name in done.files:
        text = (tmp_path / "out" / name).read_text(encoding="utf-8")
        assert not any(own in text for own in ("Cy Dell", "Ada", "Bench Nine"))


def test_a_report_without_names_quotes_no_reason_for_a_run_left_out(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", "abb", seconds=20.0, extra='leave_out = "Ada fell"\n')
    for option, told in (("--without-names", False), ("--for=customer", True)):
        out = tmp_path / "report.html"
        done = commanded("report", folder, "--out", out, option)
        assert done.returncode == 0, done.stderr
        assert ("Ada fell" in out.read_text(encoding="utf-8")) == told


@pytest.mark.parametrize(
    "text", [*"=+-@＝＋－＠﹢﹣﹦﹫", "\t=1", "\r=1", '"=1+1"', "'=1", "  =1", ' " -1', "\u3000=1"]
)
def test_what_a_spreadsheet_would_run_is_defused(text: str, tmp_path: Path) -> None:
    frame = pd.DataFrame(
        {"text": [text, "fine = 1", None, text], "number": [-1.5, np.nan, -0.0, 2.0], "count": [-1, 0, 1, 2]}
    )
    back = pd.read_csv(write_frame(tmp_path, "frame", frame, {}, "csv"), keep_default_na=False)
    assert list(back["text"]) == [f"'{text}", "fine = 1", "", f"'{text}"]
    assert list(back["number"]) == ["-1.5", "", "-0", "2"]
    assert list(back["count"]) == [-1, 0, 1, 2]


def test_a_folder_with_other_files_is_refused_and_left_as_it_is(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", encoding="ascii")
    done = commanded("export", folder, "--out", tmp_path)
    assert done.returncode == 2
    assert "a folder that isn't empty; expected a new or an empty folder" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_a_day_of_one_setup_is_written_without_verdicts(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", "a", seconds=30.0)
    done = commanded("export", day, "--out", tmp_path / "out")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("without verdicts: fewer than two setups have a usable run\nwrote ")
    assert not (tmp_path / "out" / "verdicts.parquet").exists()


def test_a_day_that_gives_nothing_leaves_nothing(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", "a", seconds=30.0)
    write_log(day / "run_1.csv", np.full(7500, 40.0), np.full(7500, 15.0))
    done = commanded("export", day, "--out", tmp_path / "out")
    assert done.returncode == 2
    assert "no usable run" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["day"]
