"""Small days, kept; and what a library's folder holds, byte for byte."""

from __future__ import annotations

import gzip
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

from telemetry import library, read_ride_day
from telemetry.library import Found, Wanted
from telemetry.pipeline import keep
from tests.pipeline.small_days import make_day

SECONDS = 8.0
CUSTOMER = '[customer]\nname = "Ann Example"\nbike = "the green one" # Ann EXAMPLE calls it so\n'


def small_day(folder: Path, **texts: str) -> Path:
    """Write a day of two setups; `texts` replace what its file says of title, date, bike: ``name``."""
    day = make_day(folder, ("a", "b", "a", "b"), seconds=SECONDS, extra=CUSTOMER)
    return said(day, **texts)


def said(day: Path, **texts: str) -> Path:
    """Have a day's file say something else."""
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for key, value in texts.items():
        written = value if key == "date" else f'"{value}"'
        text, count = re.subn(rf"^{key} = .*$", f"{key} = {written}", text, count=1, flags=re.MULTILINE)
        assert count
    file.write_text(text, encoding="utf-8")
    return day


def kept(day: Path, root: Path) -> str:
    """Keep a day; return its id."""
    return keep(read_ride_day(day), root).put.id


def found(root: Path, **wanted: object) -> tuple[Found, ...]:
    with library.reading(root) as catalogue:
        return library.find(catalogue, Wanted(**wanted))  # type: ignore[arg-type]


def state(root: Path) -> dict[str, bytes]:
    """Return every file of a library but those that a process at work leaves hidden, and the note when it last was."""
    files = (path for path in root.rglob("*") if path.is_file() and not path.name.startswith((".", "last_change")))
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in files}


def contents(root: Path) -> Iterator[tuple[str, bytes]]:
    """Yield what every file of a library holds, hidden ones too, unpacked where it is packed."""
    for path in root.rglob("*"):
        if path.is_file():
            data = path.read_bytes()
            yield str(path), gzip.decompress(data) if data.startswith(b"\x1f\x8b") else data


def copied(root: Path, to: Path) -> Path:
    shutil.copytree(root, to)
    return to
