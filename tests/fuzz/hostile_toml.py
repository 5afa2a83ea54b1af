"""TOML made to take long: ``python -m tests.fuzz.hostile_toml [--size 1000000]``.

Ride days and scenarios of up to 1 MB that repeat one thing as often as it fits: levels, keys, tables, setups that build
on one another, points, letters, digits. Each is read in a process of its own; printed are the seconds, the memory at
most, and what it was answered with. Any answer will do, as long as it comes within two seconds and 300 MB.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import resource
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import numpy as np

from telemetry.errors import TelemetryError
from telemetry.ride_day import read_ride_day
from telemetry.simulation.scenario import read_scenario
from telemetry.toml_bounds import parse
from tests.simulation.small_scenario import SCENARIO

SECONDS, MOST_BYTES = 2.0, 300_000_000
LARGEST = 1_000_000
"""Bytes: what a file may have at most."""
DAY = "[ride_day]\ndate = 2026-05-16\n[bike.front]\ntravel_mm = 170\n"
SENSOR = '[sensors.fork]\nkind = "displacement"\nend = "front"\ncolumn = 2\npoints = [[1, 0], [2, 100]]\n'
SETUP = "[setups.a]\n"
MANY_AXLES = ", ".join(['"axle"'] * 200)
RUN = '[[runs]]\nlog = "run.csv"\nsetup = "a"\n'


def fill(head: str, piece: str | Callable[[int], str], size: int, tail: str = "") -> str:
    """Return `head`, as many pieces as fit, and `tail`; a piece may hold its number."""
    parts = [head]
    long, number = len(head) + len(tail), 0
    while True:
        part = piece if isinstance(piece, str) else piece(number)
        long += len(part)
        if long > size:
            return "".join([*parts, tail])
        parts.append(part)
        number += 1


def half(head: str, piece: str | Callable[[int], str], size: int, tail: str = "") -> str:
    return fill(head, piece, size // 2, tail)


def _chain(size: int, first: str = "", more: str = "") -> str:
    return fill(
        f"{DAY}[setups.s0]\n{first}",
        lambda n: f'[setups.s{n + 1}]\nbased_on = "s{n}"\n{more}'.replace("#", str(n)),
        size,
    )


def _linkage(size: int, piece: Callable[[int], str], table: str) -> str:
    parts = {"fixed": "m = [0, 0]", "moving": "axle = [-400, 0], s = [0, 200]", "bodies": 'arm = ["m", "axle", "s"]'}
    head = f"{DAY}[bike.rear]\nstroke_mm = 60\n[setups.a]\n[bike.rear.linkage]\n"
    head += 'shock = ["m", "s"]\naxle = "axle"\n'
    head += "".join(f"{key} = {{ {value} }}\n" for key, value in parts.items() if key != table)
    return fill(f"{head}{table} = {{ {parts[table]}", piece, size, " }\n")


def _setup_linkage(n: int) -> str:
    fixed = f"m = [{n % 50}, {n // 50 % 50}], r = [-25, 238], f = [205, 322]"
    moving = "axle = [-446, 12], stay = [-108, 55], top = [-85, 232], b = [-98, 327]"
    bodies = 'sw = ["m", "axle", "stay"], link = ["stay", "top"], rk = ["r", "top", "b"]'
    return (
        f"[setups.s{n}.rear.linkage]\nfixed = {{ {fixed} }}\nmoving = {{ {moving} }}\nbodies = {{ {bodies} }}\n"
        'shock = ["f", "b"]\naxle = "axle"\n'
    )


KEYS = "".join(
    f"{end}.{key}_compression = {{ clicks_from_closed = 8, of = 16 }}\n"
    for end in ("front", "rear")
    for key in ("low_speed", "high_speed")
)


def many(head: str, count: int, piece: Callable[[int], str], size: int) -> str:
    """Return `head` and as many pieces as fit, `count` at most."""
    return fill(head, lambda n: piece(n) if n < count else " " * size, size)


def _based(n: int) -> str:
    return f'based_on = "s{n}"\n' if (n + 1) % 49 else ""


def _chained_linkage(points: int) -> str:
    """Return a day whose linkage has as many points as may be: a chain of links from one fixed point to the next."""
    moving = ", ".join(f"p{n} = [{-20 * n}, {30 * (n % 2)}]" for n in range(points - 1))
    bodies = ", ".join(f'b{n} = ["p{n}", "p{n + 1}"]' for n in range(points - 2))
    return (
        f"{DAY}{SENSOR}[bike.rear]\nstroke_mm=60\n[setups.s0.rear.linkage]\nfixed = {{ m = [0, 0] }}\n"
        f"moving = {{ axle = [-400, 0], {moving} }}\nbodies = {{ arm = ['m', 'axle'], {bodies} }}\n"
        'shock = ["m", "p3"]\naxle = "axle"\n'
    )


def _moving_linkage(bars: int) -> str:
    """Return a day whose linkage can be solved: one arm, and on it bars that each follow from it."""
    moving = ", ".join(f"p{n} = [{-10 - 9 * n}, {100 + n}]" for n in range(bars))
    names = ", ".join(f"'p{n}'" for n in range(bars))
    return (
        f"{DAY}{SENSOR}[bike.rear]\nstroke_mm=60\n[setups.s0.rear.linkage]\nfixed = {{ m = [0, 0], f = [205, 322] }}\n"
        f"moving = {{ axle = [-400, 0], b = [-98, 327], {moving} }}\nbodies = {{ arm = ['m', 'axle', 'b', {names}] }}\n"
        'shock = ["f", "b"]\naxle = "axle"\n'
    )


def _noise(size: int) -> bytes:
    return np.random.default_rng(1).integers(0, 256, size, dtype=np.uint8).tobytes()


def _marks(size: int) -> str:
    letters = np.random.default_rng(2).choice(list("[]{}=.,\"'#\n\\ a1"), size)
    return "".join(letters)


DAYS: Mapping[str, Callable[[int], str | bytes]] = {
    "levels of a key": lambda size: fill("a", ".a", size, " = 1"),
    "levels of a table": lambda size: fill("[a", ".a", size, "]"),
    "levels of a table, keys in it": lambda size: half(half("[a", ".a", size, "]\n"), lambda n: f"k{n}=1\n", 2 * size),
    "levels by 19": lambda size: fill("", lambda n: f"k{n}{'.a' * 19}=1\n", size),
    "tables by 19": lambda size: fill("", lambda n: f"[k{n}{'.a' * 19}]\n", size),
    "lists in lists": lambda size: "a = " + "[" * (size // 2) + "]" * (size // 2),
    "tables in tables": lambda size: fill("a = ", "{a=", size),
    "tables and levels": lambda size: half("a = ", f"{{a{'.a' * 18}=", min(size, 1500), f"1{'}' * 19}"),
    "lists of lists of one": lambda size: fill("a = [", "[[[[[1]]]]],", size, "]"),
    "tables": lambda size: fill("", lambda n: f"[t{n}]\n", size),
    "unknown keys": lambda size: fill("", lambda n: f"k{n}=1\n", size),
    "unknown keys of a table": lambda size: fill(DAY, lambda n: f"travl_m{n}=1\n", size),
    "unknown keys, near ones": lambda size: fill(DAY, lambda n: f"lower_leg_oil_spring_side{n}=1\n", size),
    "unknown keys, long": lambda size: fill(DAY, lambda n: f"{n}{'measured_travel_mm' * 50}=1\n", size),
    "unknown keys in runs": lambda size: fill(DAY, lambda n: f"[[runs]]\nk{n}=1\n", size),
    "unknown keys within a key without end": lambda size: half(
        half("[setups.", "n", size, ".front]\n"), lambda n: f"k{n}=1\n", 2 * size
    ),
    "a key without end": lambda size: fill(DAY, "k", size, " = 1\n"),
    "a key twice": lambda size: fill(DAY, "x = 1\n", size),
    "keys with dots in quotes": lambda size: fill(DAY, lambda n: f'"{n}{".a" * 100}"=1\n', size),
    "a text without end": lambda size: fill('[ride_day]\ndate = 2026-05-16\ntitle = "', "x", size, '"\n'),
    "a text never closed": lambda size: fill('a = "', "x", size),
    "escapes": lambda size: fill('a = "', '\\"', size, '"\n'),
    "escapes in long texts": lambda size: fill('a = """', '\\"""', size),
    "quotes in long texts": lambda size: fill('a = """', '"" x', size, '"""\n'),
    "texts never closed": lambda size: fill("", "'''\"\"\"'", size),
    "marks at random": _marks,
    "comments": lambda size: fill(DAY, "#\n", size),
    "one comment": lambda size: fill(DAY + "#", "x", size),
    "lines": lambda size: fill(DAY, "\n", size),
    "blanks": lambda size: fill(DAY, " ", size),
    "nulls": lambda size: b"\0" * size,
    "bytes at random": _noise,
    "half letters": lambda size: b"\xe2" * size,
    "digits": lambda size: fill("a = ", "9", size),
    "hexadecimal digits": lambda size: fill(f"{DAY}mass = 0x", "f", size),
    "hexadecimal digits of a known key": lambda size: fill(DAY.replace("170", "0x"), "f", size),
    "decimals": lambda size: fill("a = 1.", "9", size),
    "an exponent": lambda size: fill("a = 1e", "9", size),
    "underscores": lambda size: fill("a = 1", "_1", size),
    "hexadecimal in a list": lambda size: fill(f"{DAY}[comparison]\nfocus = [0x", "f", size, "]\n"),
    "empty runs": lambda size: fill(DAY + SETUP, "[[runs]]\n", size),
    "empty runs inline": lambda size: fill("runs = [", "{},", size, "]\n"),
    "runs": lambda size: fill(DAY + SETUP + SENSOR, RUN, size),
    "runs with names": lambda size: fill(DAY + SETUP + SENSOR, lambda n: f'{RUN}name = "r{n}"\n', size),
    "runs of one order": lambda size: fill(
        DAY + SETUP + SENSOR, lambda n: f'{RUN}name = "r{n}"\norder = {1 + n % 9999}\n', size
    ),
    "runs of no setup": lambda size: half(
        half(DAY, lambda n: f"[setups.s{n}]\n", size),
        lambda n: f'[[runs]]\nname="{n}"\nlog="run.csv"\nsetup="x{n}"\n',
        2 * size,
    ),
    "runs of no setup, long names alike": lambda size: half(
        half(DAY, lambda n: f"[setups.{'ab' * 45}{n}]\n", size),
        lambda n: f'[[runs]]\nname="{n}"\nlog="run.csv"\nsetup="{"ba" * 45}{n}"\n',
        2 * size,
    ),
    "runs without a log": lambda size: fill(DAY + SETUP, lambda n: f'[[runs]]\nlog="q{n}.csv"\nsetup="a"\n', size),
    "runs with sensors": lambda size: half(
        half(DAY + SETUP, lambda n: SENSOR.replace("fork", f"f{n}"), size),
        lambda n: f'{RUN}name="r{n}"\nsensors={{f0={{column=3}}}}\n',
        2 * size,
    ),
    "sensors": lambda size: fill(DAY + SETUP, lambda n: SENSOR.replace("fork", f"f{n}"), size),
    "sensors of no kind": lambda size: fill(DAY + SETUP, lambda n: f"[sensors.f{n}]\nkind = 'x{n}'\n", size),
    "setups": lambda size: fill(DAY + SENSOR, lambda n: f"[setups.s{n}]\n", size),
    "setups by sensors": lambda size: half(
        half(DAY, lambda n: SENSOR.replace("fork", f"f{n}"), size),
        lambda n: f"[setups.s{n}.sensors.f0]\ncolumn=3\n",
        2 * size,
    ),
    "setups by other keys": lambda size: half(
        half(f"{DAY}{SENSOR}[setups.a.other]\n", lambda n: f"k{n}=1\n", size),
        lambda n: f'[setups.s{n}]\nbased_on="a"\nother.k={n}\n',
        2 * size,
    ),
    "setups by all keys": lambda size: fill(
        f"{DAY}{SENSOR}{SETUP}[setups.a.front]\nvalving='{'x' * (size // 4)}'\npreload_mm=1\nlever='x'\noffset_mm=44\n",
        lambda n: f'[setups.s{n}]\nbased_on="a"\nfront.preload_mm={n % 400}\n',
        size,
    ),
    "a chain": _chain,
    "a chain by 49": lambda size: fill(
        DAY + SENSOR,
        lambda n: f"[setups.s{n}]\nlabel = 'x{n}'\n" + (f'based_on = "s{n - 1}"\n' if n % 49 else ""),
        size,
    ),
    "a chain of other keys": lambda size: _chain(size, more="other = { a#=1, b#=1, c#=1, d#=1, e#=1, f#=1, g#=1 }\n"),
    "a circle": lambda size: _chain(size, 'based_on = "s1"\n'),
    "based on nothing": lambda size: fill(DAY, lambda n: f'[setups.s{n}]\nbased_on = "x{n}"\n', size),
    "points": lambda size: fill(
        DAY + SETUP + SENSOR.partition("points")[0] + "points = [", lambda n: f"[{n},{n}],", size, "]\n"
    ),
    "wrong points": lambda size: fill(DAY + SETUP + SENSOR.partition("points")[0] + "points = [", "[1],", size, "]\n"),
    "points of a curve": lambda size: fill(
        f"{DAY}{SETUP}{SENSOR.partition('points')[0]}calibration='curve'\npoints = [",
        lambda n: f"[{n},{n}],",
        size,
        "]\n",
    ),
    "columns": lambda size: fill(
        f"{DAY}[sensors.i]\nkind='inertial'\nend='front'\nacceleration_unit='g'\ncolumns={{ax=1",
        lambda n: f",a{n}=1",
        size,
        "}\n",
    ),
    "numbers as candidates": lambda size: fill(f"{DAY}[comparison]\ncandidates = [", "1,", size, "]\n"),
    "candidates": lambda size: fill(f"{DAY}[comparison]\ncandidates = [", lambda n: f"'{n}',", size, "]\n"),
    "focus": lambda size: fill(f"{DAY}[comparison]\nfocus = [", "'dynamic_sag:front',", size, "]\n"),
    "focus on nothing": lambda size: fill(f"{DAY}[comparison]\nfocus = [", lambda n: f"'dynamic_sga{n}',", size, "]\n"),
    "smallest changes": lambda size: fill(
        f"{DAY}[comparison.smallest_change]\n", lambda n: f"dynamic_sga{n} = 1\n", size
    ),
    "a smallest change of digits": lambda size: fill(
        f'{DAY}[comparison.smallest_change]\ndynamic_sag = "', "1", size, 'a\\nb"\n'
    ),
    "a smallest change of blanks": lambda size: fill(
        f'{DAY}[comparison.smallest_change]\ndynamic_sag = "1 a', " ", size, '\\nb"\n'
    ),
    "a path of many folders": lambda size: fill(f'{DAY}{SETUP}[[runs]]\nsetup="a"\nlog="', "a/", size, '"\n'),
    "a leverage file of many folders": lambda size: fill(
        f'{DAY}{SETUP}[bike.rear]\nstroke_mm=60\nleverage="', "a/", size, '"\n'
    ),
    "a day of many folders": lambda size: fill(f'{DAY}[plan]\nspread_from="', "a/", size, '"\n'),
    "one leverage file by many names": lambda size: fill(
        f"{DAY}{SENSOR}[bike.rear]\nstroke_mm=60\n",
        lambda n: f"[setups.s{n}.rear]\nleverage='{'./' * n}lev.csv'\n",
        size,
    ),
    "imperial words": lambda size: fill(DAY, lambda n: f"[setups.s{n}.front]\nair_pressure_psi='x'\n", size),
    "both spellings": lambda size: fill(
        DAY, lambda n: f"[setups.s{n}.front]\nair_pressure_psi=1\nair_pressure_bar=1\n", size
    ),
    "moving points": lambda size: _linkage(size, lambda n: f", p{n} = [{n}, 1]", "moving"),
    "fixed points": lambda size: _linkage(size, lambda n: f", p{n} = [{n}, 1]", "fixed"),
    "bodies": lambda size: _linkage(size, lambda n: f', b{n} = ["m", "axle"]', "bodies"),
    "points of a body": lambda size: _linkage(size, lambda n: f", b{n} = [{MANY_AXLES}]", "bodies"),
    "linkages": lambda size: fill(f"{DAY}{SENSOR}[bike.rear]\nstroke_mm=60\n", _setup_linkage, size),
    "one linkage by strokes": lambda size: fill(
        f"{DAY}{SENSOR}{_setup_linkage(0)}",
        lambda n: f'[setups.t{n}]\nbased_on="s0"\nrear.stroke_mm={20 + n * 1e-3}\n',
        size,
    ),
    "recordings": lambda size: half(
        half(DAY + SETUP + SENSOR, lambda n: f'{RUN}name="r{n}"\n', size),
        lambda n: f'[[static]]\nlog="run.csv"\nkind="sag"\nbefore_run="r{n}"\n',
        2 * size,
    ),
    "recordings before nothing": lambda size: half(
        half(DAY + SETUP + SENSOR, lambda n: f'{RUN}name="r{n}"\n', size),
        lambda n: f'[[static]]\nlog="run.csv"\nkind="sag"\nbefore_run="x{n}"\n',
        2 * size,
    ),
    "places": lambda size: fill(DAY, lambda n: f'[[marks]]\nrun="x{n}"\nat_s=1\nname="x"\n', size),
    "a chain by 49, setups as many as may be": lambda size: many(
        f"{DAY}{SENSOR}[setups.s0]\n{KEYS}", 499, lambda n: f"[setups.s{n + 1}]\n{_based(n)}{KEYS}", size
    ),
    "sensors by setups, as many as may be": lambda size: many(
        many(DAY, 50, lambda n: SENSOR.replace("fork", f"f{n}"), size) + "[setups.s0]\n",
        499,
        lambda n: f"[setups.s{n + 1}]\n{_based(n)}sensors.f1={{column=3}}\nsensors.f2={{column=3}}\n",
        size,
    ),
    "sensors by runs, as many as may be": lambda size: fill(
        many(DAY + SETUP, 50, lambda n: SENSOR.replace("fork", f"f{n}"), size),
        lambda n: f'{RUN}name="r{n}"\nsensors={{f0={{column=3}}}}\n',
        size,
    ),
    "other keys by setups, as many as may be": lambda size: many(
        many(f"{DAY}{SENSOR}[setups.s0.other]\n", 99, lambda n: f"k{n} = '{'x' * 400}'\n", size),
        499,
        lambda n: f"[setups.s{n + 1}]\n{_based(n)}other.k3 = {n}\n",
        size,
    ),
    "other keys in a chain": lambda size: many(
        many(f"{DAY}{SENSOR}[setups.s0.other]\n", 99, lambda n: f"k{n} = 1\n", size),
        499,
        lambda n: f"[setups.s{n + 1}]\n{_based(n)}other = {{a{n}=1, b{n}=1, c{n}=1, d{n}=1, e{n}=1, f{n}=1}}\n",
        size,
    ),
    "leverage files, setups as many as may be": lambda size: many(
        f"{DAY}{SENSOR}[bike.rear]\nstroke_mm=60\n",
        499,
        lambda n: f"[setups.s{n}.rear]\nleverage='{'./' * n}lev.csv'\n",
        size,
    ),
    "strokes of the largest linkage": lambda size: many(
        _chained_linkage(20), 499, lambda n: f'[setups.t{n}]\nbased_on="s0"\nrear.stroke_mm={20 + n * 1e-3}\n', size
    ),
    "strokes of the largest linkage that moves": lambda size: many(
        _moving_linkage(17), 499, lambda n: f'[setups.t{n}]\nbased_on="s0"\nrear.stroke_mm={20 + n * 1e-3}\n', size
    ),
    "two sensors an end": lambda size: fill(
        DAY + SETUP + SENSOR + SENSOR.replace("fork", "other"), lambda n: f'{RUN}name="r{n}"\n', size
    ),
}
"""Ride days by what they repeat."""


def _replaced(old: str, new: Callable[[int], str]) -> Callable[[int], str]:
    assert old in SCENARIO
    return lambda size: SCENARIO.replace(old, new(size - len(SCENARIO)), 1)


def _appended(piece: str | Callable[[int], str], head: str = "") -> Callable[[int], str]:
    return lambda size: fill(f"{SCENARIO}{head}", piece, size)


SCENARIOS: Mapping[str, Callable[[int], str | bytes]] = {
    "levels of a key": lambda size: fill("a", ".a", size, " = 1"),
    "lists in lists": DAYS["lists in lists"],
    "unknown keys": lambda size: fill("", lambda n: f"k{n}=1\n", size),
    "unknown keys of a table": _appended(lambda n: f"k{n}=1\n", "[shop]\n"),
    "unknown keys of an end": _replaced(
        "[bike.front]\n", lambda size: fill("[bike.front]\n", lambda n: f"k{n}=1\n", size)
    ),
    "written": _replaced(
        "written = { rebound", lambda size: fill("written = { ", lambda n: f"leverage{n}=1, ", size, "rebound")
    ),
    "a written number of digits": _replaced(
        "written = { rebound", lambda size: fill("written = { x = 0x", "f", size, ", rebound")
    ),
    "written levels": _replaced("written = { rebound", lambda size: fill("written = { x", ".a", size, " = 1, rebound")),
    "setups": _appended(lambda n: f"[setups.s{n}]\n"),
    "an order": _replaced('order = ["oil_20", ', lambda size: fill("order = [", '"x",', size, '"oil_20", ')),
    "remounts": _appended('[[remounts]]\nbefore_run=2\nend="front"\noffset_mm=1\n'),
    "recordings": _appended('[[recordings]]\nkind="sag"\nbefore_run=60\n'),
    "candidates": _appended(lambda n: f"'{n}',", "[comparison]\nbaseline='oil_20'\ncandidates=["),
    "candidates, closed": lambda size: fill(f"{SCENARIO}[comparison]\ncandidates=[", lambda n: f"'{n}',", size, "]\n"),
    "stretches": _replaced(
        "[bike]",
        lambda size: fill("", '[[trail.stretches]]\nlength_m=1\nroad_class="D"\nspeed_m_s=30\n', size, "[bike]"),
    ),
    "obstacles": _replaced(
        "obstacles = [",
        lambda size: fill(
            "obstacles = [", "{kind='bump',at_m=1,height_mm=1,length_mm=1,times=10000,every_m=0.1},", size
        ),
    ),
    "obstacles that have room": lambda size: SCENARIO.replace("length_m = 90", "length_m = 5500").replace(
        "times = 9, every_m = 9 },", "times = 2200, every_m = 2 }," * (9 if size else 0)
    ),
    "a leverage curve": _replaced(
        "leverage = [[0, 0], [10, 29.7]",
        lambda size: fill("leverage = [[0, 0]", lambda n: f", [{n * 1e-4:.4f}, {n * 3e-4:.4f}]", size),
    ),
    "gaps": _replaced(
        "[logger.fork]", lambda size: fill("gaps=[", "{run=9,at_s=1,length_s=1},", size, "]\n[logger.fork]")
    ),
    "a title": _replaced('"A short day"', lambda size: fill('"', "x", size, '"')),
    "a column": _replaced('"A0"', lambda size: fill('"', "x", size, '"')),
}
"""Scenarios by what they repeat."""


def largest_within(make: Callable[[int], str | bytes]) -> int:
    """Return the size, within a hundredth, up to which the file's bounds take such a text; 1 MB where they take any."""
    low, high = 0, LARGEST
    if not _refused(make(high)):
        return high
    while high - low > max(100, high // 100):
        middle = (low + high) // 2
        low, high = (low, middle) if _refused(make(middle)) else (middle, high)
    return max(low, 2000)


def _refused(text: str | bytes) -> bool:
    try:
        parse(text if isinstance(text, str) else text.decode("utf-8"))
    except ValueError:
        return True
    return False


def write(text: str | bytes, folder: Path, name: str) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "run.csv").write_text("t,a\n0,1\n", encoding="utf-8")
    (folder / "lev.csv").write_text("stroke_mm,travel_mm\n0,0\n60,160\n", encoding="utf-8")
    data = text.encode() if isinstance(text, str) else text
    (folder / name).write_bytes(data)
    return folder / name


