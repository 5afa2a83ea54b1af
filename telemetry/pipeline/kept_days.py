"""A library of kept days from Python: what is found as frames, and a kept day as it was, to be analysed anew."""

from __future__ import annotations

import os
import shutil
import tempfile
import weakref
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Self

from telemetry import library
from telemetry.library import Found, Kept, KeptResults, KeptValue, Wanted
from telemetry.model.day import RideDay
from telemetry.model.kind_ranges import KindRanges
from telemetry.model.together import DaysTogether
from telemetry.ride_day import read_ride_day
from telemetry.short_lived import short_lived_folder

from .kept_lenders import with_kept_days
from .kind_ranges import bikes_of_kind
from .putting_together import together

if TYPE_CHECKING:
    import pandas as pd

_FOUND = tuple(Found.__dataclass_fields__)
_PAST = ("measure", "end", "unit", "day", "date", "setup", "value", "n", "low", "high")
_RESULTS = ("definitions", "program", "measured_at", "setup", *KeptValue.__dataclass_fields__, "verdict")
_LEFT = ("end", "key", "words", "value", "unit", "entered")


class Library:
    """Days kept in a folder; use it in a ``with`` block, or let it go with the program.

    Parameters
    ----------
    folder : str or path, optional
        Else ``TELEMETRY_LIBRARY``, else the user's data folder.

    Notes
    -----
    Each question opens the catalogue and closes it again: days kept meanwhile are found. What `day` returns reads its
    logs from copies in a temporary folder, which goes with the library.
    """

    def __init__(self, folder: str | os.PathLike[str] | None = None) -> None:
        self.folder = library.library_folder(folder)
        with library.reading(self.folder):  # told at once where there is none, or it isn't whole
            pass
        served = ExitStack()
        self._out = served.enter_context(short_lived_folder())
        self._goes = weakref.finalize(self, served.close)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"Library({str(self.folder)!r})"

    def close(self) -> None:
        """Remove the copies of days that were handed out."""
        self._goes()

    def find(self, words: str = "", *, settings: Sequence[str] = (), verdict: str = "", **parts: str) -> pd.DataFrame:
        """Return the days found, newest first, a row a day.

        Parameters
        ----------
        words : str
            Each stands somewhere in what was written of the day.
        settings : sequence of str
            ``"lower_leg_oil_each_ml=8"``, ``"front.rebound=9"``: in force in one setup.
        verdict : str
            ``"changed"``, or ``"dynamic_sag:front=changed"``.
        **parts : str
            ``bike``, ``customer``, ``trail``: part of the name; ``since``, ``until``: dates, ``"2026-05-16"``.

        Returns
        -------
        DataFrame
            ``id``, ``title``, ``date``, ``bike``, ``customer``, ``trail``, ``setups``, ``headline``, ``definitions``,
            ``version``.
        """
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        wanted = Wanted(words=words, settings=tuple(settings), verdict=verdict, **parts)
        with library.reading(self.folder) as catalogue:
            found = library.find(catalogue, wanted)
        return pd.DataFrame([day.to_dict() for day in found], columns=list(_FOUND))

    def history(self, bike: str) -> pd.DataFrame:
        """Return what was measured of a bike: a row a measure, end, day and setup.

        Returns
        -------
        DataFrame
            ``measure``, ``end``, ``unit``; ``day``, ``date``, ``setup``; ``value``, the mean of ``n`` runs or
            recordings, with ``low`` and ``high`` of its 95 % interval.
        """
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        with library.reading(self.folder) as catalogue:
            found = library.history(catalogue, bike)
        rows = [
            {"measure": row.measure, "end": row.end, "unit": row.unit} | asdict(value)
            for row in found.measures
            for value in row.values  # noqa: PD011 - ours, no frame
        ]
        return pd.DataFrame(rows, columns=list(_PAST))

    def settings(self, bike: str) -> pd.DataFrame:
        """Return what was on a bike as it was left; ``attrs`` say on which day and date, and with which setup."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        with library.reading(self.folder) as catalogue:
            left = library.settings(catalogue, bike)
        frame = pd.DataFrame([asdict(row) for row in left.settings], columns=list(_LEFT))
        frame.attrs.update(bike=left.bike, day=left.day, date=left.date, setup=left.setup, label=left.label)
        return frame

    def together(
        self,
        days: Sequence[str] = (),
        *,
        change: str = "",
        open_too: bool = False,
        proportional: bool = False,
        **wanted: object,
    ) -> DaysTogether:
        """Put the same change on several kept days together.

        Parameters
        ----------
        days : sequence of str
            Ids; none: all days like `wanted`, on which `change` was made.
        change : str
            ``"lower_leg_oil_each_ml"``, ``"front.rebound=less"``; with ids it may be left out.
        open_too : bool
            Whether days are taken whose comparison leaves something open; no cause is named then.
        proportional : bool
            Whether unlike sizes are put to the middle one, as if twice the change did twice as much.
        **wanted
            As of `find`: ``bike``, ``trail``, ``settings``, ``since`` and so on.

        Returns
        -------
        DaysTogether
            ``.measures`` and ``.by_day`` are DataFrames; ``.to_dict()`` is the JSON of ``telemetry together --json``.

        Raises
        ------
        CallError
            If they can't be put together, with the reason.
        """
        like = Wanted(**{name: tuple(own) if name == "settings" else own for name, own in wanted.items()})  # type: ignore[arg-type]
        return together(days, change, self.folder, wanted=like, open_too=open_too, proportional=proportional)

    def bikes(self, kind: str, *, beside: str = "") -> KindRanges:
        """Return where the bikes of a kind lie, each as it was left on its last kept day; a bike may stand beside.

        Returns
        -------
        KindRanges
            ``.measures`` is a DataFrame: ``least``, ``median``, ``most`` with ``least_low`` and so on, ``n_bikes``.

        Raises
        ------
        CallError
            If no bike is of that kind.
        """
        return bikes_of_kind(kind, self.folder, beside=beside)

    def day(self, name: str, version: int | None = None) -> RideDay:
        """Return a kept day as it was, read from its originals; `analyse` and `compare` take it.

        Parameters
        ----------
        name : str
            The day's id.
        version : int, optional
            Else the newest.

        Raises
        ------
        CallError
            If it isn't kept, or a file of it isn't what was kept.
        """
        kept = self._kept(name, version)
        place = self._out / f"{kept.stem}.{kept.content[:12]}"
        if not place.exists():
            filling = Path(tempfile.mkdtemp(dir=self._out))
            try:
                library.Store(self.folder).lay_out(kept, filling)
                filling.rename(place)
            except BaseException:
                shutil.rmtree(filling, ignore_errors=True)
                raise
        day = with_kept_days(read_ride_day(library.laid_out(kept, place) / kept.file), self.folder)
        return replace(day, comparison=replace(day.comparison, kept_days=kept.lent_by))

    def results(self, name: str, version: int | None = None) -> pd.DataFrame:
        """Return what a kept day was measured as: earlier results first, then those that searches look at.

        Returns
        -------
        DataFrame
            ``definitions``, ``program``, ``measured_at``; ``setup``, ``measure``, ``end``, ``unit``; ``value``, the
            mean of ``n`` runs or recordings, ``half`` its 95 % interval's width; ``verdict``, None where there is none.
        """
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        kept = self._kept(name, version)
        rows = [row for results in (*kept.before, kept.results) for row in _rows_of(results)]
        return pd.DataFrame(rows, columns=list(_RESULTS))

    def let_go(self, file: Path) -> None:
        """Remove the copies that a day was handed out with; what was read of them stands.

        Parameters
        ----------
        file : Path
            The day's `path`; any other is let be.
        """
        if file.is_relative_to(self._out) and file != self._out:
            shutil.rmtree(self._out / file.relative_to(self._out).parts[0], ignore_errors=True)

    def travel(self, name: str, run: str, version: int | None = None) -> pd.DataFrame:
        """Return a run's conditioned travel as it was kept.

        Returns
        -------
        DataFrame
            ``time_s``, a measured end's ``front_travel_mm`` (filtered, at the wheel, to 32 bits), ``riding_time`` and,
            where flight can be told, ``airborne``.

        Raises
        ------
        CallError
            If no such run is kept.
        """
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        kept = self._kept(name, version)
        with library.travel_of(library.Store(self.folder), kept, run).open("rb") as file:  # a path may be no UTF-8
            frame: pd.DataFrame = pd.read_parquet(file)
        return frame

    def _kept(self, name: str, version: int | None) -> Kept:
        with library.reading(self.folder) as catalogue:
            return library.record_of(catalogue, name, version)


def _rows_of(results: KeptResults) -> Iterator[dict[str, object]]:
    about = {"definitions": results.definitions, "program": results.program, "measured_at": results.measured_at}
    for means in results.setups:
        verdicts = {(own.measure, own.end): own.verdict for own in means.verdicts}
        for own in means.values:  # noqa: PD011 - ours, no frame
            verdict = verdicts.get((own.measure, own.end))
            yield {**about, "setup": means.setup, **asdict(own), "verdict": verdict}


def open_library(folder: str | os.PathLike[str] | None = None) -> Library:
    """Open a library of kept days.

    Parameters
    ----------
    folder : str or path, optional
        Else ``TELEMETRY_LIBRARY``, else the user's data folder.

    Raises
    ------
    CallError
        If there is none, or its catalogue isn't whole.

    Examples
    --------
    >>> import telemetry
    >>> telemetry.open_library("/nowhere")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    telemetry.errors.CallError: /nowhere: found no library; expected a folder of kept days. `telemetry keep ...
    """
    return Library(folder)
