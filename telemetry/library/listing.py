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

    `words` are the key's, in the trade's own.
    """

    end: str
    words: str
    left: str
    others: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A day with the setup it was left with (empty where no run tells), and in what its setups differed."""

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


Held = dict[str, tuple[bool, dict[Place, str]]]
"""A day's setups by name, in order: whether it was left so, and what was in force."""


def _settings(catalogue: Catalogue, days: Sequence[str]) -> dict[str, Held]:
    marks = ", ".join("?" * len(days))
    rows = catalogue.db.execute(
        "SELECT d.id, s.name, s.is_left, t.name, t.end, t.text, t.number FROM versions v "  # noqa: S608 - ours
        "JOIN days d ON v.day = d.key JOIN setups s ON s.version = v.key "
        "LEFT JOIN in_force f ON f.setup = s.key LEFT JOIN settings t ON f.setting = t.key "
        f"WHERE v.newest AND d.id IN ({marks}) ORDER BY s.version, s.place, t.key",
        list(days),
    )
    found: dict[str, Held] = {}
    for day, setup, is_left, key, end, text, number in rows:
        _, stated = found.setdefault(day, {}).setdefault(setup, (bool(is_left), {}))
        if key is not None:
            stated[end, key] = as_written(key, text, number)
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
    left = next((name for name, (is_left, _) in held.items() if is_left), "")
    return Listed(day=day, left=left, differing=tuple(_differing(held, left)) if left else ())


def _differing(held: Held, left: str) -> Iterable[Differing]:
    from telemetry.model.setup_keys import SPECS  # noqa: PLC0415 - slow to load, needed by few

    for end, key in dict.fromkeys(place for _, stated in held.values() for place in stated):
        values = {name: stated.get((end, key), "") for name, (_, stated) in held.items()}
        if len(set(values.values())) > 1:
            words = SPECS[key].words if key in SPECS else key
            others = tuple((name, value) for name, value in values.items() if value != values[left])
            yield Differing(end=end, words=words, left=values[left], others=others)
