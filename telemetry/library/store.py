"""The files of a library: originals and travel by their content, each once; a file for every version of a day."""

from __future__ import annotations

import hashlib
import os
import secrets
import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from telemetry import leftovers
from telemetry.errors import CallError
from telemetry.files import flush, write_bytes
from telemetry.locks import alone

from .called import STEM
from .record import Kept, KeptFile, Kind, unpacked

PIECE = 1 << 20
DAYS = "days"
FOLDERS: dict[Kind, str] = {"original": "originals", "travel": "travel"}
ENDINGS: dict[Kind, str] = {"original": "", "travel": ".parquet"}
RECORD = ".json.gz"
STAGED = "being_kept"
CHECK_SAYS = "`telemetry library check` says more"


def _digest(file: Path) -> str:
    with file.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


@contextmanager
def told(place: Path) -> Iterator[None]:
    """Say in one line what the system has against a place of the library."""
    try:
        yield
    except OSError as error:
        found = str(error.strerror)
        raise CallError(str(place), found, "a library that can be read and written", "check disk and rights") from None


@dataclass(frozen=True, slots=True)
class Store:
    """The files beneath a library's folder."""

    root: Path

    def path(self, kind: Kind, sha256: str) -> Path:
        """Return where a file of this content stands."""
        return self.root / within(kind, sha256)

    def record(self, stem: str) -> Path:
        """Return the file of a version.

        Raises
        ------
        CallError
            If none is called so: a catalogue from elsewhere may say anything.
        """
        if not STEM.fullmatch(stem):
            raise CallError(str(self.root), f"a version called {stem!r}", "a date, letters and a number", CHECK_SAYS)
        return self.root / DAYS / (stem + RECORD)

    @contextmanager
    def staged(self) -> Iterator[Path]:
        """Give a hidden folder within the library to write into; it goes when the block ends, or its process dies."""
        folder = self.root / f"{leftovers.beginning(STAGED)}{secrets.token_hex(4)}{leftovers.ENDING}"
        with told(self.root), ExitStack() as held:
            with alone(self.root / STAGED):  # nobody sees it before it is held
                leftovers.clear(self.root, STAGED, settled_s=0)
                folder.mkdir()
                held.callback(shutil.rmtree, folder, ignore_errors=True)
                held.enter_context(leftovers.held(folder))
            yield folder

    def clear_leftovers(self) -> None:
        """Remove what killed processes left half-written; the caller keeps others from changing the library."""
        with alone(self.root / STAGED):
            for folder in (self.root, self.root / DAYS):
                hidden = [path.name for path in folder.glob(f".*{leftovers.ENDING}")]
                for name in {found[1:].removesuffix(leftovers.ENDING).rpartition(".")[0] for found in hidden}:
                    leftovers.clear(folder, name, settled_s=0)

    def take_in(self, staged: Path, source: Path, path: str, kind: Kind = "original") -> KeptFile:
        """Copy a file into a staged folder, under its content's name, and put it on disk.

        Parameters
        ----------
        staged : Path
        source : Path
        path : str
            What it is kept as.
        kind : {"original", "travel"}
        """
        digest, size = hashlib.sha256(), 0
        beside = staged / secrets.token_hex(8)
        with source.open("rb") as read, beside.open("xb") as written:
            while piece := read.read(PIECE):
                digest.update(piece)
                size += len(piece)
                written.write(piece)
            written.flush()
            os.fsync(written.fileno())
        beside.replace(staged / (kind + digest.hexdigest()))
        return KeptFile(path=path, sha256=digest.hexdigest(), size=size, kind=kind)

    def put(self, staged: Path, files: Iterable[KeptFile]) -> None:
        """Rename staged files into place; one of the same content that is there is replaced by the fresh one."""
        folders = set()
        for file in files:
            there, place = staged / (file.kind + file.sha256), self.path(file.kind, file.sha256)
            if there.exists():  # two names may share a content
                place.parent.mkdir(parents=True, exist_ok=True)
                there.replace(place)
                folders |= {place.parent, place.parent.parent}
        for folder in folders:
            with suppress(OSError):  # some disks put no folder
                flush(folder)

    def write_record(self, stem: str, record: bytes | None) -> None:
        """Write the file of a version, whole, or remove it where there is none any more."""
        place = self.record(stem)
        with told(place):
            place.parent.mkdir(exist_ok=True)
            if record is None:
                place.unlink(missing_ok=True)
        if record is not None:
            write_bytes(place, record)

    def read_record(self, stem: str) -> Kept:
        """Return a version from its file.

        Raises
        ------
        CallError
            If it isn't there, or isn't whole.
        """
        place = self.record(stem)
        with told(place):
            data = place.read_bytes()
        try:
            return unpacked(data)
        except ValueError:
            raise CallError(str(place), "a damaged file", "the record of a kept day", CHECK_SAYS) from None

    def stems(self) -> list[str]:
        """Return the versions that have a file."""
        folder = self.root / DAYS
        names = [path.name for path in folder.iterdir()] if folder.is_dir() else []
        stems = [name.removesuffix(RECORD) for name in names if name.endswith(RECORD)]
        return sorted(stem for stem in stems if STEM.fullmatch(stem))

    def all_files(self) -> Iterator[tuple[Kind, str, Path]]:
        """Yield every file by content: kind, the name it stands under, path."""
        for kind, folder in FOLDERS.items():
            for path in sorted((self.root / folder).glob("*/*")):
                yield kind, path.name.removesuffix(ENDINGS[kind]), path

    def is_whole(self, kind: Kind, sha256: str) -> bool:
        """Tell whether a file is there and holds what its name says."""
        try:
            return _digest(self.path(kind, sha256)) == sha256
        except OSError:
            return False

    def lay_out(self, kept: Kept, folder: Path, staged: Path | None = None) -> Path:
        """Copy a version's originals into a folder, as they lay; return the day's own folder within it.

        Parameters
        ----------
        kept : Kept
        folder : Path
            New, or empty.
        staged : Path, optional
            Where files lie that aren't in the library yet.

        Raises
        ------
        CallError
            If one is gone, or holds other than what was kept.
        """

        def fetch(file: KeptFile, place: Path) -> str:
            source = self.path(file.kind, file.sha256)
            if staged is not None and (staged / (file.kind + file.sha256)).exists():
                source = staged / (file.kind + file.sha256)
            with told(source):
                shutil.copyfile(source, place)
            return str(source)

        return lay_out(kept, folder, fetch)


