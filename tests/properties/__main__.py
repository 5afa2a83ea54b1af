"""Every property of the suite on examples drawn by chance: ``python -m tests.properties [--rounds 20] [FOLDER ...]``.

In the suite draws are fixed; here each round draws anew, from a seed of its own. What fails is printed with how to
repeat it, and belongs into the suite as an `@example`.
"""

from __future__ import annotations

import argparse
import sys

import pytest


def main() -> int:
    """Run the rounds; return how many failed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("folders", nargs="*", default=["tests"])
    asked = parser.parse_args()
    common = ["-m", "hypothesis", "-q", "-n", str(asked.processes), "--hypothesis-profile", "chance", *asked.folders]
    failed = 0
    for seed in range(asked.seed, asked.seed + asked.rounds):
        sys.stdout.write(f"round with --hypothesis-seed={seed}\n")
        sys.stdout.flush()
        failed += pytest.main([*common, "--hypothesis-seed", str(seed)]) != 0
    sys.stdout.write(f"{failed} of {asked.rounds} rounds failed\n")
    return failed


if __name__ == "__main__":
    sys.exit(min(main(), 1))
