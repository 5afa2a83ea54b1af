"""Faults of a stated size, put into a simulated log or into its ride day; what each has to be told as."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from telemetry.model.arrays import Floats

Trail = Literal["bumps", "jumps"]
FULL_MM = 170.0
FORK = ((212.0, 0.0), (3770.0, 170.0))
FORK_PER_MM = (FORK[1][0] - FORK[0][0]) / FULL_MM
FORK_POINTS = "[[212.0, 0.0], [3770.0, 170.0]]"
SHOCK_POINTS = "[[305.0, 0.0], [3601.0, 62.5]]"
TOP_COUNT = 4095.0
MEASURED = "measured_travel_mm = 170.0\n"


@dataclass(frozen=True, kw_only=True)
class MadeLog:
    """A log as columns, what of its lines is spoilt afterwards, and its ride day's text."""

    time_ms: Floats
    fork: Floats
    shock: Floats
    rate_hz: float
    day: str
    spoil: Callable[[list[str]], list[str]] = field(default=lambda lines: lines)
    rear_clock: tuple[float, float] | None = None
    """Where the shock has a logger of its own: how many s its clock is ahead, and by how many ppm it runs fast."""
    rear_share: float = 1.0
    """How much of the ride that logger wrote."""
    rear_every: int = 1
    """Of so many rows it wrote one."""
    ridden_s: tuple[float, float] = (0.0, np.inf)
    others: str = ""
    """Tables of the day's runs that a fault may be seen beside."""

    def rows(self, kept: np.ndarray) -> MadeLog:
        """Return the log with some of its rows, by mask or place."""
        return replace(self, time_ms=self.time_ms[kept], fork=self.fork[kept], shock=self.shock[kept])

    def said(self, old: str, new: str) -> MadeLog:
        """Return the log with a piece of its day's text replaced; it has to be there."""
        assert old in self.day, old
        return replace(self, day=self.day.replace(old, new, 1))

    def files(self) -> dict[str, str]:
        """Return the text of each log by its file's name."""
        if self.rear_clock is None:
            return {"run_1.csv": _text(self.time_ms, {"A0": self.fork, "A1": self.shock}, self.spoil)}
        ahead_s, fast_ppm = self.rear_clock
        rear_ms = np.round((self.time_ms + 1000 * ahead_s) * (1 + 1e-6 * fast_ppm), 3)
        written = round(self.rear_share * self.shock.shape[0])
        return {
            "run_1.csv": _text(self.time_ms, {"A0": self.fork}, self.spoil),
            "rear_1.csv": _text(
                rear_ms[: written : self.rear_every], {"A1": self.shock[: written : self.rear_every]}, list
            ),
        }


def _text(time_ms: Floats, columns: dict[str, Floats], spoil: Callable[[list[str]], list[str]]) -> str:
    cells = zip(*(values.tolist() for values in columns.values()), strict=True)
    rows = (f"{time:.10g},{','.join(f'{cell:.0f}' for cell in row)}" for time, row in zip(time_ms, cells, strict=True))
    return "\n".join(spoil([",".join(["t_ms", *columns]), *rows])) + "\n"


Making = Callable[[MadeLog, np.random.Generator], MadeLog]


@dataclass(frozen=True, kw_only=True)
class Fault:
    """A fault: the finding it has to give, in words with its size, and how it is made."""

    code: str
    words: str
    make: Making
    least: Literal["note", "warning", "error"] = "warning"
    trail: Trail = "bumps"
    says: str = ""
    among: bool = False
    """Whether three clean runs of the day stand beside it."""
    plain: Making | None = None
    """What the plain log is that one read right has the measures of; None: the clean one."""


def _middle(log: MadeLog, rng: np.random.Generator, share: float = 0.3) -> int:
    """Return a row by chance that lies well inside the ride."""
    count = log.time_ms.shape[0]
    return int(rng.integers(round(share * count), round((1 - share) * count)))


