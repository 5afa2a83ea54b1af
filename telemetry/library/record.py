"""What is known of one version of a kept day: a file of its own, of which the catalogue is made."""

from __future__ import annotations

import gzip
import hashlib
import json
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any, Literal, TypeAlias

from .record_of_comparison import KeptComparison, comparison_of

Kind: TypeAlias = Literal["original", "travel"]
KINDS: tuple[Kind, ...] = ("original", "travel")
FORM = 2
"""Of the file; raised when its keys change. Those before are read too: they lack what has come since."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFile:
    """A file by its content: an original under its path from the day's folder, or a run's travel under its name.

    `is_run` tells the log of a run, by which the day is known again.
    """

    path: str
    sha256: str
    size: int
    kind: Kind = "original"
    is_run: bool = False

    @property
    def is_day(self) -> bool:
        """Whether it is a ride day's own file."""
        return self.kind == "original" and self.path.endswith(".toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSetting:
    """A setting in force: as entered, as a text to find it by, and as a number in its metric unit where it is one.

    `words` are the key's, in the trade's own.
    """

    end: str
    key: str
    words: str
    text: str
    number: float | None
    unit: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptValue:
    """A measure under one setup: the mean of its `n` runs or recordings, with half its 95 % interval from two on."""

    measure: str
    end: str
    unit: str
    value: float
    half: float | None
    n: int


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptVerdict:
    """What was decided of a measure under a setup, held against the day's baseline."""

    measure: str
    end: str
    unit: str
    verdict: str
    focus: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSpread:
    """How far the day's runs of one setup scattered in a measure: variance on the scale of comparison, and its `nu`."""

    measure: str
    end: str
    unit: str
    variance: float
    nu: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSetup:
    """A setup, with what was in force, measured and decided. `left` marks the one on the bike at the end.

    `full_travel_mm` is of each end where it is known; `compared` is None for the baseline and where nothing was.
    """

    name: str
    label: str
    left: bool
    settings: tuple[KeptSetting, ...]
    full_travel_mm: Mapping[str, float] = field(default_factory=dict)
    values: tuple[KeptValue, ...] = ()
    verdicts: tuple[KeptVerdict, ...] = ()
    compared: KeptComparison | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRun:
    """A run and how its travel came to be; `measures` are the rows of the analysis.

    `left_out` tells a run that takes no part; `untold` are ends at which no bottom-out counted doesn't tell that there
    was none, None in a day kept by an earlier program.
    """

    name: str
    setup: str
    order: int
    usable: str
    rider: str
    measures: tuple[Mapping[str, Any], ...]
    history: tuple[Mapping[str, Any], ...]
    left_out: bool = False
    untold: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptMeans:
    """What was measured and decided under one setup, by its name."""

    setup: str
    values: tuple[KeptValue, ...]
    verdicts: tuple[KeptVerdict, ...]
    compared: KeptComparison | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptResults:
    """What one reading of the originals gave, by the definitions of its time; `travel` are the files it wrote."""

    definitions: int
    program: str
    measured_at: str
    headline: str
    conditioning: Mapping[str, Any]
    setups: tuple[KeptMeans, ...]
    runs: tuple[KeptRun, ...]
    travel: tuple[KeptFile, ...] = ()
    spreads: tuple[KeptSpread, ...] = ()

    def is_alike(self, other: KeptResults) -> bool:
        """Tell whether another reading, at another time, gave the very same by the same definitions."""
        return _plain(self) == _plain(other)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One version of a kept day.

    Attributes
    ----------
    kind : str
        Of bike, in the shop's words; empty where none is stated.
    id, number : str, int
        Of the day, and of this version, from 1; empty and 0 until it is kept.
    place : str
        What tells the folder that it was kept from, without naming it.
    folder, file : str
        That folder's name, which a day without a title takes, and the name of the day's own file.
    kept_at : str
        Date and time, UTC.
    definitions : int
        Of the measures.
    headline : str
        The finding in a line.
    words : str
        All that was written of the day, beside what has a place of its own, to find it by.
    customer : mapping
        ``name`` and ``bike``; empty where there is none, or it was removed.
    removed_on : str
        When a customer's data were removed from it; empty elsewhere.
    measured_at : str
        When it was measured again, date and time, UTC; empty where it stands as measured when it was kept.
    before : tuple of KeptResults
        What it was measured as earlier, oldest first.
    spreads : tuple of KeptSpread
        What later days of this bike may borrow.
    asked_cutoff_hz : float
        The low-pass that the day asked for; what it came to stands in `conditioning`.
    layouts : tuple of str
        What tells the columns of its runs' logs from others'.
    lent_by : tuple of str or None
        Versions of kept days whose spread its comparison took; None where nothing was compared.
    """

    title: str
    date: str
    bike: str
    trail: str
    place: str
    folder: str
    file: str
    headline: str
    words: str
    program: str
    definitions: int
    kept_at: str
    customer: Mapping[str, str]
    conditioning: Mapping[str, Any]
    setups: tuple[KeptSetup, ...]
    runs: tuple[KeptRun, ...]
    files: tuple[KeptFile, ...]
    kind: str = ""
    id: str = ""
    number: int = 0
    removed_on: str = ""
    spreads: tuple[KeptSpread, ...] = ()
    asked_cutoff_hz: float = 0.0
    layouts: tuple[str, ...] = ()
    lent_by: tuple[str, ...] | None = None
    measured_at: str = ""
    before: tuple[KeptResults, ...] = ()

    @property
    def originals(self) -> tuple[KeptFile, ...]:
        """The files of the day as it was, without the travel."""
        return tuple(file for file in self.files if file.kind == "original")

    @property
    def every_file(self) -> tuple[KeptFile, ...]:
        """All files that it holds, with the travel of earlier results."""
        return (*self.files, *(file for results in self.before for file in results.travel))

    @property
    def results(self) -> KeptResults:
        """What it is measured as."""
        return KeptResults(
            definitions=self.definitions,
            program=self.program,
            measured_at=self.measured_at or self.kept_at,
            headline=self.headline,
            conditioning=self.conditioning,
            setups=tuple(
                KeptMeans(setup=own.name, values=own.values, verdicts=own.verdicts, compared=own.compared)
                for own in self.setups
            ),
            runs=self.runs,
            travel=tuple(file for file in self.files if file.kind == "travel"),
            spreads=self.spreads,
        )

    def measured(self, results: KeptResults) -> Kept:
        """Return the version measured as these results say, in place of what it was measured as."""
        means = {own.setup: own for own in results.setups}
        return replace(
            self,
            definitions=results.definitions,
            program=results.program,
            headline=results.headline,
            conditioning=results.conditioning,
            runs=results.runs,
            files=(*self.originals, *results.travel),
            spreads=results.spreads,
            setups=tuple(
                replace(setup, values=own.values, verdicts=own.verdicts, compared=own.compared)
                for setup in self.setups
                for own in (means.get(setup.name, KeptMeans(setup=setup.name, values=(), verdicts=())),)
            ),
        )

    def measured_again(self, results: KeptResults) -> Kept:
        """Return the version measured as these results say, with what it was measured as beside them."""
        return replace(self.measured(results), measured_at=results.measured_at, before=(*self.before, self.results))

    @property
    def riders(self) -> tuple[str, ...]:
        """Who rode, as written, each once."""
        return tuple(dict.fromkeys(run.rider for run in self.runs))

    @property
    def content(self) -> str:
        """What tells the originals from any others: the SHA-256 of their paths and contents."""
        return content_of(self.files)

    @property
    def stem(self) -> str:
        """How the files of this version are called."""
        return f"{self.id}.{self.number}"

    def text(self) -> bytes:
        """Return what its file says, as JSON."""
        return json_of({"form": FORM} | asdict(self))

    def packed(self) -> bytes:
        """Return the content of its file."""
        return gzip.compress(self.text(), compresslevel=6, mtime=0)


def json_of(tables: Mapping[str, Any]) -> bytes:
    """Return tables as the JSON of records; halves of letters, which names of files may hold, stay what they are."""
    return json.dumps(tables, allow_nan=False, ensure_ascii=False).encode("utf-8", "surrogatepass")


def content_of(files: Iterable[KeptFile]) -> str:
    """Return what tells originals from any others: the SHA-256 of their paths and contents."""
    listed = sorted(f"{file.sha256} {file.path}\n" for file in files if file.kind == "original")
    return hashlib.sha256("".join(listed).encode("utf-8", "surrogateescape")).hexdigest()


def _plain(results: KeptResults) -> object:
    """Return results as they come back from a file, without when and by which program they were made."""
    plain: object = json.loads(json.dumps(asdict(replace(results, measured_at="", program=""))))
    return plain


def _means(raw: Mapping[str, Any]) -> dict[str, Any]:
    return {
        **raw,
        "values": tuple(KeptValue(**item) for item in raw["values"]),
        "verdicts": tuple(KeptVerdict(**item) for item in raw["verdicts"]),
        "compared": comparison_of(raw.get("compared")),
    }


def _setup(raw: Mapping[str, Any]) -> KeptSetup:
    return KeptSetup(**{**_means(raw), "settings": tuple(KeptSetting(**item) for item in raw["settings"])})


def _results(raw: Mapping[str, Any]) -> KeptResults:
    parts = {
        "setups": tuple(KeptMeans(**_means(item)) for item in raw["setups"]),
        "runs": tuple(map(_run, raw["runs"])),
        "travel": tuple(KeptFile(**item) for item in raw["travel"]),
        "spreads": _spreads(raw),
    }
    return KeptResults(**{**raw, **parts})


def _spreads(raw: Mapping[str, Any]) -> tuple[KeptSpread, ...]:
    return tuple(KeptSpread(**item) for item in raw.get("spreads", ()))


def _run(raw: Mapping[str, Any]) -> KeptRun:
    untold = raw.get("untold")
    lists = {"measures": tuple(raw["measures"]), "history": tuple(raw["history"])}
    return KeptRun(**{**raw, **lists, "untold": None if untold is None else tuple(untold)})


def of_tables(raw: Mapping[str, Any]) -> Kept:
    """Return a version from the tables that `asdict` makes of it.

    Raises
    ------
    ValueError
        If they aren't those of a version.
    """
    try:
        parts = {
            "setups": tuple(map(_setup, raw["setups"])),
            "runs": tuple(map(_run, raw["runs"])),
            "files": tuple(KeptFile(**item) for item in raw["files"]),
            "before": tuple(map(_results, raw.get("before", ()))),
            "spreads": _spreads(raw),
            "layouts": tuple(raw.get("layouts", ())),
            "lent_by": None if raw.get("lent_by") is None else tuple(raw["lent_by"]),
        }
        return Kept(**{**raw, **parts})
    except (KeyError, TypeError) as error:
        raise ValueError(str(error)) from None


def unpacked(data: bytes) -> Kept:
    """Return a version from the content of its file.

    Raises
    ------
    ValueError
        If it isn't whole, or was written by a newer program.
    """
    try:
        return of_form(json.loads(gzip.decompress(data).decode("utf-8", "surrogatepass")))
    except (OSError, EOFError, zlib.error, RecursionError) as error:
        raise ValueError(str(error)) from None


def of_form(raw: Any) -> Kept:
    """Return a version from the tables of its file, its form among them.

    Raises
    ------
    ValueError
        If they are none, or of a newer program.
    """
    tables = dict(raw) if isinstance(raw, dict) else {}
    form = tables.pop("form", None)
    if not isinstance(form, int) or form not in range(1, FORM + 1):
        raise ValueError(f"form {form!r}")
    return of_tables(tables)
