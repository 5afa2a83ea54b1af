"""Which kept days one change can be put together of: each that can't be is told, with the reason."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from telemetry.errors import CallError
from telemetry.library import ChangedDay, ChangedSetup, KeptChange
from telemetry.model.finding import ENDS
from telemetry.model.setup_keys import SPECS
from telemetry.model.together import Change, LeftDay
from telemetry.words import counted, shortlist

FEWEST = 2
"""Days that can stand side by side."""
LIKE_SIZES = 1.5
"""Sizes of the change whose largest is so many times the smallest count as alike. Own choice."""
PROPORTIONAL_SIZES = 4.0
"""Up to so many times they may be put to one size by proportion. Own choice."""
MOST_TOLD = 4
OPEN = "its comparison leaves something open"
PLACES = (*ENDS, "bike", "other")
DIRECTIONS = {"more": True, "less": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedChange:
    """A change as it is asked for: its key, its end where that is said, and whether there was more of it after."""

    key: str
    end: str | None
    more: bool | None
    written: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A day that is put together, the setup of it that fits, and by how much that was changed."""

    day: ChangedDay
    setup: ChangedSetup
    change: KeptChange

    @property
    def size(self) -> float | None:
        """How much more there was after; None of what is no number, or the same one written otherwise."""
        before, after = self.change.before_number, self.change.after_number
        return None if before is None or after is None or before == after else after - before

    @property
    def kind(self) -> tuple[object, ...]:
        """What has to be alike: which way; of what is no number from what to what."""
        if self.size is not None:
            return (self.size > 0,)
        return (self.change.before, self.change.after)


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """Days that can be put together, of one change, and those that can't."""

    change: Change
    chosen: tuple[Chosen, ...]
    left_out: tuple[LeftDay, ...]


def asked_change(written: str) -> AskedChange:
    """Return a change as it is asked for: ``KEY``, ``END.KEY``, with ``=less`` or ``=more``.

    Raises
    ------
    CallError
        If it says neither.
    """
    name, equals, way = written.strip().partition("=")
    first, dot, rest = name.partition(".")
    end, key = (first, rest) if dot and first in PLACES else (None, name)
    if not key or (equals and way not in DIRECTIONS):
        expected = "KEY, or KEY=less or KEY=more, such as lower_leg_oil_each_ml=less"
        raise CallError(f"--change {written}", repr(written), expected, "write one of them")
    return AskedChange(key=key, end=end, more=DIRECTIONS.get(way), written=written)


def common_change(days: Sequence[ChangedDay]) -> AskedChange:
    """Return the one key that was changed alone on most of these days.

    Raises
    ------
    CallError
        If there is none, or several.
    """
    alone = Counter(
        place
        for day in days
        for place in {(own.changes[0].end, own.changes[0].key) for own in day.setups if len(own.changes) == 1}
    )
    most = [place for place, count in alone.items() if count == max(alone.values())]
    if len(most) != 1:
        found = "no day on which one thing alone was changed" if not most else f"{_listed(most)}, each on as many days"
        raise CallError("these days", found, "one change that they share", "name it: --change KEY")
    end, key = most[0]
    return AskedChange(key=key, end=end, more=None, written=f"{end}.{key}")


def _listed(places: Sequence[tuple[str, str]]) -> str:
    return ", ".join(f"{end}.{key}" for end, key in sorted(places))


class _Choosing:
    """Days gone through, reason by reason."""

    def __init__(self, asked: AskedChange) -> None:
        self.asked = asked
        self.left: list[LeftDay] = []

    def leave(self, day: ChangedDay, reason: str) -> None:
        self.left.append(LeftDay(day=day.id, reason=reason))

    def keep(self, chosen: Sequence[Chosen], why: Callable[[Chosen], str]) -> list[Chosen]:
        """Return those that nothing is said of; the others are left out with what is."""
        reasons = [why(own) for own in chosen]
        for own, reason in zip(chosen, reasons, strict=True):
            if reason:
                self.leave(own.day, reason)
        return [own for own, reason in zip(chosen, reasons, strict=True) if not reason]

    def require(self, chosen: Sequence[Chosen], what: str) -> None:
        """Refuse fewer than two."""
        if len(chosen) < FEWEST:
            reasons: dict[str, list[str]] = {}
            for own in self.left:
                reasons.setdefault(own.reason, []).append(own.day)
            told = [f"{shortlist(days, MOST_TOLD)} ({reason})" for reason, days in list(reasons.items())[:MOST_TOLD]]
            more = len(reasons) - len(told)
            left = f": {'; '.join(told)}" + (f"; and {counted(more, 'other reason')}" if more else "") if told else ""
            found = f"{counted(len(chosen), 'day')} {what}{left}"
            opened = any(own.reason.startswith(OPEN) for own in self.left)
            remedy = "--with-open takes days that leave something open, and names no cause" if opened else "name others"
            raise CallError(self.asked.written, found, f"{FEWEST} days or more that can be put together", remedy)


