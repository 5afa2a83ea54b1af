"""A library's commands killed at random moments: ``python -m tests.crash.library_kills [--count 300] [--seed 1]``.

Whatever was being done is done whole or not at all, the library opens, a check leaves nothing that no day holds, and a
second check finds nothing more to mend. Every third is killed at any moment, the others while they hold the catalogue.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from telemetry import library, read_ride_day
from telemetry.library import catalogue as catalogue_module
from telemetry.library import look_over
from telemetry.pipeline import keep, pack_day
from tests.crash.kills import Output as Command
from tests.crash.kills import run
from tests.forked import COMMAND, LONGEST_S, begun
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
WITHIN_S = {"keep": 0.06, "take-in": 0.06, "take-out": 0.06, "forget": 0.15, "migrate": 0.02}
"""How long after a command has laid its hand on the catalogue it may still live; it takes about so long."""


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


def told(root: Path) -> tuple[tuple[str, str | None], ...]:
    """Return what is found: titles and customers."""
    return tuple((day.title, day.customer) for day in found(root))


COMMANDS: dict[str, tuple[str, Callable[[Base, Path], list[str]]]] = {
    "keep": (COMMAND, lambda base, root: ["keep", str(base.further), "--library", str(root)]),
    "take-out": (COMMAND, lambda base, root: ["library", "take-out", base.ids[0], "--library", str(root)]),
    "forget": (COMMAND, lambda _, root: ["forget", "Ann Example", "--library", str(root)]),
    "take-in": (
        COMMAND,
        lambda base, root: ["library", "take-in", str(base.packed), "--library", str(root)],
    ),
    "migrate": (MIGRATE, lambda _, root: [str(root)]),
}


@contextmanager
def of_newer(name: str) -> Iterator[None]:
    """Read the catalogue as the program does that migrates it."""
    usual = catalogue_module.MIGRATIONS
    if name == "migrate":
        catalogue_module.MIGRATIONS = (*usual, FURTHER)
    try:
        yield
    finally:
        catalogue_module.MIGRATIONS = usual


def _killed(name: str, words: list[str], root: Path, moments: tuple[float | None, float]) -> None:
    """Kill a command after so long, or so long after it has laid its hand on the catalogue."""
    after_s, within_s = moments
    process = begun(COMMANDS[name][0], words)
    lock = root / ".catalogue.sqlite.lock"
    if after_s is None:
        deadline = time.monotonic() + LONGEST_S
        while process.is_alive() and not lock.exists() and time.monotonic() < deadline:
            time.sleep(0.0002)
        after_s = within_s
    process.join(after_s)
    process.kill()
    process.join()


def kills(name: str, count: int, rng: np.random.Generator, made: Base, place: Path) -> Iterator[str]:
    """Yield what each of so many killed commands left: ``"old"`` or ``"new"``; anything else is refused."""
    code, words_of = COMMANDS[name]
    before = told(made.root)
    undisturbed = Path(shutil.copytree(made.root, place / "undisturbed"))
    usual = run(Command(name=name, ready=lambda _: ([], place), code=code), words_of(made, undisturbed))
    with of_newer(name):
        after = told(undisturbed)
        for number in range(count):
            root = Path(shutil.copytree(made.root, place / f"killed_{number}"))
            at_s = float(rng.uniform(0.1, 1.1)) * usual if number % 3 == 0 else None
            _killed(name, words_of(made, root), root, (at_s, float(rng.uniform(0, WITHIN_S[name]))))
            yield _left(root, before, after)
            shutil.rmtree(root)


def _left(root: Path, before: object, after: object) -> str:
    """Return what a kill left, held together."""
    left = told(root)
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
    return "old" if left == before else "new"


def main() -> None:
    """Print what was left, by command."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    rng = np.random.default_rng(asked.seed)
    for name in COMMANDS:
        with tempfile.TemporaryDirectory() as place:
            left = Counter(kills(name, asked.count // len(COMMANDS), rng, base(Path(place)), Path(place)))
        sys.stdout.write(f"{name}: {dict(left)}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
