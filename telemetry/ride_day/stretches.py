"""Named stretches of trail: in which run they were marked, and from when to when."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from telemetry.looks import as_seen
from telemetry.model.day import TrailStretch
from telemetry.model.phase import PHASES
from telemetry.model.within import AT
from telemetry.toml_problems import nearest
from telemetry.toml_tables import made

from . import tables as t
from .ends import stated
from .names import check_place_names
from .problems import Problems
from .runs import run_name

PARTS = (AT, ":")
"""What parts a measure from its end and from where it is taken: in a name it could be read either way."""
WHERE = ("run", "start_s", "end_s")


def read_stretches(
    listed: Sequence[t.StretchTable], runs: Sequence[t.RunTable], problems: Problems
) -> tuple[TrailStretch, ...]:
    """Return the named stretches of trail, checked; they may overlap.

    Parameters
    ----------
    listed : sequence of StretchTable
    runs : sequence of RunTable
    problems : Problems
    """
    found = tuple(made(TrailStretch, table) for table in listed)
    by_name = {run_name(table): table for table in runs}
    first: dict[tuple[str, str | None], int] = {}
    for number, stretch in enumerate(found, 1):
        key = f"stretches[{number}]"
        _check_name(stretch.name, f"{key}.name", problems)
        _check_where(stretch, key, by_name, problems)
        before = first.setdefault((stretch.name, stretch.run), number)
        if before < number:
            whose = "once more" if stretch.run is None else f"of {stretch.run} once more"
            problems.add(key, f"{stretch.name!r} {whose}, after stretches[{before}]", "each stretch once in a run")
    check_place_names("stretches", found, problems)
    return found


def _check_name(name: str, key: str, problems: Problems) -> None:
    if any(part in name for part in PARTS):
        problems.add(key, f"{name!r}", f"a name without {' or '.join(PARTS)}, which part a measure from its place")
    elif as_seen(name).casefold() in PHASES:
        problems.add(key, f"{name!r}, the name of a phase of the ride", "a name of its own")


def _check_where(stretch: TrailStretch, key: str, runs: Mapping[str, t.RunTable], problems: Problems) -> None:
    lacking = [name for name in WHERE if getattr(stretch, name) is None]
    if len(lacking) == len(WHERE):
        return
    if lacking:
        problems.add(f"{key}.{lacking[0]}", "nothing", "run, start_s and end_s, or none of them before riding")
        return
    run, start_s, end_s = stretch.run or "", stretch.start_s or 0.0, stretch.end_s or 0.0
    if run not in runs:
        problems.add(f"{key}.run", f"unknown run {run!r}", nearest(run, runs, "the name of a run"))
    elif start_s >= end_s:
        problems.add(f"{key}.end_s", f"{end_s:g} s", f"later than start_s, {start_s:g} s")
    else:
        stated_in = stated(runs[run])
        first, last = stated_in.get("start_s"), stated_in.get("end_s")
        if first is not None and start_s < first:
            problems.add(f"{key}.start_s", f"{start_s:g} s", f"from {first:g} s on, where {run} starts")
        if last is not None and end_s > last:
            problems.add(f"{key}.end_s", f"{end_s:g} s", f"{last:g} s at most, where {run} ends")
