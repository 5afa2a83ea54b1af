"""Names of text encodings."""

from __future__ import annotations

import codecs


def text_encoding(name: str) -> str | None:
    """Return the usual name of a text encoding, None where there is none of that name.

    Codecs that turn bytes into bytes or escape text, and such as raise on every byte, are none.

    Examples
    --------
    >>> text_encoding("UTF8"), text_encoding("latin-1"), text_encoding("hex"), text_encoding("undefined")
    ('utf-8', 'iso8859-1', None, None)
    """
    try:
        known = codecs.lookup(name).name
        bytes(range(256)).decode(known, errors="replace")
        reads_rows = b"1;2,5\n".decode(known, errors="replace") == "1;2,5\n"
        return known if reads_rows or "1;2\n" in "1;2\n".encode(known).decode(known) else None
    except (LookupError, ValueError):
        return None
