"""A log's text as bytes that can be read at any place, and its lines in pieces."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from pathlib import Path

PIECE_BYTES = 1 << 19
LONGEST_LINE = 1 << 18
"""Own choice: four thousand cells of 64 characters. The head's largest try holds fifty such lines."""
SAMPLE_PLACES, SAMPLE_BYTES = 64, 1 << 14
_ZERO_RUN = re.compile(rb"\0{64,}")
_DOUBLED_RETURN, _RETURN_LINE = b"\r\r\n", b"\r\n"
"""Line ends that were turned into those of another system twice are one each."""


class Held:
    """Bytes on disk or in memory, read at any place.

    Parameters
    ----------
    source : Path or bytes

    Attributes
    ----------
    path : Path or None
        Of bytes on disk.
    size : int
    """

    def __init__(self, source: Path | bytes) -> None:
        self._source = source
        self.path = source if isinstance(source, Path) else None
        self.size = len(source) if isinstance(source, bytes) else source.stat().st_size

    def read(self, start: int, count: int) -> bytes:
        """Return so many bytes from a place on; fewer at the end."""
        if isinstance(self._source, bytes):
            return self._source[start : start + count]
        with self._source.open("rb") as file:
            file.seek(start)
            return file.read(count)

    def in_pieces(self, stop: int) -> Iterator[bytes]:
        """Yield the bytes before a place, half a megabyte at most at a time."""
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

    @property
    def path(self) -> Path | None:
        """The file of a text that lies on disk as it is; None of any other."""
        return None if self.zeros else self._held.path

    def raw(self, first_row: int) -> Iterator[bytes]:
        """Yield the bytes from a row on, cut anywhere; more than those where the rows above take over 512 kB."""
        pieces = self._held.in_pieces(self.size)
        yield _without_lines(next(pieces, b""), first_row - 1)[0]
        yield from pieces

    def pieces(self, first_row: int) -> Iterator[bytes]:
        """Yield the lines from a row on, some at a time; the last line may lack its end.

        Where one has none within 256 kB it comes by itself, and nothing after it.
        """
        skipped = 0
        for lines in self._whole_lines():
            more, data = 0, lines
            if skipped < first_row - 1:
                data, more = _without_lines(lines, first_row - 1 - skipped)
            skipped += more
            if data:
                yield data

    def _whole_lines(self) -> Iterator[bytes]:
        start, rest = 0, b""
        while start < self.size:
            data = self._held.read(start, min(PIECE_BYTES, self.size - start))
            data, start = data if start else data.removeprefix(codecs.BOM_UTF8), start + len(data)
            stop = len(data) if start >= self.size else _after_last_line(data)
            if stop:
                start -= len(data) - stop  # a line that is cut is read again
                data = data[:stop]
            data = _ZERO_RUN.sub(b"\0", rest + data) if b"\0" in data else rest + data
            if stop or len(data) > LONGEST_LINE:
                yield data
            if not stop and len(data) > LONGEST_LINE:
                return
            rest = b"" if stop else data

    def samples(self) -> Iterator[bytes]:
        """Yield whole lines from 64 places spread evenly over the text, 16 kB each at most; none where none ends."""
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
