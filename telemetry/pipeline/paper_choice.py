"""What is put on paper: which setups, which runs share their trail, which ends, and why another can't be."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.bench.paper.known import lacking, left_out
from telemetry.bench.springs import lacking_beside
from telemetry.bench.stated import stated_of
from telemetry.errors import CallError
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.prediction import NotRidden, by_reason

from .paper_maps import parts_by_maps, unmapped
from .parts_possible import require_possible
from .studied import RunStudy, Selection, baseline_of

UNMEASURED = "its travel isn't measured"


def _setups(day: RideDay, selection: Selection, candidate: str | None) -> tuple[Setup, Setup | None]:
    """Return baseline and candidate: as asked, as the day says, else the first setup ridden that isn't the baseline.

    No candidate where there is none and something is wished for.
    """
    first, second = selection.baseline or baseline_of(day), candidate or next(iter(selection.candidates or ()), None)
    for name in (first, second):
        if name is not None and name not in day.setups:
            found, expected = f"no setup {name!r}", "one of " + ", ".join(day.setups)
            raise CallError(str(day.path), found, expected, "name a setup of the day")
    every = (*day.comparison.candidates, *(run.setup for run in day.runs), *day.setups)
    second = second or next((name for name in every if name != first), None)
    if first is not None and second is None and day.wish is not None and day.wish.asks:
        return day.setups[first], None
    if first is None or second is None or first == second:
        found = f"{second!r} twice" if second is not None else "one setup" if day.setups else "no setup"
        remedy = "write the other under [setups] with based_on and what differs: it needn't have been ridden"
        raise CallError(str(day.path), found, "a baseline that was ridden and another setup", remedy)
    return day.setups[first], day.setups[second]


def ridden_setups(day: RideDay, selection: Selection, candidate: str | None) -> tuple[Setup, ...]:
    """Return baseline and candidate, if there is one; refuse a day without any run."""
    if not day.runs:
        remedy = "ride the baseline and add its logs; `telemetry bench` says what parts do without any"
        raise CallError(str(day.path), "no runs", "runs of the baseline", remedy)
    require_possible(day)
    own, other = _setups(day, selection, candidate)
    return (own,) if other is None else (own, other)


def compared_names(day: RideDay, selection: Selection, setups: Sequence[Setup]) -> tuple[str, ...]:
    """Return the setups whose runs share the trail: those that `compare` takes with the same arguments."""
    ridden = dict.fromkeys(run.setup for run in day.runs)
    asked = selection.candidates or day.comparison.candidates or tuple(ridden)
    return tuple(dict.fromkeys((*(setup.name for setup in setups), *asked)))


def ends_on_paper(
    day: RideDay, setups: Sequence[Setup], runs: Sequence[RunStudy]
) -> tuple[tuple[End, ...], tuple[NotRidden, ...]]:
    """Return the ends that can be put on paper, and why another, or a run that lacks one of them, can't.

    An end that some run measures and another doesn't costs that other run, not the end.
    """
    ends, absent = [], []
    whole = [run for run in runs if all(end in run.moved.ends for end in ENDS)]
    for end in ENDS:
        lost = [run.entry.name for run in runs if end not in run.moved.ends]
        shown = "spring" in parts_by_maps(stated_of(day, setups[0], end), runs)
        stated = [] if shown else [stated_of(day, setup, end) for setup in setups]
        gone = {item.reason for setup in setups for item in lacking(day, setup, end, shown=shown)}
        gone |= {found.reason for own in stated if (found := lacking_beside(own, stated)) is not None}
        if lost and not whole:
            where = f" in {', '.join(lost)}" if end in day.travel_ends else ""
            absent.append(NotRidden(what=f"the {end}", reason=f"{UNMEASURED}{where}"))
        elif gone:
            absent.append(NotRidden(what=f"the {end}", reason="; ".join((*sorted(gone), *unmapped(runs, end)))))
        else:
            ends.append(end)
            absent += [NotRidden(what=name, reason=f"the {end}'s travel isn't measured in it") for name in lost]
            every = () if shown else setups
            told = {item.what: item.reason for setup in every for item in left_out(day, setup, end)}
            absent += [NotRidden(what=f"{what} of the {end}", reason=reason) for what, reason in told.items()]
    rough = [run.entry.name for run in runs if run.moved.ride.clocks == "rough"]
    if len(ends) == len(ENDS) and rough:  # both would be ridden as one bike
        left = ends.pop(0 if setups[0].front == setups[-1].front else 1)
        absent.append(NotRidden(what=f"the {left}", reason=f"its clock is joined too roughly in {', '.join(rough)}"))
    return tuple(ends), tuple(absent)


def runs_left_out(runs: Sequence[RunStudy], baseline: str) -> tuple[NotRidden, ...]:
    """Return the baseline's runs that take no part, each with why: in the day's words, or as it can't be measured."""
    lost = (run for run in runs if run.entry.setup == baseline and not run.usable)
    return tuple(
        NotRidden(
            what=run.entry.name,
            reason=run.entry.leave_out or run.why_not.removeprefix(f"{run.entry.name}: ").partition("; ")[0],
        )
        for run in lost
    )


def no_run(day: RideDay, baseline: str, runs: Sequence[RunStudy]) -> CallError:
    """Return what to say where the baseline has no run that can be ridden again: why of each, what was ridden else.

    Parameters
    ----------
    day : RideDay
    baseline : str
    runs : sequence of RunStudy
        Of the whole day.
    """
    others = dict.fromkeys(run.entry.setup for run in runs if run.usable)
    own = [run.entry.name for run in runs if run.usable and run.entry.setup == baseline]
    lost = [] if own else by_reason(runs_left_out(runs, baseline))
    remedy = f"choose runs of it, too: {', '.join(own)}" if own else "`telemetry check` says more"
    if others and not any(run.setup == baseline for run in day.runs):
        remedy = f"ride it, or name another baseline: {', '.join(others)}"
    found = f"no usable run of {baseline}"
    return CallError(
        str(day.path), f"{found} ({'; '.join(lost)})" if lost else found, "a baseline that was ridden", remedy
    )


def no_end(day: RideDay, absent: tuple[NotRidden, ...]) -> CallError:
    """Return what to say where neither end can be put on paper."""
    expected = "an end whose travel is measured and whose parts are known"
    remedy = "state springs, damper and masses as `telemetry bench` asks for them"
    if all(item.reason.startswith(UNMEASURED) for item in absent):
        remedy = "log an end's travel: what sensors of acceleration alone tell can't be ridden on paper"
    return CallError(str(day.path), "; ".join(by_reason(absent)), expected, remedy)
