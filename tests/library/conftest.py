"""A library of one small day, made once; tests change copies of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.library.aged import rewritten
from tests.library.small_library import copied, kept, small_day


class One(NamedTuple):
    """A library, the day it was kept from, and the day's id."""

    root: Path
    day: Path
    id: str


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What is worked out of earlier days goes nowhere near the user's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> One:
    place = tmp_path_factory.mktemp("kept")
    day = small_day(place / "day")
    return One(root=place / "days", day=day, id=kept(day, place / "days"))


@pytest.fixture
def one(made_once: One, tmp_path: Path) -> One:
    return made_once._replace(root=copied(made_once.root, tmp_path / "days"))


@pytest.fixture(scope="session")
def three_made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("three")
    for number in (1, 2, 3):
        kept(small_day(place / f"day_{number}", date=f"2026-05-0{number}"), place / "days")
    rewritten(place / "days")
    return place / "days"


@pytest.fixture
def three(three_made_once: Path, tmp_path: Path) -> Path:
    """Give a library of three days that an earlier program measured."""
    return copied(three_made_once, tmp_path / "days")
