"""What the parts do, as a tuner reads it: what differs first, then what is read first; the rest in full."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from telemetry.model.bench import Bench, EndBench
from telemetry.model.bench_figures import Ranged
from telemetry.telling.bench import LET_OUT, begin_tables, bench_sheet, notes, part_table, tables_by_place
from telemetry.telling.bench_words import NO_DIFFERENCE, absent_lines, bench_against, remarks, rounded
from tests.bench.bench_days import POINTS, benched
from tests.cli.run_here import commanded


@pytest.fixture(scope="module", autouse=True)
def few_draws() -> Iterator[None]:
    """What is said doesn't hang on how many draws its ranges rest on, and every draw works out all setups."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("telemetry.pipeline.benching.DRAWS", 24)
        yield


@pytest.fixture(scope="module")
def less_oil(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return benched(tmp_path_factory.mktemp("less_oil"))


def test_it_begins_with_what_differs_and_its_numbers(less_oil: Bench) -> None:
    _, first, *lines = less_oil.summary().splitlines()
    assert first == "8 ml, against 20 ml: lower-leg oil, front: 20 → 8 ml each"
    deep, sag = lines[:2]
    apart = less_oil.apart(("front", "springs", "force at 80 % of travel, fast", "N"), "b")
    assert apart is not None
    assert f"{-apart.value:.0f} N less at 80 % ({-apart.high:.0f} to {-apart.low:.0f})" in deep
    assert deep.endswith("of the front's travel, as it rides.")
    assert "rest" in sag


def test_a_difference_of_sag_has_its_range_in_millimetres(tmp_path: Path) -> None:
    other = benched(tmp_path, ("[setups.b.front]", "[setups.b.front]\nair_pressure_bar = 5.5"))
    apart = other.apart(("front", "masses", "sag at rest, without friction", "mm"), "b")
    assert apart is not None
    (line,) = [line for line in bench_against(other)[0].lines if "at rest" in line]
    assert f"{-apart.value:.1f} mm higher at rest ({-apart.high:.1f} to {-apart.low:.1f})" in line


def test_where_springs_push_otherwise_and_sag_stays_that_is_told(tmp_path: Path) -> None:
    spacer = "[setups.b.front]\nvolume_spacers = 1\nspacer_ml = 2"
    lines = bench_against(benched(tmp_path, ("[setups.b.front]", spacer), ("each_ml = 8", "each_ml = 20")))[0].lines
    assert "N more at 80 %" in lines[0]
    assert lines[1] == "the front comes to rest where it did, within 0.5 mm"


def test_damping_and_legs_that_push_unlike_are_told(tmp_path: Path) -> None:
    thinner = "[setups.b.front]\ndamper_oil_cst_40c = 11\nlower_leg_oil_spring_side_ml = 5"
    sides = "lower_leg_oil_damper_side_ml = 25"
    unlike = benched(tmp_path, ("[setups.b.front]", thinner), ("lower_leg_oil_each_ml = 8", sides))
    assert "lower-leg oil, front: 20 ml each → not stated; " in unlike.summary()
    text = " ".join(bench_against(unlike)[0].lines)
    assert "the front's damping ratio at sag is" in text
    assert "N m for 0.0: " in text
    assert "N on the damper side" in text


def test_what_is_alike_in_all_setups_stands_once(less_oil: Bench) -> None:
    tables = {part.title: part for part in less_oil.sheet if not isinstance(part, str)}
    assert tables["Rear"].columns == ("", "unit", "all setups")
    assert tables["Front"].columns == ("", "unit", "20 ml", "8 ml", "difference")
    assert "head angle, at sag" not in [row[0] for row in tables["Front"].rows]


def test_in_full_every_figure_stands_in_a_table(less_oil: Bench) -> None:
    short, full = ([part for part in bench_sheet(less_oil, full=own) if not isinstance(part, str)] for own in (0, 1))
    rows = [row[0] for part in full for row in part.rows]
    assert all(row.figure.what in rows for row in less_oil.rows)
    assert sum(len(part.rows) for part in short) < len(less_oil.rows) / 2
    assert "Not told" in [part.title for part in full]


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [(9000, 11200, "10000 ± 1100"), (6000, 30000, "10000 (6000 to 30000)"), (9100, 10000, "10000 (9100 to 10000)")],
)
def test_a_range_that_reaches_further_to_one_side_stands_with_both_ends(
    less_oil: Bench, low: float, high: float, told: str
) -> None:
    row = next(row for row in less_oil.rows if row.figure.what == "force at 100 % of travel, fast")
    values = {"a": Ranged(value=10000, low=low, high=high)}
    table = part_table(replace(less_oil, rows=(replace(row, values=values, differences={}),)), row.end, row.part)
    assert table.rows[0][2] == told


