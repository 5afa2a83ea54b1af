"""What was changed on kept days, and what differed: the days that one change may be put together of."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from telemetry.errors import CallError
from telemetry.units import IMPERIAL

from .catalogue import Catalogue
from .differences import SCALES
from .finding import Wanted, clauses_of, require_key
from .held import require_day
from .record_of_comparison import KeptChange

MOST_NAMED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedSetup:
    """A setup held against its day's baseline; `differences` are packed rows."""

    name: str
    against: str
    changes: tuple[KeptChange, ...]
    open: tuple[str, ...]
    differences: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedDay:
    """The newest version of a kept day with the setups that were held against its baseline.

    `ridden_as` names a day kept later that holds some of the same runs; empty elsewhere.
    """

    id: str
    date: str
    bike: str
    definitions: int
    cutoff_hz: float | None
    setups: tuple[ChangedSetup, ...]
    ridden_as: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureKept:
    """What a key of packed rows stands for."""

    measure: str
    end: str
    unit: str


def changed_days(catalogue: Catalogue, days: Sequence[str], wanted: Wanted, key: str = "") -> tuple[ChangedDay, ...]:
    """Return days with what was changed on them, by date.

    Parameters
    ----------
    catalogue : Catalogue
    days : sequence of str
        Ids; empty: all that are like `wanted`.
    wanted : Wanted
    key : str, optional
        Only setups on which it was changed, whatever else; a day asked for by its id stands without any.

    Raises
    ------
    CallError
        If an id isn't kept, or something can't be looked for as it is written.
    """
    clauses = clauses_of(catalogue, wanted)
    for day in days:
        require_day(catalogue, day)
    if days:
        clauses.add(f"d.id IN ({', '.join('?' * len(days))})", *days)
    joined = "LEFT JOIN" if days else "JOIN"
    of_key = "AND k.setup IN (SELECT setup FROM changes WHERE name = ?)" if key else ""
    rows = catalogue.db.execute(
        "SELECT d.id, d.date, v.bike, v.definitions, v.cutoff_hz, s.key, s.name, k.against, k.open, k.differences "  # noqa: S608 - ours
        "FROM versions v JOIN days d ON v.day = d.key LEFT JOIN customers c ON v.customer = c.key "
        f"{joined} setups s ON s.version = v.key {joined} compared k ON k.setup = s.key {of_key} "
        f"WHERE {' AND '.join(clauses.texts)} ORDER BY d.date, d.id, s.place",
        [*([key] if key else []), *clauses.values],
    ).fetchall()
    changes = _changes(catalogue, [row[5] for row in rows if row[7] is not None])
    same = _ridden_as(catalogue)
    found: dict[str, tuple[tuple[str, str, int, float | None], list[ChangedSetup]]] = {}
    for name, date, bike, definitions, cutoff, setup, label, against, noted, differences in rows:
        setups = found.setdefault(name, ((date, bike, definitions, cutoff), []))[1]
        if against is not None:
            told = ChangedSetup(
                name=label,
                against=against,
                changes=changes.get(setup, ()),
                open=tuple(noted.split()),
                differences=differences,
            )
            setups.append(told)
    return tuple(
        ChangedDay(
            id=name,
            date=about[0],
            bike=about[1],
            definitions=about[2],
            cutoff_hz=about[3],
            setups=tuple(setups),
            ridden_as=same.get(name, ""),
        )
        for name, (about, setups) in found.items()
    )


def _changes(catalogue: Catalogue, setups: Collection[int]) -> dict[int, tuple[KeptChange, ...]]:
    rows = catalogue.db.execute(
        "SELECT setup, end, name, words, before, after, before_number, after_number, unit FROM changes "  # noqa: S608 - numbers
        f"WHERE setup IN ({', '.join(map(str, setups))}) ORDER BY setup"
    )
    found: dict[int, tuple[KeptChange, ...]] = {}
    for setup, end, key, words, before, after, before_number, after_number, unit in rows:
        change = KeptChange(
            end=end,
            key=key,
            words=words,
            before=before,
            after=after,
            before_number=before_number,
            after_number=after_number,
            unit=unit,
        )
        found[setup] = (*found.get(setup, ()), change)
    return found


def _ridden_as(catalogue: Catalogue) -> dict[str, str]:
    """Return days some of whose runs a day that was kept later holds too, with that day."""
    rows = catalogue.db.execute(
        "SELECT f.sha256, d.id FROM files f JOIN versions v ON f.version = v.key AND v.newest "
        "JOIN days d ON v.day = d.key WHERE f.kind = 'run' AND f.sha256 IN "
        "(SELECT sha256 FROM files WHERE kind = 'run' GROUP BY sha256 HAVING count(*) > 1) "
        "ORDER BY f.sha256, v.kept_at, v.key"
    )
    holding: dict[bytes, list[str]] = {}
    for content, day in rows:
        holding.setdefault(content, []).append(day)
    return {day: days[-1] for days in holding.values() for day in days[:-1] if day != days[-1]}


def measures_kept(catalogue: Catalogue) -> dict[int, MeasureKept]:
    """Return what the keys of packed rows stand for."""
    rows = catalogue.db.execute("SELECT key, measure, end, unit FROM measures")
    return {key: MeasureKept(measure=measure, end=end, unit=unit) for key, measure, end, unit in rows}


def scale_of(packed: int) -> str:
    """Return the scale of packed rows."""
    return SCALES[packed]


def key_meant(catalogue: Catalogue, key: str, where: str) -> str:
    """Return the key that is looked for: an imperial spelling's metric one.

    Raises
    ------
    CallError
        If no setup holds it and no kept day changed it.
    """
    known = {name for name, _, _ in keys_changed(catalogue)}
    metric = (key.removesuffix(own.suffix) + own.metric_suffix for own in IMPERIAL if key.endswith(own.suffix))
    if key not in known and (found := next(metric, "")):
        return found
    if key not in known:
        require_key(key, known, where)
    return key


def keys_changed(catalogue: Catalogue) -> Iterator[tuple[str, str, int]]:
    """Yield the keys that were changed on kept days, at which end, and on how many days, the most first."""
    yield from catalogue.db.execute(
        "SELECT x.name, x.end, count(DISTINCT v.day) AS days FROM changes x JOIN setups s ON x.setup = s.key "
        "JOIN versions v ON s.version = v.key AND v.newest GROUP BY x.name, x.end ORDER BY days DESC, x.name"
    )


def nothing_asked(catalogue: Catalogue) -> CallError:
    """Return the error of a call that says neither days nor a change: it names what was changed on kept days."""
    where = str(catalogue.store.root)
    known = (
        ", ".join(f"{end}.{key} ({days})" for key, end, days in islice(keys_changed(catalogue), MOST_NAMED)) or "none"
    )
    return CallError(where, "no change to look for", "--change KEY, or ids of days", f"changed here, on days: {known}")
