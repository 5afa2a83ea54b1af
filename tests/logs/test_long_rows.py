"""A log of one reading a row is refused in words until it is stated, then read; no log with all in each row is."""

import numpy as np
import pytest

from telemetry.errors import LogError
from telemetry.logs import read_log, read_logs
from telemetry.model.day import LogOptions, LongRows, TimeColumn
from telemetry.model.sensor import MarkerSensor

COUNT = 400
RNG = np.random.default_rng(5)
FORK = np.round(1500 + 300 * np.sin(np.arange(COUNT) * 0.05) + RNG.normal(0, 4, COUNT)).astype(int)
BY_CHANCE = np.random.default_rng(2).random(COUNT) < 0.4
SHOCK = np.round(900 + 200 * np.sin(np.arange(COUNT) * 0.04) + RNG.normal(0, 4, COUNT)).astype(int)


def written(tmp_path, lines):
    path = tmp_path / "run.csv"
    path.write_text("\n".join(lines) + "\n")
    return path


@pytest.mark.parametrize("words", [("fork", "shock"), ("1", "2"), ("0x10", "0x11")])
@pytest.mark.parametrize("apart_ms", [0, 10])
@pytest.mark.parametrize("header", [True, False])
def test_a_sensor_a_row_is_refused_with_both_columns_named(words, apart_ms, header, tmp_path):
    rows = [
        f"{20 * at + apart_ms * own},{word},{(FORK, SHOCK)[own][at]}"
        for at in range(COUNT)
        for own, word in enumerate(words)
    ]
    path = written(tmp_path, [*(["t_ms,sensor,value"] if header else []), *rows])
    column, by = ("value", "'sensor'") if header else (3, "2")
    with pytest.raises(
        LogError, match=rf"several sensors by turns, told apart by column {by} \('{words[0]}', .*State \[log\] long"
    ):
        read_log(path, needed=[column], options=LogOptions())


def test_sensors_alike_at_rest_are_told_apart_where_the_bike_moves(tmp_path):
    """Shares of travel may be alike while it stands: a log of both ends by turns was read as one fork's."""
    moves = np.maximum(np.arange(4 * COUNT) - 2 * COUNT, 0)
    ends = (np.round(25 + 9 * np.sin(0.05 * moves), 1), np.round(25 + 9 * np.sin(0.05 * moves + 1) - 9 * np.sin(1), 1))
    rows = [f"{10 * at + 5 * own},{own},{ends[own][at]}" for at in range(4 * COUNT) for own in (0, 1)]
    with pytest.raises(LogError, match="several sensors by turns, told apart by column 'ch'"):
        read_log(written(tmp_path, ["t_ms,ch,percent", *rows]), needed=["percent"], options=LogOptions())


