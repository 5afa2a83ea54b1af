"""Any table in any dialect reads back equal or is refused in words; it never reads back different."""

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from telemetry.errors import LogError
from telemetry.logs import read_log, sketch_log
from telemetry.logs.dialect import split
from telemetry.model.day import LogOptions, TimeColumn
from tests.logs.written import UTF_8_MARKED, UTF_16_BIG, UTF_16_LITTLE, Manner

NAMES = ("t_ms", "fork", "shock", "temp")
COUNT = 120
ROWS = [[2.0 * i, 212 + i % 37, round(30.5 - 0.25 * (i % 41), 2), -1.5e-3 * (i + 1)] for i in range(COUNT)]
NEEDED = ("fork", "shock", "temp")
BY_NUMBER = (2, 3, 4)
WITHOUT_CLOCK = LogOptions(rate_hz=500.0)


def assert_equal(log, needed, rows=ROWS):
    for place, column in enumerate(needed, 1):
        np.testing.assert_array_equal(log.columns[column], [row[place] for row in rows])


def codes(log):
    return [finding.code for finding in log.findings]


MANNERS = {
    "comma": {},
    "semicolon": {"delimiter": ";"},
    "tab": {"delimiter": "\t"},
    "bar": {"delimiter": "|"},
    "blanks": {"delimiter": "blanks"},
    "leading and trailing blanks": {"delimiter": "blanks", "padding": "  "},
    "semicolon, decimal comma": {"delimiter": ";", "decimal": ","},
    "tab, decimal comma": {"delimiter": "\t", "decimal": ","},
    "bar, decimal comma": {"delimiter": "|", "decimal": ","},
    "blanks, decimal comma": {"delimiter": "blanks", "decimal": ","},
    "carriage return and line feed": {"line_end": "\r\n"},
    "carriage return alone": {"line_end": "\r"},
    "blanks with carriage return and line feed": {"delimiter": "blanks", "line_end": "\r\n", "padding": " "},
    "quoted": {"quoted": True},
    "quoted, decimal comma": {"quoted": True, "delimiter": ";", "decimal": ","},
    "quoted, decimal comma, comma between": {"quoted": True, "delimiter": ",", "decimal": ","},
    "quoted and padded": {"quoted": True, "padding": "  "},
    "padded": {"padding": "   "},
    "padded, decimal comma": {"padding": "   ", "delimiter": ";", "decimal": ","},
    "byte order mark": UTF_8_MARKED,
    "byte order mark, no header": {**UTF_8_MARKED, "header": False},
    "utf-16 little": UTF_16_LITTLE,
    "utf-16 big": UTF_16_BIG,
    "utf-16 little, no mark": {"encoding": "utf-16-le"},
    "utf-16 big, no mark": {"encoding": "utf-16-be", "delimiter": ";", "decimal": ","},
    "utf-32": {"encoding": "utf-32"},
    "utf-16, tab, decimal comma": {**UTF_16_LITTLE, "delimiter": "\t", "decimal": ",", "line_end": "\r\n"},
    "junk lines": {"junk": ("Logger 3", "", "Rate: 500", "Serial; 4711", "Note: cold, damp")},
    "junk lines of the same width": {"junk": ("bench,3,,", "date,today,,")},
    "commented head": {"junk": ("# made by a logger", "# rate 500")},
    "unit row": {"units": ("ms", "counts", "mm", "V")},
    "bracketed unit row": {"units": ("[ms]", "[-]", "[mm]", "[V]")},
    "no header": {"header": False},
    "no header, blanks": {"header": False, "delimiter": "blanks"},
    "no header, semicolon, decimal comma": {"header": False, "delimiter": ";", "decimal": ","},
    "trailing delimiter": {"trailing": True},
    "trailing semicolon, decimal comma": {"trailing": True, "delimiter": ";", "decimal": ","},
    "no last line end": {"last_line_end": False},
    "packed": {"packed": True},
    "packed, utf-16": {"packed": True, **UTF_16_LITTLE},
    "packed, blanks, decimal comma": {"packed": True, "delimiter": "blanks", "decimal": ","},
}


