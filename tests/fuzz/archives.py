"""Archives of kept days with flipped bits, lost and foreign pieces: ``python -m tests.fuzz.archives [--count 3000]``.

Each is refused in one line with nothing written, or takes in what the whole one does.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np

from telemetry import library
from telemetry.errors import CallError
from tests.library.small_library import kept, small_day, state

LONGEST_CUT = 400


def harmed(data: bytes, rng: np.random.Generator) -> bytes:
    """Return an archive with one thing wrong: more often than not where its lists stand."""
    size = len(data)
    near_end = rng.random() < 0.5
    at = int(rng.integers(max(0, size - 4000), size)) if near_end else int(rng.integers(0, size))
    count = int(rng.integers(1, LONGEST_CUT))
    match int(rng.integers(5)):
        case 0:
            return data[:at] + data[at + count :]
        case 1:
            return data[:at] + rng.bytes(count) + data[at:]
        case 2:
            return data[:at] + bytes(count) + data[at + count :]
        case _:
            changed = bytearray(data)
            changed[at] ^= 1 << int(rng.integers(8))
            return bytes(changed)


def tried(packed: Path, place: Path, count: int, seed: int) -> Counter[str]:
    """Return what became of so many harmed archives; anything else is raised."""
    rng = np.random.default_rng(seed)
    data, whole, root, file = packed.read_bytes(), place / "whole", place / "tried", place / "harmed.zip"
    library.take_in(whole, packed)
    wanted = {name: held for name, held in state(whole).items() if "/" in name}
    left: Counter[str] = Counter()
    for _ in range(count):
        file.write_bytes(harmed(data, rng))
        try:
            library.take_in(root, file)
        except CallError:
            assert not root.exists()
            left["refused"] += 1
        else:
            assert {name: held for name, held in state(root).items() if "/" in name} == wanted
            shutil.rmtree(root)
            left["equal"] += 1
    return left


def main() -> None:
    """Print what became of them."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        name = kept(small_day(place / "day"), place / "days")
        store = library.Store(place / "days")
        library.pack(store, [f"{name}.1"], place / "day.zip", "tests", names=True)
        sys.stdout.write(f"{dict(tried(place / 'day.zip', place, asked.count, asked.seed))}\n")


if __name__ == "__main__":
    main()