@pytest.mark.parametrize("turns", [lambda at: at % 2, lambda at: at % 7, lambda at: ("a", "b")[at // 2 % 2]])
@pytest.mark.parametrize(
    "signal", [FORK, np.full(COUNT, 1500), RNG.normal(1500, 5, COUNT).round(), 1500 + np.arange(COUNT) % 2]
)
def test_a_column_that_turns_beside_a_sensor_accuses_nobody(turns, signal, tmp_path):
    path = written(tmp_path, ["t_ms,turn,fork", *(f"{5 * at},{turns(at)},{signal[at]}" for at in range(COUNT))])
    log = read_log(path, needed=["fork"], options=LogOptions())
    np.testing.assert_array_equal(log.columns["fork"], signal)


def test_a_sensor_asked_for_by_its_word_is_told_what_to_state(tmp_path):
    rows = [f"{20 * at},{word},{FORK[at]}" for at in range(COUNT) for word in ("fork", "shock")]
    with pytest.raises(LogError, match=r"no column 'Fork', but rows that say so in column 'sensor'.*long = "):
        read_log(written(tmp_path, ["t_ms,sensor,value", *rows]), needed=["Fork"], options=LogOptions())


LONG = LogOptions(long=LongRows(sensor="sensor", value="value"))
STAMPS = 20 * np.arange(COUNT)


def read_long(tmp_path, lines, needed, options=LONG, **more):
    return read_logs(written(tmp_path, lines), needed=needed, options=options, **more)


def by_turns(fork="fork", shock="shock", late_ms=0, line="{at},{sensor},{value}"):
    return [
        line.format(at=at + late_ms * own, sensor=word, value=(FORK, SHOCK)[own][place])
        for place, at in enumerate(STAMPS)
        for own, word in enumerate((fork, shock))
    ]


def assert_read(logs, late_s=0.0, rows=(2, 3)):
    for log, signal, start_s, row in zip(logs, (FORK, SHOCK), (0.0, late_s), rows, strict=True):
        ((_, values),) = log.columns.items()
        np.testing.assert_array_equal(values, signal)
        np.testing.assert_allclose(log.time_s, STAMPS / 1000 + start_s, atol=1e-9)
        assert log.rate_hz == pytest.approx(50)
        assert (log.even, log.segments, log.row_of(3)) == (True, ((0, COUNT),), row + 6)
        assert not log.findings


class TestStated:
    @pytest.mark.parametrize(
        ("words", "needed"),
        [
            (("fork", "shock"), ["Fork", "shock"]),
            (("Fork pot", "Shock pot"), ["Fork pot", " shock pot "]),
            (("1", "2"), [1, "2"]),
            (("01", "02"), [1, 2]),
            (("0x10", "0x11"), ["0x10", "0x11"]),
        ],
    )
    def test_each_sensor_is_read_by_its_own_rows(self, words, needed, tmp_path):
        assert_read(read_long(tmp_path, ["t_ms,sensor,value", *by_turns(*words)], needed))

    @pytest.mark.parametrize("late_ms", [10, -2])
    def test_at_its_own_clock(self, late_ms, tmp_path):
        """Rows out of order by 2 ms between sensors are in order for each."""
        assert_read(
            read_long(tmp_path, ["t_ms,sensor,value", *by_turns(late_ms=late_ms)], ["fork", "shock"]), late_ms / 1000
        )

    @pytest.mark.parametrize(
        ("header", "line"),
        [
            ("sensor;value;t_ms;unit", "{sensor};{value},0;{at};counts"),
            ('"t_ms","sensor","value"', '"{at}","{sensor}","{value}"'),
            ("value\tt_ms\tsensor", "{value}\t{at}\t{sensor}"),
        ],
    )
    def test_in_whatever_order_and_signs(self, header, line, tmp_path):
        assert_read(read_long(tmp_path, [header, *by_turns(line=line)], ["fork", "shock"]))

    def test_without_a_header_by_numbers(self, tmp_path):
        options = LogOptions(long=LongRows(sensor=2, value=3), time=TimeColumn(column=1, unit="ms"))
        assert_read(read_long(tmp_path, by_turns(), ["fork", "shock"], options), rows=(1, 2))

    def test_in_lines_of_json(self, tmp_path):
        line = '{{"t_ms":{at},"sensor":"{sensor}","value":{value}}}'
        assert_read(read_long(tmp_path, by_turns(line=line), ["fork", "shock"]), rows=(1, 2))

    def test_one_sensor_after_the_other(self, tmp_path):
        rows = sorted(by_turns(), key=lambda row: row.split(",")[1])
        fork, shock = read_long(tmp_path, ["t_ms,sensor,value", *rows], ["fork", "shock"])
        np.testing.assert_array_equal(fork.columns["fork"], FORK)
        np.testing.assert_array_equal(shock.columns["shock"], SHOCK)
        np.testing.assert_array_equal(fork.time_s, shock.time_s)

    def test_a_counter_that_rolls_over_before_a_sensor_begins(self, tmp_path):
        rows = [f"{(at + 62_000) % 65_536},{word},{value}" for at, word, value in _parted(by_turns(late_ms=1))]
        rows = [row for place, row in enumerate(rows) if "fork" in row or place > 400]
        fork, shock = read_long(tmp_path, ["t_ms,sensor,value", *rows], ["fork", "shock"])
        np.testing.assert_allclose(fork.time_s, STAMPS / 1000, atol=1e-9)
        np.testing.assert_allclose(shock.time_s, STAMPS[200:] / 1000 + 0.001, atol=1e-9)

    def test_at_a_rate_of_its_own_beside_one_that_is_not_used(self, tmp_path):
        rows = [row for place, row in enumerate(by_turns()) if place % 2 == 0 or place % 8 == 1]
        rows = [
            row
            for at, row in enumerate(rows)
            for row in ([f"{20 * at},temperature,21"] if at % 50 == 0 else []) + [row]
        ]
        fork, shock = read_long(tmp_path, ["t_ms,sensor,value", *rows], ["fork", "shock"])
        assert (fork.rate_hz, shock.rate_hz) == (pytest.approx(50), pytest.approx(12.5))
        np.testing.assert_array_equal(shock.columns["shock"], SHOCK[::4])
        np.testing.assert_allclose(shock.time_s, STAMPS[::4] / 1000, atol=1e-9)

    def test_a_stretch_without_one_sensor_is_its_gap(self, tmp_path):
        rows = [row for place, row in enumerate(by_turns()) if not (place % 2 and 300 < place < 380)]
        fork, shock = read_long(tmp_path, ["t_ms,sensor,value", *rows], ["fork", "shock"])
        assert not fork.findings
        (told,) = shock.findings
        assert told.code == "gap"
        assert "run.csv, sensor 'shock': 1 gap, 0.8" in told.message

    def test_a_marker_is_a_sensor_whose_rows_may_all_be_presses(self, tmp_path):
        button = MarkerSensor(name="button", column="lap", equals=1)
        rows = by_turns()
        rows[200:200], rows[100:100] = ["2000,lap,1"], ["1000,lap,1"]
        logs = read_long(tmp_path, ["t_ms,sensor,value", *rows], ["fork", "shock"], markers=[button])
        assert logs[0].presses["button"].tolist() == [1.0, 2.0]
        none = read_long(tmp_path, ["t_ms,sensor,value", *by_turns()], ["fork", "shock"], markers=[button])
        assert none[0].presses["button"].size == 0

    def test_a_name_that_is_garbled_is_told_and_another_sensor_is_not(self, tmp_path):
        rows = by_turns()
        rows[100] = rows[100].replace("fork", "fo?k")
        rows[100:100] = ["1000,forest,3"]
        logs = read_long(tmp_path, ["t_ms,sensor,value", *rows], ["fork", "shock"])
        (told,) = [found for found in logs[0].findings if found.code == "missing_values"]
        assert "1 row of 801 name no sensor, but nearly one ('fo?k', row 103)" in told.message

    @pytest.mark.parametrize(
        ("needed", "told"),
        [
            (["fork", "shok"], r"no sensor 'shok' by its rows; expected one of 'fork', 'shock'. Did you mean 'shock'"),
            ([3], r"no sensor '3' by its rows"),
        ],
    )
    def test_a_sensor_without_rows_is_refused(self, needed, told, tmp_path):
        with pytest.raises(LogError, match=told):
            read_long(tmp_path, ["t_ms,sensor,value", *by_turns()], needed)

    def test_words_that_differ_in_capitals_alone_have_to_be_written_so(self, tmp_path):
        lines = ["t_ms,sensor,value", *by_turns("Pot", "pot")]
        assert_read(read_long(tmp_path, lines, ["Pot", "pot"]))
        with pytest.raises(LogError, match=r"several sensors that 'POT' may be: 'Pot', 'pot'"):
            read_long(tmp_path, lines, ["POT"])


def _parted(rows):
    return [(int(at), word, value) for at, word, value in (row.split(",") for row in rows)]


class TestBlankBetween:
    """Cells blank between the readings of a sensor that logs at a rate of its own."""

    @staticmethod
    def lines(every, blank="", lost=()):
        cells = [blank if at % every or at in lost else SHOCK[at] for at in range(COUNT)]
        return ["t_ms,fork,shock", *(f"{20 * at},{FORK[at]},{cell}" for at, cell in enumerate(cells))]

    @pytest.mark.parametrize(("every", "blank"), [(2, ""), (4, "nan"), (10, "")])
    def test_a_slower_sensor_is_read_at_its_own_rate(self, every, blank, tmp_path):
        fork, shock = read_long(tmp_path, self.lines(every, blank), ["fork", "shock"], LogOptions())
        assert (fork.rate_hz, shock.rate_hz) == (pytest.approx(50), pytest.approx(50 / every))
        np.testing.assert_array_equal(fork.columns["fork"], FORK)
        np.testing.assert_array_equal(shock.columns["shock"], SHOCK[::every])
        np.testing.assert_allclose(shock.time_s, STAMPS[::every] / 1000, atol=1e-9)
        assert not fork.findings + shock.findings
        assert shock.row_of(5) == 2 + 5 * every

    def test_without_a_clock_it_is_so_manyth_of_the_rate_of_rows(self, tmp_path):
        lines = [row.partition(",")[2] for row in self.lines(4)]
        fork, shock = read_long(tmp_path, lines, ["fork", "shock"], LogOptions(rate_hz=50))
        assert (fork.rate_hz, shock.rate_hz) == (50, 12.5)
        np.testing.assert_allclose(shock.time_s, STAMPS[::4] / 1000, atol=1e-9)

    @pytest.mark.parametrize("json", [True, False])
    def test_readings_by_turns(self, json, tmp_path):
        pairs = [
            (at, name, own[place])
            for place, at in enumerate(STAMPS)
            for name, own in (("fork", FORK), ("shock", SHOCK))
        ]
        as_json = [f'{{"t_ms":{at},"{name}":{value}}}' for at, name, value in pairs]
        as_cells = [f"{at},{value}," if name == "fork" else f"{at},,{value}" for at, name, value in pairs]
        lines = as_json if json else ["t_ms,fork,shock", *as_cells]
        assert_read(read_long(tmp_path, lines, ["fork", "shock"], LogOptions()), rows=(1, 2) if json else (2, 3))

    def test_one_that_is_lost_for_a_time_has_a_gap(self, tmp_path):
        lines = self.lines(2, lost=range(100, 140))
        _, shock = read_long(tmp_path, lines, ["fork", "shock"], LogOptions())
        assert [found.code for found in shock.findings] == ["gap"]

    @pytest.mark.parametrize("blank", [lambda at: at >= 280, lambda at: at % 100 < 30, lambda at: BY_CHANCE[at]])
    def test_a_sensor_of_every_row_that_was_lost_is_refused_as_ever(self, blank, tmp_path):
        rows = (f"{20 * at},{FORK[at]},{'' if blank(at) else SHOCK[at]}" for at in range(COUNT))
        with pytest.raises(LogError, match=r"% of cells that are no numbers"):
            read_long(tmp_path, ["t_ms,fork,shock", *rows], ["fork", "shock"], LogOptions())


def test_a_sensor_that_reads_nothing_in_every_other_row_names_no_sensors(tmp_path):
    """At rest its readings are few, and change with those of another that does so, too."""
    rows = (f"{5 * at},{0 if at % 2 else 1125 + at % 3},{900 + at % 4 if at % 2 else 0}" for at in range(COUNT))
    log = read_log(written(tmp_path, ["t_ms,fork,shock", *rows]), needed=["fork", "shock"], options=LogOptions())
    assert log.columns["fork"][:4].tolist() == [1125, 0, 1127, 0]
