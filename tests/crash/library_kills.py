"""A library's commands killed at random moments: ``python -m tests.crash.library_kills [--count 300] [--seed 1]``.

Whatever was being done is done whole or not at all, the library opens, a check leaves nothing that no day holds, and a
second check finds nothing more to mend. Every third is killed at any moment, the others while they hold the catalogue.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

import numpy as np

from telemetry import library, read_ride_day
from telemetry.library import catalogue as catalogue_module
from telemetry.library import look_over
from telemetry.pipeline import Hands, keep, pack_day, reanalyse
from tests.crash.kills import kill, print_what_is_left, run
from tests.forked import COMMAND
from tests.library.aged import rewritten
from tests.library.small_library import found, said, small_day

FURTHER = "CREATE TABLE further (a BLOB NOT NULL); INSERT INTO further SELECT randomblob(2000) FROM measured;"
MIGRATE = f"""
import sys
from pathlib import Path
from telemetry.library import catalogue
catalogue.MIGRATIONS = (*catalogue.MIGRATIONS, {FURTHER!r})
with catalogue.writing(Path(sys.argv[1])):
    pass
"""
INVENTED = "migrate-to-an-invented-form"
WITHIN_S = {
    **dict.fromkeys(("keep", "take-in", "take-out"), 0.06),
    "forget": 0.15,
    INVENTED: 0.02,
    **dict.fromkeys(("reanalyse", "reanalyse-two-at-once"), 0.1),
}
"""How long after a command has laid its hand on the catalogue it may still live; it takes about so long."""
HELD_TIMES = {"reanalyse": 4, "reanalyse-two-at-once": 4}
"""How often a command does so: before its two days, after each, once it is through; of the others the first counts."""
Told: TypeAlias = tuple[tuple[str, str | None, int], ...]


@dataclass(frozen=True, slots=True)
class Base:
    """A library of two days, one of them of a customer; a further day, to keep and packed; the ids of the two."""

    root: Path
    further: Path
    ids: tuple[str, str]
    packed: Path


def base(place: Path) -> Base:
    days = [
        small_day(place / f"day_{number}", date=f"2026-05-0{number}", title=f"day {number}") for number in (1, 2, 3)
    ]
    text = (days[1] / "ride_day.toml").read_text(encoding="utf-8").replace("Ann Example", "Bob Sample")
    (days[1] / "ride_day.toml").write_text(text, encoding="utf-8")
    ids = [keep(read_ride_day(day), place / "days").put.id for day in days[:2]]
    further = said(days[2], title="the third")
    packed = place / "further.zip"
    pack_day(read_ride_day(further), packed)
    return Base(root=place / "days", further=further, ids=(ids[0], ids[1]), packed=packed)


def told(root: Path) -> Told:
    """Return what is found: titles, customers, and by which definitions each day is measured."""
    return tuple((day.title, day.customer, day.definitions) for day in found(root))


COMMANDS: dict[str, tuple[str, Callable[[Base, Path], list[str]]]] = {
    "keep": (COMMAND, lambda base, root: ["keep", str(base.further), "--library", str(root)]),
    "take-out": (COMMAND, lambda base, root: ["library", "take-out", base.ids[0], "--library", str(root)]),
    "forget": (COMMAND, lambda _, root: ["forget", "Ann Example", "--library", str(root)]),
    "take-in": (
        COMMAND,
        lambda base, root: ["library", "take-in", str(base.packed), "--library", str(root)],
    ),
    INVENTED: (MIGRATE, lambda _, root: [str(root)]),
    "reanalyse": (COMMAND, lambda _, root: ["library", "reanalyse", "--at-once", "1", "--library", str(root)]),
    "reanalyse-two-at-once": (
        COMMAND,
        lambda _, root: ["library", "reanalyse", "--at-once", "2", "--library", str(root)],
    ),
}
REANALYSING = [name for name in COMMANDS if name.startswith("reanalyse")]


@contextmanager
def of_newer(name: str) -> Iterator[None]:
    """Read the catalogue as the program does that migrates it."""
    usual = catalogue_module.MIGRATIONS
    if name == INVENTED:
        catalogue_module.MIGRATIONS = (*usual, FURTHER)
    try:
        yield
    finally:
        catalogue_module.MIGRATIONS = usual


class _Hand:
    """Tells when a command has laid its hand on the catalogue, for the time that is asked for."""

    def __init__(self, root: Path, time: int) -> None:
        self._lock, self._left, self._is_there = root / ".catalogue.sqlite.lock", time, False

    def __call__(self) -> bool:
        was, self._is_there = self._is_there, self._lock.exists()
        self._left -= self._is_there and not was
        return self._left <= 0


def kills(name: str, count: int, rng: np.random.Generator, made: Base, place: Path) -> Iterator[str]:
    """Yield what each of so many killed commands left: ``"old"`` or ``"new"``; anything else is refused."""
    code, words_of = COMMANDS[name]
    ready = Path(shutil.copytree(made.root, place / "ready"))
    if name in REANALYSING:
        rewritten(ready)
    before = told(ready)
    undisturbed = Path(shutil.copytree(ready, place / "undisturbed"))
    usual = run(code, words_of(made, undisturbed))
    with of_newer(name):
        after = told(undisturbed)
        for number in range(count):
            root = Path(shutil.copytree(ready, place / f"killed_{number}"))
            at_s = float(rng.uniform(0.1, 1.1)) * usual if number % 3 == 0 else None
            hand = _Hand(root, int(rng.integers(1, 1 + HELD_TIMES.get(name, 1))))
            kill(code, words_of(made, root), (at_s, float(rng.uniform(0, WITHIN_S[name]))), hand)
            yield _left(root, before, after, day_by_day=name in REANALYSING)
            shutil.rmtree(root)


def _left(root: Path, before: Told, after: Told, *, day_by_day: bool) -> str:
    """Return what a kill left, held together; measured anew, each day is by itself the old one or the new."""
    left = told(root)
    if day_by_day:
        assert all(day in pair for day, *pair in zip(left, before, after, strict=True)), left
    else:
        assert left in (before, after), left
    checked = look_over(root)
    assert checked.left == (), checked.left
    assert told(root) == left
    assert list(root.rglob(".*.part")) == []
    again = look_over(root)
    assert (again.mended, again.left) == ((), ())
    with library.reading(root) as catalogue:
        held = {content.hex() for (content,) in catalogue.db.execute("SELECT sha256 FROM files")}
    assert {sha256 for _, sha256, _ in library.Store(root).all_files()} == held
    if day_by_day:
        reanalyse(root, hands=Hands(at_once=1))
        assert told(root) == after
    return "old" if left == before else "new" if left == after else "some days new"


def main() -> None:
    """Print what was left, by command."""
    print_what_is_left(
        list(COMMANDS), lambda name, count, rng, place: kills(name, count, rng, base(place), place), count=300
    )


if __name__ == "__main__":
    main()
