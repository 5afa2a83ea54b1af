"""A name as it may be written: capitals, accents, umlauts as two letters, hyphens and blanks make no difference."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import cache

FEWEST_LETTERS = 2
"""Of a name that is looked for in texts; own choice."""
NOWHERE = re.compile(r"(?!)")
BETWEEN = r"[\s_.+\-]*"
PARTED = re.compile(r"[\s_.+\-]+")
MARKS = r"[\u0300-\u036f]*"
LATIN = range(0xC0, 0x250), range(0x1E00, 0x1F00)
UNPARTED = {"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "ß": "ss", "ı": "i"}
"""Letters that Unicode doesn't part into one and a mark; from memory."""
UMLAUTS = {"ae": "äæ", "oe": "öøœ", "ue": "ü", "ss": "ß", "aa": "å"}
"""What is written as two letters where the one isn't to be had; common practice, no source."""


def _bare(text: str) -> str:
    """Return a text in small letters without any marks, what can't be parted as it is."""
    parted = unicodedata.normalize("NFD", text.casefold())
    return "".join(letter for letter in parted if not unicodedata.combining(letter))


@cache
def _kin() -> dict[str, str]:
    """Return every Latin letter with a mark, by the one without."""
    kin: dict[str, str] = {}
    for letter in (chr(code) for codes in LATIN for code in codes):
        bare = UNPARTED.get(letter) or _bare(letter)
        if len(bare) == 1 and bare != letter:
            kin[bare] = kin.get(bare, "") + letter
    return kin


def _letters(word: str) -> Iterator[str]:
    """Yield a pattern for each letter of a word, or two that may be written as one."""
    composed = unicodedata.normalize("NFC", word).lower()
    place = 0
    while place < len(composed):
        pair, letter = composed[place : place + 2], composed[place]
        if pair in UMLAUTS:
            yield f"(?:{pair}|[{UMLAUTS[pair]}]|{_with_marks(pair)})"
            place += 2
            continue
        spelled = next((two for two, ones in UMLAUTS.items() if letter in ones), "")
        one = _one(letter)
        yield f"(?:{one}|{spelled})" if spelled else one
        place += 1


def _with_marks(pair: str) -> str:
    """Return the first of two letters with a mark, as two signs: what an umlaut may be made of."""
    return re.escape(pair[0]) + r"[\u0300-\u036f]"


def _one(letter: str) -> str:
    bare = UNPARTED.get(letter) or _bare(letter)
    if len(bare) != 1:
        return re.escape(letter)
    return f"[{re.escape(bare + letter + _kin().get(bare, ''))}]" + (MARKS if bare.isalpha() else "")


def pattern_of(name: str) -> re.Pattern[str]:
    """Return what finds a name where it stands by itself, however it is spelled and whatever parts its words.

    One of fewer than two letters is found nowhere: a number stands among readings and settings.

    Examples
    --------
    >>> found = pattern_of("Ann Example")
    >>> found.sub("x", "for ANN EXAMPLE, ann_example2.csv, AnnExample, Joann Example")
    'for x, x2.csv, x, Joann Example'
    >>> bool(pattern_of("Jörg Müller").fullmatch("JOERG-MULLER")), bool(pattern_of("Bauer").fullmatch("Baur"))
    (True, False)
    """
    words = [word for word in PARTED.split(name) if word]
    if sum(letter.isalpha() for letter in name) < FEWEST_LETTERS:
        return NOWHERE
    told = BETWEEN.join("".join(_letters(word)) for word in words)
    return re.compile(_edge(words[0][0], "<!") + told + _edge(words[-1][-1], "!"), re.IGNORECASE)


def _edge(letter: str, side: str) -> str:
    """Return what may not stand beside a name: another letter; a number, where it ends in one."""
    return rf"(?{side}[^\W_])" if letter.isdigit() else rf"(?{side}[^\W\d_])"


def any_of(names: set[str]) -> re.Pattern[str]:
    """Return what finds any of some names, the longest first."""
    told = [pattern_of(name).pattern for name in sorted(names, key=lambda name: (-len(name), name))]
    known = [text for text in told if text != NOWHERE.pattern]
    return re.compile("|".join(known), re.IGNORECASE) if known else NOWHERE
