"""What a reader chose, as it stands in the link: the day, the question, setups, runs, trail sections."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import TypeVar
from urllib.parse import urlencode

from telemetry.errors import CallError, clean_text
from telemetry.model.day import RideDay
from telemetry.pipeline import Selection

_RANGE = re.compile(r"(\d{1,4})(?:-(\d{1,4}))?")
MOST_SECTIONS = 2000
T = TypeVar("T")


def _wrong(what: str, found: str, expected: str) -> CallError:
    return CallError("this link", f"{what} {clean_text(found, longest=80)!r}", expected, "choose anew on the page")


def _numbers(words: Iterable[str]) -> tuple[int, ...]:
    """Return the numbers of ``["1-3,7"]``.

    Raises
    ------
    CallError
    """
    found: set[int] = set()
    for part in ",".join(words).split(","):
        match = _RANGE.fullmatch(part.strip())
        if match is None:
            raise _wrong("the sections", part, "numbers, or ranges such as 2-5")
        first, last = int(match[1]), int(match[2] or match[1])
        if not 1 <= first <= last <= MOST_SECTIONS:
            raise _wrong("the sections", part, "numbers from 1 on, the smaller first")
        found.update(range(first, last + 1))
    return tuple(sorted(found))


def in_short(numbers: Sequence[int]) -> str:
    """Return rising numbers with ranges drawn together.

    Examples
    --------
    >>> in_short([1, 2, 3, 7])
    '1-3,7'
    """
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][1] + 1:
            parts[-1][1] = number
        else:
            parts.append([number, number])
    return ",".join(str(a) if a == b else f"{a}-{b}" for a, b in parts)


def _span(start: str, end: str) -> tuple[float, float] | None:
    """Return the part of the trail that is magnified; None for all of it, or where it makes no sense."""
    try:
        first, last = float(start), float(end)
    except ValueError:
        return None
    return (first, last) if isfinite(first) and isfinite(last) and first < last else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Everything a link says; None where it leaves the choice to the day.

    `event` is one thing on the trail to look at, or the run to be marked; `span` is the part of the trail that is
    magnified.
    """

    day: str | None = None
    page: str = ""
    setups: tuple[str, ...] | None = None
    runs: tuple[str, ...] | None = None
    sections: tuple[int, ...] | None = None
    event: str = ""
    span: tuple[float, float] | None = None

    @classmethod
    def of(cls, arguments: Mapping[str, Sequence[bytes]]) -> Choice:
        """Return the choice that a request's arguments make.

        Raises
        ------
        CallError
            If section numbers can't be read.
        """
        words = {
            name: [value.decode("utf-8", "replace") for value in values if value] for name, values in arguments.items()
        }

        def one(name: str) -> str:
            return next(iter(words.get(name, ())), "")

        def many(name: str) -> tuple[str, ...] | None:
            return tuple(dict.fromkeys(words[name])) if words.get(name) else None

        return cls(
            day=one("day") or None,
            page=one("page"),
            setups=many("setup"),
            runs=many("run"),
            sections=_numbers(words["section"]) if words.get("section") else None,
            event=one("event"),
            span=_span(one("from"), one("to")),
        )

    def link(self, **changes: object) -> str:
        """Return the link to the same choice with some of it changed."""
        choice = replace(self, **changes)  # type: ignore[arg-type]
        pairs: list[tuple[str, str]] = [("day", choice.day)] if choice.day is not None else []
        pairs += [("page", choice.page)] if choice.page else []
        pairs += [("setup", name) for name in choice.setups or ()]
        pairs += [("run", name) for name in choice.runs or ()]
        pairs += [("section", in_short(choice.sections))] if choice.sections else []
        pairs += [("event", choice.event)] if choice.event else []
        if choice.span is not None:
            pairs += [("from", f"{choice.span[0]:g}"), ("to", f"{choice.span[1]:g}")]
        return f"?{urlencode(pairs)}" if pairs else "?"

    def within(self, day: RideDay, sections: int) -> Choice:
        """Return the choice for a day: what names everything is no choice.

        Parameters
        ----------
        day : RideDay
        sections : int
            Into how many the trail is shared; 0 where it isn't.

        Raises
        ------
        CallError
            If a setup, a run or a section is named that the day hasn't.
        """
        ridden = tuple(dict.fromkeys(run.setup for run in day.runs))
        runs = tuple(run.name for run in day.runs)
        known = tuple(range(1, sections + 1))
        self._require("setup", self.setups, ridden)
        self._require("run", self.runs, runs)
        self._require("section", self.sections, known)
        return replace(
            self,
            setups=_part(self.setups, ridden),
            runs=_part(self.runs, runs),
            sections=_part(self.sections, known),
        )

    @staticmethod
    def _require(what: str, chosen: Sequence[object] | None, known: Sequence[object]) -> None:
        for item in chosen or ():
            if item not in known:
                raise _wrong(f"the {what}", str(item), f"one of {', '.join(map(str, known)) or 'none'}")

    def selection(self, day: RideDay, baseline: str | None) -> Selection:
        """Return what to compute: the day's baseline where it is chosen, else the first setup that is."""
        if self.setups is None:
            return Selection(runs=self.runs, sections=self.sections)
        first = baseline if baseline in self.setups else self.setups[0]
        ridden = dict.fromkeys(run.setup for run in day.runs)
        rest = tuple(name for name in ridden if name in self.setups and name != first)
        return Selection(baseline=first, candidates=rest, runs=self.runs, sections=self.sections)


def _part(chosen: tuple[T, ...] | None, known: tuple[T, ...]) -> tuple[T, ...] | None:
    """Return what was chosen in the order known; None where it is everything."""
    if chosen is None or set(chosen) >= set(known):
        return None
    return tuple(item for item in known if item in chosen)