@pytest.mark.parametrize("name", MANNERS)
def test_a_log_reads_back_equal_in_every_dialect(name, tmp_path):
    manner = Manner(**MANNERS[name])
    path = manner.write(tmp_path / ("log.csv.gz" if manner.packed else "log.csv"), manner.lines(NAMES, ROWS))
    needed = NEEDED if manner.header else BY_NUMBER
    log = read_log(path, needed=needed, options=LogOptions())
    assert_equal(log, needed)
    assert log.rate_hz == pytest.approx(500.0, rel=1e-12)
    assert log.time_s == pytest.approx(2e-3 * np.arange(COUNT), abs=1e-12)
    assert codes(log) == []
    head = len(manner.junk) + manner.header + bool(manner.units)
    assert (log.row_of(0), log.row_of(COUNT - 1)) == (head + 1, head + COUNT)


@pytest.mark.parametrize("name", ["fork °C", "Dämpfer µm", "position ±"])
def test_header_names_outside_ascii_in_the_old_western_encoding(name, tmp_path):
    manner = Manner(encoding="cp1252")
    path = manner.write(tmp_path / "log.csv", manner.lines(("t_ms", name, "shock", "temp"), ROWS))
    needed = (name, "shock", "temp")
    assert_equal(read_log(path, needed=needed, options=LogOptions()), needed)


def test_a_cell_in_the_old_western_encoding_among_the_readings_is_a_missing_value(tmp_path):
    manner = Manner(encoding="cp1252")
    lines = manner.lines(NAMES, ROWS)
    lines[50] = "98.0,21°,3.0,0.5"
    log = read_log(manner.write(tmp_path / "log.csv", lines), needed=("fork",), options=LogOptions())
    assert [(finding.code, finding.row) for finding in log.findings] == [("missing_values", 51)]
    assert log.columns["fork"].shape == (COUNT - 1,)


def test_columns_are_found_by_name_whatever_its_case_or_padding_and_by_number(tmp_path):
    manner = Manner()
    path = manner.write(tmp_path / "log.csv", manner.lines((" t_ms ", "Fork", "SHOCK", "temp"), ROWS))
    log = read_log(path, needed=(" fork", 3), options=LogOptions())
    assert_equal(log, (" fork", 3))


def test_the_order_of_columns_does_not_matter(tmp_path):
    manner = Manner(delimiter=";", decimal=",")
    order = [2, 0, 3, 1]
    lines = manner.lines([NAMES[i] for i in order], [[row[i] for i in order] for row in ROWS])
    assert_equal(read_log(manner.write(tmp_path / "log.csv", lines), needed=NEEDED, options=LogOptions()), NEEDED)


@pytest.mark.parametrize("sign", [".", ",", " ", "'"])
def test_a_thousands_sign_is_taken_out_where_pinned(sign, tmp_path):
    decimal = "," if sign == "." else "."
    lines = ["t_ms;fork", *(f"{i};{1 + i}{sign}{100 + i}{decimal}25" for i in range(COUNT))]
    path = Manner().write(tmp_path / "log.csv", lines)
    options = LogOptions(thousands=sign, decimal=decimal, delimiter=";")
    log = read_log(path, needed=("fork",), options=options)
    np.testing.assert_array_equal(log.columns["fork"], [1000 * (1 + i) + 100 + i + 0.25 for i in range(COUNT)])


@pytest.mark.parametrize("cell", ["+5", "5.", ".5", "-.5", "5e0", "5E+00", "05", "-0", "+5.25e-2"])
def test_every_spelling_of_a_number_is_read(cell, tmp_path):
    lines = ["t_ms,fork", *(f"{2 * i},{cell}" for i in range(COUNT))]
    log = read_log(Manner().write(tmp_path / "log.csv", lines), needed=("fork",), options=LogOptions())
    np.testing.assert_array_equal(log.columns["fork"], [float(cell)] * COUNT)


