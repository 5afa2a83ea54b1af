"""Numbers with their digits grouped by thousands read back equal, are refused, or aren't taken for such."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.errors import LogError
from telemetry.logs import read_log, sketch_log
from telemetry.model.day import LogOptions
from tests.logs.written import UTF_16_LITTLE, Manner

COUNT = 1200
COUNTS = [400 + (place * 37) % 3000 for place in range(COUNT)]
MANNERS = {
    "points, semicolon": (".", {"delimiter": ";", "decimal": ","}, 0),
    "points, semicolon, decimals": (".", {"delimiter": ";", "decimal": ","}, 2),
    "commas, quoted": (",", {"quoted": True}, 0),
    "commas, quoted, decimals": (",", {"quoted": True}, 1),
    "commas, tab, three decimals": (",", {"delimiter": "\t"}, 3),
    "apostrophes": ("'", {}, 0),
    "apostrophes, decimal comma": ("'", {"delimiter": ";", "decimal": ","}, 2),
    "blanks, tab": (" ", {"delimiter": "\t"}, 0),
    "blanks, bar, decimal comma": (" ", {"delimiter": "|", "decimal": ","}, 1),
    "hard blanks, decimal comma": ("\u00a0", {"delimiter": ";", "decimal": ","}, 2),
    "narrow blanks, utf-16": ("\u202f", {"delimiter": "\t", "decimal": ",", **UTF_16_LITTLE}, 0),
}


def grouped(value: float, sign: str, decimal: str, places: int) -> str:
    return f"{value:,.{places}f}".translate({ord(","): sign, ord("."): decimal})


@pytest.mark.parametrize("name", MANNERS)
def test_grouped_digits_are_found_and_read(name, tmp_path):
    sign, kind, places = MANNERS[name]
    manner = Manner(**kind)
    rows = [[grouped(value, sign, manner.decimal, places) for value in (2.0 * i, COUNTS[i])] for i in range(COUNT)]
    lines = [manner.line(["t_ms", "A0"]), *map(manner.line, rows)]
    path = manner.write(tmp_path / "log.csv", lines)
    log = read_log(path, needed=("A0",), options=LogOptions())
    assert log.columns["A0"].tolist() == COUNTS
    assert log.time_s == pytest.approx(2e-3 * np.arange(COUNT), abs=1e-12)
    assert log.findings == ()
    assert "thousands by" in log.history[0].words
    column = sketch_log(path).columns[1]
    assert (column.lowest, column.highest) == (min(COUNTS), max(COUNTS))


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("first", [0.0, 12.0])
def test_three_decimals_are_no_thousands(decimal, first, tmp_path):
    manner = Manner(delimiter=";", decimal=decimal)
    values = [round(first + place / 500, 3) for place in range(600)]
    lines = ["t;A0;n", *(f"{value:.3f};{value + 1:.3f};{i}".replace(".", decimal) for i, value in enumerate(values))]
    log = read_log(manner.write(tmp_path / "log.csv", lines), needed=("A0",), options=LogOptions())
    assert log.columns["A0"].tolist() == [float(f"{value + 1:.3f}") for value in values]


def test_a_few_that_may_be_either_are_refused_until_one_is_stated(tmp_path):
    path = Manner().write(
        tmp_path / "log.csv", ["n;A0", *(f"{i};{980 + i}" for i in range(20)), "20;1.000", "21;1.001"]
    )
    with pytest.raises(
        LogError, match=r"'1\.000' among larger whole numbers.*State decimal = '\.' or thousands = '\.'"
    ):
        read_log(path, needed=("A0",), options=LogOptions(rate_hz=500.0))
    thousands = read_log(path, needed=("A0",), options=LogOptions(rate_hz=500.0, thousands="."))
    assert thousands.columns["A0"].tolist() == [980.0 + i for i in range(22)]
    decimals = read_log(path, needed=("A0",), options=LogOptions(rate_hz=500.0, decimal="."))
    assert decimals.columns["A0"].tolist() == [*(980.0 + i for i in range(20)), 1.0, 1.001]


def test_a_cell_that_groups_its_digits_otherwise_is_no_number(tmp_path):
    cells = [grouped(1000.0 + place, "'", ".", 1) for place in range(100)]
    cells[40] = "10'40.0"
    path = Manner().write(tmp_path / "log.csv", ["t_ms;A0", *(f"{4 * i};{cell}" for i, cell in enumerate(cells))])
    log = read_log(path, needed=("A0",), options=LogOptions(thousands="'"))
    (finding,) = log.findings
    assert (finding.code, finding.row) == ("missing_values", 42)
    assert "10'40.0" in finding.message


VALUES = st.one_of(st.integers(-(10**9), 10**9).map(float), st.floats(-1e7, 1e7).map(lambda value: round(value, 2)))


@settings(max_examples=40)
@given(
    sign=st.sampled_from(["'", "\u2019", " ", "\u00a0", "\u202f", ",", "."]),
    delimiter=st.sampled_from([";", "\t", "|"]),
    other=st.sampled_from([".", ","]),
    values=st.lists(st.tuples(VALUES, VALUES), min_size=16, max_size=40),
)
def test_grouped_digits_read_back_equal_or_are_refused(sign, delimiter, other, values, tmp_path_factory):
    decimal = {",": ".", ".": ","}.get(sign, other)
    manner = Manner(delimiter=delimiter, decimal=decimal)
    lines = [f"A0{delimiter}A1"]
    lines += [delimiter.join(grouped(value, sign, decimal, 2) for value in row) for row in values]
    path = manner.write(tmp_path_factory.getbasetemp() / "grouped.log", lines)
    try:
        log = read_log(path, needed=("A0", "A1"), options=LogOptions(rate_hz=500.0))
    except LogError:
        return
    for place, column in enumerate(("A0", "A1")):
        np.testing.assert_array_equal(log.columns[column], [float(f"{row[place]:.2f}") for row in values])
