"""The first draft of a ``ride_day.toml`` from the logs a folder holds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from telemetry.errors import clean_text
from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.model.sensor import ColumnName
from telemetry.toml_string import toml_string

from . import draft_words as words
from .arranging import NewLog
from .draft_ends import column_words, end_tables, sensor_tables
from .draft_inertial import inertial_tables
from .folder import Folder, look_at
from .leverage_file import LeverageFileError, leverage_files, read_leverage_file

SHOWN = 3
TOGETHER_S = 1.0
"""Own choice: a logger begins both its files within a second, and neither with its clock at zero, as any logger may."""
FIRST_SETUP = "as_it_came"


def draft_ride_day(sketches: Sequence[LogSketch], today: dt.date, ridden: dt.date | None = None) -> str:
    """Return the text of a first ``ride_day.toml``.

    Parameters
    ----------
    sketches : sequence of LogSketch
        Logs that could be read, at least one, all of one folder.
    today : date
        No log was made later.
    ridden : date, optional
        The day ridden, where it is stated.

    Returns
    -------
    str
        TOML. What the logs can't tell stands in comments marked TO DO, and what a day can't do without is among
        them: the draft is refused until it has been filled in.
    """
    found = look_at(sketches, today)
    folder = sketches[0].path.resolve().parent
    ends = [end for item in found.sketches for end in found.layout.columns(item)]
    parts = [
        words.HEAD.format(title=toml_string(folder.name), date=date_line(found, today, ridden)),
        *end_tables(set(ends), *_leverage(sketches)),
        *_listing(found),
        _clock(found),
        *_long(found),
        *_same_clock(found),
        _hexadecimal(found),
        *sensor_tables(found),
        *_inertial(found, by_position=bool(ends)),
        words.SETUPS,
        words.SETUP_OF_RUNS if found.runs else "",
        *logs_text(found, dict.fromkeys((run.log.name for run in found.runs), FIRST_SETUP), {}),
        *_lacking(found, by_position=bool(ends)),
        words.LATER_BY_POSITION if ends else words.LATER,
    ]
    return "".join(parts)


def date_line(found: Folder, today: dt.date, ridden: dt.date | None) -> str:
    """Return the day as the logs tell it; where they don't, or tell several, a question with what can be said.

    Parameters
    ----------
    found : Folder
    today : date
    ridden : date or None
        Where it is stated.
    """
    if ridden is not None:
        return f"date = {ridden.isoformat()}\n"
    if len(found.days) == 1:
        return words.DATE.format(date=found.days[0].isoformat())
    if found.days:
        told = " and ".join(day.isoformat() for day in sorted(found.days)[:SHOWN])
        return words.SEVERAL_DATES.format(date=found.days[0].isoformat(), told=told)
    if found.day_and_month:
        day, other = found.day_and_month
        return words.DAY_OR_MONTH.format(date=day.isoformat(), other=other.isoformat())
    return words.NO_DATE.format(hint=_last_written(found, today).isoformat())


def _last_written(found: Folder, today: dt.date) -> dt.date:
    times = [own.path.stat().st_mtime for own in found.sketches if own.path.is_file()]
    return dt.date.fromtimestamp(max(times)) if times else today  # noqa: DTZ012 - the tuner's own day


def _leverage(sketches: Sequence[LogSketch]) -> tuple[str | None, float | None]:
    """Return the only leverage file that lies beside the logs and its full stroke, mm."""
    parent = sketches[0].path.parent
    files = leverage_files(parent) if parent.is_dir() else []
    if len(files) != 1:
        return None, None
    try:
        return files[0].name, read_leverage_file(files[0]).stroke_mm[-1]
    except LeverageFileError:
        return None, None


def _first(found: Folder) -> LogSketch:
    return found.sketch((found.runs or found.recordings)[0])


def logs_text(
    found: Folder, setups: Mapping[str, str], asked: Mapping[str, str], at_rest: tuple[str, str] = (FIRST_SETUP, "")
) -> Iterator[str]:
    """Return the tables of runs and recordings.

    Parameters
    ----------
    found : Folder
    setups : mapping
        Which setup each run was ridden with, by its (front) log.
    asked : mapping
        What is asked of a run's setup, as a comment, by its (front) log.
    at_rest : (setup, asked)
        What recordings were made with where there is no run, and what is asked of it.
    """
    yield from _other_columns(found)
    if not found.timed and found.runs:
        yield words.ORDER
    elif found.timed:
        yield words.TIMED
    for run in found.runs:
        yield _run(run, setups[run.log.name], asked.get(run.log.name, ""), timed=found.timed)
    for item in found.recordings:
        setup, question = _setup_of(item, found, setups) or at_rest
        yield _recording(item, f"{toml_string(setup)}{question}", found)


def _setup_of(item: NewLog, found: Folder, setups: Mapping[str, str]) -> tuple[str, str] | None:
    """Return what a recording was made with: the setup of the run it stands before, else of the first, or the last."""
    named = [run for run in found.runs if run.name == item.before_run]
    run = next(iter([*named, *(found.runs[-1:] if item.after_all else found.runs)]), None)
    return None if run is None else (setups[run.log.name], "")


def _run(run: NewLog, setup: str, asked: str, *, timed: bool) -> str:
    if not run.what.sure:
        why = clean_text(run.what.question)
        return words.NO_RUN.format(log=toml_string(run.log.name), why=why, setup=toml_string(setup))
    log, name = toml_string(run.log.name), ""
    if run.rear_log is not None:
        log = f"{{ front = {log}, rear = {toml_string(run.rear_log.name)} }}"
        name = f"name = {toml_string(run.name)}\n"
    started = f"started_at = {run.started_at.isoformat(timespec='seconds')}\n" if timed and run.started_at else ""
    return f"[[runs]]\nlog = {log}\n{name}setup = {toml_string(setup)}{asked}\n{started}"


def _recording(item: NewLog, setup: str, found: Folder) -> str:
    what = item.what
    lines = [
        f"log = {toml_string(item.log.name)}",
        f'kind = "{what.kind}"' + ("" if not what.sure else "                     # by its name; check it"),
        f"setup = {setup}",
    ]
    end = found.layout.end_of(found.sketch(item))
    if found.of_one_end and end is not None:
        lines.append(f'end = "{end}"                      # the only one in it')
    if item.before_run is not None:
        by_time = found.timed and item.started_at is not None
        by = words.BY_TIME if by_time else words.BY_COUNT if found.may_count_recordings(item) else words.BY_NUMBER
        lines.append(f"before_run = {toml_string(item.before_run)}            # {by}")
    if what.kind == "sag":
        lines.append(words.SAG_LOAD if what.load is None else f'load = "{what.load}"')
    if what.kind == "settle":
        lines.append(words.SETTLE_FROM if what.let_go is None else f'from = "{what.let_go}"          # check it')
    log = clean_text(toml_string(item.log.name))
    head = "" if what.sure else words.ASKED.format(log=log, why=clean_text(what.question))
    text = "[[static]]\n" + "\n".join(lines) + "\n"
    after = item.after_all and what.kind == "lifted"
    if after:
        head = words.AFTER_ALL.format(log=log) + head
    return f"\n{head}{_marked(text) if what.disagree or after else text}"


def _marked(text: str) -> str:
    """Return lines as comments, those that are none yet."""
    return "".join(line if line.startswith("#") else f"# {line}" for line in text.splitlines(keepends=True))


def _other_columns(found: Folder) -> Iterator[str]:
    """Return what is said of runs in which columns are missing that the drafted sensors read."""
    first = _first(found)
    read = {column.name for column in first.columns if column.proposal == "inertial"}
    read |= {own.column.name for own in found.layout.columns(first).values()}
    others = [
        run.log.name
        for run in found.runs
        if run.rear_log is None and not read <= {column.name for column in found.sketch(run).columns}
    ]
    if others and not found.of_one_end:
        shown = ", ".join(map(toml_string, others[:SHOWN])) + (" and others" if len(others) > SHOWN else "")
        yield words.OTHER_COLUMNS.format(logs=shown)


def _lacking(found: Folder, *, by_position: bool) -> Iterator[str]:
    """Return what is asked for that no recording gives: zero and sag, or what inertial sensors alone read at rest."""
    asked = {"still": words.NO_STILL} if any(sensor.whole for sensor in _first(found).inertial) else {}
    asked = {"lifted": words.NO_LIFTED, "sag": words.NO_SAG} if by_position else asked
    kinds = {item.what.kind for item in found.recordings}
    yield from (text for kind, text in asked.items() if kind not in kinds)


def _inertial(found: Folder, *, by_position: bool) -> Iterator[str]:
    """Return what is said of inertial sensors and ground speed, of the first log and of a rear logger's."""
    first = _first(found)
    numbered = {column.number: clean_text(column_words(column, first)) for column in first.columns}
    taken = [name for name, own in (("fork", "front"), ("shock", "rear")) if own in _ends(found)]
    yield from inertial_tables(first.inertial, numbered.__getitem__, taken, marked=by_position)
    if not by_position and not any(sensor.whole for sensor in first.inertial):
        yield words.NO_SENSOR
    for column in first.columns:
        if column.proposal == "ground_speed":
            yield words.SPEED.format(column=clean_text(column_words(column, first)))


