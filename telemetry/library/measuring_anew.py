"""Kept days measured anew: which are due, where an unfinished call had got to, and new results beside the old."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from .catalogue import writing
from .entering import enter, newest_of
from .keeping import due, remove_unused, sweep, write_due
from .record import Kept, KeptFile, KeptResults
from .store import Store, told


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """The newest versions that are to be measured anew, and those that an unfinished call has been through."""

    stems: tuple[str, ...]
    done: tuple[str, ...] = ()
    standing: int = 0
    """How many of those asked for stand measured by today's definitions, and aren't due."""


def due_anew(root: Path, days: Collection[str], definitions: int, *, anyway: bool, named: bool) -> Due:
    """Return what is to be measured anew.

    Parameters
    ----------
    root : Path
        The library's folder.
    days : collection of str
        Ids of kept days.
    definitions : int
        Today's.
    anyway : bool
        Whether those are due too that stand measured by them.
    named : bool
        Whether each was asked for by its id: then one is due too whose travel isn't whole.
    """
    with writing(root, sweep) as catalogue:
        catalogue.db.execute("DELETE FROM measured_anew WHERE definitions != ?", (definitions,))
        rows = catalogue.db.execute(
            "SELECT d.id, v.number, v.definitions, a.stem NOTNULL FROM versions v JOIN days d ON v.day = d.key "
            "LEFT JOIN measured_anew a ON a.stem = d.id || '.' || v.number WHERE v.newest ORDER BY d.date, d.id"
        ).fetchall()
    asked = set(days)
    rows = [(f"{name}.{number}", own, been) for name, number, own, been in rows if name in asked]
    done = tuple(stem for stem, own, been in rows if been and own == definitions)
    stems = []
    for stem, own, been in rows:
        if own != definitions or (anyway and not been) or (named and not _has_travel(Store(root), stem)):
            stems.append(stem)
    return Due(stems=tuple(stems), done=done, standing=len(rows) - len({*stems, *done}))


def _has_travel(store: Store, stem: str) -> bool:
    """Tell whether the travel of a version is as it was kept."""
    kept = store.read_record(stem)
    return all(store.is_whole(file.kind, file.sha256) for file in kept.files if file.kind == "travel")


def enter_anew(root: Path, asked: Kept, fresh: KeptResults, travel: Mapping[str, bytes]) -> Kept | None:
    """Put new results in place, with those before beside them; all of it or nothing.

    Parameters
    ----------
    root : Path
        The library's folder.
    asked : Kept
        The version as it was given out to be measured.
    fresh : KeptResults
        Its `travel` names the files that stay as they are.
    travel : mapping of str to bytes
        A Parquet file for each run whose travel isn't as it was kept, or isn't whole.

    Returns
    -------
    Kept or None
        The version as it now stands; None where it was taken out, or is another by now.

    Raises
    ------
    CallError
        If the library can't take it; then nothing is changed.
    """
    with writing(root, sweep) as catalogue, catalogue.store.staged() as staged:
        known = newest_of(catalogue, asked.id)
        if known is None or (known.number, known.content) != (asked.number, asked.content):
            return None
        store = catalogue.store
        kept = store.read_record(asked.stem)
        written = [_taken_in(store, staged, run, data) for run, data in travel.items()]
        results = replace(fresh, travel=(*fresh.travel, *written))
        new, lost = _beside(store, kept, results)
        try:
            with told(root):
                store.put(staged, written)
            with catalogue.change():
                enter(catalogue, new)
                due(catalogue, new.stem, new.packed())
                catalogue.db.execute(
                    "INSERT OR REPLACE INTO measured_anew VALUES (?, ?)", (new.stem, results.definitions)
                )
        except BaseException:
            remove_unused(catalogue, [file.sha256 for file in written])
            raise
        write_due(catalogue)
        remove_unused(catalogue, lost)
        return new


def _taken_in(store: Store, staged: Path, run: str, data: bytes) -> KeptFile:
    with told(staged):
        beside = staged / "measured"
        beside.write_bytes(data)
        return store.take_in(staged, beside, run, "travel")


def _beside(store: Store, kept: Kept, fresh: KeptResults) -> tuple[Kept, list[str]]:
    """Return a version with new results, and the travel it holds no more: what was lost of it is made anew.

    Results that are the very same by the same definitions take the place of those before.
    """
    old = kept.results
    travel = {file.sha256 for file in fresh.travel}
    whole = tuple(file for file in old.travel if file.sha256 in travel or store.is_whole("travel", file.sha256))
    lost = [file.sha256 for file in old.travel if file not in whole]
    if replace(old, travel=fresh.travel).is_alike(fresh):
        gone = [file.sha256 for file in old.travel if file.sha256 not in travel]
        return replace(kept.measured(fresh), measured_at=fresh.measured_at), gone
    return replace(kept, files=(*kept.originals, *whole)).measured_again(fresh), lost


def end_round(root: Path) -> None:
    """Note that a re-analysis has been through all it was asked for."""
    with writing(root, sweep) as catalogue:
        catalogue.db.execute("DELETE FROM measured_anew")
