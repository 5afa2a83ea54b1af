"""Days as a page lists them: so many at a time, each with what differed between its setups and how it was left."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .catalogue import Catalogue
from .finding import Found, Wanted, count, find

Place = tuple[str, str]
"""An end, and a key at it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Differing:
    """A setting in which a day's setups differ: as it was left, and as the others had it; empty where one states none.

    `words` are the key's, in the trade's own; `others` are (label, value).
    """

    end: str
    words: str
    left: str
    others: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A day, the label of the setup it was left with (empty where no run tells), and in what its setups differed."""

    day: Found
    left: str
    differing: tuple[Differing, ...]


def page_of(catalogue: Catalogue, wanted: Wanted, *, skip: int, most: int) -> tuple[int, tuple[Listed, ...]]:
    """Return how many days there are, and so many of them, newest first; nothing but the catalogue is read.

    Parameters
    ----------
    catalogue : Catalogue
    wanted : Wanted
    skip, most : int

    Raises
    ------
    CallError
        As `find`.
    """
    days = find(catalogue, wanted, skip=skip, most=most)
    held = _settings(catalogue, [day.id for day in days])
    return count(catalogue, wanted), tuple(_listed(day, held.get(day.id, {})) for day in days)


@dataclass(frozen=True, slots=True)
class _Held:
    """One setup of a day: its label, whether the day was left so, and what was in force."""

    label: str
    is_left: bool
    stated: dict[Place, str]


Held = dict[str, _Held]
"""A day's setups by name, in order."""


def _settings(catalogue: Catalogue, days: Sequence[str]) -> dict[str, Held]:
    marks = ", ".join("?" * len(days))
    rows = catalogue.db.execute(
        "SELECT d.id, s.name, s.label, s.is_left, t.name, t.end, t.text, t.number FROM versions v "  # noqa: S608 - ours
        "JOIN days d ON v.day = d.key JOIN setups s ON s.version = v.key "
        "LEFT JOIN in_force f ON f.setup = s.key LEFT JOIN settings t ON f.setting = t.key "
        f"WHERE v.newest AND d.id IN ({marks}) ORDER BY s.version, s.place, t.key",
        list(days),
    )
    found: dict[str, Held] = {}
    for day, setup, label, is_left, key, end, text, number in rows:
        own = found.setdefault(day, {}).setdefault(setup, _Held(label or setup, bool(is_left), {}))
        if key is not None:
            own.stated[end, key] = as_written(key, text, number)
    return found


def as_written(key: str, text: str, number: float | None) -> str:
    """Return a setting of the catalogue as people read it: numbers with the key's unit.

    Examples
    --------
    >>> as_written("lower_leg_oil_each_ml", "8.0", 8.0), as_written("rebound", "9 clicks from closed", 9.0)
    ('8 ml', '9 clicks from closed')
    """
    from telemetry.model.setup_keys import SPECS  # noqa: PLC0415 - slow to load, needed by few

    spec = SPECS.get(key)
    if spec is not None and number is not None and text == repr(number):
        return f"{number:.10g} {spec.unit}".strip()
    return {"true": "yes", "false": "no"}.get(text, text)


def _listed(day: Found, held: Held) -> Listed:
    left = next((own for own in held.values() if own.is_left), None)
    if left is None:
        return Listed(day=day, left="", differing=())
    return Listed(day=day, left=left.label, differing=tuple(_differing(held, left)))


def _differing(held: Held, left: _Held) -> Iterable[Differing]:
    from telemetry.model.setup_keys import SPECS  # noqa: PLC0415 - slow to load, needed by few

    for at in dict.fromkeys(place for own in held.values() for place in own.stated):
        end, key = at
        was = left.stated.get(at, "")
        others = tuple((own.label, own.stated.get(at, "")) for own in held.values() if own.stated.get(at, "") != was)
        if others:
            words = SPECS[key].words if key in SPECS else key
            yield Differing(end=end, words=words, left=was, others=others)
