"""What a row of the table of log layouts holds, and how its logs are written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias

from tests.layouts.ride import Cells, clock, fork, shock
from tests.logs.written import Manner

Columns: TypeAlias = Sequence[tuple[str, Cells]]
Line: TypeAlias = Callable[[Sequence[str], Sequence[str]], str]
"""A line of a log whose lines aren't bare cells, by names and cells."""

USUAL: Columns = (("t_ms", clock()), ("fork", fork()), ("shock", shock()))
RUN = "run_1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How one logger writes, what is to be written of it, and what comes of it.

    Attributes
    ----------
    name : str
        In plain words.
    columns : sequence of (name, cells)
    logs : mapping of str to columns
        Several files of one run, by their names without ending; in place of `columns`.
    manner : Manner
        How cells are put into lines.
    line : callable, optional
        How names and cells become a line, where they aren't bare cells.
    altered : callable, optional
        What is done to the lines at last.
    ending : str
        Of the file's name.
    log : tuple of str
        What is to be written in ``[log]``; nothing where it is found out.
    sensors : mapping of a sensor's name to lines
        What is to be written in ``[sensors.NAME]`` besides the points of counts.
    asked : str
        Words of the question that stands there as long as `log` and `sensors` aren't written; empty where it is read.
    said : str
        What else is to be known of it, in whole sentences.
    shown : tuple of int
        First lines, from 0, of the pieces that are shown of it, five lines in all.
    """

    name: str
    columns: Columns = USUAL
    logs: Mapping[str, Columns] | None = None
    manner: Manner = field(default_factory=Manner)
    line: Line | None = None
    altered: Callable[[list[str]], list[str]] | None = None
    ending: str = ".csv"
    log: tuple[str, ...] = ()
    sensors: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    asked: str = ""
    said: str = ""
    shown: tuple[int, ...] = (0,)

    @property
    def files(self) -> Mapping[str, Columns]:
        """Columns by the file that holds them."""
        stems = {RUN: self.columns} if self.logs is None else self.logs
        return {f"{stem}{self.ending}": columns for stem, columns in stems.items()}

    def lines(self, columns: Columns) -> list[str]:
        """Return a file's lines."""
        names = [name for name, _ in columns]
        rows = list(zip(*(cells() for _, cells in columns), strict=True))
        if self.line is not None:
            lines = [*self.manner.junk, *(self.line(names, row) for row in rows)]
        else:
            manner = self.manner
            head = [*manner.junk, *([manner.line(names)] if manner.header else [])]
            units = [manner.line(manner.units)] if manner.units else []
            lines = [*head, *units, *(manner.line([cell.replace(".", manner.decimal) for cell in row]) for row in rows)]
        return lines if self.altered is None else self.altered(lines)

    def write(self, folder: Path) -> None:
        """Write its logs into a folder."""
        for name, columns in self.files.items():
            self.manner.write(folder / name, self.lines(columns))
