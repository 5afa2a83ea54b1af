"""How a key of a TOML file and what is wrong with it are told: its path, what stands there, the nearest known word."""

from __future__ import annotations

import datetime as dt
import difflib
import heapq
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import TypeAlias

from .errors import clean_text
from .looks import as_seen, codes_of

MOST_NAMES = 12
"""With no near name, so many known ones are listed in full."""
MOST_COMPARED, MOST_TRIED = 1000, 20
LONGEST_COMPARED = 60
"""A near name is sought among so many, the likeliest are compared letter by letter, none longer: the time it takes."""
NEAR = 0.6
LONGEST_SHOWN, SHOWN_ITEMS, SHOWN_PAIRS = 60, 20, 4
"""Of a value in a message: letters, items of a list, lists within one."""

Words: TypeAlias = str | Callable[[], str]
"""What was expected; a call gives words that take a while to find, for those problems alone that are listed."""


def path_of(parts: Iterable[str | int]) -> str:
    """Return a key's path as messages show it; entries of a list count from 1.

    Examples
    --------
    >>> path_of(["runs", 0, "setup"])
    'runs[1].setup'
    """
    text = ""
    for part in parts:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text


def shown(value: object) -> str:
    """Return a value from the file as a message shows it, short.

    Examples
    --------
    >>> shown(True), shown("oil"), shown([212, 0.0])
    ('true', "'oil'", '[212, 0.0]')
    >>> shown([[300, 210], [300, 400]]), shown([[[300]]]), shown([[300, 210]] * 9)
    ('[[300, 210], [300, 400]]', 'a list of 1', 'a list of 9')
    """
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, str):
        return repr(clean_text(value, longest=LONGEST_SHOWN))
    return clean_text(_shown_list(value) if isinstance(value, list) else str(value), longest=LONGEST_SHOWN)


def _shown_list(value: list[object]) -> str:
    held = [item for item in value if isinstance(item, list | Mapping)]
    deep = any(isinstance(own, Mapping) or any(isinstance(item, list | Mapping) for item in own) for own in held)
    if held and (deep or len(value) > SHOWN_PAIRS):
        return f"a list of {len(value)}"
    more = ", …" if len(value) > SHOWN_ITEMS else ""
    words = f"[{', '.join(map(shown, value[:SHOWN_ITEMS]))}{more}]"
    return f"a list of {len(value)}" if held and len(words) > LONGEST_SHOWN else words


def nearest(word: str, known: Iterable[str], what: str) -> Words:
    """Return what was expected, with the nearest known word where there is one.

    Parameters
    ----------
    word : str
        As it stands in the file.
    known : iterable of str
    what : str
        What the known words are: ``"a setup of [setups]"``.
    """
    return partial(near_words, word, known, what)


def near_words(word: str, known: Iterable[str], what: str) -> str:
    """Return at once what `nearest` leaves for later."""
    names = sorted(known)
    seen = as_seen(word)
    alike = next((name for name in names[:MOST_COMPARED] if as_seen(name) == seen), None)
    if alike is not None:
        return f"{what}; {alike!r} looks the same but is written with {codes_of(alike)}"
    near = _near(word, names)
    if near:
        return f"{what}; nearest: {near!r}"
    if names and len(names) <= MOST_NAMES:
        return f"{what}: one of " + ", ".join(names)
    return what


def _near(word: str, names: list[str]) -> str | None:
    if len(word) > LONGEST_COMPARED:
        return None
    matcher = difflib.SequenceMatcher(b=word)

    def at_most(name: str) -> float:
        matcher.set_seq1(name)
        return matcher.quick_ratio()

    short = [name for name in names[:MOST_COMPARED] if len(name) <= LONGEST_COMPARED]
    likely = heapq.nlargest(MOST_TRIED, short, key=at_most)
    return next(iter(difflib.get_close_matches(word, likely, n=1, cutoff=NEAR)), None)