def _wrapped(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    return replace(log, time_ms=(log.time_ms + 2**16 - rng.integers(10_000, 30_000)) % 2**16)


def _restarted(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    at = _middle(log, rng)
    time = log.time_ms.copy()
    time[at:] -= time[at]
    return replace(log, time_ms=time)


def _mixed_up(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    at, count = _middle(log, rng), max(8, round(0.05 * log.rate_hz))
    places = np.arange(log.time_ms.shape[0])
    places[at : at + 2 * count] = np.roll(places[at : at + 2 * count], count)
    return log.rows(places)


def _in_jumps(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Stamp buffers of 64 rows as a whole."""
    count = log.time_ms.shape[0]
    return replace(log, time_ms=log.time_ms[np.minimum(np.arange(count) // 64 * 64 + 63, count - 1)])


def _standing(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    """Let the clock stand still for 2 s while rows go on, and count on from there."""
    at, length = _middle(log, rng), round(2 * log.rate_hz)
    time = log.time_ms.copy()
    time[at : at + length] = time[at]
    time[at + length :] -= time[at + length] - time[at] - 1000 / log.rate_hz
    return replace(log, time_ms=time)


def _set_on(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    time = log.time_ms.copy()
    time[_middle(log, rng) :] += 3_600_000
    return replace(log, time_ms=time)


def _hexadecimal(log: MadeLog, _: np.random.Generator) -> MadeLog:
    def rewrite(lines: list[str]) -> list[str]:
        rows = (line.split(",") for line in lines[1:])
        return [lines[0], *(f"{time},{int(fork):x},{int(shock):x}" for time, fork, shock in rows)]

    return replace(log, spoil=rewrite)


def _jittered(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    step = 1000 / log.rate_hz
    even = np.arange(log.time_ms.shape[0]) * step
    return replace(log, time_ms=np.round(even + step * rng.uniform(0, 0.7, even.shape), 3))


def _gap(seconds: float, times: int = 1) -> Making:
    def make(log: MadeLog, rng: np.random.Generator) -> MadeLog:
        kept = np.ones(log.time_ms.shape[0], dtype=bool)
        first, length = _middle(log, rng), round(seconds * log.rate_hz)
        for n in range(times):
            kept[first + 2 * n * length : first + (2 * n + 1) * length] = False
        return log.rows(kept)

    return make


def _lost_share(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    count = log.time_ms.shape[0]
    at = int(rng.integers(round(0.2 * count), round(0.5 * count)))
    return log.rows(np.r_[0:at, at + round(0.25 * count) : count])


def _twice(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    count = log.time_ms.shape[0]
    return log.rows(np.sort(np.r_[0:count, rng.integers(1, count, 50)]))


def _spoilt(each: Callable[[list[str], int], None], share: float) -> Making:
    def make(log: MadeLog, rng: np.random.Generator) -> MadeLog:
        count = log.time_ms.shape[0]
        places = np.unique(rng.integers(2, count, max(3, round(share * count))))

        def spoil(lines: list[str]) -> list[str]:
            for place in places.tolist():
                each(lines, place)
            return lines

        return replace(log, spoil=spoil)

    return make


def _cut_row(lines: list[str], place: int) -> None:
    lines[place] = lines[place].rpartition(",")[0]


def _empty_cell(lines: list[str], place: int) -> None:
    time, _, shock = lines[place].split(",")
    lines[place] = f"{time},,{shock}"


def _header_again(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    at = _middle(log, rng)
    return replace(log, spoil=lambda lines: [*lines[:at], lines[0], *lines[at:]])


def _replayed(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    """Let the logger write 2 s a second time, 5 s later, while its clock goes on."""
    first, length, later = _middle(log, rng, 0.35), round(2 * log.rate_hz), round(5 * log.rate_hz)
    fork, shock = log.fork.copy(), log.shock.copy()
    for column in (fork, shock):
        column[first + later : first + later + length] = column[first : first + length].copy()
    return replace(log, fork=fork, shock=shock)


def _every_seventh_lost(log: MadeLog, _: np.random.Generator) -> MadeLog:
    kept = log.rows(np.arange(log.fork.shape[0]) % 7 > 0)
    return replace(kept, time_ms=np.round(kept.time_ms * 1.2, 4))  # no base step is a power of ten


def _both_upside_down(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Wire both sensors the other way round, with nothing lifted to show it."""
    turned = replace(log, fork=TOP_COUNT - log.fork, shock=TOP_COUNT - log.shock)
    for ends in ((FORK, FORK_POINTS), (((305.0, 0.0), (3601.0, 62.5)), SHOCK_POINTS)):
        (low, nothing), (high, full) = ends[0]
        points = f"[[{TOP_COUNT - high}, {nothing}], [{TOP_COUNT - low}, {full}]]"
        turned = turned.said(ends[1], points)
    return replace(turned, day=re.sub(r"\n\[\[static\]\]\n(?:.+\n)+", "\n", turned.day))


def _rear_covers_half(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    return replace(apart(1.5, 20.0)(log, rng), rear_share=0.6)


def _spikes(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    count = log.fork.shape[0]
    places = np.arange(20, count - 20, 200) + rng.integers(-10, 10)
    fork = log.fork.copy()
    fork[places] += np.where(fork[places] > TOP_COUNT / 2, -1900, 1900)
    return replace(log, fork=fork)


def _slow_glitches(rate_hz: float, to: float, *, late: float = 0.0) -> Making:
    """Let a slow logger, its samples up to `late` of a step late, write six wrong readings or pairs of them."""

    def make(log: MadeLog, rng: np.random.Generator) -> MadeLog:
        rows = np.arange(0, log.fork.shape[0], log.rate_hz / rate_hz)
        slow = log.rows(
            np.clip(np.rint(rows + rng.uniform(0, late, rows.shape) * log.rate_hz / rate_hz), 0, rows[-1]).astype(int)
        )
        fork = slow.fork.copy()
        for place in np.linspace(0.2, 0.8, 6) * fork.shape[0] + rng.integers(-20, 20, 6):
            fork[int(place) : int(place) + rng.integers(1, 3)] = to
        return replace(slow, fork=fork)

    return make


def _deepest(log: MadeLog) -> float:
    start = round(5 * log.rate_hz)
    return float(log.fork[start:-start].max())


def _with_top(log: MadeLog, top: float) -> MadeLog:
    """Let the fork's converter read no higher, as stated."""
    cut = replace(log, fork=np.minimum(log.fork, top))
    return cut.said(f"{FORK_POINTS}\ncounts_range = [0, 4095]", f"{FORK_POINTS}\ncounts_range = [0, {top:.0f}]")


def _cut_short(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    """Let the range end 10 to 20 mm before the deepest point of the ride."""
    return _with_top(log, round(_deepest(log) - FORK_PER_MM * rng.uniform(10, 20)))


def _share(log: MadeLog) -> Floats:
    """Return how much of the ride is over at each row."""
    start, end = log.ridden_s
    return np.clip((log.time_ms / 1000 - start) / (end - start), 0.0, 1.0)


def _moved(log: MadeLog, by_mm: Floats) -> MadeLog:
    return replace(log, fork=np.clip(np.rint(log.fork + by_mm * FORK_PER_MM), 0, TOP_COUNT))


def _drifting(log: MadeLog, _: np.random.Generator) -> MadeLog:
    return _moved(log, 9.0 * _share(log))


def _off_in_the_middle(log: MadeLog, _: np.random.Generator) -> MadeLog:
    share = _share(log)
    return _moved(log, 14.0 * ((share > 1 / 3) & (share < 2 / 3)))


def _gain_from_half(log: MadeLog, _: np.random.Generator) -> MadeLog:
    less = FORK[0][0] + 0.8 * (log.fork - FORK[0][0])
    return replace(log, fork=np.rint(np.where(_share(log) > 0.5, less, log.fork)))


def _columns_swapped(first: float, last: float) -> Making:
    """Let the logger's columns change places between shares of the ride."""

    def make(log: MadeLog, _: np.random.Generator) -> MadeLog:
        share = _share(log)
        there = (share >= first) & (share < last)
        return replace(log, fork=np.where(there, log.shock, log.fork), shock=np.where(there, log.fork, log.shock))

    return make


def _cut_in_silence(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    """The same, where counts_range says that the converter reads further."""
    return replace(log, fork=np.minimum(log.fork, round(_deepest(log) - FORK_PER_MM * rng.uniform(10, 20))))


def _low_end_cut(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    """Let the fork's sensor read nothing below 15 to 25 mm of travel."""
    return replace(log, fork=np.maximum(log.fork, round(FORK[0][0] + FORK_PER_MM * rng.uniform(15, 25))))


def _cut_bottom_outs(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Let full travel be the deepest, bottom-outs count from 28 mm before it, and the range end 25 mm before it."""
    full_mm = (_deepest(log) - FORK[0][0]) / FORK_PER_MM
    top = round(FORK[0][0] + FORK_PER_MM * (full_mm - 25.0))
    stated = log.said(MEASURED, f"measured_travel_mm = {full_mm:.1f}\nbumper_touch_mm = {full_mm - 56:.1f}\n")
    return _with_top(stated, top)


def _tone(hertz: float, amplitude_mm: float) -> Making:
    def make(log: MadeLog, rng: np.random.Generator) -> MadeLog:
        seconds = np.arange(log.fork.shape[0]) / log.rate_hz
        tone = amplitude_mm * FORK_PER_MM * np.sin(2 * np.pi * (hertz * seconds + rng.uniform()))
        return replace(log, fork=np.clip(np.rint(log.fork + tone), 0, TOP_COUNT))

    return make


def _stuck(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    fork = log.fork.copy()
    first, length = _middle(log, rng), round(5 * log.rate_hz)
    level = FORK[0][0] + FORK_PER_MM * rng.uniform(20, 120)
    fork[first : first + length] = round(level)
    return replace(log, fork=fork)


def _lost_contact(times: int) -> Making:
    """Let the fork's plug lose contact for 0.05 s so often: the input then reads the far end of its range."""

    def make(log: MadeLog, rng: np.random.Generator) -> MadeLog:
        fork = log.fork.copy()
        length = max(4, round(0.05 * log.rate_hz))
        for n in range(times):
            first = round((0.3 + 0.4 * (n + rng.uniform(0, 0.8)) / times) * fork.shape[0])
            lost = slice(first, first + length)
            fork[lost] = round(FORK[1][0] if fork[lost].mean() < TOP_COUNT / 2 else FORK[0][0])
        return replace(log, fork=fork)

    return make


def _dead(seconds: float, counts: int, *, both: bool) -> Making:
    """Let readings die at what they were, with so many counts of the converter's noise either way."""

    def make(log: MadeLog, rng: np.random.Generator) -> MadeLog:
        fork, shock = log.fork.copy(), log.shock.copy()
        first, length = _middle(log, rng), round(seconds * log.rate_hz)
        for column in (fork, shock) if both else (fork,):
            level = column[first] if both else FORK[0][0] + FORK_PER_MM * rng.uniform(20, 120)
            column[first : first + length] = np.rint(level) + rng.integers(-counts, counts + 1, length)
        return replace(log, fork=fork, shock=shock)

    return make


def _without_supply(ends: str, level: Callable[[np.random.Generator], float], *, back: bool = False) -> Making:
    """Let samples be up to 0.7 of a step late, and ends lose their supply for the last third, or for the second."""

    def make(log: MadeLog, rng: np.random.Generator) -> MadeLog:
        late = _jittered(log, rng)
        share = _share(log)
        lost = (share > 0.34) & (share < 0.67) if back else share > 0.67
        counts = {
            name: np.clip(np.rint(level(rng) + rng.normal(0, 2, lost.shape)), 0, TOP_COUNT)
            for name in ("fork", "shock")
        }
        return replace(
            late,
            fork=np.where(lost & ("f" in ends), counts["fork"], log.fork),
            shock=np.where(lost & ("r" in ends), counts["shock"], log.shock),
        )

    return make


def _closed(log: MadeLog, _: np.random.Generator) -> MadeLog:
    usual = float(np.median(log.shock))
    return replace(log, shock=np.rint(usual + 0.02 * (log.shock - usual)))


def _coarse(log: MadeLog, _: np.random.Generator) -> MadeLog:
    return replace(log, fork=np.rint(log.fork / 32) * 32)


def _hole(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Let the fork's readings skip 3 mm of travel at its median."""
    start, wide = float(np.median(log.fork)), round(3 * FORK_PER_MM)
    place = np.clip(log.fork - start, 0, wide)
    inside = (place > 0) & (place < wide)
    return replace(log, fork=np.where(inside, start + wide * (place >= wide / 2), log.fork))


def _slow(log: MadeLog, _: np.random.Generator) -> MadeLog:
    return log.rows(np.arange(0, log.fork.shape[0], round(log.rate_hz / 100)))


def _slipped(by_mm: float, *, inside: bool) -> Making:
    """Let the fork's sensor slip after the lifted recording: before the run, or about the fifth of eight jumps."""

    def make(log: MadeLog, _: np.random.Generator) -> MadeLog:
        fork = log.fork.copy()
        first = round(0.45 * fork.shape[0]) if inside else 0
        fork[first:] = np.clip(np.rint(fork[first:] + by_mm * FORK_PER_MM), 0, TOP_COUNT)
        return replace(log, fork=fork)

    return make


def _shock_slipped(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Let the shock's sensor slip out by 4 mm of stroke, a third into the run."""
    shock = log.shock.copy()
    shock[shock.shape[0] // 3 :] -= round(4 * (3601 - 305) / 62.5)
    return replace(log, shock=np.clip(shock, 0, TOP_COUNT))


def _reversed(log: MadeLog, _: np.random.Generator) -> MadeLog:
    return replace(log, fork=TOP_COUNT - log.fork)


def _swapped(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Plug each sensor into the other's socket, as tuners do: what stands in the day no longer fits."""
    fork = FORK[0][0] + (log.shock - 305.0) / 3296.0 * (FORK[1][0] - FORK[0][0])
    shock = 305.0 + (log.fork - FORK[0][0]) / (FORK[1][0] - FORK[0][0]) * 3296.0
    return replace(log, fork=np.rint(fork), shock=np.rint(shock))


def _lasting(seconds: float) -> Making:
    def make(log: MadeLog, _: np.random.Generator) -> MadeLog:
        first = round(8 * log.rate_hz)
        cut = log.rows(np.arange(first, first + round(seconds * log.rate_hz)))
        return replace(cut, day=re.sub(r"\n(start_s|end_s) = .*", "", cut.day))

    return make


def _dead_in_pushes(log: MadeLog, _: np.random.Generator) -> MadeLog:
    shock = log.shock.copy()
    shock[:] = np.median(shock)
    return replace(log, shock=shock)


def stated(old: str, new: str) -> Making:
    return lambda log, _: log.said(old, new)


def _without_clock(log: MadeLog, _: np.random.Generator) -> MadeLog:
    return log.said('time = { column = "t_ms", unit = "ms" }', f"rate_hz = {log.rate_hz:g}")


def apart(ahead_s: float, fast_ppm: float) -> Making:
    """Give the shock a logger of its own."""

    def make(log: MadeLog, _: np.random.Generator) -> MadeLog:
        two = log.said('log = "run_1.csv"', 'log = { front = "run_1.csv", rear = "rear_1.csv" }')
        return replace(two, rear_clock=(ahead_s, fast_ppm))

    return make


def ridden_alone(log: MadeLog) -> MadeLog:
    """Return the ridden part of a log by itself, as a logger that is switched on while riding writes it."""
    first, last = log.ridden_s
    cut = log.rows((log.time_ms >= 1000 * first) & (log.time_ms <= 1000 * last))
    return replace(cut, time_ms=cut.time_ms - cut.time_ms[0], day=re.sub(r"\n(start_s|end_s) = .*", "", cut.day))


def _apart_without_pushes(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    """Let two loggers run while riding only: nothing but the trail itself is common to both logs."""
    return apart(1.5, 300.0)(ridden_alone(log), rng)


def _no_position(log: MadeLog, _: np.random.Generator) -> MadeLog:
    speed = '[sensors.wheel]\nkind = "ground_speed"\ncolumn = "A1"\nunit = "km/h"\n\n'
    return replace(log, day=re.sub(r"(?s)\[sensors\.fork\].*?(?=\[setups)", speed, log.day))


def _opened(log: MadeLog, _: np.random.Generator) -> MadeLog:
    opened = re.sub(r"(\[setups\.oil_20\.front\]\n)", r"\1parts_opened_on = 2026-08-08\n", log.day)
    assert opened != log.day
    return replace(log, day=re.sub(r"\n\[\[static\]\]\n(?:.+\n)+", "\n", opened))


MS = 'unit = "ms"'
FAULTS = (
    Fault(code="no_clock", words="no clock, its rate stated", make=_without_clock, least="note"),
    Fault(
        code="rounded_clock",
        words="stamps cut to 10 ms",
        make=lambda log, _: replace(log, time_ms=np.floor(log.time_ms / 10) * 10),
        least="note",
    ),
    Fault(
        code="clock_jumps",
        words="a clock that ticks every 50 ms",
        make=lambda log, _: replace(log, time_ms=np.floor(log.time_ms / 50) * 50),
    ),
    Fault(code="clock_jumps", words="buffers of 64 rows stamped as a whole", make=_in_jumps),
    Fault(code="clock_stands", words="stands still for 2 s, then counts on", make=_standing),
    Fault(
        code="clock_stands",
        words="stands still from 80 % on",
        make=lambda log, _: replace(log, time_ms=np.minimum(log.time_ms, 0.8 * log.time_ms[-1])),
    ),
    Fault(
        code="log_unreadable",
        words="a clock that stands still throughout, three runs beside it",
        make=lambda log, _: replace(log, time_ms=0 * log.time_ms),
        least="error",
        among=True,
    ),
    Fault(code="clock_set", words="set on by an hour in the middle", make=_set_on, least="note"),
    Fault(code="clock_wrapped", words="a 16 bit counter of ms rolls over", make=_wrapped, least="note"),
    Fault(code="odd_rate", words="ms stated as µs", make=stated(MS, 'unit = "us"'), least="error", says=MS),
    Fault(code="odd_rate", words="ms stated as s", make=stated(MS, 'unit = "s"'), least="error", says=MS),
    Fault(
        code="log_unreadable",
        words="counts written as hexadecimal ones, three runs beside it",
        make=_hexadecimal,
        least="error",
        says="hex_counts",
        among=True,
    ),
    Fault(code="clock_backwards", words="starts again from 0", make=_restarted, least="error"),
    Fault(code="clock_backwards", words="two blocks of 0.05 s swapped", make=_mixed_up, least="error"),
    Fault(code="uneven_clock", words="samples up to 0.7 of a step late (sd 20 %)", make=_jittered),
    Fault(code="gap", words="0.5 s lost", make=_gap(0.5)),
    Fault(code="gap", words="five times 0.1 s lost", make=_gap(0.1, 5)),
    Fault(code="gap", words="a quarter of the log lost", make=_lost_share, least="error"),
    Fault(code="repeated_rows", words="50 rows written twice", make=_twice),
    Fault(code="replayed_rows", words="2 s written a second time", make=_replayed),
    Fault(code="uneven_clock", words="every seventh row lost", make=_every_seventh_lost),
    Fault(
        code="rate_contradicted",
        words="a rate stated 5 % too high beside a clock",
        make=lambda log, _: log.said('time = { column = "t_ms", unit = "ms" }', f"rate_hz = {1.05 * log.rate_hz:g}"),
    ),
    Fault(code="repeated_header", words="the header once more", make=_header_again, least="note"),
    Fault(code="ragged_rows", words="0.1 % of rows lack a cell", make=_spoilt(_cut_row, 0.001)),
    Fault(code="missing_values", words="1 % of cells empty", make=_spoilt(_empty_cell, 0.01)),
    Fault(code="slow_rate", words="100 rows a second", make=_slow),
    Fault(code="lowers_low_pass", words="100 rows a second, three runs beside it", make=_slow, among=True),
    Fault(
        code="slow_glitches",
        words="six readings to full scale at 100 rows a second, jumps",
        make=_slow_glitches(100.0, FORK[1][0]),
        least="note",
        trail="jumps",
    ),
    Fault(
        code="slow_glitches",
        words="six readings to zero at 130 rows a second",
        make=_slow_glitches(130.0, 0.0),
        least="note",
    ),
    Fault(
        code="slow_glitches",
        words="six readings to full scale at 50 rows a second, samples up to 0.5 of a step late",
        make=_slow_glitches(50.0, TOP_COUNT, late=0.5),
        least="note",
    ),
    Fault(code="spikes", words="0.5 % of samples jump by 90 mm", make=_spikes),
    Fault(code="clipped", words="range ends 10 to 20 mm short of the deepest", make=_cut_short),
    Fault(
        code="clipped", words="readings end 10 to 20 mm short of the deepest, inside counts_range", make=_cut_in_silence
    ),
    Fault(code="clipped", words="nothing is read below 15 to 25 mm, jumps", make=_low_end_cut, trail="jumps"),
    Fault(
        code="clipped",
        words="range ends in bottom-outs, 25 mm short of the deepest",
        make=_cut_bottom_outs,
        trail="jumps",
        says="lower bound",
    ),
    Fault(code="dead_band", words="the fork's readings skip 3 mm at its median", make=_hole),
    Fault(code="line_noise", words="0.5 mm at 50 Hz", make=_tone(50.0, 0.5)),
    Fault(code="line_noise", words="0.3 mm at 63 Hz", make=_tone(63.0, 0.3)),
    Fault(code="stuck", words="stands for 5 s at 20 to 120 mm", make=_stuck, least="error"),
    Fault(code="stopped_dead", words="dead for 5 s, ±3 counts of noise", make=_dead(5.0, 3, both=False)),
    Fault(code="stopped_dead", words="both ends dead for 5 s", make=_dead(5.0, 0, both=True)),
    Fault(code="loose_contact", words="contact lost for 0.05 s, once", make=_lost_contact(1)),
    Fault(code="contact_lost_often", words="contact lost for 0.05 s, five times", make=_lost_contact(5)),
    Fault(
        code="supply_lost",
        words="0 V at both ends for the last third, samples up to 0.7 of a step late",
        make=_without_supply("fr", lambda _: 0.0),
        least="error",
    ),
    Fault(
        code="supply_lost",
        words="0 V at both ends for the last third, samples up to 0.7 of a step late, jumps",
        make=_without_supply("fr", lambda _: 0.0),
        least="error",
        trail="jumps",
    ),
    Fault(
        code="supply_lost",
        words="full scale at the fork for the second third, samples up to 0.7 of a step late",
        make=_without_supply("f", lambda _: TOP_COUNT, back=True),
        least="error",
    ),
    Fault(
        code="supply_lost",
        words="an input that floats at 120 to 160 mm for the last third, samples up to 0.7 of a step late",
        make=_without_supply("f", lambda rng: FORK[0][0] + FORK_PER_MM * rng.uniform(120, 160)),
        least="error",
    ),
    Fault(code="hardly_moves", words="the rear moves by 2 % of what it should (lever closed)", make=_closed),
    Fault(code="coarse_steps", words="7 bits in place of 12 (1.5 mm)", make=_coarse),
    Fault(
        code="poor_calibration",
        words="a third point 5 mm off the line",
        make=stated(FORK_POINTS, "[[212.0, 0.0], [1991.0, 90.0], [3770.0, 170.0]]"),
    ),
    Fault(
        code="beyond_travel",
        words="a slope 15 % too steep",
        make=stated(FORK_POINTS, "[[212.0, 0.0], [3770.0, 195.5]]"),
        trail="jumps",
    ),
    Fault(
        code="beyond_travel", words="the shock's sensor slips out by 4 mm of stroke", make=_shock_slipped, trail="jumps"
    ),
    Fault(
        code="outside_range",
        words="counts_range a quarter as wide as the converter's",
        make=stated("counts_range = [0, 4095]", "counts_range = [0, 1023]"),
    ),
    Fault(code="pushes_upside_down", words="both sensors wired the other way, nothing lifted", make=_both_upside_down),
    Fault(code="ends_opposed", words="the fork's sensor wired the other way", make=_reversed, least="error"),
    Fault(code="ends_swapped", words="plugs swapped", make=_swapped),
    Fault(code="ends_swapped", words="plugs swapped, jumps", make=_swapped, trail="jumps"),
    Fault(code="zero_shift", words="slips out by 5 mm before the run", make=_slipped(-5, inside=False), trail="jumps"),
    Fault(code="zero_shift", words="slips in by 5 mm before the run", make=_slipped(5, inside=False), trail="jumps"),
    Fault(code="zero_shift", words="slips out by 4 mm half-way", make=_slipped(-4, inside=True), trail="jumps"),
    Fault(code="zero_shift", words="slips in by 4 mm half-way", make=_slipped(4, inside=True), trail="jumps"),
    Fault(code="zero_drifts", words="zero drifts by 9 mm over the ride", make=_drifting),
    Fault(
        code="zero_drifts", words="zero drifts by 9 mm over the ride, three runs beside it", make=_drifting, among=True
    ),
    Fault(
        code="zero_drifts",
        words="zero lies 14 mm off in the middle third, three runs beside it",
        make=_off_in_the_middle,
        among=True,
    ),
    Fault(
        code="gain_shift",
        words="reads 0.8 times as much from half on, three runs beside it",
        make=_gain_from_half,
        among=True,
    ),
    Fault(code="ends_swapped", words="columns change places at 60 %", make=_columns_swapped(0.6, np.inf)),
    Fault(code="ends_swapped", words="columns change places from 70 to 82 %", make=_columns_swapped(0.7, 0.82)),
    Fault(code="zero_unchecked", words="fork opened that day, nothing lifted", make=_opened),
    Fault(code="travel_is_stated", words="no measured travel", make=stated(MEASURED, ""), least="note"),
    Fault(code="same_column", words="both ends of one column", make=stated('column = "A1"', 'column = "A0"')),
    Fault(code="pushes_one_end", words="the rear's plug is out", make=_dead_in_pushes),
    Fault(code="pushes_one_end", words="the fork's sensor wired the other way", make=_reversed),
    Fault(code="no_position_sensor", words="a speed sensor alone", make=_no_position, least="error"),
    Fault(
        code="marker_not_pressed",
        words="a button that is never pressed",
        make=stated("[setups", '[sensors.button]\nkind = "marker"\ncolumn = "A1"\nequals = 4095\n\n[setups'),
        least="note",
    ),
    Fault(code="loggers_joined", words="two loggers, 1.5 s and 20 ppm apart", make=apart(1.5, 20.0), least="note"),
    Fault(code="loggers_drift", words="two loggers, 400 ppm apart", make=apart(1.5, 400.0)),
    Fault(code="loggers_not_joined", words="two loggers, no pushes", make=_apart_without_pushes),
    Fault(code="loggers_overlap", words="the rear's logger stops at 60 %", make=_rear_covers_half),
    Fault(
        code="end_beyond_log",
        words="the log ends 5 s before end_s",
        make=lambda log, _: log.rows(log.time_ms <= 1000 * (float(re.findall(r"end_s = (.*)", log.day)[0]) - 5)),
    ),
    Fault(code="short_run", words="20 s of riding", make=_lasting(20.0)),
    Fault(code="not_riding", words="3 s of riding", make=_lasting(3.0), least="error"),
    Fault(code="untrimmed", words="no bounds and no pushes", make=_lasting(34.0), least="note"),
)