def within(kind: Kind, sha256: str) -> str:
    """Return where a file of this content stands within a library."""
    return f"{FOLDERS[kind]}/{sha256[:2]}/{sha256}{ENDINGS[kind]}"


def lay_out(kept: Kept, folder: Path, fetch: Callable[[KeptFile, Path], str]) -> Path:
    """Lay a version's originals out in a new or empty folder, as they lay; return the day's own folder within it.

    Parameters
    ----------
    kept : Kept
    folder : Path
    fetch : callable
        Copies a file to a place, and returns where it came from.

    Raises
    ------
    CallError
        If one is gone, or holds other than what was kept.
    """
    own = laid_out(kept, folder)
    for file in kept.originals:
        place = Path(os.path.normpath(own / file.path))
        if not place.is_relative_to(folder):
            raise CallError(kept.stem, f"a path that leads away ({file.path})", "a record as it was written")
        with told(place):
            place.parent.mkdir(parents=True, exist_ok=True)
        source = fetch(file, place)
        if not is_what_was_kept(place, file):
            found = f"other bytes than were kept as {file.path}"
            raise CallError(source, found, "the file as it was kept", "keep the day again, or take it from a backup")
    return own


def is_what_was_kept(place: Path, file: KeptFile) -> bool:
    """Tell whether a copy holds what was kept."""
    with told(place):
        return _digest(place) == file.sha256


def laid_out(kept: Kept, folder: Path) -> Path:
    """Return where a day's own folder lies in one that its files are laid out in: as deep as its paths lead up."""
    paths = [file.path for file in kept.originals]
    up = max((PurePosixPath(path).parts.count("..") for path in paths), default=0)
    return folder.joinpath(*["above"] * up, kept.folder or "day")
