"""A name taken out of a file's bytes, every other one as it was: whatever the encoding, packed by gzip too."""

from __future__ import annotations

import codecs
import gzip
import re
import zlib
from collections.abc import Callable

REMOVED = "name-removed"
"""What stands in place of a name: it may be part of a text, of a file's name and of a key."""
GZIP = b"\x1f\x8b"
BEFORE_NOTES, HEAD_OF_GZIP = 10, 600
"""Bytes from where (RFC 1952, section 2.3) and up to where gzip may note a file's name; the latter own choice."""
MARKED = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16's, with which it begins
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
OF_ONE_BYTE = ("cp1252", "latin-1", "cp1250", "iso8859-2", "cp850", "cp852", "cp437", "mac-roman")
"""What loggers and spreadsheets of Europe write where it isn't UTF-8; from memory."""
LOOKED_AT = 4096
MOST_ZEROS = 0.9


def _codecs(data: bytes) -> tuple[str, ...]:
    """Return what a file may be written in."""
    marked = next((codec for mark, codec in MARKED if data.startswith(mark)), None)
    if marked is not None:
        return (marked,)
    head = data[:LOOKED_AT]
    for zeros, codec in ((head[1::2], "utf-16-le"), (head[::2], "utf-16-be")):
        if len(head) > 1 and zeros.count(0) > MOST_ZEROS * len(zeros):
            return (codec,)
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return OF_ONE_BYTE
    return ("utf-8",)


def bytes_without(data: bytes, name: re.Pattern[str], and_then: Callable[[str], str] = str) -> bytes:
    """Return a file's content without a name, every other byte as it was; what is packed by gzip is looked into.

    Parameters
    ----------
    data : bytes
    name : Pattern
    and_then : callable, optional
        What else is done to its text.
    """
    if data.startswith(GZIP):
        try:
            inside = gzip.decompress(data)
        except (OSError, EOFError, zlib.error):
            return data
        changed = bytes_without(inside, name, and_then)
        noted = name.search(data[BEFORE_NOTES:HEAD_OF_GZIP].decode("latin-1"))  # what the packed file was called
        return data if changed == inside and noted is None else gzip.compress(changed, mtime=0)
    for codec in _codecs(data):
        data = _without(data, codec, name, and_then)
    return data


def _without(data: bytes, codec: str, name: re.Pattern[str], and_then: Callable[[str], str]) -> bytes:
    try:
        text = data.decode(codec)
        changed = name.sub(REMOVED, and_then(text))
        return data if changed == text else changed.encode(codec)
    except UnicodeError:
        return data
