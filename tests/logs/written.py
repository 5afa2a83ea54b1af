"""Tables written down as loggers write them, in any dialect."""

from __future__ import annotations

import codecs
import gzip
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

GLUE = {"blanks": "  "}


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a table is written; the defaults are a plain comma-separated file."""

    delimiter: str = ","
    decimal: str = "."
    line_end: str = "\n"
    encoding: str = "utf-8"
    mark: bytes = b""
    quoted: bool = False
    padding: str = ""
    junk: tuple[str, ...] = ()
    header: bool = True
    units: tuple[str, ...] = ()
    trailing: bool = False
    last_line_end: bool = True
    packed: bool = False

    def line(self, cells: Sequence[str]) -> str:
        glue = GLUE.get(self.delimiter, self.delimiter)
        shown = [f'"{cell}"' if self.quoted else cell for cell in cells]
        padded = [f"{self.padding}{cell}{self.padding}" for cell in shown]
        return glue.join(padded) + (glue if self.trailing else "")

    def number(self, value: float) -> str:
        return repr(value).replace(".", self.decimal)

    def lines(self, names: Sequence[str], rows: Sequence[Sequence[float]]) -> list[str]:
        head = [*self.junk, *([self.line(names)] if self.header else []), *([self.line(self.units)] * bool(self.units))]
        return head + [self.line([self.number(value) for value in row]) for row in rows]

    def write(self, path: Path, lines: Sequence[str]) -> Path:
        text = self.line_end.join(lines) + (self.line_end if self.last_line_end else "")
        data = self.mark + text.encode(self.encoding)
        path.write_bytes(gzip.compress(data, mtime=0) if self.packed else data)
        return path


UTF_8_MARKED = {"mark": codecs.BOM_UTF8}
UTF_16_LITTLE = {"encoding": "utf-16-le", "mark": codecs.BOM_UTF16_LE}
UTF_16_BIG = {"encoding": "utf-16-be", "mark": codecs.BOM_UTF16_BE}
