"""Which of the values over time may be held against each other, in words: full travel and definitions have to agree."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_uppercase
from typing import TypeAlias

from telemetry.model.finding import Place
from telemetry.telling.earlier_laps import TRAVEL_WITHIN_MM
from telemetry.words import figure

Known: TypeAlias = tuple[int, float | None]
"""By which definitions something was measured (0: today's), and of which full travel at its end; None: not kept."""


def grouped(values: Sequence[Known]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return a letter for each value, and a sentence for each letter; empty ones and none where all go together.

    Examples
    --------
    >>> grouped([(2, 170.0), (2, 170.4)])
    (('', ''), ())
    >>> letters, told = grouped([(2, 160.0), (2, 170.0)])
    >>> letters, told[0]
    (('A', 'B'), 'A is of 160 mm full travel')
    """
    kinds: list[Known] = []
    places = []
    for value in values:
        found = next((number for number, kind in enumerate(kinds) if _alike(kind, value)), None)
        if found is None:
            found = len(kinds)
            kinds.append(value)
        places.append(found)
    if len(kinds) < 2:
        return ("",) * len(values), ()
    letters = [_letter(number) for number in range(len(kinds))]
    words = _in_words(kinds)
    told = [f"{letter} is {own}" for letter, own in zip(letters, words, strict=True)]
    return tuple(letters[place] for place in places), tuple(told)


def apart(end: Place, told: Sequence[str]) -> str:
    """Return the sentences of an end's letters in one."""
    return ", ".join(told) if end == "both" else f"{end}, {', '.join(told)}"


def _letter(number: int) -> str:
    return ascii_uppercase[number] if number < len(ascii_uppercase) else str(number + 1)


def _alike(one: Known, other: Known) -> bool:
    if one[0] != other[0]:
        return False
    if one[1] is None or other[1] is None:
        return one[1] is other[1]
    return abs(one[1] - other[1]) <= TRAVEL_WITHIN_MM


def _in_words(kinds: Sequence[Known]) -> list[str]:
    """Return each kind by what the kinds differ in."""
    words: list[list[str]] = [[] for _ in kinds]
    if len({full_mm for _, full_mm in kinds}) > 1:
        for own, (_, full_mm) in zip(words, kinds, strict=True):
            travel = "full travel that wasn't kept" if full_mm is None else f"{figure(full_mm, 0)} mm full travel"
            own.append(f"of {travel}")
    if len({definitions for definitions, _ in kinds}) > 1:
        for own, (definitions, _) in zip(words, kinds, strict=True):
            own.append("measured by " + (f"definitions {definitions}" if definitions else "today's definitions"))
    return [", ".join(own) for own in words]
