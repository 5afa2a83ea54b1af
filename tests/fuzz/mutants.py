"""Ways to damage a log or a ride day's file, each from a random generator that is passed in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

Generator = np.random.Generator
JUNK = ("", "-", "NaN", "inf", "1e400", "0x1F", "12,5", "=1+1", "#", "\x1b[31m", "9" * 400, "é", "--5", "1.2.3", "null")
"""What a broken logger, a spreadsheet or malice puts into a cell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Damage:
    """One way to damage a text.

    `traces` tells whether what it does leaves a trace in the file: a cell that is none, a clock that jumps, rows that
    repeat, a channel that breaks. What leaves none is another, valid file.
    """

    name: str
    traces: bool
    work: Callable[[bytes, Generator], bytes]


def _lines(data: bytes) -> list[bytes]:
    return data.splitlines(keepends=True)


def _rows(data: bytes) -> tuple[bytes, list[bytes]]:
    """Return the header and the rows."""
    lines = _lines(data)
    return lines[0], lines[1:]


def _part(count: int, rng: Generator, longest: float = 0.3) -> slice:
    long = int(rng.integers(1, max(2, int(longest * count))))
    start = int(rng.integers(1, max(2, count - long - 1)))
    return slice(start, start + long)


def flip_bytes(data: bytes, rng: Generator) -> bytes:
    """Put other bytes in one to twenty places."""
    changed = bytearray(data)
    for place in rng.integers(0, len(data), int(rng.integers(1, 21))):
        changed[int(place)] = int(rng.integers(0, 256))
    return bytes(changed)


def flip_bits(data: bytes, rng: Generator) -> bytes:
    """Turn single bits round, as a bad card does."""
    changed = bytearray(data)
    for place in rng.integers(0, len(data), int(rng.integers(1, 200))):
        changed[int(place)] ^= 1 << int(rng.integers(0, 8))
    return bytes(changed)


def zeroed_block(data: bytes, rng: Generator) -> bytes:
    """Write NUL bytes over a block, as a card without power does."""
    start = int(rng.integers(0, len(data)))
    return data[:start] + b"\0" * min(512, len(data) - start) + data[start + 512 :]


def cut_anywhere(data: bytes, rng: Generator) -> bytes:
    """End the file in the middle of a row."""
    return data[: int(rng.integers(1, len(data)))].rstrip(b"\n") + b","


def cut_end(data: bytes, rng: Generator) -> bytes:
    """End the file after some whole row."""
    lines = _lines(data)
    return b"".join(lines[: int(rng.integers(2, len(lines) + 1))])


def cut_start(data: bytes, rng: Generator) -> bytes:
    """Leave out the first rows."""
    header, rows = _rows(data)
    return header + b"".join(rows[int(rng.integers(0, len(rows) - 1)) :])


def lose_rows(data: bytes, rng: Generator) -> bytes:
    """Leave out rows in the middle."""
    header, rows = _rows(data)
    gone = _part(len(rows), rng)
    return header + b"".join(rows[: gone.start] + rows[gone.stop :])


def repeat_rows(data: bytes, rng: Generator) -> bytes:
    """Write rows twice."""
    header, rows = _rows(data)
    again = _part(len(rows), rng)
    return header + b"".join(rows[: again.stop] + rows[again] + rows[again.stop :])


def swap_blocks(data: bytes, rng: Generator) -> bytes:
    """Let two neighbouring blocks of rows change places."""
    header, rows = _rows(data)
    block = _part(len(rows), rng, 0.2)
    long = block.stop - block.start
    after = rows[block.stop : block.stop + long]
    return header + b"".join(rows[: block.start] + after + rows[block] + rows[block.stop + long :])


def header_again(data: bytes, rng: Generator) -> bytes:
    """Write the header a second time between rows."""
    header, rows = _rows(data)
    place = int(rng.integers(1, len(rows)))
    return header + b"".join(rows[:place]) + header + b"".join(rows[place:])


def _cells(data: bytes) -> tuple[bytes, list[list[bytes]]]:
    header, rows = _rows(data)
    return header, [row.rstrip(b"\r\n").split(b",") for row in rows]


def _joined(header: bytes, cells: list[list[bytes]]) -> bytes:
    return header + b"".join(b",".join(row) + b"\n" for row in cells)


def junk_cells(data: bytes, rng: Generator) -> bytes:
    """Put junk into one to thirty cells."""
    header, cells = _cells(data)
    for place in rng.integers(0, len(cells), int(rng.integers(1, 31))):
        row = cells[int(place)]
        row[int(rng.integers(0, len(row)))] = JUNK[int(rng.integers(0, len(JUNK)))].encode()
    return _joined(header, cells)


def more_or_fewer_cells(data: bytes, rng: Generator) -> bytes:
    """Take a cell out of some rows, or put one in."""
    header, cells = _cells(data)
    for place in rng.integers(0, len(cells), int(rng.integers(1, 31))):
        row = cells[int(place)]
        if rng.random() < 0.5:
            row.pop(int(rng.integers(0, len(row))))
        else:
            row.insert(int(rng.integers(0, len(row) + 1)), b"17")
        if not row:
            row.append(b"")
    return _joined(header, cells)


