"""A log file: checked, unpacked and turned into text that can be read in pieces."""

from __future__ import annotations

import codecs
import os
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from telemetry import memory
from telemetry.errors import LogError

from .dialect import MOST_COLUMNS, Dialect, most_marks
from .forms import Form
from .text import LONGEST_LINE, Held, LogText, with_single_ends
from .unpacking import unpacked

HEAD_BYTES_TRIED = (1 << 16, 1 << 20, 1 << 24)
FEWEST_HEAD_LINES = 50
LARGEST_UNPACKED = 1 << 30
"""Own choice: an hour at 1 kHz of 40 columns; a few kB of gzip can hold as much."""
WIDEST_LETTER = 4
"""Bytes of the widest letter of any encoding that is found out."""
HOLDS_ASCII = ("utf-8", "utf-8-sig", "cp1252", "ascii", "iso8859-1")
_GZIP = b"\x1f\x8b"


NOT_CLOSED = "the logger lost power before it closed the file, or the card failed: copy it again, or ride again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A log's first lines, and whether nothing but zero bytes follows as far as was looked."""

    data: bytes
    zeros: bool


@contextmanager
def within_memory(where: str) -> Iterator[None]:
    """Turn running out of memory while a log is read into an error that names the log.

    Raises
    ------
    LogError
    """
    try:
        yield
    except MemoryError:
        pass
    except Exception as error:
        if "thread" not in str(error):  # no room left for a thread's stack
            raise
    else:
        return
    raise LogError(where, "too little memory to read it", "a log that fits in memory", "split the log") from None


def _checked_size(path: Path, where: str) -> int:
    try:
        status = path.stat()
    except FileNotFoundError:
        raise LogError(where, "no such file", "the log named in ride_day.toml", "copy it beside the file") from None
    except OSError as error:
        raise LogError(where, str(error.strerror), "a readable file", "check the folder's permissions") from None
    if stat.S_ISDIR(status.st_mode):
        raise LogError(where, "a folder", "a log file", "name the file inside it")
    if not stat.S_ISREG(status.st_mode):
        raise LogError(where, "no ordinary file", "a log file", "copy the log as a plain file")
    if not os.access(path, os.R_OK):
        raise LogError(where, "a file that may not be read", "read permission", "check its permissions")
    if status.st_size == 0:
        raise LogError(where, "an empty file", "rows of readings", "copy it again from the logger")
    return status.st_size


class LogSource:
    """One log file, checked when made.

    Parameters
    ----------
    path : Path
    where : str
        The log's name, for messages.

    Raises
    ------
    LogError
        If there is no such readable, ordinary, non-empty file.
    """

    def __init__(self, path: Path, where: str) -> None:
        self.path = path
        self.where = where
        self.size = _checked_size(path, where)
        with path.open("rb") as file:
            self.packed = file.read(2) == _GZIP
        if path.suffix == ".gz" and not self.packed:
            raise LogError(where, "no gzip data", "a .gz file", "copy it again from the logger")

    def head(self) -> Head:
        """Return the first 64 kB, unpacked, cut after the last whole line; more where lines are very long.

        Raises
        ------
        LogError
            If it holds zero bytes only, a line of over 256 kB, or can't be read.
        """
        found = data = b""
        for count in HEAD_BYTES_TRIED:
            found = self._first(count)
            data = found[: _whole_letters(len(found.rstrip(b"\0")))]
            whole = len(data) < count
            if whole or max(data.count(b"\n"), data.count(b"\r")) >= FEWEST_HEAD_LINES:
                break
        if found and not data:
            raise LogError(self.where, "zero bytes and nothing else", "rows of readings", NOT_CLOSED)
        self._check_lines(data)
        zeros = len(data) < len(found)
        if not whole:
            data = data[: max(data.rfind(b"\n"), data.rfind(b"\r")) + 1] or data
        return Head(data=data.replace(b"\r\r\n", b"\r\n"), zeros=zeros)

    def text(self, dialect: Dialect) -> LogText:
        """Return the whole log as text; in memory where it is packed or in an encoding that doesn't hold ASCII.

        Raises
        ------
        LogError
            If it can't be read, or holds more than there is memory for.
        """
        with self._read_errors():
            held = Held(self._gathered(unpacked(self.path, self.where))) if self.packed else Held(self.path)
            if dialect.encoding in HOLDS_ASCII:
                return self._as_cells(LogText(held, dialect.encoding), dialect.form)
            stop = min(held.size, _whole_letters(held.zeros_from()))
            letters = codecs.iterdecode(held.in_pieces(stop), dialect.encoding, errors="replace")
            text = self._gathered(part.encode("utf-8", errors="replace") for part in letters)
            return self._as_cells(LogText(Held(text), "utf-8", held.size - stop), dialect.form)

    def _as_cells(self, text: LogText, form: Form | None) -> LogText:
        """Return a text as bare cells, in memory where its lines are of another form."""
        if form is None:
            return text
        pieces = (with_single_ends(piece).decode(text.encoding, errors="replace") for piece in text.pieces(1))
        cells = ("\n".join(form.plain(piece.split("\n"))).encode("utf-8") for piece in pieces)
        return LogText(Held(self._gathered(cells)), "utf-8", text.zeros)

    def check_room(self, needed: float, room: float | None) -> None:
        """Refuse what takes more bytes of memory than there are to take; a room of None is not known.

        Raises
        ------
        LogError
        """
        memory.check_log(self.where, needed, room, packed=self.packed)

    def _first(self, count: int) -> bytes:
        with self._read_errors():
            if not self.packed:
                return Held(self.path).read(0, count)
            data = bytearray()
            for piece in unpacked(self.path, self.where):
                data += piece
                if len(data) >= count:
                    break
            return bytes(data[:count])

    def _gathered(self, pieces: Iterable[bytes]) -> bytes:
        """Return pieces in one, as far as there is memory for them."""
        data = BytesIO()
        for piece in pieces:
            data.write(piece)
            if self.packed and data.tell() > LARGEST_UNPACKED:
                expected = "a packed log of 1 GB at most"
                raise LogError(self.where, "more than 1 GB when unpacked", expected, "unpack it, or split the log")
            self.check_room(len(piece), memory.room())
        return data.getvalue()

    @contextmanager
    def _read_errors(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            raise LogError(self.where, str(error), "a readable file", "copy it again from the logger") from None

    def _check_lines(self, head: bytes) -> None:
        """Refuse a log whose first lines hold more than any row."""
        for row, line in enumerate(head.split(b"\n" if b"\n" in head else b"\r"), 1):
            if len(line) > LONGEST_LINE:
                raise too_long(self.where, row, most_marks(line.decode("latin-1")))


def too_long(where: str, row: int, marks: int = 0) -> LogError:
    """Return the error of a line no row has; `marks` that may part cells are told where they are too many for a row."""
    cells = f" ({marks + 1} cells)" if marks >= MOST_COLUMNS else ""
    return LogError(
        f"{where}, row {row}",
        f"a line of over {LONGEST_LINE // 1024} kB{cells}",
        "rows that end",
        "what stands there is no row of readings: copy the log again from the logger, or split it there",
    )


def _whole_letters(count: int) -> int:
    return -(-count // WIDEST_LETTER) * WIDEST_LETTER