def _ends(found: Folder) -> set[str]:
    return {end for item in found.sketches for end in found.layout.columns(item)}


def _listing(found: Folder) -> Iterator[str]:
    """Return the logs found, and the columns of those that are alike with their range over all of them."""
    for group in found.layout.groups:
        yield "\n"
        for sketch in group:
            yield f"# {clean_text(toml_string(sketch.path.name))}: {sketch.rows} rows; {clean_text(sketch.dialect)}\n"
        for column in group[0].columns:
            loose = column in found.layout.loose(group[0])
            called = "rows of a sensor" if column.of_rows else f"column {column.number}"
            yield f"#   {called}{_listed(column, group, loose=loose)}\n"


def _listed(column: ColumnSketch, group: Sequence[LogSketch], *, loose: bool) -> str:
    own = [sketch.columns[column.number - 1] for sketch in group]
    lows = [other.lowest for other in own if other.lowest is not None]
    highs = [other.highest for other in own if other.highest is not None]
    span = f"{min(lows):g} to {max(highs):g}" if lows and highs else "text"
    most_empty = max(other.empty_share for other in own)
    empty = f", up to {100 * most_empty:.0f} % empty" if most_empty > 0 else ""
    looks = "" if column.proposal == "unknown" or loose else f"; looks like {column.proposal.replace('_', ' ')}"
    name = column_words(column, group[0])
    called = "" if name == str(column.number) else f", {clean_text(name)}"
    return f"{called}: {span}{empty}{looks}"