@pytest.mark.parametrize(
    "word", ["", "nan", "NaN", "-", "null", "N/A", "inf", "-Inf", "Infinity", "0x1F", "1 2", "err"]
)
@pytest.mark.parametrize("delimiter", [",", "\t"])
def test_cells_that_are_no_numbers_drop_their_row_with_a_warning(word, delimiter, tmp_path):
    manner = Manner(delimiter=delimiter)
    lines = manner.lines(NAMES, ROWS)
    lines[61] = delimiter.join(["120.0", word, "3", "4"])
    log = read_log(manner.write(tmp_path / "log.csv", lines), needed=NEEDED, options=LogOptions())
    assert [(finding.code, finding.severity, finding.row) for finding in log.findings] == [
        ("missing_values", "warning", 62)
    ]
    assert_equal(log, NEEDED, [row for place, row in enumerate(ROWS) if place != 60])
    assert (log.row_of(59), log.row_of(60)) == (61, 63)


def test_comments_and_blank_lines_amid_the_readings_are_no_rows(tmp_path):
    manner = Manner()
    lines = manner.lines(NAMES, ROWS)
    amid = [*lines[:40], "# paused", "", *lines[40:80], "# again, by hand, after, a stop", "# more", *lines[80:]]
    log = read_log(manner.write(tmp_path / "log.csv", amid), needed=NEEDED, options=LogOptions())
    assert_equal(log, NEEDED)
    assert codes(log) == []


@pytest.mark.parametrize("comment", ["#", "//", "%", ";"])
def test_a_pinned_comment_sign_is_heeded_all_through(comment, tmp_path):
    manner = Manner(junk=(f"{comment} head", f"{comment} a,b,c,d"))
    lines = manner.lines(NAMES, ROWS)
    amid = [*lines[:40], f"{comment} 1,2,3,4", *lines[40:]]
    path = manner.write(tmp_path / "log.csv", amid)
    log = read_log(path, needed=NEEDED, options=LogOptions(comment=comment))
    assert_equal(log, NEEDED)
    assert codes(log) == []


def test_the_header_written_again_by_a_restarted_logger_is_no_row(tmp_path):
    manner = Manner()
    lines = manner.lines(NAMES, ROWS)
    amid = [*lines[:50], lines[0], *lines[50:90], lines[0], *lines[90:]]
    log = read_log(manner.write(tmp_path / "log.csv", amid), needed=NEEDED, options=LogOptions())
    assert_equal(log, NEEDED)
    assert codes(log) == ["repeated_header"]
    assert "2 times" in log.findings[0].message


def test_a_header_written_again_does_not_hide_missing_values(tmp_path):
    manner = Manner()
    lines = manner.lines(NAMES, ROWS)
    lines[20] = "38.0,,,"
    amid = [*lines[:50], lines[0], *lines[50:]]
    log = read_log(manner.write(tmp_path / "log.csv", amid), needed=NEEDED, options=LogOptions())
    assert "repeated_header" in codes(log)
    assert codes(log).count("missing_values") == len(NEEDED)
    assert_equal(log, NEEDED, [row for place, row in enumerate(ROWS) if place != 19])


def test_ragged_rows_keep_their_needed_cells_and_are_told(tmp_path):
    manner = Manner()
    lines = manner.lines((*NAMES, "events"), ROWS)
    lines[1] += ",start"
    lines[31] += ",pause,resume"
    log = read_log(manner.write(tmp_path / "log.csv", lines), needed=NEEDED, options=LogOptions())
    assert_equal(log, NEEDED)
    ragged = [finding for finding in log.findings if finding.code == "ragged_rows"]
    assert [(finding.severity, finding.row) for finding in ragged] == [("warning", 2)]
    assert "2 rows" in ragged[0].message


def test_a_row_cut_short_lacks_only_the_cells_it_lacks(tmp_path):
    manner = Manner()
    lines = manner.lines(NAMES, ROWS)
    lines[31] = "60.0,242"
    path = manner.write(tmp_path / "log.csv", lines)
    assert_equal(read_log(path, needed=("fork",), options=LogOptions()), ("fork",))
    both = read_log(path, needed=("fork", "shock"), options=LogOptions())
    assert {(finding.code, finding.row) for finding in both.findings} == {("ragged_rows", 32), ("missing_values", 32)}
    assert both.columns["fork"].shape == (COUNT - 1,)


