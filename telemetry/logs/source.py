"""A log file's bytes: checked, unpacked and turned into something the parser can take."""

from __future__ import annotations

import codecs
import gzip
import mmap
import os
import re
import resource
import stat
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Bools, Ints

from .dialect import BLANKS, Dialect

HEAD_BYTES = 1 << 16
HEAD_BYTES_TRIED = (HEAD_BYTES, 1 << 20, 1 << 24)
FEWEST_HEAD_LINES = 50
LARGEST_UNPACKED = 1 << 30
"""Own choice: an hour at 1 kHz of 40 columns; a few kB of gzip can hold as much."""
PIECE_BYTES, SCANNED_BYTES = 1 << 24, 1 << 20
MEMORY_IN_FILE_SIZES = 3.0
"""Reading a log takes about so many times its size: the text and the columns made of it."""
HOLDS_ASCII = ("utf-8", "utf-8-sig", "cp1252", "ascii", "iso8859-1")
_RETURN = 13
_QUOTE, _HARMLESS = b'"', b"'"
_DOUBLED_RETURN, _RETURN_LINE = b"\r\r\n", b"\r\n"
"""Line ends that were turned into those of another system twice are one each."""
_GZIP = b"\x1f\x8b"
_BLANK_RUN = re.compile(rb"[ \t]+")
_MINUS = re.compile(r"\N{MINUS SIGN}(?=[0-9.,])")


def _available_bytes() -> int | None:
    """Return how much memory this process may still take, None where it can't be told."""
    limit, _ = resource.getrlimit(resource.RLIMIT_AS)
    if limit != resource.RLIM_INFINITY:
        limit = max(0, limit - _held_bytes())
    free: int | None = None
    try:
        for line in Path("/proc/meminfo").read_text(encoding="ascii").splitlines():
            if line.startswith("MemAvailable:"):
                free = int(line.split()[1]) * 1024
    except (OSError, ValueError):
        free = None
    if limit == resource.RLIM_INFINITY:
        return free
    return limit if free is None else min(limit, free)


def _held_bytes() -> int:
    """Return how much address space this process holds, 0 where it can't be told."""
    try:
        return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()
    except (OSError, ValueError):
        return 0


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
        if "worker thread" not in str(error):  # the parser's word for no room left for a thread's stack
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
    available = _available_bytes()
    if available is not None and status.st_size * MEMORY_IN_FILE_SIZES > available:
        found = f"{status.st_size / 1e9:.1f} GB, with {available / 1e9:.1f} GB of memory free"
        raise LogError(where, found, "a log that fits in memory", "split the log or close other programs")
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
        If there is no such readable, ordinary, non-empty file, or it would not fit in memory.
    """

    def __init__(self, path: Path, where: str) -> None:
        self.path = path
        self.where = where
        self.size = _checked_size(path, where)
        with path.open("rb") as file:
            self.packed = file.read(2) == _GZIP
        if path.suffix == ".gz" and not self.packed:
            raise LogError(where, "no gzip data", "a .gz file", "copy it again from the logger")

    def head(self) -> bytes:
        """Return the first 64 kB, unpacked, cut after the last whole line; more where lines are very long."""
        for count in HEAD_BYTES_TRIED:
            data = self._read(count)
            if len(data) < count:
                return data
            if max(data.count(b"\n"), data.count(b"\r")) >= FEWEST_HEAD_LINES:
                break
        for mark in (b"\n", b"\r"):
            if mark in data:
                return data[: data.rindex(mark) + 1]
        return data

    def everything(self) -> bytes:
        """Return the whole log, unpacked."""
        return self._read(-1)

    def _read(self, count: int) -> bytes:
        try:
            return self._bytes(count).replace(_DOUBLED_RETURN, _RETURN_LINE)
        except (EOFError, zlib.error, gzip.BadGzipFile):
            raise LogError(self.where, "a damaged .gz file", "gzip data", "copy it again from the logger") from None
        except OSError as error:
            raise LogError(self.where, str(error), "a readable file", "copy it again from the logger") from None

    def _bytes(self, count: int) -> bytes:
        if not self.packed:
            with self.path.open("rb") as file:
                return file.read(count)
        with gzip.open(self.path, "rb") as packed:
            return packed.read(count) if count >= 0 else self._unpacked(packed)

    def _unpacked(self, packed: gzip.GzipFile) -> bytes:
        """Return all that a packed log holds, taken piece by piece: how much that is stands nowhere to be trusted."""
        pieces, size = [], 0
        while piece := packed.read(PIECE_BYTES):
            pieces.append(piece)
            size += len(piece)
            if size > LARGEST_UNPACKED:
                expected = "a packed log of 1 GB at most"
                raise LogError(self.where, "more than 1 GB when unpacked", expected, "unpack it, or split the log")
            self._check_room(size)
        return b"".join(pieces)

    def _check_room(self, size: int) -> None:
        available = _available_bytes()
        if available is not None and size * (MEMORY_IN_FILE_SIZES - 1) > available:
            raise LogError(self.where, "too little memory to read it", "a log that fits in memory", "split the log")

    def plain(self, dialect: Dialect) -> bool:
        """Tell whether the parser can take the file as it lies on disk."""
        readable = not self.packed and self.keeps_bytes(dialect) and dialect.delimiter != BLANKS
        return readable and self._sound_rows(dialect)

    def _sound_rows(self, dialect: Dialect) -> bool:
        """Tell whether every row below the header is plain ASCII, its quotes in pairs: the parser tells of none."""
        with self.path.open("rb") as file:
            head = file.read(HEAD_BYTES)
            if _DOUBLED_RETURN in head:
                return False
            file.seek(sum(len(line) for line in head.splitlines(keepends=True)[: dialect.first_row - 1]))
            quoted = False
            while piece := file.read(SCANNED_BYTES):
                if not piece.isascii():
                    return False
                quoted = quoted or _QUOTE in piece
        return not quoted or not _odd_lines(self.everything())

    def keeps_bytes(self, dialect: Dialect) -> bool:
        """Tell whether the parser sees the file's own encoding."""
        return dialect.encoding in HOLDS_ASCII

    def holds_comments(self, dialect: Dialect) -> bool:
        """Tell whether a plain file may hold lines that are comments or blanks only."""
        with self.path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
            end = _line_end(data[:HEAD_BYTES])
            starts = [_sign(dialect), b" ", b"\t"]
            return any(data.find(end + start) >= 0 for start in starts)

    def text_bytes(self, dialect: Dialect) -> bytes:
        """Return the whole log as UTF-8 or ASCII cells with single delimiters; comments become empty lines."""
        data = self.everything()
        if not (self.keeps_bytes(dialect) and data.isascii()):
            data = plain_minus(data.decode(dialect.encoding, errors="replace")).encode("utf-8")
        data = _without_stray_quotes(data.removeprefix(codecs.BOM_UTF8))
        end = re.escape(_line_end(data[:HEAD_BYTES]))
        comment = re.escape(dialect.comment.encode("utf-8"))
        data = re.sub(end + rb"(?:" + comment + rb"[^\r\n]*|[ \t]+)(?=[\r\n]|\Z)", _line_end(data[:HEAD_BYTES]), data)
        if dialect.delimiter == BLANKS:
            data = _BLANK_RUN.sub(b"\t", data)
            data = re.sub(rb"([\r\n])\t", rb"\1", data).strip(b"\t")
            data = re.sub(rb"\t([\r\n])", rb"\1", data)
        return data


