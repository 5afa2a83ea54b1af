"""Kept days measured anew: which are due, where an unfinished call had got to, and new results beside the old."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from .catalogue import writing
from .entering import content_of_version, enter
from .keeping import due, is_whole, remove_unused, still_whole, sweep, write_due
from .record import Kept, KeptFile, KeptResults
from .store import Store, told


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """A version with new results; `is_alike` where they are the very same by the same definitions."""

    kept: Kept
    is_alike: bool

    @property
    def old(self) -> KeptResults:
        """What it was measured as before."""
        return self.kept.results if self.is_alike else self.kept.before[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """The newest versions that are to be measured anew, and those that an unfinished call has been through."""

    stems: tuple[str, ...]
    done: tuple[str, ...] = ()
    alike: frozenset[str] = frozenset()
    """Those of `done` that were measured as they had been, by the same definitions."""
    old: frozenset[str] = frozenset()
    """All versions, asked for or not, that stand measured by other definitions."""
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
        Whether each was asked for by its id: then one is due too whose record or travel isn't whole.
    """
    with writing(root, sweep) as catalogue:
        catalogue.db.execute("DELETE FROM measured_anew WHERE definitions != ?", (definitions,))
        rows = catalogue.db.execute(
            "SELECT d.id, v.number, v.definitions, a.is_alike FROM versions v JOIN days d ON v.day = d.key "
            "LEFT JOIN measured_anew a ON a.stem = d.id || '.' || v.number WHERE v.newest ORDER BY d.date, d.id"
        ).fetchall()
        old = catalogue.db.execute(
            "SELECT d.id || '.' || v.number FROM versions v JOIN days d ON v.day = d.key WHERE v.definitions != ?",
            (definitions,),
        ).fetchall()
    asked = set(days)
    rows = [(f"{name}.{number}", own, been) for name, number, own, been in rows if name in asked]
    done = tuple(stem for stem, own, been in rows if been is not None and own == definitions)
    alike = frozenset(stem for stem, _, been in rows if been)
    stems = []
    for stem, own, been in rows:
        if own != definitions or (anyway and been is None) or (named and not is_whole(Store(root), stem)):
            stems.append(stem)
    return Due(
        stems=tuple(stems),
        done=done,
        alike=alike,
        old=frozenset(row[0] for row in old),
        standing=len(rows) - len({*stems, *done}),
    )


def enter_anew(root: Path, asked: Kept, fresh: KeptResults, travel: Mapping[str, bytes]) -> Entered | None:
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
    Entered or None
        The version as it now stands; None where it was taken out, or is another by now.

    Raises
    ------
    CallError
        If the library can't take it; then nothing is changed.
    """
    with writing(root, sweep) as catalogue, catalogue.store.staged() as staged:
        if content_of_version(catalogue, asked.id, asked.number) != asked.content:
            return None
        store = catalogue.store
        kept = store.read_record(asked.stem)
        written = [_taken_in(store, staged, run, data) for run, data in travel.items()]
        results = replace(fresh, travel=(*fresh.travel, *written))
        new, lost = _beside(store, kept, results)
        found = Entered(kept=new, is_alike=len(new.before) == len(kept.before))
        try:
            with told(root):
                store.put(staged, written)
            with catalogue.change():
                enter(catalogue, new)
                due(catalogue, new.stem, new.packed())
                catalogue.db.execute(
                    "INSERT OR REPLACE INTO measured_anew VALUES (?, ?, ?)",
                    (new.stem, results.definitions, found.is_alike),
                )
        except BaseException:
            remove_unused(catalogue, [file.sha256 for file in written])
            raise
        write_due(catalogue)
        remove_unused(catalogue, lost)
        return found


def _taken_in(store: Store, staged: Path, run: str, data: bytes) -> KeptFile:
    with told(staged):
        beside = staged / "measured"
        beside.write_bytes(data)
        return store.take_in(staged, beside, run, "travel")


def _beside(store: Store, kept: Kept, fresh: KeptResults) -> tuple[Kept, list[str]]:
    """Return a version with new results, and the travel it holds no more: what was lost of it is made anew.

    Results that are the very same by the same definitions take the place of those before. Lost travel of earlier ones
    can't be made again: they stay without it.
    """
    old, kept = kept.results, replace(kept, before=still_whole(store, kept.before))
    travel = {file.sha256 for file in fresh.travel}
    whole = tuple(file for file in old.travel if file.sha256 in travel or store.is_whole("travel", file.sha256))
    lost = [file.sha256 for file in old.travel if file not in whole]
    if replace(old, travel=fresh.travel).is_alike(fresh):
        gone = [file.sha256 for file in old.travel if file.sha256 not in travel]
        return replace(kept.measured(fresh), measured_at=fresh.measured_at), gone
    return replace(kept, files=(*kept.originals, *whole)).measured_again(fresh), lost


def write_catalogue(folder: Path, versions: Iterable[Kept]) -> None:
    """Make a catalogue of some versions in a folder, without their files."""
    with writing(folder) as catalogue, catalogue.change():
        for kept in versions:
            enter(catalogue, kept)


def end_round(root: Path) -> None:
    """Note that a re-analysis has been through all it was asked for."""
    with writing(root, sweep) as catalogue:
        catalogue.db.execute("DELETE FROM measured_anew")