def test_the_command_prints_either(tmp_path: Path, less_oil: Bench) -> None:
    short, full = (commanded("bench", less_oil.day.path, *more).stdout for more in ((), ("--full",)))
    assert "With --full" in short.splitlines()[-1]
    assert "Front: lower legs" in full
    assert len(short.splitlines()) < 75 < len(full.splitlines())
    assert "  Front and rear, friction: no settle recordings" in short  # indented, one line for both ends


@pytest.mark.parametrize(
    ("value", "known_to", "places", "told"),
    [(3664.2, 1196.0, 0, "3700"), (2332.0, 432.0, 0, "2330"), (437.2, 30.1, 0, "437"), (0.584, 0.0, 1, "0.6")],
)
def test_no_more_digits_than_are_known(value: float, known_to: float, places: int, told: str) -> None:
    assert rounded(value, known_to, places) == told


def test_an_end_that_was_weighed_otherwise_is_told_so(tmp_path: Path) -> None:
    weighed = ("[setups.b.front]", "[setups.b.front]\nsprung_mass_kg = 44"), ("each_ml = 8", "each_ml = 20")
    (line, *_) = bench_against(benched(tmp_path, *weighed))[0].lines
    assert line.startswith("the front carries 44.0 kg for 39.2: ")


def test_a_couple_that_may_as_well_be_none_is_not_told(tmp_path: Path) -> None:
    """1 ml between the legs, known to 1 ml each; 20 ml are told to bend the axle, and joined legs to no longer."""

    def couples(spring_side: int) -> list[str]:
        sides = f"lower_leg_oil_spring_side_ml = {spring_side}\nlower_leg_oil_damper_side_ml = 10"
        joined = ("lower_leg_oil_each_ml = 8", "lower_leg_crossover = true")
        found = benched(tmp_path, ("lower_leg_oil_each_ml = 20", sides), joined)
        return [line for own in bench_against(found) for line in own.lines if "bends the axle" in line]

    assert couples(11) == []
    (line,) = couples(30)
    assert "nothing bends the axle any more, which unlike legs bent with" in line


def test_geometry_is_told_as_it_will_be_and_by_how_much_it_moves(tmp_path: Path) -> None:
    """A figure behind its change reads as a range: "head angle −0.4° to 65.1°"."""
    cups = ("[setups.b.front]", "[setups.b.bike]\nangled_cup_deg = -1\n[setups.b.front]")
    lengths = "axle_to_crown_mm = 570\noffset_mm = 44\nbottom_bracket_height_mm = 345\nchainstay_mm = 440"
    wheels = "front_wheel_diameter_mm = 750\nrear_wheel_diameter_mm = 700"
    measured = ("[bike.front]", f"wheelbase_mm = 1250\n[bike.geometry]\n{lengths}\n{wheels}\n[bike.front]")
    lines = bench_against(benched(tmp_path, cups, measured))[0].lines
    (line,) = [line for line in lines if line.startswith("unladen")]
    told = re.search(r"head angle ([\d.]+)° \(−([\d.]+)°[,)]", line)
    assert told is not None
    assert sum(map(float, told.groups())) == pytest.approx(64, abs=0.11)