def _odd_lines(data: bytes) -> list[tuple[int, int]]:
    """Return where lines start and stop that hold an odd number of quotes; a cell never reaches over a line's end."""
    flat = np.frombuffer(data, dtype=np.uint8)
    quotes = np.flatnonzero(flat == ord(_QUOTE))
    ends = np.flatnonzero(flat == ord(_line_end(data[:HEAD_BYTES])))
    line, count = np.unique(np.searchsorted(ends, quotes), return_counts=True)
    odd = line[count % 2 == 1]
    bounds = np.concatenate([[-1], ends, [flat.shape[0]]])
    return list(zip((bounds[odd] + 1).tolist(), bounds[odd + 1].tolist(), strict=True))


def _without_stray_quotes(data: bytes) -> bytes:
    """Return a text in which no quote swallows the lines after it: its cell holds no number, and that is all."""
    if _QUOTE not in data:
        return data
    lines = _odd_lines(data)
    if not lines:
        return data
    mended = bytearray(data)
    for start, stop in lines:
        mended[start:stop] = mended[start:stop].replace(_QUOTE, _HARMLESS)
    return bytes(mended)


def plain_minus(text: str) -> str:
    """Return a text whose negative numbers have the minus of keyboards; some spreadsheets write the typographic one.

    Examples
    --------
    >>> plain_minus("a\N{MINUS SIGN}b;\N{MINUS SIGN}1,5")
    'a−b;-1,5'
    """
    return _MINUS.sub("-", text)


def _line_end(data: bytes) -> bytes:
    return b"\n" if b"\n" in data else b"\r"


def _sign(dialect: Dialect) -> bytes:
    western = dialect.encoding in ("cp1252", "iso8859-1")
    return dialect.comment.encode("cp1252" if western else "utf-8", errors="replace")


def blank_rows(data: bytes, first_row: int) -> Ints:
    """Return which rows are empty lines, counted from 0 at file row `first_row`."""
    flat = np.frombuffer(data, dtype=np.uint8)
    stops = np.flatnonzero(flat == _line_end(data[:HEAD_BYTES])[0])
    starts = np.concatenate([[0], stops + 1])
    stops = np.concatenate([stops, [flat.shape[0]]])
    if starts[-1] == stops[-1]:  # nothing stands after the last line end
        starts, stops = starts[:-1], stops[:-1]
    length = stops - starts
    empty: Bools = (length == 0) | ((length == 1) & (flat[starts.clip(max=flat.shape[0] - 1)] == _RETURN))
    return np.flatnonzero(empty[first_row - 1 :])
