"""Days found again by what was written of them, and a bike over its days."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

import telemetry
from telemetry.errors import CallError
from tests.cli.run_here import commanded
from tests.library.conftest import One
from tests.library.small_library import found, kept, small_day
from tests.pipeline.setup_days import make_setup_day


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two days of a mule and one of another bike, each with air of 6 bar in setup a and 7 in setup b."""
    place = tmp_path_factory.mktemp("found")
    for number, (date, name, title) in enumerate(
        (
            ("2026-03-01", "Mule One", "Winter frost"),
            ("2026-04-02", "Mule One", "Spring frost"),
            ("2026-05-03", "Große Gabel", "Oil"),
        )
    ):
        kept(small_day(place / f"day_{number}", date=date, name=name, title=title), place / "days")
    return place / "days"


@pytest.mark.parametrize(
    ("wanted", "titles"),
    [
        ({}, ["Oil", "Spring frost", "Winter frost"]),
        ({"words": "FROST mule"}, ["Spring frost", "Winter frost"]),
        ({"words": "frost gabel"}, []),
        ({"words": "GROSSE"}, ["Oil"]),
        ({"words": "100%_"}, []),
        ({"bike": "mule"}, ["Spring frost", "Winter frost"]),
        ({"customer": "ann ex"}, ["Oil", "Spring frost", "Winter frost"]),
        ({"customer": "bob"}, []),
        ({"since": "2026-04-02"}, ["Oil", "Spring frost"]),
        ({"until": "2026-04-02", "since": "2026-03-02"}, ["Spring frost"]),
        ({"settings": ("air_pressure_bar=6",)}, ["Oil", "Spring frost", "Winter frost"]),
        ({"settings": ("front.air_pressure_psi=87.0226",)}, ["Oil", "Spring frost", "Winter frost"]),
        ({"settings": ("rear.air_pressure_bar=6",)}, []),
        ({"settings": ("air_pressure_bar=6", "front.air_pressure_bar=7")}, []),  # never in one setup
        ({"settings": ("tyre_insert=1",)}, []),  # a key that could be, and isn't stated
    ],
)
def test_each_part_narrows_the_search(root: Path, wanted: dict[str, object], titles: list[str]) -> None:
    assert [day.title for day in found(root, **wanted)] == titles


def test_a_search_loads_nothing_heavy(root: Path) -> None:
    code = (
        "import sys\nfrom telemetry.cli import main\n"
        "try: main(['find', '--library', sys.argv[1]])\nexcept SystemExit: pass\n"
        "heavy = {'pandas', 'scipy', 'pyarrow', 'bokeh', 'dask', 'pydantic', 'telemetry.pipeline'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code, root], check=True, capture_output=True, text=True)
    assert done.stdout.splitlines()[-2:] == ["3 kept days", "[]"]


def test_a_date_that_is_none_is_refused_in_plain_words(root: Path) -> None:
    done = commanded("find", "--from", "2026-05", "--library", root)
    assert done.returncode == 2
    assert "--from" in done.stderr
    assert "'2026-05' is no date; write it as 2026-05-16" in done.stderr


def test_verdicts_are_found_as_the_comparison_gave_them(one: One) -> None:
    results = telemetry.compare(telemetry.read_ride_day(one.day)).results
    for verdict in ("changed", "unchanged", "undecided"):
        rows = results[results["verdict"] == verdict]
        assert bool(found(one.root, verdict=verdict)) == (len(rows) > 0)
        for row in rows.itertuples():
            assert found(one.root, verdict=f"{row.measure}:{row.end}={verdict}")
    assert not found(one.root, verdict="no_such_measure=changed")


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        ({"settings": ("air_presure_bar=6",)}, "Did you mean air_pressure_bar"),
        ({"settings": ("air_pressure_bar",)}, "expected KEY=VALUE"),
        ({"settings": ("=6",)}, "expected KEY=VALUE"),
        ({"verdict": "better"}, "expected changed, unchanged, undecided"),
        ({"verdict": "dynamic_sag:front=better"}, "expected changed, unchanged, undecided"),
    ],
)
def test_what_cannot_be_looked_for_is_one_clear_line(root: Path, wanted: dict[str, object], said: str) -> None:
    with pytest.raises(CallError, match=said):
        found(root, **wanted)