def test_lengths_that_would_keep_the_head_angle_have_a_range(tmp_path: Path) -> None:
    known = "head_angle_deg = 64\nplus_minus = { head_angle_deg = 0.05 }"
    cups = "[setups.b.bike]\nhead_angle_deg = 63\n[setups.b.front]"
    found = benched(tmp_path, ("head_angle_deg = 64", f"{known}\nwheelbase_mm = 1250"), ("[setups.b.front]", cups))
    lines = bench_against(found)[0].lines
    (line,) = [line for line in lines if "would keep the head angle" in line]
    kept = found.ranged(("both", "geometry", "to keep the head angle: fork longer by", "mm"), "b")
    assert kept is not None
    assert f"({-kept.high:.0f} to {-kept.low:.0f})" in line
    assert any(line.startswith("unladen, head angle 63.0° (−1.0°, ") for line in lines)


def test_a_head_angle_that_may_be_the_same_isnt_mended(tmp_path: Path) -> None:
    other = "[setups.b.bike]\nhead_angle_deg = 63.8\n[setups.b.front]"
    found = benched(
        tmp_path, ("head_angle_deg = 64", "head_angle_deg = 64\nwheelbase_mm = 1250"), ("[setups.b.front]", other)
    )
    told = " ".join(bench_against(found)[0].lines)
    assert "would keep the head angle" not in told
    assert "that the head angle differs isn't sure" in told


def test_what_a_change_does_that_no_figure_shows_is_told_with_what_to_state(tmp_path: Path) -> None:
    """Without the air volume nothing follows from a pressure: that isn't "no difference"."""
    pressure = (
        "[setups.b.front]\nlower_leg_oil_each_ml = 8",
        '[setups.b.front]\nair_pressure_bar = 6\nvalving = "new"',
    )
    found = benched(tmp_path, pressure, ("air_volume_ml = 170\n", ""), ("lower_leg_oil_each_ml = 20\n", ""))
    (own,) = bench_against(found)
    assert own.changed == "air pressure, front: 5 → 6 bar; valving, front: not stated → new"
    assert own.lines == (
        "what the change does to the front's springs can't be told: air_volume_ml not stated",
        "what another valving does only riding tells: no figure here goes by it",
    )


def test_another_spring_isnt_told_as_another_link(tmp_path: Path) -> None:
    found = benched(tmp_path, ("[setups.b.front]", "[setups.b.rear]\nspring_rate_n_mm = 70\n[setups.b.front]"))
    told = " ".join(bench_against(found)[0].lines)
    assert "the rear should sit" in told
    assert "leverage" not in told
    assert "shaft moves" not in told


def test_thinner_oil_is_told_and_where_adjusters_have_come_to(tmp_path: Path) -> None:
    """Force of a laminar damper goes with viscosity: 11 for 16 mm²/s at 40 °C, alike in index, is less at 20 °C too."""
    clicks = "[setups.b.front]\ndamper_oil_cst_40c = 11\nrebound = { clicks_from_closed = 1, of = 18 }"
    lines = bench_against(benched(tmp_path, ("[setups.b.front]", clicks)))[0].lines
    (oil,) = [line for line in lines if "damper oil" in line]
    assert oil.startswith("the front's damper oil is thinner at 20 °C: ")
    assert oil.endswith("less)")
    stands = "the front's rebound stands near closed (1 of 18 clicks from closed), and stood mid-range"
    assert stands in lines


def test_legs_that_are_alike_and_joined_are_told_to_push_as_before(tmp_path: Path) -> None:
    joined = ("[setups.b.front]\nlower_leg_oil_each_ml = 8", "[setups.b.front]\nlower_leg_crossover = true")
    (line,) = bench_against(benched(tmp_path, joined))[0].lines
    assert "push alike, joined or not" in line