def answer_of(read: Callable[[Path], object], path: Path) -> str:
    """Return what a file is answered with: an error's line, or that it was read."""
    try:
        read(path)
    except TelemetryError as error:
        return error.line
    return "read"


KINDS: Mapping[str, tuple[Callable[[Path], object], str, Mapping[str, Callable[[int], str | bytes]]]] = {
    "day": (read_ride_day, "ride_day.toml", DAYS),
    "scenario": (read_scenario, "scenario.toml", SCENARIOS),
}


def _measured(task: tuple[str, str, int, str]) -> None:
    kind, name, size, folder = task
    read, file, makers = KINDS[kind]
    path = write(makers[name](size or largest_within(makers[name])), Path(folder), file)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.perf_counter()
    try:
        said = answer_of(read, path)
    except BaseException as error:  # noqa: BLE001 - what is looked for
        said = f"CRASH {type(error).__name__}: {str(error)[:80]}"
    took = time.perf_counter() - start
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    Path(folder, "told.json").write_text(json.dumps([took, before, most, said]), encoding="utf-8")


def measured(kind: str, size: int, longest_s: float, only: str = "") -> Iterator[tuple[str, float, float, str]]:
    """Yield each text's name, seconds, MB at most, and answer; each is read in a process of its own."""
    context = multiprocessing.get_context("fork")
    for name in (name for name in KINDS[kind][2] if only in name):
        with tempfile.TemporaryDirectory() as folder:
            process = context.Process(target=_limited, args=((kind, name, size, folder),))
            process.start()
            process.join(longest_s)
            if process.is_alive():
                process.kill()
                process.join()
            told = Path(folder, "told.json")
            if told.exists():
                took, _, most, said = json.loads(told.read_text(encoding="utf-8"))
                yield name, took, most / 1e3, said
            else:
                yield name, longest_s, float("nan"), f"STOPPED ({process.exitcode})"


def _limited(task: tuple[str, str, int, str]) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (4_000_000_000, 4_000_000_000))
    _measured(task)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--size", type=int, default=0, help="bytes; else the largest that the bounds take")
    parser.add_argument("--only", default="", help="texts whose names hold this")
    parser.add_argument("--longest", type=float, default=20.0)
    arguments = parser.parse_args()
    for kind in KINDS:
        for name, took, most, said in measured(kind, arguments.size, arguments.longest, arguments.only):
            print(f"{took:7.2f} s {most:7.0f} MB  {kind}, {name}: {said[:150]}", flush=True)


if __name__ == "__main__":
    main()
