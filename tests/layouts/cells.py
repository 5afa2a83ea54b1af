"""Layouts of the table: how cells, numbers and lines are written."""

from __future__ import annotations

from tests.layouts.layout import USUAL, Layout
from tests.layouts.ride import ROWS, Cells, clock, drifting, fork, fork_mm, shock, shock_mm
from tests.logs.written import UTF_8_MARKED, UTF_16_LITTLE, Manner

TENTHS = (("t_ms", clock(decimals=1)), ("fork_mm", fork_mm()), ("shock_mm", shock_mm()))
PREFACE = ("Logger 7, firmware 2.1", "Bike; blue", "", "Note: cold, damp")


def grouped(cells: Cells, sign: str) -> Cells:
    """Return numbers with their digits grouped by thousands."""

    def written() -> list[str]:
        parts = (cell.partition(".") for cell in cells())
        return [f"{int(whole):,}".replace(",", sign) + point + rest for whole, point, rest in parts]

    return written


def with_comments(lines: list[str]) -> list[str]:
    """Return lines with comments and an empty one among them."""
    return [*lines[:2], "# paused", "", *lines[2:900], "# battery 3.7 V", *lines[900:]]


def started_twice(lines: list[str]) -> list[str]:
    """Return lines with the header once more, as a logger that starts again writes it."""
    return [*lines[:3], lines[0], *lines[3:]]


def cut_short(lines: list[str]) -> list[str]:
    """Return lines of which the last is cut short, as where power is lost."""
    return [*lines[:-1], lines[-1][:7]]


COUNTS_IN_HEX: tuple[tuple[str, Cells], ...] = (
    ("t_ms", clock()),
    ("fork", lambda: [f"{int(cell):03X}" for cell in fork()()]),
    ("shock", lambda: [f"0x{int(cell):X}" for cell in shock()()]),
)


def turned_over(lines: list[str]) -> list[str]:
    """Return lines of which the second half has its columns in another order, under a header of its own."""
    half = len(lines) // 2
    rows = (line.split(",") for line in lines[half:])
    return [*lines[:half], "t_ms,shock,fork", *(f"{at},{rear},{front}" for at, front, rear in rows)]


def with_unit(cells: Cells) -> Cells:
    """Return cells with a unit behind each number."""
    return lambda: [f"{cell} mm" for cell in cells()]