def test_sag_taken_from_the_first_setup_is_told_once(less_oil: Bench) -> None:
    sag = "both ends as recorded"
    of_first = replace(less_oil.setups[0], rear=_sits(less_oil.setups[0].rear, sag))
    of_other = replace(less_oil.setups[1], rear=_sits(less_oil.setups[1].rear, "both ends as with 20 ml"))
    assert remarks(replace(less_oil, setups=(of_first, of_other))) == (f"Sag here: {sag} (20 ml), taken for 8 ml too.",)


def _sits(end: EndBench, words: str) -> EndBench:
    assert end.leverage is not None
    return replace(end, leverage=replace(end.leverage, sag_from=words))


def test_an_end_of_which_nothing_is_known_has_no_empty_table(tmp_path: Path) -> None:
    bare = benched(tmp_path, ("air_volume_ml = 170\n", ""), ("lower_leg_volume_each_ml = 240\n", ""), (POINTS, ""))
    assert all(part.rows for part in bare.sheet if not isinstance(part, str))
    assert "Front" not in [part.title for part in bare.sheet if not isinstance(part, str)]


def test_an_end_without_any_suspension_is_told_once(tmp_path: Path) -> None:
    sprung = "stroke_mm = 60\nratio = 2.5\nspring_rate_n_mm = 90\npreload_mm = 1\nunsprung_mass_kg = 5\n"
    rigid = benched(tmp_path, (sprung, "tyre_pressure_bar = 1.8\n"))
    lines = [line for line in absent_lines(rigid) if "ear" in line.partition(":")[0]]
    assert len(lines) == 1
    assert lines[0].startswith("Rear, suspension: no travel, spring or damper of it is stated.")
    assert [item.what for item in rigid.setups[0].absent if item.end == "rear"] == ["suspension"]


def test_a_range_without_a_sure_way_says_each_end_by_its_own_word(tmp_path: Path) -> None:
    softer = benched(tmp_path, ("[setups.b.front]", "[setups.b.rear]\nspring_rate_n_mm = 88\n[setups.b.front]"))
    (line,) = [line for line in bench_against(softer)[0].lines if "rear should sit" in line]
    assert re.search(r"mm deeper at rest \(\d\.\d higher to \d\.\d deeper\)", line)
    (push,) = [line for line in bench_against(softer)[0].lines if "rear's travel" in line]
    assert re.match(r"\d+ N less at 80 % \(\d+ more to \d+ less\)", push)


def test_a_setup_that_differs_in_nothing_is_told_so(tmp_path: Path) -> None:
    same = benched(tmp_path, ("[setups.b.front]\nlower_leg_oil_each_ml = 8", ""))
    assert "8 ml, against 20 ml: nothing differs on paper" in bench_sheet(same)
    assert bench_against(same) == ()


def test_lower_legs_that_one_setup_alone_states_are_no_difference(tmp_path: Path) -> None:
    """What isn't stated isn't gone: the other setup's springs can't be told beside them."""
    found = benched(
        tmp_path,
        ("lower_leg_oil_each_ml = 20\n", ""),
        ("[setups.b]", "[setups.a.front]\nlower_leg_oil_each_ml = 20\n[setups.b]"),
        ('based_on = "a"\n[setups.b.front]\nlower_leg_oil_each_ml = 8\n', ""),
    )
    assert not any(row.differences for row in found.rows if row.end == "front" and row.part in ("springs", "masses"))
    (line,) = bench_against(found)[0].lines
    assert line.startswith(
        "what the change does to the front's lower legs can't be told: lower legs not stated in full"
    )
    assert line.endswith("lower_leg_oil_each_ml not stated")


def test_another_battery_under_the_same_mass_is_told_to_change_nothing(tmp_path: Path) -> None:
    lighter = ("[setups.b.front]", "[setups.b.bike]\nbattery_mass_kg = 2\n[setups.b.front]")
    assert bench_against(benched(tmp_path, lighter))[0].lines[-1].startswith("another battery changes nothing here")
    weighed = (lighter[0], lighter[1].replace("battery_mass_kg = 2", "battery_mass_kg = 2\nmass_kg = 22.5"))
    assert "battery" not in " ".join(bench_against(benched(tmp_path, weighed))[0].lines)


