"""How a log is written: delimiter, decimal sign, digits grouped or not, header, first row of data."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import accumulate

from telemetry.errors import LogError
from telemetry.model.day import LogOptions

from .forms import Form
from .grouping import DECIMAL_TOO, find_grouping, may_be_grouped, sign_words, ungrouped
from .hexadecimal import with_plain_counts
from .month_names import with_month_number
from .unit_rows import looks_like_units

BLANKS = "blanks"
"""The delimiter of logs whose cells are parted by runs of blanks."""

DELIMITER_WORDS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", BLANKS: "blanks"}
CANDIDATES = (";", "\t", ",", "|", BLANKS)
SAMPLE_ROWS = 400
FITTED_ROWS = 40
SAMPLE_LETTERS = 1 << 21
MOST_COLUMNS = 4096
"""Own choices: what takes longer than a moment to look at is no logger's."""
MORE_DATA = 0.1
"""Rows that hold so much more data than the first ones show that those are a preface."""
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_COMMA_NUMBER = re.compile(r"[+-]?(\d+(,\d*)?|,\d+)([eE][+-]?\d+)?")
_STAMP = re.compile(
    r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}([T ].*)?|\d{8}[T ]\d{6}.*|\d{1,3}:\d{2}([.,]\d+)?|\d{1,3}:\d{2}:\d{2}.*"
)
_PADDED = re.compile(r"0\d+")
MOST_DIGITS = 8
"""Own choice: of the ten digits, some may lack in the rows that are looked at."""
_NO_READING = frozenset({"nan", "n/a", "na", "null", "none", "-", "--"})
"""A cell that says that there is no reading speaks neither for data nor for a header."""
_QUOTED = re.compile(r' *"((?:[^"]|"")*)"')
_BLANK_RUN = re.compile(r"[ \t]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """How one log is written.

    Attributes
    ----------
    encoding : str
    delimiter : str
        One character, or `BLANKS`.
    decimal : str
        "." or ",".
    names : tuple of str
        Column names; empty strings where the log has no header.
    header_row, first_row : int
        Rows counted from 1; header_row 0 where there is none.
    comment : str
        Lines that start with it aren't rows.
    cells : int
        Cells in the usual row; a header may name more.
    units : tuple of str
        The unit row under the header, empty where there is none.
    thousands : str or None
        The sign that groups the digits of large numbers.
    form : Form or None
        How lines become bare cells where they aren't.
    """

    encoding: str
    delimiter: str
    decimal: str
    names: tuple[str, ...]
    header_row: int
    first_row: int
    comment: str
    cells: int
    units: tuple[str, ...] = ()
    thousands: str | None = None
    form: Form | None = None

    @property
    def width(self) -> int:
        """Columns: named ones, and those of the usual row."""
        return len(self.names)

    @property
    def words(self) -> str:
        """The dialect for a person."""
        parts = [
            self.form.words if self.form else DELIMITER_WORDS.get(self.delimiter, repr(self.delimiter)),
            "decimal comma" if self.decimal == "," else "decimal point",
            *([f"thousands by {sign_words(self.thousands)}"] if self.thousands else []),
            f"header in row {self.header_row}" if self.header_row else "no header",
            self.encoding,
        ]
        return ", ".join(parts)

    def cells_of(self, line: str) -> tuple[str, ...]:
        """Return the cells of one line as the parser takes them: numbers without the sign that groups their digits."""
        return tuple(ungrouped(cell, self.thousands, self.decimal) for cell in split(line, self.delimiter))


def lines_of(text: str) -> list[str]:
    """Return the lines of a log as its parser counts them: parted by LF, CR LF or CR, by nothing else."""
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def split(line: str, delimiter: str) -> list[str]:
    """Return the stripped cells of one line; quotes around a cell are taken off.

    Examples
    --------
    >>> split('1; "a;b" ;3', ";")
    ['1', 'a;b', '3']
    """
    if delimiter == BLANKS:
        return [cell.strip('"') for cell in _BLANK_RUN.split(line.strip(" \t"))] if line.strip(" \t") else []
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    cells, place = [], 0
    while True:
        quoted = _QUOTED.match(line, place)
        stop = line.find(delimiter, quoted.end() if quoted else place)
        end = stop if stop >= 0 else len(line)
        cell = quoted.group(1).replace('""', '"') + line[quoted.end() : end] if quoted else line[place:end]
        cells.append(cell.strip())
        if stop < 0:
            return cells
        place = stop + 1


def is_number(cell: str, decimal: str = ".") -> bool:
    """Tell whether a cell is a plain number with this decimal sign."""
    return (_COMMA_NUMBER if decimal == "," else _NUMBER).fullmatch(cell) is not None


def _is_data(cell: str, decimal: str) -> bool:
    return is_number(cell, decimal) or _STAMP.fullmatch(with_month_number(cell)) is not None or may_be_grouped(cell)


def _decimal_of(rows: Sequence[Sequence[str]]) -> str:
    with_comma = sum("," in cell and is_number(cell, ",") for row in rows for cell in row)
    with_point = sum("." in cell and is_number(cell) for row in rows for cell in row)
    return "," if with_comma > with_point else "."


def _decimal_beside(thousands: str, rows: Sequence[Sequence[str]]) -> str:
    """Return the decimal sign of a log that groups digits."""
    return DECIMAL_TOO.get(thousands) or _decimal_of([[cell.replace(thousands, "") for cell in row] for row in rows])


@dataclass(frozen=True, slots=True)
class _Fit:
    """How well a delimiter explains the sample: share of rows of the commonest width, cells that are data."""

    delimiter: str
    decimal: str
    width: int
    share: float
    data: float
    thousands: str | None = None

    @property
    def rank(self) -> tuple[bool, float, int]:
        """How well it fits; blanks come last among equals: they part a date from its time, and words from words."""
        width = 0 if self.delimiter == BLANKS else self.width
        return (self.share > 0.5 and self.data > 0.3, round(self.share * self.data, 2), width)


def _fit(lines: Sequence[str], delimiter: str, decimal: str | None) -> _Fit:
    later = lines[len(lines) // 3 :]
    rows = [split(line, delimiter) for line in later[:: len(later) // FITTED_ROWS + 1]]
    width, times = Counter(len(row) for row in rows).most_common(1)[0]
    sign = decimal or _decimal_of(rows)
    cells = [cell for row in rows if len(row) == width for cell in row if cell]
    data = sum(_is_data(cell, sign) for cell in cells) / max(1, len(cells))
    return _Fit(delimiter, sign, width, times / len(rows), data)


def _choose(lines: Sequence[str], options: LogOptions) -> _Fit:
    if options.delimiter is not None:
        pinned = BLANKS if options.delimiter in (BLANKS, " ", "whitespace") else options.delimiter
        return _fit(lines, pinned, options.decimal)
    fits = [_fit(lines, delimiter, options.decimal) for delimiter in CANDIDATES]
    wide = [fit for fit in fits if fit.width > 1 and fit.rank[0]]
    return max(wide or fits, key=lambda fit: fit.rank)


def _data_share(cells: Sequence[str], decimal: str) -> float:
    filled = [cell for cell in cells if cell and cell.lower() not in _NO_READING]
    return sum(_is_data(cell, decimal) for cell in filled) / len(filled) if filled else 0.0


def _first_data(rows: Sequence[Sequence[str]], fit: _Fit, usual: float) -> int | None:
    """Return the index of the first row that looks like the rows further down."""
    for place, cells in enumerate(rows):
        alike = abs(len(cells) - fit.width) <= 1 and len(cells) > 0
        if alike and any(cells) and _data_share(cells, fit.decimal) >= 0.6 * usual:
            return place
    return None


def _header_place(rows: Sequence[Sequence[str]], first: int, fit: _Fit) -> tuple[int | None, int | None]:
    """Return the places of the header and of a unit row under it, None where there is none."""
    block: list[int] = []
    for place in range(first - 1, -1, -1):
        cells = rows[place]
        if not any(cells):
            continue
        words = _data_share(cells, fit.decimal) < 0.5
        if not words or not (fit.width - 1 <= len(cells) <= fit.width + 2):
            break
        block.append(place)
    if not block:
        return None, None
    if len(block) > 1 and looks_like_units(rows[block[0]], rows[block[1]]):
        return block[1], block[0]
    return block[0], None


def _sample(written: list[tuple[int, str]], where: str, options: LogOptions) -> tuple[list[tuple[int, str]], _Fit]:
    """Return the numbered lines by which a log's form is told, and how its rows are parted.

    The first 400 lines are; all there are, where those further down are of another form: a long preface.
    """
    if options.header_row:
        kept = [(number, line) for number, line in written if number >= options.header_row][:SAMPLE_ROWS]
    else:
        kept = written[:SAMPLE_ROWS]
    if not kept:
        found = "no rows" if not options.header_row else f"no row {options.header_row} among the first {len(written)}"
        expected = "a row of column names and rows of readings"
        raise LogError(where, found, expected, "check that the logger wrote it, and [log] header_row where stated")
    fit = _choose([line for _, line in kept], options)
    if options.header_row or len(written) <= len(kept):
        return kept, fit
    further = _choose([line for _, line in written[-SAMPLE_ROWS:]], options)
    other_form = (further.delimiter, further.width) != (fit.delimiter, fit.width) or further.data > fit.data + MORE_DATA
    return (written, further) if other_form and further.rank[0] else (kept, fit)


def _bounded(written: list[tuple[int, str]], where: str) -> list[tuple[int, str]]:
    """Return as many lines as can be looked at in a moment; refuse such as have more cells than any log's."""
    letters = accumulate(len(line) for _, line in written)
    some = [row for row, length in zip(written, letters, strict=True) if length <= SAMPLE_LETTERS]
    some = some if len(some) >= FITTED_ROWS else written[:FITTED_ROWS]
    many = [number for number, line in some if len(line) > MOST_COLUMNS and most_marks(line) >= MOST_COLUMNS]
    if 2 * len(many) > len(some):
        raise LogError(
            f"{where}, row {many[0]}",
            f"over {MOST_COLUMNS} cells in a row",
            f"{MOST_COLUMNS} columns at most",
            "have the logger write fewer columns, or cut the log to the ones you need",
        )
    return some


def most_marks(line: str) -> int:
    """Return how often the commonest character that may part cells stands in a line."""
    return max(line.count(mark) for mark in CANDIDATES if mark != BLANKS)


def find_dialect(text: str, where: str, encoding: str, options: LogOptions) -> Dialect:
    """Return how a log is written, from the text of its first rows.

    Parameters
    ----------
    text : str
        The log's beginning, whole lines.
    where : str
        The log's name, for messages.
    encoding : str
    options : LogOptions
        What is pinned wins.

    Raises
    ------
    LogError
        If there are no rows of data.
    """
    comment = options.comment or "#"
    lines = enumerate(lines_of(text), 1)
    written = [(number, line) for number, line in lines if line.strip() and not line.startswith(comment)]
    written = _bounded(written, where)
    kept, fit = _sample(written, where, options)
    cells = [split(line, fit.delimiter) for _, line in kept]
    thousands = options.thousands or _grouping([line for _, line in written], where, fit, options)
    decimal = fit.decimal if thousands is None else options.decimal or _decimal_beside(thousands, cells)
    fit = replace(fit, decimal=decimal, thousands=thousands)
    rows = cells if thousands is None else [[ungrouped(cell, thousands, decimal) for cell in row] for row in cells]
    looked_at = min(len(rows), SAMPLE_ROWS)
    later = rows[len(rows) - looked_at + looked_at // 3 :]
    tail = [row for row in later[:: len(later) // FITTED_ROWS + 1] if len(row) == fit.width]
    judged, judged_tail = (
        with_plain_counts(some, tail, partial(_data_share, decimal=decimal)) for some in (rows, tail)
    )
    usual = sorted(_data_share(row, decimal) for row in judged_tail)[len(tail) // 2]
    if options.header_row is not None:
        return _pinned_header(kept, rows, fit, encoding, options)
    first = _first_data(judged, fit, usual) if usual > 0 else None
    if first is None:
        remedy = "check the logger; where another sign parts the cells, state it as [log] delimiter"
        raise LogError(where, "a header or words only, no row of readings", "rows of numbers", remedy)
    header, units = _header_place(judged, first, fit)
    names = rows[header] if header is not None else []
    above = names or (rows[first - 1] if first and _data_share(judged[first - 1], decimal) == 0 else [])
    if fit.delimiter == "," != options.delimiter and _decimals_apart(len(above), fit.width, tail):
        return _halved(text, where, encoding, options, (len(above), fit.width))
    width = max(fit.width, len(names))
    return Dialect(
        encoding=encoding,
        delimiter=fit.delimiter,
        decimal=fit.decimal,
        names=tuple(names[place] if place < len(names) else "" for place in range(width)),
        header_row=kept[header][0] if header is not None else 0,
        first_row=kept[first][0],
        comment=comment,
        cells=fit.width,
        units=tuple(rows[units]) if units is not None else (),
        thousands=thousands,
    )


def _grouping(lines: Sequence[str], where: str, fit: _Fit, options: LogOptions) -> str | None:
    """Return the sign that groups digits: a clock may pass 999 long after the first rows."""
    some = [*lines[:SAMPLE_ROWS], *lines[SAMPLE_ROWS :: len(lines) // SAMPLE_ROWS + 1]]
    rows = [row for row in (split(line, fit.delimiter) for line in some) if len(row) == fit.width]
    found = find_grouping(rows, options.decimal)
    if found is None:
        return None
    if found.doubtful:
        raise LogError(
            where,
            f"{found.doubtful!r} among larger whole numbers",
            "numbers that can be read in one way only",
            f"state decimal = {found.sign!r} or thousands = {found.sign!r} in [log]",
        )
    return found.sign


def _decimals_apart(names: int, cells: int, rows: Sequence[Sequence[str]]) -> bool:
    """Tell whether commas may be decimal signs: twice as many cells as names; or more, and a column as of decimals.

    Decimals are whole numbers that begin with 0, or all digits from 0 to 9.
    """
    if not 0 < names < cells or any("." in cell for row in rows for cell in row):
        return cells == 2 * names
    columns = [[row[place] for row in rows] for place in range(1, cells)]
    padded = any(_PADDED.fullmatch(cell) for column in columns for cell in column)
    digits = any(all(len(cell) == 1 for cell in column) and len(set(column)) >= MOST_DIGITS for column in columns)
    return cells == 2 * names or padded or digits


def _halved(text: str, where: str, encoding: str, options: LogOptions, counts: tuple[int, int]) -> Dialect:
    """Return the dialect of a log whose commas may be decimal signs, by how many names stand above how many cells."""
    names, cells = counts
    if names == 1 and cells == 2:
        return find_dialect(text, where, encoding, replace(options, delimiter=";", decimal=","))
    raise LogError(
        where,
        f"{names} column names above {cells} cells parted by commas",
        "as many cells as names",
        "if the commas are decimal signs, write another delimiter; else state [log] delimiter",
    )


def _pinned_header(
    kept: Sequence[tuple[int, str]], rows: Sequence[Sequence[str]], fit: _Fit, encoding: str, options: LogOptions
) -> Dialect:
    wanted = options.header_row or 0
    names: Sequence[str] = []
    after = [place for place, (number, _) in enumerate(kept) if number > wanted]
    if wanted:
        names = next((rows[place] for place, (number, _) in enumerate(kept) if number == wanted), [])
    first = next((p for p in after if _data_share(rows[p], fit.decimal) >= 0.3), after[0] if after else 0)
    width = max(fit.width, len(names))
    return Dialect(
        encoding=encoding,
        delimiter=fit.delimiter,
        decimal=fit.decimal,
        names=tuple(names[place] if place < len(names) else "" for place in range(width)),
        header_row=wanted,
        first_row=kept[first][0],
        comment=options.comment or "#",
        cells=fit.width,
        thousands=fit.thousands,
    )