REFUSED = (
    Layout(
        name="units within the cells",
        columns=(("t_ms", clock()), ("fork", with_unit(fork_mm())), ("shock", with_unit(shock_mm()))),
        asked="not in bare numbers",
        said="Have the logger write bare numbers.",
    ),
    Layout(
        name="decimal commas, commas between",
        columns=(("t_ms", clock()), ("fork_mm", fork_mm()), ("shock_mm", shock_mm())),
        manner=Manner(decimal=","),
        asked="column names above 5 cells parted by commas",
        said="Have the logger write another delimiter, or quotes.",
    ),
    Layout(
        name="columns that change their order midway",
        altered=turned_over,
        asked="the header again, with the columns in another order",
        said="Split the log there: it is two.",
        shown=(0, ROWS // 2 - 1),
    ),
    Layout(
        name="values with letters between",
        line=lambda _, cells: f"T{cells[0]}F{cells[1]}S{cells[2]}",
        ending=".txt",
        asked="no row of readings",
        said="Have the logger write a delimiter.",
    ),
)

CLOCK_IN_HEX: tuple[tuple[str, Cells], ...] = (
    ("t_ms", lambda: [f"0x{int(cell):08X}" for cell in clock()()]),
    *((name, lambda cells=cells: [f"0x{int(cell, 16):04X}" for cell in cells()]) for name, cells in COUNTS_IN_HEX[1:]),
)

CELLS = (
    Layout(name="commas"),
    Layout(name="semicolons", manner=Manner(delimiter=";")),
    Layout(name="tabs", manner=Manner(delimiter="\t"), ending=".tsv"),
    Layout(name="bars", manner=Manner(delimiter="|", padding=" ")),
    Layout(name="blanks in runs", manner=Manner(delimiter="blanks", padding=" "), ending=".txt"),
    Layout(name="colons", manner=Manner(delimiter=":"), log=('delimiter = ":"',), asked="state it as .log. delimiter"),
    Layout(name="decimal commas, semicolons between", columns=TENTHS, manner=Manner(delimiter=";", decimal=",")),
    Layout(name="decimal commas, tabs between", columns=TENTHS, manner=Manner(delimiter="\t", decimal=",")),
    Layout(name="decimal commas in quotes", columns=TENTHS, manner=Manner(decimal=",", quoted=True)),
    Layout(
        name="thousands by points",
        columns=tuple((name, grouped(cells, ".")) for name, cells in USUAL),
        manner=Manner(delimiter=";", decimal="."),
        shown=(0, 252),
    ),
    Layout(
        name="thousands by commas, in quotes",
        columns=tuple((name, grouped(cells, ",")) for name, cells in USUAL),
        manner=Manner(quoted=True),
        shown=(0, 252),
    ),
    Layout(
        name="thousands by apostrophes",
        columns=tuple((name, grouped(cells, "'")) for name, cells in USUAL),
        manner=Manner(),
        shown=(0, 252),
    ),
    Layout(name="everything in quotes", manner=Manner(quoted=True)),
    Layout(name="UTF-8 with its mark", manner=Manner(**UTF_8_MARKED)),
    Layout(name="UTF-16", manner=Manner(delimiter="\t", **UTF_16_LITTLE)),
    Layout(
        name="accents in an old western encoding",
        columns=(("Zeit_ms", clock()), ("Gabelweg", fork()), ("Dämpferhub", shock())),
        manner=Manner(encoding="cp1252", delimiter=";"),
    ),
    Layout(name="line ends of CR and LF", manner=Manner(line_end="\r\n")),
    Layout(name="line ends of CR alone", manner=Manner(line_end="\r")),
    Layout(name="packed by gzip", manner=Manner(packed=True), ending=".csv.gz"),
    Layout(name="a preface above the header", manner=Manner(junk=PREFACE), shown=(0, 4)),
    Layout(name="a commented preface", manner=Manner(junk=("# Logger 7", "# fork, shock: 12 bits"))),
    Layout(name="comments amid the rows", altered=with_comments),
    Layout(
        name="comments with a sign of their own",
        altered=lambda lines: [line.replace("#", "//") for line in with_comments(lines)],
        log=('comment = "//"',),
        said="Without it they are told as rows cut short, and the readings are right all the same.",
    ),
    Layout(name="a row of units beneath the header", manner=Manner(units=("ms", "counts", "counts"))),
    Layout(
        name="no header",
        manner=Manner(header=False),
        said="Columns are named by number: `column = 2`. Which end is which is asked.",
    ),
    Layout(
        name="a header whose names are all alike",
        columns=(("t_ms", clock()), ("pot", fork()), ("pot", shock())),
        said="Columns that share a name are named by number. Which end is which is asked.",
    ),
    Layout(name="the header again, where the logger started anew", altered=started_twice),
    Layout(name="a delimiter at each line's end", manner=Manner(trailing=True)),
    Layout(name="a last row cut short", altered=cut_short, shown=(0, ROWS - 2)),
    Layout(
        name="hexadecimal counts",
        columns=COUNTS_IN_HEX,
        said=(
            "The draft states `hex_counts = true`, as letters are no decimal digits. Where it isn't stated the log is "
            "refused: digits alone, such as `12`, could be either."
        ),
    ),
    Layout(
        name="hexadecimal counts, the clock's too",
        columns=CLOCK_IN_HEX,
        said="The draft states `hex_counts = true`, and a clock so written is read so too.",
    ),
    Layout(
        name="words and empty columns beside",
        columns=(
            ("t_ms", clock()),
            ("state", lambda: ["run"] * ROWS),
            ("fork", fork()),
            ("note", lambda: [""] * ROWS),
            ("shock", shock()),
            ("Temp", drifting(24, 2, 40)),
        ),
    ),
)
