"""What a name looks like: names that differ in what nobody sees can't be told apart."""

from __future__ import annotations

import unicodedata

_UNSEEN = (
    (0x00AD, 0x00AD),
    (0x034F, 0x034F),
    (0x061C, 0x061C),
    (0x115F, 0x1160),
    (0x17B4, 0x17B5),
    (0x180B, 0x180F),
    (0x200B, 0x200F),
    (0x202A, 0x202E),
    (0x2060, 0x206F),
    (0x3164, 0x3164),
    (0xFE00, 0xFE0F),
    (0xFEFF, 0xFEFF),
    (0xFFA0, 0xFFA0),
    (0xFFF0, 0xFFF8),
    (0x1BCA0, 0x1BCA3),
    (0x1D173, 0x1D17A),
    (0xE0000, 0xE0FFF),
)
"""Unicode's Default_Ignorable_Code_Point (DerivedCoreProperties.txt of version 15), from memory."""
_BLANK_TOO = "\u2800"
"""The braille pattern without dots: no space to Unicode, but one to the eye."""
MOST_SHOWN = 4


def is_unseen(letter: str) -> bool:
    """Tell whether a letter isn't drawn."""
    code = ord(letter)
    return any(first <= code <= last for first, last in _UNSEEN)


def is_blank(letter: str) -> bool:
    """Tell whether a letter looks like a blank."""
    return letter.isspace() or letter == _BLANK_TOO or unicodedata.category(letter) == "Cc"


def as_seen(name: str) -> str:
    """Return a name as it looks: letters composed, blanks of any kind and number as one, nothing that isn't seen.

    Examples
    --------
    >>> as_seen("oil\u200b 8") == as_seen("oil\u00a08"), as_seen("oil 8") == as_seen("oil_8"), as_seen("\u200b")
    (True, False, '')
    """
    if name.isascii():
        kept = name
    else:
        kept = unicodedata.normalize("NFC", "".join(letter for letter in name if not is_unseen(letter)))
    return " ".join("".join(" " if is_blank(letter) else letter for letter in kept).split())


def codes_of(name: str) -> str:
    """Return a name's letters beyond ASCII by their codes, and how many more there are.

    Examples
    --------
    >>> codes_of("oil\u200b 8"), codes_of("oil 8")
    ('U+200B', 'ASCII letters alone')
    """
    codes = [f"U+{ord(letter):04X}" for letter in name if not letter.isascii() or not letter.isprintable()]
    if not codes:
        return "ASCII letters alone"
    more = f" and {len(codes) - MOST_SHOWN} more" if len(codes) > MOST_SHOWN else ""
    return ", ".join(codes[:MOST_SHOWN]) + more