def test_rows_are_counted_past_blank_lines_and_comments(tmp_path):
    manner = Manner()
    lines = manner.lines(NAMES, ROWS)
    lines[100] = "198.0,,3,4"
    amid = ["first", "", "# second", *lines[:40], "", "# paused", *lines[40:]]
    log = read_log(manner.write(tmp_path / "log.csv", amid), needed=NEEDED, options=LogOptions())
    (finding,) = log.findings
    assert amid[finding.row - 1] == "198.0,,3,4"
    assert [amid[log.row_of(sample) - 1].split(",")[0] for sample in (0, 38, 39, 100)] == [
        "0.0",
        "76.0",
        "78.0",
        "202.0",
    ]


@pytest.mark.parametrize("places", [1, 2])
@pytest.mark.parametrize("names", [NAMES[:2], NAMES[:3], NAMES])
def test_decimal_commas_between_commas_are_refused(names, places, tmp_path):
    """Else the whole numbers before the commas would be read, each column under its left neighbour's name."""
    rows = [
        f"{2 * i}," + ",".join(f"{50 + i * 0.37 + i % 7:.{places}f}".replace(".", ",") for _ in names[1:])
        for i in range(COUNT)
    ]
    path = Manner().write(tmp_path / "log.csv", [",".join(names), *rows])
    with pytest.raises(LogError, match=rf"{len(names)} column names above {2 * len(names) - 1} cells parted by commas"):
        read_log(path, needed=("fork",), options=LogOptions())


@pytest.mark.parametrize("word", ["nan", "NaN", "-", "N/A", "null"])
def test_rows_without_a_reading_at_the_start_are_no_header(word, tmp_path):
    lines = Manner().lines(NAMES, ROWS)
    lines[1:21] = [f"{2 * i},{word},{word},{word}" for i in range(20)]
    log = read_log(Manner().write(tmp_path / "log.csv", lines), needed=NEEDED, options=LogOptions())
    assert_equal(log, NEEDED, ROWS[20:])
    assert set(codes(log)) == {"missing_values"}


def test_pins_win_over_what_the_text_looks_like(tmp_path):
    lines = ["7;8;9", "1;2;3", *(f"{2 * i};{100 + i};{50 - i}" for i in range(COUNT))]
    path = Manner().write(tmp_path / "log.csv", lines)
    named = read_log(path, needed=("2",), options=LogOptions(header_row=2, time=TimeColumn(column="1", unit="ms")))
    np.testing.assert_array_equal(named.columns["2"], np.arange(100.0, 100 + COUNT))
    bare = read_log(path, needed=(2,), options=LogOptions(header_row=0, rate_hz=500.0))
    np.testing.assert_array_equal(bare.columns[2], [8, 2, *np.arange(100.0, 100 + COUNT)])


def test_a_pinned_encoding_is_used(tmp_path):
    manner = Manner(encoding="cp037")  # a mainframe's: can't be found out
    path = manner.write(tmp_path / "log.csv", manner.lines(NAMES, ROWS))
    assert_equal(read_log(path, needed=NEEDED, options=LogOptions(encoding="cp037")), NEEDED)
    with pytest.raises(LogError, match="no row of readings"):
        read_log(path, needed=NEEDED, options=LogOptions())


def test_a_log_longer_than_its_sample_reads_whole(tmp_path):
    rows = [[2.0 * i, float(i % 4096), i / 8, -1.0] for i in range(9_000)]
    for number, kind in enumerate(({}, UTF_16_LITTLE, {"delimiter": "blanks"}, {"line_end": "\r"}, {"packed": True})):
        manner = Manner(**kind)
        log = read_log(
            manner.write(tmp_path / f"{number}.csv", manner.lines(NAMES, rows)), needed=NEEDED, options=LogOptions()
        )
        assert_equal(log, NEEDED, rows)