def days_alike(
    days: Sequence[ChangedDay], asked: AskedChange, *, open_too: bool = False, proportional: bool = False
) -> Alike:
    """Return the days that can be put together of one change.

    Parameters
    ----------
    days : sequence of ChangedDay
    asked : AskedChange
    open_too : bool
        Whether days are taken of which something else is open that could explain a difference.
    proportional : bool
        Whether sizes that aren't alike are put to the middle one, each day's difference with them.

    Raises
    ------
    CallError
        If fewer than two are left, they were changed both ways, or by sizes that aren't alike.

    Notes
    -----
    A day with several setups that fit stands with the one whose size is nearest to the middle of all. Of days that
    were measured by several definitions, or cleaned at several cut-offs, the most that are alike are taken.
    """
    choosing = _Choosing(asked)
    fitting = [found for day in days for found in [_fitting(choosing, day)] if found]
    _require_one_end(choosing, [own for found in fitting for own in found])
    choosing.require([found[0] for found in fitting], f"on which {_key_words(asked)} alone was changed")
    fitting = _one_way(choosing, fitting)
    middle = _middle([own for found in fitting for own in found])
    chosen = [min(found, key=lambda own: abs((own.size or 0.0) - middle)) for found in fitting]
    chosen = choosing.keep(
        chosen, lambda own: own.day.ridden_as and f"some of its runs are also kept as {own.day.ridden_as}"
    )
    if not open_too:
        chosen = choosing.keep(chosen, _what_is_open)
    chosen = choosing.keep(chosen, lambda own: "" if len(own.setup.differences) else "nothing of it could be compared")
    chosen = _measured_alike(choosing, chosen)
    choosing.require(chosen, "left of it")
    return Alike(
        change=_change_of(choosing, chosen, proportional=proportional),
        chosen=tuple(chosen),
        left_out=tuple(choosing.left),
    )


def _key_words(asked: AskedChange) -> str:
    return SPECS[asked.key].words if asked.key in SPECS else asked.key


def _is_asked(change: KeptChange, asked: AskedChange) -> bool:
    return change.key == asked.key and asked.end in (None, change.end)


def _fitting(choosing: _Choosing, day: ChangedDay) -> list[Chosen]:
    """Return the setups of a day on which this alone was changed, so that it can be told how."""
    asked, found, reasons = choosing.asked, [], []
    for setup in day.setups:
        own = next((change for change in setup.changes if _is_asked(change, asked)), None)
        others = [change for change in setup.changes if change is not own]
        if own is None:
            reasons.append("it wasn't changed" if setup.changes else "nothing was changed")
        elif others:
            named = ", ".join(dict.fromkeys(f"{change.words} ({change.end})" for change in others))
            reasons.append(f"changed at the same time: {named}")
        elif not (own.before and own.after):
            reasons.append("before or after isn't stated")
        else:
            found.append(Chosen(day=day, setup=setup, change=own))
    if not found:
        reasons = [reason for reason in reasons if "at the same time" in reason] or reasons
        none = (
            "no comparison is kept with it; `telemetry library reanalyse` makes one of a day kept before there were any"
        )
        choosing.leave(day, reasons[0] if reasons else none)
    return found


def _require_one_end(choosing: _Choosing, fitting: Sequence[Chosen]) -> None:
    ends = sorted({own.change.end for own in fitting})
    if len(ends) > 1:
        what = f"changed at the {' and at the '.join(ends)}"
        names = " or ".join(f"{end}.{choosing.asked.key}" for end in ends)
        raise CallError(choosing.asked.written, what, "one end", f"name it: --change {names}")