def test_where_to_begin_has_a_column_a_setup_or_one_of_all(less_oil: Bench) -> None:
    rear, front = begin_tables(less_oil)
    assert (rear.title, rear.columns) == ("Rear", ("", "unit", "all setups"))
    assert (front.title, front.columns) == ("Front", ("", "unit", "20 ml", "8 ml"))
    assert all(title.endswith("every figure") for title, _ in tables_by_place(less_oil))
    parts = [part.title for _, own in tables_by_place(less_oil) for part in own]
    assert "Front: lower legs" in parts
    assert not any("begin" in title for title in parts)


def test_of_coils_alone_no_air_is_told_to_be_let_out(less_oil: Bench) -> None:
    coils = []
    for setup in less_oil.setups:
        assert setup.front.set_up is not None
        front = replace(setup.front, set_up=replace(setup.front.set_up, is_air=False))
        coils.append(replace(setup, front=front))
    assert LET_OUT in notes(less_oil)
    told = notes(replace(less_oil, setups=tuple(coils)))
    assert LET_OUT not in told
    assert any("Never open a part under pressure" in words for words in told)


STATED_ALONE = {
    "front": {
        "wheel_diameter_mm": "740",
        "axle_to_crown_mm": "595",
        "rebound": "{ clicks_from_closed = 3, of = 18 }",
        "preload_mm": "3",
        "stroke_mm": "62",
        "oil_level_mm": "110",
        "valving": '"new"',
    },
    "rear": {
        "wheel_diameter_mm": "740",
        "measured_travel_mm": "149",
        "air_pressure_bar": "12",
        "lower_leg_oil_each_ml": "10",
        "damper_oil_cst_40c": "10",
        "shock_length_mm": "205",
        "shock_offset_mm": "1",
        "sprung_mass_kg": "48",
        "stroke_mm": "62",
    },
    "bike": {"angled_cup_deg": "-1", "wheelbase_mm": "1250", "crank_mm": "165", "mass_kg": "26"},
}


def test_whatever_setups_differ_in_moves_a_figure_or_says_what_it_takes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A setup for each key: none is passed over as "no difference" where nothing was worked out of it."""
    monkeypatch.setattr("telemetry.pipeline.benching.DRAWS", 1)
    alone = "".join(
        f'[setups.{place}_{key}]\nbased_on = "a"\n[setups.{place}_{key}.{place}]\n{key} = {value}\n'
        for place, keys in STATED_ALONE.items()
        for key, value in keys.items()
    )
    found = benched(tmp_path, ("[setups.b]", f"{alone}[setups.b]"))
    moved = {name for row in found.rows for name, own in row.differences.items() if own.value}
    told = {own.setup: own.lines for own in bench_against(found)}
    assert set(told) == {f"{place}_{key}" for place, keys in STATED_ALONE.items() for key in keys} | {"b"}
    for name, lines in told.items():
        assert name in moved or lines != (NO_DIFFERENCE,), name
    wheel = "no figure here goes by wheel diameter, front: it takes wheelbase_mm in [bike], front_wheel_diameter_mm"
    assert told["front_wheel_diameter_mm"] == (f"{wheel} in [bike.geometry]",)
    (clicks,) = [line for line in told["front_rebound"] if "goes by rebound" in line]
    assert "the same damper_points stand for both setups" in clicks
    assert told["rear_stroke_mm"][0] == "155 mm of wheel travel for 150"
    assert {(item.setup, item.key) for item in found.unseen} >= {
        ("rear_air_pressure_bar", "air_pressure_bar"),
        ("rear_shock_length_mm", "shock_length_mm"),
        ("bike_angled_cup_deg", "angled_cup_deg"),
    }
    assert not [item for item in found.unseen if item.setup in ("b", "bike_mass_kg", "rear_sprung_mass_kg")]


@pytest.mark.parametrize(
    ("place", "stated", "instead", "told"),
    [
        (
            "bike",
            "head_angle_deg = 63",
            (),
            "what another head angle does to the bike's geometry can't be told: head_angle_deg and wheelbase_mm in",
        ),
        (
            "bike",
            "mass_kg = 20",
            (
                ("unsprung_mass_kg = 4\n", "unsprung_mass_kg = 4\nsprung_mass_kg = 40\n"),
                ("unsprung_mass_kg = 5\n", "unsprung_mass_kg = 5\nsprung_mass_kg = 60\n"),
            ),
            "no figure here goes by bike mass: sprung_mass_kg is stated, and goes before it",
        ),
        ("front", "bumper_touch_mm = 150", (), "N more at 90 % "),
    ],
)
def test_what_a_change_does_or_takes_is_told(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    place: str,
    stated: str,
    instead: tuple[tuple[str, str], ...],
    told: str,
) -> None:
    """Each read "no difference worth telling"."""
    monkeypatch.setattr("telemetry.pipeline.benching.DRAWS", 1)
    other = f"[setups.b.{place}]\n{stated}\n"
    found = benched(tmp_path, *instead, ("[setups.b.front]\nlower_leg_oil_each_ml = 8\n", other))
    assert told in " ".join(bench_against(found)[0].lines)


def test_clicks_beside_forces_measured_at_them_show_in_these(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both setups were told to have the same damper_points, which they hadn't, or hadn't any."""
    monkeypatch.setattr("telemetry.pipeline.benching.DRAWS", 1)
    turned = "[setups.b.front]\nrebound = { clicks_from_closed = 6, of = 18 }\n"
    own = POINTS.replace("-610", "-700")
    assert not benched(tmp_path, ("[setups.b.front]\n", f"{turned}{own}\n")).unseen
    (none,) = benched(tmp_path, ("[setups.b.front]\n", turned), (POINTS, "")).unseen
    assert none.reason.startswith("it takes damper_points of both setups")


