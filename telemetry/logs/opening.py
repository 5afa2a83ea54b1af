"""A log opened: how it is written, and its first rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from telemetry.errors import LogError
from telemetry.model.day import LogOptions

from .dialect import SAMPLE_ROWS, Dialect, find_dialect, lines_of
from .encoding import find_encoding
from .forms import Form, find_form
from .lines import plain_minus
from .source import NOT_CLOSED, LogSource
from .split_clock import SplitClock, find_split_clock


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenLog:
    """A log whose dialect is known; nothing but its first rows has been read."""

    source: LogSource
    dialect: Dialect
    rows: tuple[tuple[str, ...], ...]
    split_clock: SplitClock | None
    preface: tuple[str, ...] = ()
    """The lines above the header and the readings, as they stand."""
    lines: tuple[str, ...] = ()
    """The first rows and some of those that follow, as they stand."""

    def pieces(self) -> Iterator[Sequence[Sequence[str]]]:
        """Yield the first rows, then as many at a time of those that follow: a bike at rest tells little."""
        yield self.rows
        for start in range(SAMPLE_ROWS, len(self.lines), SAMPLE_ROWS):
            yield [self.dialect.cells_of(line) for line in self.lines[start : start + SAMPLE_ROWS]]


def open_log(path: Path, where: str, options: LogOptions) -> OpenLog:
    """Find out how a log is written.

    Parameters
    ----------
    path : Path
    where : str
        The log's name, for messages.
    options : LogOptions

    Raises
    ------
    LogError
    """
    source = LogSource(path, where)
    head = source.head()
    encoding = find_encoding(head.data, where, options.encoding)
    text = plain_minus(head.data.decode(encoding, errors="replace").removeprefix("\ufeff"))
    form = find_form(lines_of(text), options.comment or "#") if options.delimiter is None else None
    above = text
    text = text if form is None else "\n".join(form.plain(lines_of(text)))
    try:
        dialect = _with_form(form, find_dialect(text, where, encoding, _as_pinned(form, options)))
    except LogError as error:
        if not head.zeros:
            raise
        raise LogError(where, f"{error.found}, then zero bytes", error.expected, NOT_CLOSED) from None
    lines = lines_of(text)[dialect.first_row - 1 :]
    written = [line for line in lines[:SAMPLE_ROWS] if line.strip() and not line.startswith(dialect.comment)]
    return OpenLog(
        source=source,
        dialect=dialect,
        rows=tuple(map(dialect.cells_of, written)),
        split_clock=find_split_clock(dialect, lines),
        lines=tuple(lines),
        preface=tuple(lines_of(above)[: (dialect.header_row or dialect.first_row) - 1]),
    )


def _as_pinned(form: Form | None, options: LogOptions) -> LogOptions:
    return options if form is None else replace(options, delimiter=form.delimiter)


def _with_form(form: Form | None, dialect: Dialect) -> Dialect:
    """Return the dialect of lines that were turned into bare cells, with the names they held."""
    if form is None or not form.columns:
        return replace(dialect, form=form)
    return replace(dialect, form=form, names=form.columns, header_row=0, units=())
