"""Days packed for another library: of a folder, or of a library; with the names in them, or without."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from telemetry import library
from telemetry.errors import CallError
from telemetry.files import check_writable
from telemetry.library import Packed, Store, Wanted
from telemetry.model.day import RideDay
from telemetry.short_lived import short_lived_folder

from .keeping import keep
from .kept_results import BY
from .studied import Progress
from .without_names import Leaving, names_in, tables_of, write_without_names


def pack_day(day: RideDay, file: Path, *, names: bool = True, progress: Progress | None = None) -> Packed:
    """Pack a day of a folder as `keep` would keep it.

    Parameters
    ----------
    day : RideDay
    file : Path
        The archive: a new file, or one to replace.
    names : bool
        False leaves out customer, shop, riders, notes and comments, and their names wherever else they stand.
    progress : callable, optional
        Told each run's name before it is studied.

    Returns
    -------
    Packed

    Raises
    ------
    CallError
        If it can't be kept, read without names, or written.

    Notes
    -----
    It was never kept: the library that takes it in notes its own time.
    """
    check_writable(file)
    with short_lived_folder() as place:
        root = place / "days"
        kept = keep(day, root, progress)
        store, stem = Store(root), f"{kept.put.id}.{kept.put.number}"
        store.write_record(stem, replace(store.read_record(stem), kept_at="").packed())
        return _pack(store, [stem], file, names=names)


def pack_kept(
    days: Sequence[str],
    file: Path,
    folder: str | os.PathLike[str] | None = None,
    *,
    names: bool = True,
    progress: Progress | None = None,
) -> Packed:
    """Pack days of a library, every version of each.

    Parameters
    ----------
    days : sequence of str
        Their ids.
    file : Path
        The archive: a new file, or one to replace.
    folder : str or path, optional
        Of the library; else ``TELEMETRY_LIBRARY``, else the user's data folder.
    names : bool
        As in `pack_day`.
    progress : callable, optional
        Told each version before it is packed.

    Raises
    ------
    CallError
        If one isn't kept, isn't whole, can't be read without names, or can't be written.
    """
    root = library.library_folder(folder)
    check_writable(file)
    with library.reading(root) as catalogue:
        stems = [stem for day in dict.fromkeys(days) for stem in library.versions_of(catalogue, day)]
    if not stems:
        raise CallError(str(root), "no day to pack", "ids, or a search that finds one", "`telemetry find` lists them")
    return _pack(Store(root), stems, file, names=names, progress=progress)


def is_id(text: str) -> bool:
    """Tell whether a text is written as the id of a kept day."""
    return library.DAY.fullmatch(text) is not None


def ids_found(wanted: Wanted, folder: str | os.PathLike[str] | None = None) -> list[str]:
    """Return the ids of the days of a library that a search finds."""
    with library.reading(library.library_folder(folder)) as catalogue:
        return [found.id for found in library.find(catalogue, wanted)]


def _pack(store: Store, stems: Sequence[str], file: Path, *, names: bool, progress: Progress | None = None) -> Packed:
    with _to_leave(store, stems, names=names) as leaving:
        return library.pack(leaving, stems, file, BY, names=names, progress=progress)


@contextmanager
def _to_leave(store: Store, stems: Sequence[str], *, names: bool) -> Iterator[Store]:
    """Give the store that is packed: its own, or one without names that goes when the block ends."""
    if names:
        yield store
        return
    with short_lived_folder() as place:
        nameless = Store(place)
        raws = {stem: tables_of(store, store.read_record(stem)) for stem in stems}
        said = names_in([raw for of_version in raws.values() for raw in of_version.values()])
        with nameless.staged() as staged:
            leaving = Leaving(store=store, to=nameless, staged=staged, names=said)
            for stem in stems:
                write_without_names(leaving, store.read_record(stem), raws[stem])
        yield nameless
