"""Where a library's files are read from: its own folder, or any place that fsspec knows by a URL."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from telemetry.errors import CallError, clean_text
from telemetry.library import KeptFile, Store, within

EXTRA = "pip install 'suspension-telemetry[cluster]' brings it"
EXPECTED = "the library's files there, by their content"


@dataclass(frozen=True, slots=True)
class Originals:
    """Files by content, as they stand in the library's folder, or beneath a URL that holds the same.

    Parameters
    ----------
    root : Path
        The library's folder, as the process that reads sees it.
    url : str
        Read from there in its place, where it isn't empty.
    """

    root: Path
    url: str = ""

    def fetch(self, file: KeptFile, place: Path) -> str:
        """Copy a file to a place; return where it came from.

        Raises
        ------
        CallError
            If it can't be read.
        """
        source = self._source(file)
        if self.url:
            with _in_one_line(source):
                system, path = _system(source)
                system.get_file(path, str(place))
        else:
            with _of_the_folder(source):
                shutil.copyfile(source, place)
        return source

    def require(self, file: KeptFile) -> None:
        """Refuse a place at which a file of the library can't be found.

        Raises
        ------
        CallError
        """
        source = self._source(file)
        if self.url:
            with _in_one_line(source):
                system, path = _system(source)
                system.info(path)
        else:
            with _of_the_folder(source):
                Path(source).open("rb").close()

    def _source(self, file: KeptFile) -> str:
        if self.url:
            return f"{self.url.rstrip('/')}/{within(file.kind, file.sha256)}"
        return str(Store(self.root).path(file.kind, file.sha256))


@contextmanager
def _of_the_folder(path: str) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        remedy = "`telemetry library check` looks at every file; a worker elsewhere takes --data-from URL"
        raise CallError(path, str(error.strerror), EXPECTED, remedy) from None


@contextmanager
def _in_one_line(source: str) -> Iterator[None]:
    try:
        yield
    except CallError:
        raise
    except Exception as error:  # noqa: BLE001 - each kind of place has errors of its own
        raise CallError(source, _told(error), EXPECTED, "check the URL and the rights to read it") from None


def _system(source: str) -> tuple[Any, str]:
    try:
        from fsspec.core import url_to_fs  # noqa: PLC0415 - an extra
    except ImportError:
        raise CallError("--data-from", "no fsspec in this installation", "the extra `cluster`", EXTRA) from None
    system, path = url_to_fs(source)
    return system, str(path)


def _told(error: Exception) -> str:
    if isinstance(error, OSError) and error.strerror:
        return error.strerror
    return "no such file" if isinstance(error, FileNotFoundError) else clean_text(str(error) or type(error).__name__)
