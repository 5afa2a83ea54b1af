"""What is asked of the library as it stands in the link: a filter, a bike, or a rider's laps of a trail."""

from __future__ import annotations

import datetime as dt
from dataclasses import asdict, dataclass, replace
from urllib.parse import urlencode

from telemetry.errors import CallError, clean_text
from telemetry.library import VERDICTS, Wanted

from .fields import Arguments, one_of

BIKE, LAPS = "bike", "laps"
PAGES = ("", BIKE, LAPS)
FARTHEST = 10_000_000
"""Days that a link may pass over: own choice, more than a library holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Everything that a link asks of the library; empty is anything.

    `rider` is None where none is named; an empty one is a rider that runs don't name. `skip` are the newest days that
    are passed over.
    """

    page: str = ""
    words: str = ""
    bike: str = ""
    customer: str = ""
    trail: str = ""
    verdict: str = ""
    since: str = ""
    until: str = ""
    rider: str | None = None
    skip: int = 0

    @classmethod
    def of(cls, arguments: Arguments) -> Asked:
        """Return what a request's arguments ask.

        Raises
        ------
        CallError
            If a date, a verdict, a page or a number isn't one.
        """
        texts = {name: one_of(arguments, name).strip() for name in ("words", "bike", "customer", "trail")}
        page, verdict = one_of(arguments, "page"), one_of(arguments, "verdict")
        if page not in PAGES:
            raise _wrong("a page", page, "a bike, laps, or none")
        if verdict and verdict not in VERDICTS:
            raise _wrong("a verdict", verdict, ", ".join(VERDICTS))
        return cls(
            page=page,
            verdict=verdict,
            since=_date(one_of(arguments, "since")),
            until=_date(one_of(arguments, "until")),
            rider=one_of(arguments, "rider") if "rider" in arguments else None,
            skip=_number(one_of(arguments, "skip")),
            **texts,
        )

    @property
    def wanted(self) -> Wanted:
        """What is looked for in the list."""
        return Wanted(
            words=self.words,
            bike=self.bike,
            customer=self.customer,
            trail=self.trail,
            verdict=self.verdict,
            since=self.since,
            until=self.until,
        )

    def link(self, **changes: object) -> str:
        """Return the link that asks the same with some of it changed."""
        asked = asdict(replace(self, **changes))  # type: ignore[arg-type]
        rider = asked.pop("rider")
        pairs = [(name, value) for name, value in asked.items() if value]
        pairs += [] if rider is None else [("rider", rider)]
        return f"?{urlencode(pairs)}" if pairs else "?"


def bike_link(bike: str) -> str:
    """Return the link to a bike's page."""
    return Asked(page=BIKE, bike=bike).link()


def laps_link(trail: str, bike: str, rider: str | None) -> str:
    """Return the link to a rider's laps of a trail on a bike."""
    return Asked(page=LAPS, trail=trail, bike=bike, rider=rider).link()


def _wrong(what: str, found: str, expected: str) -> CallError:
    return CallError("this link", f"{what} {clean_text(found, longest=80)!r}", expected, "choose anew on the page")


def _date(text: str) -> str:
    if not text:
        return ""
    try:
        return dt.date.fromisoformat(text).isoformat()
    except ValueError:
        raise _wrong("a date", text, "one such as 2026-05-16") from None


def _number(text: str) -> int:
    if not text:
        return 0
    if text.isascii() and text.isdigit() and len(text) < 9 and int(text) < FARTHEST:
        return int(text)
    raise _wrong("days to pass over", text, "a whole number")