def test_a_sketch_says_what_each_column_may_be(tmp_path):
    manner = Manner(delimiter=";", decimal=",")
    names = ("t_ms", "A0", "ax", "speed", "flat", "mode", "Sample Number")
    rows = [
        [str(2 * i), str(300 + abs(i % 160 - 80)), f"0,{i:03d}", f"{i % 9},5", "7", "ride", str(i)] for i in range(200)
    ]
    lines = [manner.line(cells) for cells in (names, *rows)]
    found = sketch_log(manner.write(tmp_path / "log.csv", lines))
    assert (found.rows, [column.name for column in found.columns]) == (200, list(names))
    assert [column.proposal for column in found.columns] == [
        "time",
        "travel",
        "inertial",
        "ground_speed",
        "constant",
        "text",
        "counter",
    ]
    assert (found.columns[0].time_unit, found.columns[1].lowest, found.columns[1].highest) == ("ms", 300.0, 380.0)
    assert found.dialect == "semicolon, decimal comma, header in row 1, utf-8"


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("line", ['"', '""', '"""', 'a"D', '"a"b"D', '"aDbD', 'aD"b"D', ' "aDb" D', "D", "DD", '"D"D'])
def test_stray_quotes_never_keep_a_line_from_being_split(delimiter, line):
    cells = split(line.replace("D", delimiter), delimiter)
    assert 1 <= len(cells) <= line.count("D") + 1


def test_a_quote_that_never_closes_is_refused_or_kept_to_its_row(tmp_path):
    lines = Manner().lines(NAMES, ROWS)
    lines[60] = '118.0,"250,30.5,0.5'
    try:
        log = read_log(Manner().write(tmp_path / "log.csv", lines), needed=("fork",), options=LogOptions())
    except LogError:
        return
    assert set(codes(log)) <= {"ragged_rows", "missing_values"}
    rows = [log.row_of(sample) for sample in range(log.time_s.shape[0])]
    np.testing.assert_array_equal(log.columns["fork"], [ROWS[row - 2][1] for row in rows])


CELLS = st.one_of(
    st.integers(-(10**6), 10**6).map(float),
    st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: round(value, 3)),
    st.floats(-1e9, 1e9, allow_nan=False, allow_subnormal=False),
)
NAME = st.text(
    st.characters(blacklist_categories=("C", "Z"), blacklist_characters='",;|#\t"'), min_size=1, max_size=9
).filter(lambda name: any(letter.isalpha() for letter in name))
LINE = st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=30)


@st.composite
def manners(draw):
    delimiter = draw(st.sampled_from([",", ";", "\t", "|", "blanks"]))
    decimal = "." if delimiter == "," else draw(st.sampled_from([".", ","]))
    encoding = draw(st.sampled_from([{}, UTF_8_MARKED, UTF_16_LITTLE, UTF_16_BIG]))
    return Manner(
        delimiter=delimiter,
        decimal=decimal,
        line_end=draw(st.sampled_from(["\n", "\r\n", "\r"])),
        quoted=draw(st.booleans()),
        padding=draw(st.sampled_from(["", " ", "   "])),
        junk=tuple(draw(st.lists(LINE, max_size=4))),
        header=draw(st.booleans()),
        trailing=draw(st.booleans()),
        last_line_end=draw(st.booleans()),
        packed=draw(st.booleans()),
        **encoding,
    )


TABLES = st.integers(1, 5).flatmap(
    lambda width: st.tuples(
        st.lists(NAME, min_size=width, max_size=width, unique_by=str.casefold),
        st.lists(st.lists(CELLS, min_size=width, max_size=width), min_size=16, max_size=40),
    )
)


def is_number(cell, decimal):
    try:
        float(cell.strip(' "').replace(decimal, "."))
    except ValueError:
        return False
    return True


def can_be_told(manner, width):
    """Tell whether a table without a header has one reading only; what has two isn't drawn.

    "1,5" alone may be two columns; a line above the table that holds a number for each column is a row like any other.
    """
    if manner.header:
        return True
    lines = [line.split(None if manner.delimiter == "blanks" else manner.delimiter) for line in manner.junk]
    numbers = [[is_number(cell, manner.decimal) for cell in cells[:width]] for cells in lines]
    return not any(len(row) == width and all(row) for row in numbers) and (width > 1 or manner.decimal == ".")


@pytest.mark.parametrize(
    ("told", "width", "kind"),
    [
        (True, 1, {}),
        (False, 1, {"decimal": ","}),
        (False, 1, {"junk": ("Logger 3", "0")}),
        (True, 1, {"junk": ("0",), "header": True}),
        (True, 2, {"junk": ("0", "a,1")}),
        (False, 2, {"junk": ('"0", 1.5',)}),
        (False, 2, {"junk": ("1,5 2 x",), "delimiter": "blanks", "decimal": ","}),
    ],
)
def test_what_has_two_readings_is_not_drawn(told, width, kind):
    assert can_be_told(Manner(**{"header": False, **kind}), width) is told