def _one_way(choosing: _Choosing, fitting: list[list[Chosen]]) -> list[list[Chosen]]:
    """Return the setups changed the way that is asked for; refuse both ways where none is."""
    ways = sorted({own.kind for found in fitting for own in found}, key=str)
    numbers = all(isinstance(kind[0], bool) for kind in ways)
    wanted = choosing.asked.more
    if wanted is not None and not numbers:
        raise CallError(choosing.asked.written, "no number", "a key that holds one", "leave out =less or =more")
    if wanted is None and len(ways) > 1:
        raise _both_ways(choosing.asked, fitting, numbers=numbers)
    kept = []
    for found in fitting:
        same = [own for own in found if wanted is None or own.kind == (wanted,)]
        if same:
            kept.append(same)
        else:
            choosing.leave(found[0].day, f"changed the other way ({found[0].change.before} to {found[0].change.after})")
    choosing.require([found[0] for found in kept], "changed that way")
    return kept


def _both_ways(asked: AskedChange, fitting: list[list[Chosen]], *, numbers: bool) -> CallError:
    ways: dict[str, list[str]] = {}
    for found in fitting:
        for own in found:
            way = (
                ("more" if own.size and own.size > 0 else "less")
                if numbers
                else f"{own.change.before} to {own.change.after}"
            )
            ways.setdefault(way, []).append(own.day.id)
    told = "; ".join(f"{way} on {', '.join(days[:MOST_TOLD])}" for way, days in ways.items())
    remedy = f"--change {asked.written}=less or =more takes one" if numbers else "name days of one of them by their ids"
    return CallError(asked.written, f"days of unlike changes: {told}", "days changed the same way", remedy)


def _middle(fitting: Sequence[Chosen]) -> float:
    sizes = [own.size for own in fitting if own.size is not None]
    return statistics.median(sizes) if sizes else 0.0


def _what_is_open(own: Chosen) -> str:
    if not own.setup.open:
        return ""
    return f"{OPEN}: {', '.join(own.setup.open)}"


def _measured_alike(choosing: _Choosing, chosen: list[Chosen]) -> list[Chosen]:
    """Return the most days that were measured and cleaned alike; of as many the newest."""
    told: tuple[tuple[str, Callable[[ChangedDay], object]], ...] = (
        ("measured by definitions {}, the others by {}; `telemetry library reanalyse` measures it anew", _definitions),
        ("cleaned with a cut-off of {}, the others of {}: speeds aren't alike", _cutoff),
    )
    for words, of in told:
        counts = Counter(of(own.day) for own in chosen)
        if len(counts) > 1:
            most = max(
                counts, key=lambda value: (counts[value], max(own.day.date for own in chosen if of(own.day) == value))
            )
            chosen = choosing.keep(
                chosen,
                lambda own: "" if of(own.day) == most else words.format(of(own.day), most),  # noqa: B023 - used at once
            )
    return chosen


def _definitions(day: ChangedDay) -> object:
    return day.definitions


def _cutoff(day: ChangedDay) -> object:
    return "unknown height" if day.cutoff_hz is None else f"{day.cutoff_hz:g} Hz"


def _change_of(choosing: _Choosing, chosen: Sequence[Chosen], *, proportional: bool) -> Change:
    """Return what was changed; refuse sizes that aren't alike."""
    first = chosen[0].change
    sizes = sorted(abs(own.size) for own in chosen if own.size is not None)
    taken_as = statistics.median(sizes) if sizes and proportional else None
    if sizes:
        limit = PROPORTIONAL_SIZES if proportional else LIKE_SIZES
        if sizes[-1] > limit * sizes[0]:
            found = f"changes of {sizes[0]:g} to {sizes[-1]:g} {first.unit}".strip()
            unlike = f"sizes within {limit:g} times of each other"
            remedy = "name days that are alike" + (
                "" if proportional else ", or --proportional where twice the change does twice as much"
            )
            raise CallError(choosing.asked.written, found, unlike, remedy)
    return Change(
        key=first.key,
        end=first.end,
        words=first.words,
        unit=first.unit,
        more=bool(chosen[0].kind[0]) if sizes else None,
        between=("", "") if sizes else (first.before, first.after),
        least=sizes[0] if sizes else None,
        most=sizes[-1] if sizes else None,
        taken_as=taken_as,
    )


def told_sizes(chosen: Sequence[Chosen], change: Change) -> Iterator[float]:
    """Yield by what each day's difference is multiplied: to the middle size; 1 where it stands as it was."""
    for own in chosen:
        yield 1.0 if change.taken_as is None or own.size is None else change.taken_as / abs(own.size)
