"""A ride day's text cut at its table headers, so that a change touches one part and no byte of the others."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from telemetry.toml_bounds import TOKEN


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A table header and what stands under it; the first part has none, and may be empty.

    Attributes
    ----------
    start, end : int
        Where it stands in the text.
    filled : int
        Where its last line ends that holds more than a comment.
    header, says : dict
        What the header alone says, and the whole part: ``{"runs": [{}]}``, ``{"runs": [{"log": "run_1.csv"}]}``.
    """

    start: int
    end: int
    filled: int
    header: dict[str, Any]
    says: dict[str, Any]


def parts_of(text: str) -> tuple[Part, ...]:
    """Return the parts of a text that is valid TOML, in order; together they are the text.

    Parameters
    ----------
    text : str
        Lines end as Python's do.
    """
    cuts = [*_cuts(text)]
    made = []
    for number, ((start, _), (end, filled)) in enumerate(zip([(0, 0), *cuts], cuts, strict=False)):
        part = text[start:end]
        header = part.split("\n", 1)[0] if number else ""
        made.append(
            Part(
                start=start,
                end=end,
                filled=max(filled, start),
                header=tomllib.loads(header),
                says=tomllib.loads(part),
            )
        )
    return tuple(made)


def _cuts(text: str) -> Iterator[tuple[int, int]]:
    """Yield where each part ends, and where the last of its lines does that holds more than a comment."""
    depth, filled, fresh = 0, 0, True
    for token in TOKEN.finditer(text):
        if token.lastgroup == "gap":
            fresh = fresh or "\n" in token[0]
            continue
        if token.lastgroup == "mark":
            if fresh and depth == 0 and token[0] == "[":
                yield text.rfind("\n", 0, token.start()) + 1, _line_end(text, filled)
            depth += (token[0] in "[{") - (token[0] in "]}")
        fresh, filled = False, token.end()
    yield len(text), _line_end(text, filled)


def _line_end(text: str, place: int) -> int:
    """Return where the line ends that ends at a place or after it; nothing ends at the beginning."""
    end = text.find("\n", place) if place else -1
    return end + 1 if end >= 0 else len(text) if place else 0