def columns_change_places(data: bytes, rng: Generator) -> bytes:
    """Swap two columns from some row on, the header as it was: a plug pulled and put in elsewhere."""
    header, cells = _cells(data)
    first, second = (int(place) for place in rng.choice(len(cells[0]), 2, replace=False))
    for row in cells[int(rng.integers(0, len(cells) // 2)) :]:
        row[first], row[second] = row[second], row[first]
    return _joined(header, cells)


def columns_in_another_order(data: bytes, rng: Generator) -> bytes:
    """Write the columns in another order with their names: the same log."""
    header, cells = _cells(data)
    order = rng.permutation(len(cells[0]))
    names = header.rstrip(b"\r\n").split(b",")
    return _joined(
        b",".join(names[place] for place in order) + b"\n", [[row[place] for place in order] for row in cells]
    )


def _channel(cells: list[list[bytes]], rng: Generator) -> int:
    return int(rng.integers(1, len(cells[0])))


def stuck_channel(data: bytes, rng: Generator) -> bytes:
    """Hold a channel's reading for a tenth to all of the log."""
    header, cells = _cells(data)
    column = _channel(cells, rng)
    long = int(len(cells) * rng.uniform(0.1, 1.0))
    start = int(rng.integers(0, len(cells) - long + 1))
    for row in cells[start : start + long]:
        row[column] = cells[start][column]
    return _joined(header, cells)


def shifted_channel(data: bytes, rng: Generator) -> bytes:
    """Let a channel jump by a tenth of its range from some row on, as a clamp that slipped."""
    header, cells = _cells(data)
    column = _channel(cells, rng)
    for row in cells[int(rng.integers(len(cells) // 5, 4 * len(cells) // 5)) :]:
        row[column] = str(int(row[column]) + 320).encode()
    return _joined(header, cells)


def spikes(data: bytes, rng: Generator) -> bytes:
    """Put single wild readings into a channel."""
    header, cells = _cells(data)
    column = _channel(cells, rng)
    for place in rng.integers(0, len(cells), int(rng.integers(1, 40))):
        cells[int(place)][column] = str(int(rng.integers(0, 4096))).encode()
    return _joined(header, cells)


def clock_steps_back(data: bytes, rng: Generator) -> bytes:
    """Let the clock start anew at some row, as a logger that restarted."""
    header, cells = _cells(data)
    place = int(rng.integers(len(cells) // 10, len(cells)))
    zero = int(cells[place][0])
    for row in cells[place:]:
        row[0] = str(int(row[0]) - zero).encode()
    return _joined(header, cells)


def clock_stands(data: bytes, rng: Generator) -> bytes:
    """Hold the clock for a while."""
    header, cells = _cells(data)
    held = _part(len(cells), rng)
    for row in cells[held]:
        row[0] = cells[held.start][0]
    return _joined(header, cells)


def clock_jumps(data: bytes, rng: Generator) -> bytes:
    """Let the clock jump ahead by seconds."""
    header, cells = _cells(data)
    ahead = int(rng.integers(500, 20_000))
    for row in cells[int(rng.integers(1, len(cells))) :]:
        row[0] = str(int(row[0]) + ahead).encode()
    return _joined(header, cells)


def other_encoding(data: bytes, rng: Generator) -> bytes:
    """Write the text in another encoding: the same log."""
    names = ("utf-16", "utf-8-sig", "utf-16-be", "utf-16-le")
    return data.decode("ascii").encode(names[int(rng.integers(0, len(names)))])


def toml_value(data: bytes, rng: Generator) -> bytes:
    """Write another number for one of the file's numbers."""
    numbers = list(re.finditer(rb"(?<=[\s\[,=])\d+(\.\d+)?(?=[\s\],}])", data))
    found = numbers[int(rng.integers(0, len(numbers)))]
    new = [b"0", b"-1", b"1e9", b"12", b"3.5", b"nan", b"99999999999999999999"][int(rng.integers(0, 7))]
    return data[: found.start()] + new + data[found.end() :]


def toml_line(data: bytes, rng: Generator) -> bytes:
    """Leave out, repeat or swap lines."""
    lines = _lines(data)
    first, second = (int(place) for place in rng.integers(0, len(lines), 2))
    way = int(rng.integers(0, 3))
    if way == 0:
        lines.pop(first)
    elif way == 1:
        lines.insert(second, lines[first])
    else:
        lines[first], lines[second] = lines[second], lines[first]
    return b"".join(lines)


LOG: tuple[Damage, ...] = (
    Damage(name="bytes flipped", traces=True, work=flip_bytes),
    Damage(name="bits flipped", traces=True, work=flip_bits),
    Damage(name="a block of NUL", traces=True, work=zeroed_block),
    Damage(name="cut within a row", traces=True, work=cut_anywhere),
    Damage(name="cut after a row", traces=False, work=cut_end),
    Damage(name="first rows gone", traces=False, work=cut_start),
    Damage(name="rows lost", traces=True, work=lose_rows),
    Damage(name="rows repeated", traces=True, work=repeat_rows),
    Damage(name="blocks swapped", traces=True, work=swap_blocks),
    Damage(name="header again", traces=True, work=header_again),
    Damage(name="junk in cells", traces=True, work=junk_cells),
    Damage(name="cells more or fewer", traces=True, work=more_or_fewer_cells),
    Damage(name="columns change places", traces=True, work=columns_change_places),
    Damage(name="columns in another order", traces=True, work=columns_in_another_order),
    Damage(name="channel stuck", traces=True, work=stuck_channel),
    Damage(name="channel shifted", traces=True, work=shifted_channel),
    Damage(name="spikes", traces=True, work=spikes),
    Damage(name="clock steps back", traces=True, work=clock_steps_back),
    Damage(name="clock stands", traces=True, work=clock_stands),
    Damage(name="clock jumps", traces=True, work=clock_jumps),
    Damage(name="another encoding", traces=True, work=other_encoding),
)
DAY: tuple[Damage, ...] = (
    Damage(name="bytes of the day flipped", traces=False, work=flip_bytes),
    Damage(name="a value of the day", traces=False, work=toml_value),
    Damage(name="lines of the day", traces=False, work=toml_line),
)
BY_NAME: Mapping[str, Damage] = MappingProxyType({damage.name: damage for damage in (*LOG, *DAY)})