@settings(max_examples=40)
@example(manner=Manner(header=False), table=(["a", "b"], [[0.0, 0.0]] * 16))
@example(manner=Manner(decimal=",", delimiter=";"), table=(["a"], [[1.5]] * 16))
@example(manner=Manner(decimal=",", delimiter="blanks"), table=(["a"], [[1.5]] * 16))
@given(manner=manners(), table=TABLES)
def test_any_table_in_any_dialect_reads_back_equal_or_is_refused(manner, table, tmp_path_factory):
    names, rows = table
    assume(can_be_told(manner, len(names)))
    path = manner.write(tmp_path_factory.getbasetemp() / "any.log", manner.lines(names, rows))
    needed = tuple(names) if manner.header else tuple(range(1, len(names) + 1))
    try:
        log = read_log(path, needed=needed, options=WITHOUT_CLOCK)
    except LogError:
        return
    for place, column in enumerate(needed):
        np.testing.assert_array_equal(log.columns[column], [row[place] for row in rows])


@pytest.mark.parametrize("form", ["{:x}", "{:X}", "0x{:03X}", "{:05x}"])
def test_hexadecimal_counts_are_read_on_request_only(form, tmp_path):
    counts = [(place * 37) % 4096 for place in range(300)]
    path = tmp_path / "run.csv"
    rows = [f"{place * 4},{form.format(count)}" for place, count in enumerate(counts)]
    path.write_text("t_ms,A0\n" + "\n".join(rows) + "\n", encoding="ascii")
    log = read_log(path, needed=["A0"], options=LogOptions(hex_counts=True))
    assert log.columns["A0"].tolist() == counts
    assert log.time_s.tolist() == pytest.approx([place * 0.004 for place in range(300)])
    with pytest.raises(LogError, match=r"column 'A0': found hexadecimal counts.*[Ss]tate hex_counts = true"):
        read_log(path, needed=["A0"], options=LogOptions())


def test_a_clock_of_hexadecimal_counts_names_the_key(tmp_path):
    path = tmp_path / "run.csv"
    path.write_text("t_ms,A0\n" + "".join(f"0x{4 * at:08X},{500 + at % 37}\n" for at in range(300)), encoding="ascii")
    with pytest.raises(LogError, match=r"column 't_ms': found hexadecimal counts.*[Ss]tate hex_counts = true"):
        read_log(path, needed=["A0"], options=LogOptions())


def test_counts_that_are_hexadecimal_only_once_the_bike_moves_name_the_key_too(tmp_path):
    counts = [0x120] * 600 + [0x120 + 7 * place % 600 for place in range(900)]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["t_ms,A0", *(f"{2 * row},{count:X}" for row, count in enumerate(counts))]) + "\n")
    with pytest.raises(LogError, match=r"cells that are no numbers.*State hex_counts = true in \[log\] if these are"):
        read_log(path, needed=["A0"], options=LogOptions())


def test_whole_numbers_with_an_exponent_are_decimal(tmp_path):
    rows = [f"{place * 4},{place % 97 + 1}e{place % 3}" for place in range(300)]
    path = Manner().write(tmp_path / "run.csv", ["t_ms,A0", *rows])
    log = read_log(path, needed=["A0"], options=LogOptions())
    assert log.columns["A0"].tolist() == [float(row.split(",")[1]) for row in rows]


def test_cells_that_are_no_hexadecimal_count_are_told(tmp_path):
    path = tmp_path / "run.csv"
    rows = [f"{place * 4},{place:x}" for place in range(300)]
    rows[40] = "160,0x1G"
    path.write_text("t_ms,A0\n" + "\n".join(rows) + "\n", encoding="ascii")
    log = read_log(path, needed=["A0"], options=LogOptions(hex_counts=True))
    (finding,) = [finding for finding in log.findings if finding.code == "missing_values"]
    assert finding.row == 42
    assert "'0x1G'" in finding.message
