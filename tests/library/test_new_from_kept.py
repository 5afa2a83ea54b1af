"""`telemetry new` like a bike's last kept day: by the columns of its logs, by name, and not at all."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from telemetry.library.catalogue import FILE
from telemetry.ride_day import read_ride_day
from tests.cli.run_here import commanded
from tests.library.conftest import One
from tests.library.small_library import kept, said
from tests.pipeline.setup_days import make_setup_day


@pytest.fixture
def logs(one: One, tmp_path: Path) -> Path:
    """Return a folder of further logs of the bike."""
    folder = tmp_path / "2026-06-20 next"
    folder.mkdir()
    for number in (1, 2):
        shutil.copy(one.day / f"run_{number}.csv", folder)
    return folder


def drafted(folder: Path) -> str:
    return (folder / "ride_day.toml").read_text(encoding="utf-8")


def test_the_bikes_last_day_is_the_pattern_where_its_logs_have_the_same_columns(one: One, logs: Path) -> None:
    done = commanded("new", logs, "--library", one.root)
    assert (done.returncode, done.stderr) == (0, "")
    assert f"taken over from {one.id}, the last kept day of Test mule: bike, sensors, calibration" in done.stdout
    assert "--from-nothing" in done.stdout
    text, before, day = drafted(logs), read_ride_day(one.day), read_ride_day(logs)
    assert text.startswith(f"# Taken over from the kept day {one.id} of Test mule:\n")
    assert (day.bike, day.sensors) == (before.bike, before.sensors)
    assert [*day.setups] == ["b"]  # the last that was ridden; a isn't what it is based on
    assert day.setups["b"] == before.setups["b"]
    assert {run.setup for run in day.runs} == {"b"}
    assert text.count("# TO DO check it: as the bike was left") == 2
    assert '# [setups.changed]\n# based_on = "b"\n' in text
    assert "# TO DO state trail and rider" in text
    assert str(day.date) == "2026-06-20"


def test_nobodys_name_nor_what_was_that_days_comes_along(one: One, logs: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(one.day, tmp_path / "other"))
    file = other / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace(
        "[bike]\n",
        'trail = "Quarry loop"\nrider = "Bo Rider"\nrider_mass_kg = 81\naltitude_m = 900\nair_temperature_c = 7\n'
        "# for Ann Example, who wants it soft\n[bike]\n",
        1,
    )
    text = text.replace("label = 'setup b'", 'label = "as Ann Example likes it"')
    text += '[comparison]\nbaseline = "a"\nfocus = ["dynamic_sag:front"]\n'
    text += '[[marks]]\nrun = "run_1"\nat_s = 2\nname = "gate"\n'
    text += '[plan]\nrun_min = 4\n[wish]\nless = "dynamic_sag:front"\n'
    file.write_text(text, encoding="utf-8")
    kept(said(other, date="2026-05-17"), one.root)
    assert commanded("new", logs, "--library", one.root).returncode == 0
    text = drafted(logs)
    for gone in (
        "Ann",
        "customer]",
        "Bo",
        "81",
        "900",
        "Quarry",
        "air_temperature",
        "focus",
        "gate",
        "run_min",
        "less",
    ):
        assert gone not in text
    assert read_ride_day(logs).setups["b"].label == "as name-removed likes it"
    assert "2026-05-17" in text


def test_a_setup_comes_with_those_it_is_based_on(one: One, logs: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(one.day, tmp_path / "other"))
    file = other / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("[setups.b]\n", '[setups.b]\nbased_on = "a"\n', 1)
    file.write_text(text + "[setups.never]\n[setups.never.front]\nair_pressure_bar = 9\n", encoding="utf-8")
    kept(said(other, date="2026-05-17"), one.root)
    commanded("new", logs, "--library", one.root)
    assert [*read_ride_day(logs).setups] == ["a", "b"]


def test_the_candidate_that_is_filled_in_is_read(one: One, logs: Path) -> None:
    commanded("new", logs, "--library", one.root)
    file = logs / "ride_day.toml"
    lines = file.read_text(encoding="utf-8").replace("<bar>", "7.5").split("\n")
    start = next(place for place, line in enumerate(lines) if line == "# [setups.changed]")
    lines[start : start + 4] = [line.removeprefix("# ") for line in lines[start : start + 4]]
    file.write_text("\n".join(lines), encoding="utf-8")
    assert read_ride_day(logs).setups["changed"].front.settings["air_pressure_bar"].value == 7.5


def test_other_columns_another_library_or_the_switch_take_nothing_over(one: One, logs: Path, tmp_path: Path) -> None:
    assert commanded("new", logs, "--from-nothing", "--library", one.root).returncode == 0
    assert "Taken over" not in drafted(logs)
    again = commanded("new", logs, "--bike", "mule", "--library", one.root)
    assert (again.returncode, "a ride day already" in again.stderr) == (2, True)
    assert "Taken over" not in drafted(logs)
    (logs / "ride_day.toml").unlink()
    for log in logs.iterdir():
        log.write_text(log.read_text(encoding="utf-8").replace("t_ms,A0,A1", "t_ms,A0,A2", 1), encoding="utf-8")
    done = commanded("new", logs, "--library", one.root)
    assert "taken over" not in done.stdout
    assert "Taken over" not in drafted(logs)
    (logs / "ride_day.toml").unlink()
    done = commanded("new", logs, "--bike", "mule", "--library", one.root)  # asked for: what lacks is told
    assert "# TO DO sensors.shock reads" in drafted(logs)
    assert "log.time" not in drafted(logs)
    missing = commanded("new", tmp_path, "--library", tmp_path / "nowhere")
    assert (missing.returncode, "found no library" in missing.stderr) == (2, True)


def test_what_is_marked_in_logs_of_other_columns_is_all_that_check_asks_for(one: One, logs: Path) -> None:
    for log in logs.iterdir():
        log.write_text(
            log.read_text(encoding="utf-8").replace("t_ms,A0,A1", "clock_ms,front,rear", 1), encoding="utf-8"
        )
    done = commanded("new", logs, "--bike", "mule", "--library", one.root)
    asked = {"sensors.fork": ("A0", "front"), "sensors.shock": ("A1", "rear"), "log.time": ("t_ms", "clock_ms")}
    text = drafted(logs)
    for key, (before, now) in asked.items():
        line = f'{key} reads "{before}", which none of these logs holds: "{now}" may be it'
        assert line in done.stdout
        assert f"# TO DO {line}\n" in text
        text = text.replace(f'column = "{before}"', f'column = "{now}"')
    (logs / "ride_day.toml").write_text(text, encoding="utf-8")
    assert commanded("check", logs).returncode == 0


def test_recordings_without_a_run_have_the_setup_that_was_left(one: One, tmp_path: Path) -> None:
    folder = tmp_path / "2026-06-20 bench"
    folder.mkdir()
    for name in ("lifted_1", "bounce_1"):
        shutil.copy(one.day / "run_1.csv", folder / f"{name}.csv")
    commanded("new", folder, "--library", one.root)
    assert {item.setup for item in read_ride_day(folder).static} == {"b"}
    assert drafted(folder).count('setup = "b"        # TO DO check it: as the bike was left') == 2
    (folder / "ride_day.toml").unlink()
    commanded("new", folder, "--like", one.day)
    assert {item.setup for item in read_ride_day(folder).static} == {"b"}


def test_a_kept_day_of_recordings_alone_is_a_pattern_too(logs: Path, tmp_path: Path) -> None:
    day, root = make_setup_day(tmp_path / "bench"), tmp_path / "library"
    name = kept(day, root)
    done = commanded("new", logs, "--library", root)
    assert f"taken over from {name}, the last kept day of Test mule" in done.stdout
    assert {run.setup for run in read_ride_day(logs).runs} == {"a"}


def test_several_bikes_are_offered_and_none_is_taken(one: One, logs: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(one.day, tmp_path / "other"))
    kept(said(other, date="2026-05-18", name="Test pony"), one.root)
    done = commanded("new", logs, "--library", one.root)
    assert (
        "several bikes' kept logs have these columns, 1 Test pony (2026-05-18), 2 Test mule (2026-05-16)" in done.stdout
    )
    assert "Taken over" not in drafted(logs)
    (logs / "ride_day.toml").unlink()
    commanded("new", logs, "--library", one.root, "--bike", "pony")
    assert read_ride_day(logs).bike.name == "Test pony"
    assert commanded("new", logs, "--library", one.root, "--bike", "cat").returncode == 2


def test_a_library_that_is_not_whole_keeps_nobody_from_a_draft(
    one: One, logs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TELEMETRY_LIBRARY", str(one.root))
    (one.root / FILE).write_bytes(b"torn" * 4000)
    done = commanded("new", logs)
    assert done.returncode == 0
    assert "no kept day is looked for: " in done.stdout
    assert "a damaged catalogue" in done.stdout


def test_the_three_ways_are_not_mixed(one: One, logs: Path) -> None:
    done = commanded("new", logs, "--like", one.day, "--bike", "mule")
    assert (done.returncode, "more than one of --like, --bike, --from-nothing" in done.stderr) == (2, True)
