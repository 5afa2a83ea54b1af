"""Days found again: by words, bike, customer, trail, setting, date and verdict."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from dataclasses import asdict, dataclass
from difflib import get_close_matches

from telemetry.errors import CallError
from telemetry.units import IMPERIAL

from .catalogue import Catalogue
from .entering import VERDICTS, folded

SAME = 1e-6
"""By so much of itself a number may differ and still be the one looked for: units are converted. Own choice."""
PLACES = ("front", "rear", "bike", "other")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is looked for; empty is anything.

    Attributes
    ----------
    words : str
        Each stands in title, bike, customer, trail, headline, setups, notes or rider.
    bike, customer, trail : str
        Part of the name.
    settings : tuple of str
        ``KEY=VALUE`` or ``END.KEY=VALUE``: in force in one and the same setup.
    since, until : str
        First and last date, ``2026-05-16``.
    verdict : str
        ``changed`` (or ``unchanged``, ``undecided``) of any row in focus, of any row at all where the day named no
        focus; ``MEASURE=changed`` or ``MEASURE:END=changed`` of that one.
    """

    words: str = ""
    bike: str = ""
    customer: str = ""
    trail: str = ""
    settings: tuple[str, ...] = ()
    since: str = ""
    until: str = ""
    verdict: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A kept day as it is listed; `version` is its newest."""

    id: str
    title: str
    date: str
    bike: str
    customer: str | None
    trail: str
    setups: tuple[str, ...]
    headline: str
    definitions: int
    version: int

    def to_dict(self) -> dict[str, object]:
        """Return the day as it stands in JSON."""
        return asdict(self) | {"setups": list(self.setups)}


class Clauses:
    """Conditions and their values, gathered."""

    def __init__(self) -> None:
        self.texts: list[str] = ["v.newest"]
        self.values: list[object] = []

    def add(self, text: str, *values: object) -> None:
        """Add one condition."""
        self.texts.append(text)
        self.values.extend(values)


def find(catalogue: Catalogue, wanted: Wanted, *, skip: int = 0, most: int | None = None) -> tuple[Found, ...]:
    """Return the days found, newest first.

    Parameters
    ----------
    catalogue : Catalogue
    wanted : Wanted
    skip : int, optional
        So many of the newest are passed over.
    most : int, optional
        No more than so many.

    Raises
    ------
    CallError
        If a setting or a verdict can't be looked for as it is written.
    """
    return tuple(_found(catalogue, clauses_of(catalogue, wanted), skip, most))


def count(catalogue: Catalogue, wanted: Wanted) -> int:
    """Return how many days `find` finds.

    Raises
    ------
    CallError
        As `find`.
    """
    clauses = clauses_of(catalogue, wanted)
    return int(catalogue.db.execute(f"SELECT count(*) {_from(clauses)}", clauses.values).fetchone()[0])


def clauses_of(catalogue: Catalogue, wanted: Wanted) -> Clauses:
    """Return what newest versions `v` of days `d`, of customers `c`, have to be like.

    Raises
    ------
    CallError
        As `find`.
    """
    clauses = Clauses()
    for word in folded(wanted.words).split():
        clauses.add("(instr(v.folded, ?) OR instr(coalesce(c.folded, ''), ?))", word, word)
    parts = {"v.bike_folded": wanted.bike, "c.folded": wanted.customer, "fold(v.trail)": wanted.trail}
    for column, text in parts.items():
        if text:
            clauses.add(f"instr({column}, ?)", folded(text))
    for sign, date in ((">=", wanted.since), ("<=", wanted.until)):
        if date:
            clauses.add(f"d.date {sign} ?", date)
    if wanted.settings:
        _add_settings(clauses, catalogue, wanted.settings)
    if wanted.verdict:
        _add_verdict(clauses, wanted.verdict)
    catalogue.db.create_function("fold", 1, folded, deterministic=True)
    return clauses


def _from(clauses: Clauses) -> str:
    tables = "versions v JOIN days d ON v.day = d.key LEFT JOIN customers c ON v.customer = c.key"
    return f"FROM {tables} WHERE {' AND '.join(clauses.texts)}"


def _found(catalogue: Catalogue, clauses: Clauses, skip: int, most: int | None) -> Iterator[Found]:
    rows = catalogue.db.execute(
        "SELECT d.id, v.title, d.date, v.bike, c.name, v.trail, v.setups, v.headline, v.definitions, v.number "
        f"{_from(clauses)} ORDER BY d.date DESC, d.id DESC LIMIT ? OFFSET ?",
        [*clauses.values, -1 if most is None else most, skip],
    )
    for name, title, date, bike, customer, trail, setups, headline, definitions, number in rows:
        yield Found(
            id=name,
            title=title,
            date=date,
            bike=bike,
            customer=customer or None,
            trail=trail,
            setups=tuple(json.loads(setups)),
            headline=headline,
            definitions=definitions,
            version=number,
        )


def _add_settings(clauses: Clauses, catalogue: Catalogue, settings: Sequence[str]) -> None:
    """Ask for a setup in which all of these are in force."""
    stated = {row[0] for row in catalogue.db.execute("SELECT DISTINCT name FROM settings")}
    held = []
    for written in settings:
        end, key, text, number = _setting(written, stated)
        like = catalogue.db.execute("SELECT key, end, text, number FROM settings WHERE name = ?", (key,))
        keys = [own for own, at, said, value in like if end in (None, at) and (said == text or _is_same(number, value))]
        held.append(f"SELECT setup FROM in_force WHERE setting IN ({', '.join(map(str, keys))})")  # noqa: S608 - ours
    clauses.add(f"v.key IN (SELECT version FROM setups WHERE key IN ({' INTERSECT '.join(held)}))")  # noqa: S608 - ours


def _is_same(wanted: float | None, found: float | None) -> bool:
    return wanted is not None and found is not None and abs(found - wanted) <= SAME * max(1.0, abs(wanted))


def _setting(written: str, stated: Collection[str]) -> tuple[str | None, str, str, float | None]:
    """Return end, key, folded text and number of a setting as it is looked for; imperial numbers made metric.

    Parameters
    ----------
    written : str
    stated : collection of str
        The keys that kept days state.
    """
    where = f"--setting {written}"
    name, equals, value = written.partition("=")
    first, dot, rest = name.strip().partition(".")
    end, key = (first, rest) if dot and first in PLACES else (None, name.strip())
    if not (equals and key and value.strip()):
        raise CallError(where, "no key with a value", "KEY=VALUE, such as lower_leg_oil_each_ml=8", "write both")
    number = _number(value)
    for item in IMPERIAL:
        if number is not None and key not in stated and key.endswith(item.suffix):
            return end, key.removesuffix(item.suffix) + item.metric_suffix, "", item.to_metric(number)
    if key not in stated:
        require_key(key, stated, where)
    return end, key, folded(value), number


def require_key(key: str, stated: Collection[str], where: str) -> None:
    """Refuse a key that no day states and no setup may hold."""
    from telemetry.model.setup_keys import SPECS  # noqa: PLC0415 - slow to load, needed by few

    if key not in SPECS:
        near = get_close_matches(key, {*SPECS, *stated}, n=1)
        remedy = f"did you mean {near[0]}?" if near else "`telemetry settings BIKE` shows what is stated"
        raise CallError(where, f"no such key {key!r}", "a key that setups hold", remedy)


def _number(text: str) -> float | None:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        return None


def _add_verdict(clauses: Clauses, written: str) -> None:
    row, _, verdict = written.rpartition("=")
    if verdict not in VERDICTS:
        expected = f"{', '.join(VERDICTS)}, alone or as MEASURE:END=changed"
        raise CallError(f"--verdict {written}", repr(verdict), expected, "write one of them")
    if not row:
        clauses.add("instr(' ' || v.verdicts || ' ', ?)", f" {verdict} ")
        return
    measure, colon, end = row.partition(":")
    of_end = "AND m.end = ?" if colon else ""
    decided = (
        "SELECT s.version FROM verdicts x JOIN measures m ON x.measure = m.key JOIN setups s ON x.setup = s.key "  # noqa: S608 - ours
        f"WHERE x.verdict = ? AND m.measure = ? {of_end}"
    )
    clauses.add(f"v.key IN ({decided})", VERDICTS.index(verdict), measure, *([end] if colon else []))
