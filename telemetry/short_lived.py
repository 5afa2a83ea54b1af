"""Folders of copies that go when they have served; what killed processes left of them goes with the next one made."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from . import leftovers

NAME = "telemetry"


@contextmanager
def short_lived_folder(beside: Path | None = None) -> Iterator[Path]:
    """Give an empty folder that only its owner may look into, and remove it with all it holds when the block ends.

    Parameters
    ----------
    beside : Path, optional
        Where it is made; else where the system keeps what is temporary.
    """
    place = Path(tempfile.gettempdir()) if beside is None else beside
    leftovers.clear(place, NAME)
    folder = Path(tempfile.mkdtemp(prefix=leftovers.beginning(NAME), suffix=leftovers.ENDING, dir=place))
    try:
        with leftovers.held(folder):
            yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