def test_find_as_json_and_as_lines(root: Path) -> None:
    line = ("find", "spring", "--customer", "ann", "--from", "2026-01-01", "--library", root)
    (day,) = json.loads(commanded(*line, "--json").stdout)["days"]
    wanted = {"id", "title", "date", "bike", "customer", "trail", "setups", "headline", "definitions"}
    assert wanted <= day.keys()
    assert (day["date"], day["customer"], day["setups"]) == ("2026-04-02", "Ann Example", ["a", "b"])
    told = commanded(*line).stdout.splitlines()
    assert told[0].startswith(f"{day['id']}  Spring frost · Mule One")
    assert told[-1] == "1 kept day"
    assert commanded("find", "donkey", "--library", root).stdout == "no kept day is like that\n"


def test_history_is_the_mean_of_each_setups_runs(root: Path) -> None:
    told = json.loads(commanded("history", "mule", "--library", root, "--json").stdout)
    assert told["bike"] == "Mule One"
    assert len(told["days"]) == 2
    with telemetry.open_library(root) as days:
        measures = telemetry.analyse(days.day(told["days"][0])).measures
        frame = days.history("Mule One")
    rows = {(row["measure"], row["end"]): row["values"] for row in told["measures"]}
    for (name, end), values in rows.items():
        own = measures[(measures["measure"] == name) & (measures["end"] == end)]
        for setup, wanted in own.groupby("setup")["value"]:
            (value,) = [row for row in values if (row["day"], row["setup"]) == (told["days"][0], setup)]
            assert value["value"] == pytest.approx(wanted.mean())
            assert value["n"] == len(wanted)
    assert len(frame) == sum(map(len, rows.values()))


def test_settings_are_those_of_the_last_days_last_run(root: Path) -> None:
    told = json.loads(commanded("settings", "MULE one", "--library", root, "--json").stdout)
    assert (told["date"], told["setup"]) == ("2026-04-02", "b")
    (air,) = [row for row in told["settings"] if row["key"] == "air_pressure_bar"]
    assert (air["end"], air["value"], air["unit"]) == ("front", 7.0, "bar")
    shown = commanded("settings", "mule one", "--library", root).stdout
    assert shown.startswith("Mule One, as left on 2026-04-02")
    assert "air pressure" in shown


def test_a_day_of_recordings_with_one_setup_tells_how_the_bike_was_left(tmp_path: Path) -> None:
    day, root = make_setup_day(tmp_path / "evening"), tmp_path / "library"
    file = day / "ride_day.toml"
    second = '[setups.b]\nbased_on = "a"\n[setups.b.front]\nrebound = { clicks_from_closed = 4, of = 12 }\n'
    text = file.read_text(encoding="utf-8").replace("[[static]]", f"{second}[[static]]", 1)
    file.write_text(text.replace('setup = "a"', 'setup = "b"'), encoding="utf-8")
    kept(day, root)
    told = json.loads(commanded("settings", "mule", "--library", root, "--json").stdout)
    assert (told["date"], told["setup"]) == ("2026-05-16", "b")
    assert "rebound" in {row["key"] for row in told["settings"]}
    file.write_text(text, encoding="utf-8")
    for _ in range(2):
        file.write_text(file.read_text(encoding="utf-8").replace('setup = "a"', 'setup = "b"', 1), encoding="utf-8")
    kept(day, root)  # two with b, two with a
    assert commanded("settings", "mule", "--library", root).returncode == 2


def test_one_measures_history_alone(root: Path) -> None:
    shown = commanded("history", "mule", "--measure", "hits_per_min", "--library", root).stdout
    assert "Hits a minute, front" in shown
    assert "sag" not in shown.split("With --measure")[0]
    done = commanded("history", "mule", "--measure", "hits", "--library", root)
    assert done.returncode == 2
    assert "found no hits of 'mule'" in done.stderr


@pytest.mark.parametrize(("asked", "said"), [("donkey", "no bike 'donkey'"), ("", "no bike"), ("e", "several bikes")])
def test_a_bike_that_is_not_meant_alone_is_asked_for(root: Path, asked: str, said: str) -> None:
    done = commanded("history", asked, "--library", root)
    assert done.returncode == 2
    assert said in done.stderr


def test_no_library_is_one_clear_line_and_none_is_begun(tmp_path: Path) -> None:
    for words in (["find"], ["history", "x"], ["settings", "x"], ["forget", "x"], ["library", "check"]):
        done = commanded(*words, "--library", tmp_path / "none")
        assert done.returncode == 2
        assert "found no library" in done.stderr
    assert not (tmp_path / "none").exists()