def test_what_follows_from_another_figure_already_isnt_told_to_count_for_nothing(tmp_path: Path) -> None:
    """A fork of 10 mm more travel is taken to be as much longer: stating that length changes nothing, and it counts."""
    longer = "[setups.b.front]\ntravel_mm = 180\nbumper_touch_mm = 170\naxle_to_crown_mm = 580"
    bike = "wheelbase_mm = 1250\n[bike.geometry]\naxle_to_crown_mm = 570\n[bike.front]"
    found = benched(tmp_path, ("[setups.b.front]", longer), ("[bike.front]", bike))
    assert "axle_to_crown_mm" in {item.key for item in found.setup_differences}
    assert not found.unseen


def test_a_difference_of_rounding_alone_is_none(less_oil: Bench) -> None:
    (row, *_) = [row for row in less_oil.rows if row.end == "rear"]
    noise = Ranged(value=1e-13, low=-2e-13, high=1e-13)
    table = part_table(replace(less_oil, rows=(replace(row, differences={"b": noise}),)), row.end, row.part)
    assert table.rows[0][-1] == "same"


def test_a_difference_of_rounding_shows_nothing_of_a_change(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("telemetry.pipeline.benching.DRAWS", 1)
    found = benched(tmp_path, ("lower_leg_volume_each_ml = 240\n", ""))
    (told,) = bench_against(found)
    assert "can't be told" in told.lines[0]
    noise = {"b": Ranged(value=1e-13, low=-2e-13, high=1e-13)}
    noisy = replace(found, rows=tuple(replace(row, differences=noise) for row in found.rows))
    assert bench_against(noisy) == (told,)


def test_what_the_first_setup_lacks_stands_among_its_kind(tmp_path: Path) -> None:
    alone = ("[setups.b.front]", f"[setups.b.front]\n{POINTS}")
    found = benched(tmp_path, (POINTS, ""), alone)
    parts = list(dict.fromkeys(row.part for row in found.rows if row.end == "front"))
    assert parts == ["springs", "lower_legs", "damper", "masses", "set_up"]
