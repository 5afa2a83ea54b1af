"""A log's text as bytes that can be read at any place, and its lines in pieces."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from pathlib import Path

PIECE_BYTES = 1 << 21
LONGEST_LINE = 1 << 18
"""Own choice: four thousand cells of 64 characters. The head's largest try holds fifty such lines."""
SAMPLE_PLACES, SAMPLE_BYTES = 64, 1 << 16
_ZERO_RUN = re.compile(rb"\0{64,}")
_DOUBLED_RETURN, _RETURN_LINE = b"\r\r\n", b"\r\n"
"""Line ends that were turned into those of another system twice are one each."""


class Held:
    """Bytes on disk or in memory, read at any place.

    Parameters
    ----------
    source : Path or bytes
    """

    def __init__(self, source: Path | bytes) -> None:
        self._source = source
        self.size = source.stat().st_size if isinstance(source, Path) else len(source)

    def read(self, start: int, count: int) -> bytes:
        """Return so many bytes from a place on; fewer at the end."""
        if isinstance(self._source, bytes):
            return self._source[start : start + count]
        with self._source.open("rb") as file:
            file.seek(start)
            return file.read(count)

    def in_pieces(self, stop: int) -> Iterator[bytes]:
        """Yield the bytes before a place, two megabytes at most at a time."""
        for start in range(0, stop, PIECE_BYTES):
            yield self.read(start, min(PIECE_BYTES, stop - start))

    def zeros_from(self) -> int:
        """Return where the zero bytes at the end begin; the size where there are none."""
        stop = self.size
        while stop > 0:
            start = max(0, stop - PIECE_BYTES)
            piece = self.read(start, stop - start)
            if piece.count(0) < len(piece):
                return start + len(piece.rstrip(b"\0"))
            stop = start
        return 0


class LineTooLongError(Exception):
    """A line that has no end where every row's is long past.

    Parameters
    ----------
    before : int
        Lines before it among those at hand.
    """

    def __init__(self, before: int = 0) -> None:
        self.before = before
        super().__init__()


class LogText:
    """A log's text in an encoding that holds ASCII, without the zero bytes at its end.

    Parameters
    ----------
    held : Held
    encoding : str
    zeros : int
        Zero bytes at its end, where some are known to be left out already.

    Attributes
    ----------
    size : int
        Bytes before the zeros. Where there are zeros, the row they cut isn't counted.
    zeros : int
    """

    def __init__(self, held: Held, encoding: str, zeros: int = 0) -> None:
        self.encoding = encoding
        self._held = held
        stop = held.zeros_from()
        self.zeros = max(zeros, held.size - stop)
        self.size = self._last_line_end(stop) if self.zeros else stop

    def _last_line_end(self, stop: int) -> int:
        start = max(0, stop - LONGEST_LINE)
        data = self._held.read(start, stop - start)
        return start + max(data.rfind(b"\n"), data.rfind(b"\r")) + 1

    def pieces(self, first_row: int) -> Iterator[bytes]:
        """Yield the lines from a row on, some at a time; only the last line may lack its end.

        Raises
        ------
        LineTooLongError
            Where a line has no end within 256 kB.
        """
        start, rest, skipped = 0, b"", 0
        while start < self.size:
            data = self._held.read(start, min(PIECE_BYTES, self.size - start))
            data = data if start else data.removeprefix(codecs.BOM_UTF8)
            start += PIECE_BYTES
            if b"\0" in data:
                data = _ZERO_RUN.sub(b"\0", data)
            data = rest + data
            stop = len(data) if start >= self.size else _after_last_line(data)
            data, rest = data[:stop], data[stop:]
            if skipped < first_row - 1:
                data, more = _without_lines(data, first_row - 1 - skipped)
                skipped += more
            if data:
                yield data
            if len(rest) > LONGEST_LINE:
                raise LineTooLongError

    def samples(self) -> Iterator[bytes]:
        """Yield whole lines from 64 places spread evenly over the text, 64 kB each at most; none where none ends."""
        for place in range(SAMPLE_PLACES):
            data = self._held.read(self.size * place // SAMPLE_PLACES, SAMPLE_BYTES)
            mark = b"\n" if b"\n" in data else b"\r"
            yield data[data.find(mark) + 1 : data.rfind(mark) + 1]


def with_single_ends(data: bytes) -> bytes:
    """Return lines that end in LF each, the last one too, however they ended."""
    if b"\r" in data:
        data = data.replace(_DOUBLED_RETURN, _RETURN_LINE).replace(_RETURN_LINE, b"\n").replace(b"\r", b"\n")
    return data if data.endswith(b"\n") else data + b"\n"


def _after_last_line(data: bytes) -> int:
    return (data.rfind(b"\n") if b"\n" in data else data.rfind(b"\r")) + 1


def _without_lines(data: bytes, count: int) -> tuple[bytes, int]:
    """Return what follows so many lines, and how many of them there were."""
    *gone, rest = with_single_ends(data).split(b"\n", count)
    return rest, len(gone)
