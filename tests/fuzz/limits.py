"""Logs that take memory or time: ``python -m tests.fuzz.limits [--mb 160] [--only NAME ...] [--folder DIR]``.

Each is the one log of a small day, packed where it stands so, and checked by the command in a process of its own.
Printed: size, seconds by the clock and of the processor, the most memory held beyond what a sound log takes, also as a
multiple of the unpacked size, and the answer. It judges nothing, but prints OVER where more than 20 times the unpacked
size was held, or a refusal took over 5 s.
"""

from __future__ import annotations

import argparse
import gzip
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.pipeline.small_days import make_day

INSIDE = """
import os, sys, time
start = time.perf_counter()
from telemetry.cli import main
try:
    main(sys.argv[1:])
finally:
    with open("/proc/self/status") as status:
        peak = next(line.split()[1] for line in status if line.startswith("VmHWM"))
    sys.stdout.flush()
    os.write(2, f"\\n@ {peak} {time.process_time()} {time.perf_counter() - start}\\n".encode())
"""
MOST_TIMES, LONGEST_REFUSAL_S = 20, 5.0
MB, GB = 1_000_000, 1 << 30
RAGGED_ROWS = 600_000
HEADER = b"t_ms,A0,A1\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """How an odd log is written: parts one after the other, packed or not; a number is so many zero bytes, a hole."""

    name: str
    packed: bool
    parts: Callable[[bytes, int], Iterable[bytes | int]]


def _times(part: bytes, size: int) -> Iterator[bytes]:
    block = part * max(1, (1 << 20) // len(part))
    for _ in range(size // len(block)):
        yield block


def _after(part: bytes) -> Callable[[bytes, int], Iterable[bytes | int]]:
    return lambda good, size: (good, *_times(part, size))


def _only(part: bytes) -> Callable[[bytes, int], Iterable[bytes | int]]:
    return lambda _, size: _times(part, size)


def _in_utf16(part: bytes) -> Callable[[bytes, int], Iterable[bytes | int]]:
    return lambda good, size: (text.decode().encode("utf-16-le") for text in (good, *_times(part, size // 2)))


def _line_ends(end: bytes) -> Callable[[bytes, int], Iterable[bytes | int]]:
    return lambda good, size: (good.replace(b"\n", end), *_times(end, size))


def _wide(columns: int) -> Callable[[bytes, int], Iterable[bytes | int]]:
    def parts(_: bytes, size: int) -> Iterator[bytes]:
        yield HEADER[:-1] + b"".join(b",c%d" % number for number in range(columns)) + b"\n"
        for row in range(max(20, size // (2 * columns))):
            yield b"%d,1000,1000" % (4 * row) + b",1" * columns + b"\n"

    return parts


def _ragged(row: Callable[[int, np.random.Generator], bytes]) -> Callable[[bytes, int], Iterable[bytes | int]]:
    def parts(_good: bytes, _size: int) -> Iterator[bytes]:
        rng = np.random.default_rng(3)
        yield HEADER
        for start in range(0, RAGGED_ROWS, 10_000):
            yield b"".join(row(place, rng) for place in range(start, start + 10_000))

    return parts


def _row(place: int, more: bytes = b"", quote: bytes = b"") -> bytes:
    cells = (b"%d" % (4 * place), b"%d" % (1000 + place % 100), b"%d" % (1000 + place % 70))
    return b",".join(quote + cell + quote for cell in cells) + more + b"\n"


PACKED = {
    "blank lines": _after(b"\n"),
    "blank lines, CR LF": _line_ends(b"\r\n"),
    "blank lines, CR": _line_ends(b"\r"),
    "lines of a blank": _after(b" \n"),
    "comments": _after(b"#\n"),
    "comments with delimiters": _after(b"#,,,,,,\n"),
    "short rows": _after(b"1,2,3\n"),
    "rows of one letter": _after(b"1\n"),
    "delimiters only": _after(b",,\n"),
    "quotes": _after(b'"' * 50 + b"\n"),
    "quoted cells": _after(b'"1","2","3"\n'),
    "zeros only": _only(b"\0"),
    "line ends only": _only(b"\n"),
    "comments only": _only(b"#\n"),
    "blanks only": _only(b" "),
    "zeros at the end": _after(b"\0"),
    "blanks at the end": _after(b" "),
    "blank lines, UTF-16": _in_utf16(b"\n"),
    "short rows, UTF-16": _in_utf16(b"1,2,3\n"),
    "3000 columns": _wide(3000),
}
PLAIN = {
    "blank lines, plain": _after(b"\n"),
    "comments, plain": _after(b"#\n"),
    "short rows, plain": _after(b"1,2,3\n"),
    "600000 rows, one to nine cells": _ragged(
        lambda place, rng: b",".join([b"%d" % place] * int(rng.integers(1, 10))) + b"\n"
    ),
    "600000 rows, every second longer": _ragged(lambda place, _: _row(place, b",5" if place % 2 else b"")),
    "600000 rows, all longer from 2000 on": _ragged(lambda place, _: _row(place, b",5" if place > 2000 else b"")),
    "600000 rows, all shorter from 2000 on": _ragged(
        lambda place, _: _row(place) if place < 2000 else b"%d,17\n" % place
    ),
    "600000 rows, quoted, every second longer": _ragged(
        lambda place, _: _row(place, b",5" if place % 2 else b"", b'"')
    ),
    "a million columns": _wide(1_000_000),
    "2 GB of zeros after rows": lambda good, _: (good, 2 * GB),
    "2 GB of zeros after the header": lambda _good, _size: (HEADER, 2 * GB),
    "a line of 2 GB": lambda good, _: (good, *_times(b"1,", 2 * GB)),
    "a line of 2 GB from the start": lambda _good, _size: _times(b"a", 2 * GB),
    "1 GB of rows that hold words": lambda good, _: (good, *_times(b"1234,x,y\n", GB)),
}
RECIPES = [
    Recipe(name=name, packed=packed, parts=parts)
    for packed, of in ((True, PACKED), (False, PLAIN))
    for name, parts in of.items()
]


def write(recipe: Recipe, day: Path, good: bytes, size: int) -> tuple[int, int]:
    """Write a day's only log; return its size unpacked and on disk."""
    path, total = day / "run_1.csv", 0
    with gzip.open(path, "wb", compresslevel=6) if recipe.packed else path.open("wb") as file:
        for part in recipe.parts(good, size):
            if isinstance(part, int):
                file.truncate(file.tell() + part)
            else:
                file.write(part)
            total += part if isinstance(part, int) else len(part)
    return total, path.stat().st_size


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What one command took."""

    code: int
    peak_bytes: int
    cpu_s: float
    wall_s: float
    said: str


def measured(day: Path) -> Measured:
    """Check a day in a process of its own."""
    command = [sys.executable, "-c", INSIDE, "check", str(day)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, errors="replace")
    *errors, last = done.stderr.strip().splitlines()
    _, peak, cpu_s, wall_s = last.split()
    said = " ".join(line for line in errors if line) or "; ".join(done.stdout.splitlines()[1:4])
    return Measured(
        code=done.returncode, peak_bytes=int(peak) * 1024, cpu_s=float(cpu_s), wall_s=float(wall_s), said=said
    )


def main() -> None:
    """Print what each odd log takes."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--mb", type=int, default=160)
    parser.add_argument("--only", nargs="+", default=[recipe.name for recipe in RECIPES])
    parser.add_argument("--folder", type=Path, help="where to write; some logs take 2 GB")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(dir=asked.folder) as place:
        day = make_day(Path(place) / "day", ("a",), seconds=80.0)
        good = (day / "run_1.csv").read_bytes()
        sound = measured(day)
        sys.stdout.write(f"a sound log: {sound.peak_bytes / MB:.0f} MB, {sound.cpu_s:.1f} s of the processor\n")
        for recipe in RECIPES:
            if recipe.name not in asked.only:
                continue
            size, on_disk = write(recipe, day, good, asked.mb * MB)
            found = measured(day)
            held = max(0, found.peak_bytes - sound.peak_bytes)
            over = held > MOST_TIMES * size or (found.code == 2 and found.wall_s > LONGEST_REFUSAL_S)
            sys.stdout.write(
                f"{recipe.name:42s} {on_disk / MB:8.2f} MB, {size / MB:7.1f} unpacked: {found.wall_s:6.1f} s, "
                f"{found.cpu_s:5.1f} of the processor, {held / MB:6.0f} MB ({held / size:5.1f} x)"
                f"{' OVER' if over else ''}; {'refused' if found.code else 'read'}: {found.said[:150]}\n"
            )
            sys.stdout.flush()


if __name__ == "__main__":
    main()