def _clock(found: Folder) -> str:
    sketch = _first(found)
    time = next((column for column in sketch.columns if column.proposal == "time"), None)
    if time is None:
        return _rate(found)
    unit = f', unit = "{time.time_unit}"' if time.time_unit else ""
    return words.CLOCK.format(column=column_words(time, sketch), unit=unit)


def _long(found: Folder) -> Iterator[str]:
    """Return how rows are read that hold one sensor each; a question where they hold several readings."""
    sketch = next((own for own in found.sketches if own.long is not None or own.many_values), None)
    if sketch is not None and sketch.long is not None:
        sensor, value = (_written(column) for column in (sketch.long.sensor, sketch.long.value))
        yield words.LONG.format(sensor=sensor, value=value)
    elif sketch is not None:
        yield words.LONG_SEVERAL.format(columns=clean_text(", ".join(map(_written, sketch.many_values))))


def _same_clock(found: Folder) -> Iterator[str]:
    """Return the question whether two files are one logger's, where the stamps of a run's begin together."""
    firsts = [
        (first_s, last_s)
        for run in found.runs
        if run.rear_log is not None
        if (first_s := found.sketch(run).first_s) is not None
        if (last_s := next(own.first_s for own in found.sketches if own.path == run.rear_log)) is not None
    ]
    if firsts and all(abs(one - other) <= TOGETHER_S and min(one, other) > TOGETHER_S for one, other in firsts):
        front, rear = (f"{seconds:.3f}" for seconds in firsts[0])
        yield words.SAME_CLOCK.format(front=front, rear=rear)


def _written(column: ColumnName) -> str:
    return toml_string(column) if isinstance(column, str) else str(column)


def _rate(found: Folder) -> str:
    """Return the rate that logs without a clock state above their readings; else the question."""
    stated = [own.preface for own in found.sketches if own.preface.rate_hz is not None]
    if not stated:
        return words.NO_CLOCK
    rates = list(dict.fromkeys(f"{own.rate_hz:g}" for own in stated))
    if len(rates) == 1 and all(own.rate_is_sure for own in stated):
        return words.RATE.format(rate=rates[0])
    return words.RATE_TO_CHECK.format(rate=rates[0], read=" or ".join(rates[:SHOWN]))


def _hexadecimal(found: Folder) -> str:
    """Return what is stated of logs whose readings can be nothing but hexadecimal counts."""
    example = next((own.hex_example for own in found.sketches if own.hex_example is not None), None)
    return "" if example is None else words.HEXADECIMAL.format(example=clean_text(toml_string(example)))
