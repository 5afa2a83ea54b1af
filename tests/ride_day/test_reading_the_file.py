"""The file itself: found, readable, TOML; every error at once, by key, with what was found and expected."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry.errors import Problem, RideDayError, TelemetryError
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]


def test_the_days_own_keys_are_read(read: Read, folder: Path) -> None:
    day = read()
    assert (day.title, day.date) == ("Oil in the lowers", dt.date(2026, 5, 16))
    assert (day.trail, day.trail_state, day.rider) == ("Slate quarry", "dry", "R1")
    assert (day.rider_mass_kg, day.air_temperature_c, day.altitude_m) == (84.0, 14.0, 420.0)
    assert (day.bike.name, day.bike.wheelbase_mm, day.bike.head_angle_deg, day.bike.mass_kg) == (
        "Shop mule",
        1252.0,
        64.0,
        24.5,
    )
    assert day.path.name == "ride_day.toml"
    assert day.folder.resolve() == folder.resolve()
    assert (day.hard_bottom_out_mm_s, day.cutoff_hz) == (600.0, 60.0)


def test_the_folder_and_the_file_give_the_same_day(read: Read, folder: Path) -> None:
    assert read() == read_ride_day(folder / "ride_day.toml") == read_ride_day(str(folder))


def test_measures_and_conditioning_replace_the_defaults(read: Read) -> None:
    day = read(more="[measures]\nhard_bottom_out_mm_s = 800\n[conditioning]\ncutoff_hz = 45\n")
    assert (day.hard_bottom_out_mm_s, day.cutoff_hz) == (800.0, 45.0)


def test_shop_and_customer_are_kept_as_text(read: Read) -> None:
    day = read(more='[shop]\nname = "Kettle Lane"\ncontact = "bench@example.org"\n[customer]\nbike = "the old one"\n')
    assert day.shop["contact"] == "bench@example.org"
    assert day.customer["bike"] == "the old one"


def test_geometry_is_kept_in_mm(read: Read) -> None:
    day = read(more="[bike.geometry]\nfront_wheel_diameter_mm = 752\naxle_to_crown_in = 22.5\n")
    assert day.bike.geometry == {"front_wheel_diameter_mm": 752.0, "axle_to_crown_mm": pytest.approx(571.5)}


def test_a_chainstay_is_checked_and_kept(read: Read, problems: Problems) -> None:
    assert read(more="[bike.geometry]\nchainstay_in = 17.5\n").bike.geometry == {"chainstay_mm": pytest.approx(444.5)}
    assert "bike.geometry.chainstay_mm" in problems(more="[bike.geometry]\nchainstay_mm = 4460\n")


@pytest.mark.parametrize("missing", ["", "elsewhere", "nothing.toml"])
def test_a_file_that_isnt_there(folder: Path, missing: str) -> None:
    with pytest.raises(TelemetryError, match=r"no (such )?(file|folder)|no ride_day\.toml"):
        read_ride_day(folder / missing)


def test_a_folder_named_like_the_file(folder: Path) -> None:
    (folder / "ride_day.toml").mkdir()
    with pytest.raises(TelemetryError, match="a folder"):
        read_ride_day(folder)


def test_a_pipe_in_place_of_the_file_does_not_hang(folder: Path) -> None:
    os.mkfifo(folder / "ride_day.toml")
    with pytest.raises(TelemetryError, match="no ordinary file"):
        read_ride_day(folder)


def test_a_file_far_too_large_is_refused_before_it_is_read(folder: Path) -> None:
    with (folder / "ride_day.toml").open("wb") as file:
        file.truncate(1 << 32)
    with pytest.raises(TelemetryError, match=r"MB|GB|larger"):
        read_ride_day(folder)


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_a_day_keeps_what_it_was_read_from(read: Read, folder: Path, bom: bytes, end: bytes) -> None:
    plain, file = read(), folder / "ride_day.toml"
    source = bom + file.read_bytes().replace(b"\n", end)
    file.write_bytes(source)
    day = read_ride_day(folder)
    assert day == plain
    assert day.source == source
    assert day.fingerprint == hashlib.sha256(source).hexdigest()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(read: Read, folder: Path) -> None:
    read()
    (folder / "ride_day.toml").chmod(0)
    with pytest.raises(TelemetryError, match="permission"):
        read_ride_day(folder)


def test_no_permission_is_one_error(read: Read, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read()

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    for name in ("open", "read_bytes", "read_text"):
        monkeypatch.setattr(Path, name, refuse)
    with pytest.raises(TelemetryError, match="permission"):
        read_ride_day(folder)


def test_text_that_isnt_utf_8(folder: Path) -> None:
    (folder / "ride_day.toml").write_bytes('[ride_day]\ntitle = "Grüne Wand"\n'.encode("cp1252"))
    with pytest.raises(TelemetryError, match="UTF-8"):
        read_ride_day(folder)


def test_a_byte_order_mark_and_crlf_are_taken(read: Read, folder: Path) -> None:
    plain = read()
    text = (folder / "ride_day.toml").read_text(encoding="utf-8").replace("\n", "\r\n")
    (folder / "ride_day.toml").write_bytes(b"\xef\xbb\xbf" + text.encode("utf-8"))
    assert read_ride_day(folder) == plain


def test_broken_toml_names_the_line(folder: Path) -> None:
    (folder / "ride_day.toml").write_text("[ride_day]\ndate = 2026-05-16\ntitle = \n", encoding="utf-8")
    with pytest.raises(TelemetryError, match="line 3"):
        read_ride_day(folder)


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000,
        "a = " + "{b=" * 50_000,
        "a = " + "9" * 5000,
        "a.b = 1\na = 2",
        "[ride_day]\ndate = 2026-13-45",
        'a = "\\ud800"',
        "\x00",
    ],
    ids=["nested lists", "nested tables", "endless digits", "key twice", "no such date", "surrogate", "null byte"],
)
def test_hostile_toml_is_one_error(folder: Path, text: str) -> None:
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    with pytest.raises(TelemetryError, match=r"ride_day\.toml") as caught:
        read_ride_day(folder)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("text", ["", "# nothing yet\n"])
def test_an_empty_file_asks_for_what_is_required(folder: Path, text: str) -> None:
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    with pytest.raises(RideDayError, match="ride_day") as caught:
        read_ride_day(folder)
    assert any("ride_day" in problem.key for problem in caught.value.problems)


def test_every_error_is_listed_at_once_in_file_order(problems: Problems) -> None:
    found = problems(
        ("wheelbase_mm = 1252", 'wheelbase_mm = "long"'),
        ("rider_mass_kg = 84", "rider_mass_kg = nan"),
        ('kind = "displacement"\nend = "front"', 'kind = "displacment"\nend = "front"'),
        ("lower_leg_oil_each_ml = 20", "lower_leg_oil_each_ml = -3"),
        ('log = "run_2.csv"\nsetup = "oil_8"', 'log = "run_2.csv"\nsetup = "oil_9"'),
    )
    assert [key for key in found if key not in ("sensors.fork", "sensors.fork.kind")] == [
        "ride_day.rider_mass_kg",
        "bike.wheelbase_mm",
        "setups.oil_20.front.lower_leg_oil_each_ml",
        "runs[2].setup",
    ]
    assert {"sensors.fork", "sensors.fork.kind"} & set(found)


def test_the_error_names_the_first_key_and_how_many_more(read: Read) -> None:
    with pytest.raises(RideDayError, match=r"ride_day\.rider_mass_kg: found 'heavy'.*1 more") as caught:
        read(("rider_mass_kg = 84", 'rider_mass_kg = "heavy"'), ("mass_kg = 24.5", "mass_kg = 9000"))
    assert pickle.loads(pickle.dumps(caught.value)).problems == caught.value.problems  # noqa: S301


@pytest.mark.parametrize(
    ("old", "new", "key", "near"),
    [
        (
            "measured_travel_mm = 168.5",
            "measured_travle_mm = 168.5",
            "bike.front.measured_travle_mm",
            "measured_travel_mm",
        ),
        ("trail_state", "trail_sate", "ride_day.trail_sate", "trail_state"),
        ("[bike.front]", "[bike.frnt]", "bike.frnt", "front"),
        ("air_pressure_bar = 6.1", "air_presure_psi = 88", "setups.oil_20.front.air_presure_psi", "air_pressure_psi"),
        ("counts_range", "count_range", "sensors.fork.count_range", "counts_range"),
        ("of = 16", "off = 16", "setups.oil_20.front.low_speed_compression.off", "of"),
        ("[comparison]", "[comparisn]", "comparisn", "comparison"),
        ("started_at = 2026-05-16T09:12:00", "startd_at = 2026-05-16T09:12:00", "runs[1].startd_at", "started_at"),
        ('load = "standing"', 'laod = "standing"', "static[2].laod", "load"),
    ],
)
def test_a_typo_gets_the_nearest_key(problems: Problems, old: str, new: str, key: str, near: str) -> None:
    problem = problems((old, new))[key]
    assert "unknown key" in problem.found
    assert f"'{near}'" in problem.expected


def test_a_key_of_another_table_is_not_offered_back(problems: Problems) -> None:
    problem = problems(("wheelbase_mm = 1252", "travel_mm = 170"))["bike.travel_mm"]
    assert "unknown key 'travel_mm'" in problem.found
    assert "nearest: 'travel_mm'" not in problem.expected


@pytest.mark.parametrize(
    ("old", "new", "key", "expected"),
    [
        ("rider_mass_kg = 84", 'rider_mass_kg = "84"', "ride_day.rider_mass_kg", "number"),
        ("rider_mass_kg = 84", "rider_mass_kg = true", "ride_day.rider_mass_kg", "number"),
        ("date = 2026-05-16", 'date = "16 May"', "ride_day.date", "date"),
        ("date = 2026-05-16", "date = 2026-05-16T09:00:00", "ride_day.date", "date"),
        ('title = "Oil in the lowers"', "title = 7", "ride_day.title", "text"),
        ("points = [[212, 0.0], [3770, 170.0]]", "points = 3770", "sensors.fork.points", "list"),
        ("points = [[212, 0.0], [3770, 170.0]]", "points = [[212], [3770, 170.0]]", "sensors.fork.points[1]", "two"),
        ('calibration = "line"', 'calibration = "spline"', "sensors.fork.calibration", "line"),
        ('end = "front"', 'end = "fornt"', "sensors.fork.end", "front"),
        ("started_at = 2026-05-16T09:12:00", 'started_at = "nine"', "runs[1].started_at", "date"),
        ("started_at = 2026-05-16T09:12:00", "started_at = 09:12:00", "runs[1].started_at", "date"),
        ('kind = "lifted"', 'kind = "up"', "static[1].kind", "lifted"),
        ('load = "standing"', 'load = "lying"', "static[2].load", "standing"),
        ("counts_range = [0, 4095]", "counts_range = [4095, 0]", "sensors.fork.counts_range", "lowest"),
        ('unit = "ms"', 'unit = "hours"', "log.time.unit", "us"),
    ],
)
def test_a_wrong_type_or_word_says_what_was_expected(
    problems: Problems, old: str, new: str, key: str, expected: str
) -> None:
    assert expected in problems((old, new))[key].expected


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("travel_mm = 170", "travel_mm = 1700", "bike.front.travel_mm", "mm"),
        ("mass_kg = 24.5", "mass_kg = 2450", "bike.mass_kg", "kg"),
        ("head_angle_deg = 64.0", "head_angle_deg = 6.4", "bike.head_angle_deg", "degrees"),
        ("air_temperature_c = 14", "air_temperature_c = 140", "ride_day.air_temperature_c", "°C"),
        ("air_pressure_bar = 6.1", "air_pressure_bar = 610", "setups.oil_20.front.air_pressure_bar", "bar"),
        ("spring_rate_n_mm = 80", "spring_rate_n_mm = -80", "setups.oil_20.rear.spring_rate_n_mm", "N/mm"),
        (
            "lower_leg_oil_each_ml = 20",
            "lower_leg_oil_each_ml = 1e7",
            "setups.oil_20.front.lower_leg_oil_each_ml",
            "ml",
        ),
    ],
)
def test_an_impossible_number_gets_the_range_and_the_unit(
    problems: Problems, old: str, new: str, key: str, words: str
) -> None:
    expected = problems((old, new))[key].expected
    assert " to " in expected
    assert words in expected


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "9" * 400])
@pytest.mark.parametrize(
    ("old", "place", "key"),
    [
        ("wheelbase_mm = 1252", "wheelbase_mm = {}", "bike.wheelbase_mm"),
        ("air_pressure_bar = 6.1", "air_pressure_psi = {}", "setups.oil_20.front.air_pressure_psi"),
        ("[212, 0.0]", "[{}, 0.0]", "sensors.fork.points"),
        ("counts_range = [0, 4095]", "counts_range = [0, {}]", "sensors.fork.counts_range"),
        ("of = 18 }", "of = {} }}", "setups.oil_20.front.rebound.of"),
        ('setup = "oil_8"', 'setup = "oil_8"\nstart_s = {}', "runs[2].start_s"),
        ("[setups.oil_20.rear]", "[setups.oil_20.other]\nshim = {}\n[setups.oil_20.rear]", "setups.oil_20.other.shim"),
    ],
)
def test_nan_infinity_and_endless_numbers_are_refused_everywhere(
    problems: Problems, value: str, old: str, place: str, key: str
) -> None:
    found = problems((old, place.format(value)))
    assert any(name.startswith(key) for name in found)


def test_a_dirt_bike_passes(read: Read) -> None:
    day = read(
        ("travel_mm = 170\nmeasured_travel_mm = 168.5\nbumper_touch_mm = 161", "travel_mm = 350"),
        ("mass_kg = 24.5", "mass_kg = 250"),
        ("wheelbase_mm = 1252", "wheelbase_mm = 1485"),
        ('stroke_mm = 62.5\nleverage = "leverage.csv"', "stroke_mm = 132\nratio = 2.65"),
        ("travel_mm = 165", "travel_mm = 350"),
        ("air_pressure_bar = 6.1", "oil_level_mm = 110\npreload_mm = 8\nspring_rate_n_mm = 4.6"),
    )
    assert day.setups["oil_20"].front.full_travel_mm == 350.0
    assert day.setups["oil_20"].rear.full_travel_mm == pytest.approx(2.65 * 132)


def test_control_characters_do_not_reach_the_message(read: Read) -> None:
    with pytest.raises(RideDayError, match="setups") as caught:
        read(("[setups.oil_8]", '[setups."x\\u001b[31m\\n"]\ntravle = 1\n[setups.oil_8]'))
    assert "\x1b" not in str(caught.value)
    assert "\n" not in str(caught.value)
    assert all("\x1b" not in problem.line and "\n" not in problem.line for problem in caught.value.problems)


def test_a_day_without_runs_is_read(read: Read, folder: Path) -> None:
    text = "[ride_day]\ndate = 2026-05-16\n[bike.front]\ntravel_mm = 170\n[setups.a]\n[setups.b.rear]\npreload_mm = 2\n"
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    day = read_ride_day(folder)
    assert day.runs == ()
    assert list(day.setups) == ["a", "b"]


def test_importing_the_reader_loads_no_pandas() -> None:
    code = "import sys, telemetry.ride_day; print([m for m in ('pandas', 'bokeh', 'pyarrow') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
