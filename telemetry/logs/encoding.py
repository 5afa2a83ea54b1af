"""Which encoding a log's text is in."""

from __future__ import annotations

import codecs

from telemetry.encodings import text_encoding
from telemetry.errors import LogError

MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),  # before UTF-16's, with which it begins
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
MOST_ZEROS, MOST_CONTROLS = 0.25, 0.02
"""A card's lost sectors are zeros in a text; of what is no text, far more bytes are. Own choice, no source."""


def find_encoding(head: bytes, where: str, pinned: str | None) -> str:
    """Return the encoding of a log from its first bytes: its mark, UTF-16 by its zeros, strict UTF-8, then cp1252.

    Single zero bytes, as a card leaves them, are told with the cells they spoil.

    Raises
    ------
    LogError
        If the bytes are no text, or the pinned encoding is unknown.
    """
    if pinned is not None:
        stated = text_encoding(pinned)
        if stated is None:
            raise LogError(where, f"encoding {pinned!r}", "a text encoding, such as utf-8 or cp1252")
        return stated
    known = next((name for mark, name in MARKS if head.startswith(mark)), None) or _unmarked_utf16(head)
    if known is not None:
        return known
    if head.count(0) > MOST_ZEROS * len(head):
        raise _binary(where)
    try:
        codecs.getincrementaldecoder("utf-8")("strict").decode(head)
    except UnicodeDecodeError:
        if not _is_text(head.replace(b"\x00", b"")):
            raise _binary(where) from None
        return "cp1252"
    return "utf-8"


def _binary(where: str) -> LogError:
    return LogError(where, "binary data", "delimited text", "export the log as text (.csv) and try again")


def _is_text(data: bytes) -> bool:
    """Tell whether bytes hold next to no control characters."""
    return sum(byte < 9 or 13 < byte < 32 for byte in data) <= MOST_CONTROLS * len(data)


def _unmarked_utf16(head: bytes) -> str | None:
    """Return which UTF-16 a text without mark is in: every second byte of it is zero, the others are text."""
    even, odd = head[::2], head[1::2]
    for low, high, name in ((even, odd, "utf-16-le"), (odd, even, "utf-16-be")):
        if high.count(0) > 0.9 * len(high) and _is_text(low):
            return name
    return None
