"""Lines of a text that is changed: each that stays keeps its own end; those that come and go are shown."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import TypeAlias

from telemetry.errors import clean_json

Shown: TypeAlias = tuple[tuple[str, str], ...]
"""Lines as (sign, text): ``"+"`` comes in, ``"-"`` goes, ``" "`` stays; ``"…"`` stands for what isn't shown."""
CONTEXT_LINES, MOST_SHOWN, LONGEST_SHOWN = 2, 200, 400
MOST_COMPARED = 4_000_000
"""Pairs of lines between the first change and the last, above which all between counts as changed; own choice."""

_LINE = re.compile(r"([^\r\n]*)(\r\n|\r|\n)|([^\r\n]+)")
_Step: TypeAlias = tuple[str, int, int, int, int]


def with_own_ends(before: str, after: str) -> str:
    r"""Return a changed text in which every line that stays ends as it did before.

    Parameters
    ----------
    before : str
        With any line ends, mixed ones too; the last line may have none.
    after : str
        The same text changed; its lines end in ``\n``.

    Returns
    -------
    str
        A new line ends as the line before it does.

    Examples
    --------
    >>> with_own_ends("a\r\nb\nc", "a\nx\nb\nc\n")
    'a\r\nx\r\nb\nc'
    """
    old, ends = _split(before)
    new, _ = _split(after)
    usual = next(filter(None, ends), "\n")
    made: list[str] = []
    for _, a0, a1, b0, b1 in _steps(old, new):
        own: Sequence[str | None] = ends[a0:a1] if a1 - a0 == b1 - b0 else [None] * (b1 - b0)
        for line, end in zip(new[b0:b1], own, strict=True):
            usual = end or usual
            open_end = end == "" and len(made) == len(new) - 1
            made.append(line if open_end else line + usual)
    return "".join(made)


def shown(before: str, after: str) -> Shown:
    """Return the lines that come and go, with some that stay around them; what could mislead the eye is spelled out."""
    old, new = _split(before)[0], _split(after)[0]
    lines = list(_shown(old, new))
    if len(lines) > MOST_SHOWN:
        lines = [*lines[:MOST_SHOWN], ("…", f"and {len(lines) - MOST_SHOWN} more")]
    return tuple((sign, _legible(line)) for sign, line in lines)


def _legible(line: str) -> str:
    text = clean_json(line.expandtabs(4))
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


def _shown(old: Sequence[str], new: Sequence[str]) -> Iterator[tuple[str, str]]:
    steps = _steps(old, new)
    for number, (kind, a0, a1, b0, b1) in enumerate(steps):
        if kind != "equal":
            yield from (("-", line) for line in old[a0:a1])
            yield from (("+", line) for line in new[b0:b1])
            continue
        after = CONTEXT_LINES if number else 0
        until = CONTEXT_LINES if number < len(steps) - 1 else 0
        if a1 - a0 <= after + until:
            yield from ((" ", line) for line in old[a0:a1])
            continue
        yield from ((" ", line) for line in old[a0 : a0 + after])
        if number and number < len(steps) - 1:
            yield "…", ""
        yield from ((" ", line) for line in old[a1 - until : a1])


def _split(text: str) -> tuple[list[str], list[str]]:
    """Return a text's lines and their ends; only the last may have none."""
    found = [(match[1] or match[3] or "", match[2] or "") for match in _LINE.finditer(text)]
    return [line for line, _ in found], [end for _, end in found]


def _steps(old: Sequence[str], new: Sequence[str]) -> list[_Step]:
    """Return how the one becomes the other, as `difflib` tells it; what is alike at both ends is found first."""
    shorter = min(len(old), len(new))
    head = next((n for n in range(shorter) if old[n] != new[n]), shorter)
    tail = next((n for n in range(shorter - head) if old[-1 - n] != new[-1 - n]), shorter - head)
    a, b = old[head : len(old) - tail], new[head : len(new) - tail]
    if len(a) * len(b) > MOST_COMPARED:
        middle: list[_Step] = [("replace", 0, len(a), 0, len(b))]
    else:
        middle = list(SequenceMatcher(None, a, b, autojunk=False).get_opcodes())
    steps = [
        ("equal", 0, head, 0, head),
        *((kind, a0 + head, a1 + head, b0 + head, b1 + head) for kind, a0, a1, b0, b1 in middle),
        ("equal", len(old) - tail, len(old), len(new) - tail, len(new)),
    ]
    return [step for step in steps if step[2] > step[1] or step[4] > step[3]]
