"""What an archive of kept days says it holds: the versions of days, and every file by its size and SHA-256."""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass
from typing import Any

from .called import DAY, SHA256
from .record import json_of
from .strict import read_json, require_shape

FORM = 1
"""Of an archive; raised when it is made otherwise."""
NAME = "manifest.json"
MOST_BYTES = 48 << 20
"""Of a manifest: some 200 bytes a file; own choice."""
MOST_FILES = 200_000
"""Of an archive; ten thousand days hold about as many. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedVersion:
    """A version of a day: what tells its originals from any others, and by which definitions it was measured."""

    day: str
    number: int
    content: str
    definitions: int

    @property
    def path(self) -> str:
        """Where its record stands in the archive."""
        return f"days/{self.day}.{self.number}.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedFile:
    """A file of the archive."""

    path: str
    size: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What an archive holds; `names` tells whether those of customers and riders travel with it."""

    program: str
    names: bool
    days: tuple[PackedVersion, ...]
    files: tuple[PackedFile, ...]

    def text(self) -> bytes:
        """Return it as its file says it, its own SHA-256 last."""
        return _sealed({"form": FORM} | asdict(self))


class NewerFormError(ValueError):
    """An archive of a newer program."""


def _sealed(tables: dict[str, Any]) -> bytes:
    return json_of(tables | {"sha256": hashlib.sha256(json_of(tables)).hexdigest()})


def manifest_of(data: bytes) -> Manifest:
    """Return what a manifest says.

    Raises
    ------
    ValueError
        If it isn't whole, or says what can't be; `NewerFormError` where it is of a newer program.
    """
    raw = read_json(data)
    form = raw.pop("form", None) if isinstance(raw, dict) else None
    if isinstance(form, int) and form > FORM:
        raise NewerFormError(f"an archive of form {form}")
    if form != FORM:
        raise ValueError("a manifest without its form")
    raw.pop("sha256", None)
    if _sealed({"form": form} | raw) != data:
        raise ValueError("a manifest that was changed: its own SHA-256 isn't that of what it says")
    require_shape(Manifest, raw, "manifest")
    days = tuple(PackedVersion(**item) for item in raw["days"])
    files = tuple(PackedFile(**item) for item in raw["files"])
    _check(days, files)
    return Manifest(program=raw["program"], names=raw["names"], days=days, files=files)


def _check(days: tuple[PackedVersion, ...], files: tuple[PackedFile, ...]) -> None:
    for version in days:
        if not DAY.fullmatch(version.day) or version.number < 1 or not SHA256.fullmatch(version.content):
            raise ValueError(f"a day of the manifest that can't be ({version.day}, version {version.number})")
    for file in files:
        if file.size < 0 or not SHA256.fullmatch(file.sha256):
            raise ValueError(f"a file of the manifest that can't be ({file.path})")
    paths = [file.path for file in files]
    numbers: dict[str, list[int]] = {}
    for version in days:
        numbers.setdefault(version.day, []).append(version.number)
    if len(set(paths)) < len(paths) or NAME in paths:
        raise ValueError("a manifest that names a file twice")
    if not days or any(own != list(range(1, len(own) + 1)) for own in numbers.values()):
        raise ValueError("a manifest whose versions don't follow each other from 1 on")
