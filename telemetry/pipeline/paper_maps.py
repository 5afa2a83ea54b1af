"""The baseline's stated parts beside the restoring-force maps of its own runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from telemetry.bench.damper import measured_damper
from telemetry.bench.paper.drawn import draws_of
from telemetry.bench.paper.known import PaperSetup
from telemetry.bench.paper.mapped import PLACES, checked, stated_forces, trail_forces
from telemetry.bench.paper.shown import ShownEnd, shown_end
from telemetry.bench.parts import springs_of
from telemetry.bench.stated import Stated
from telemetry.model.arrays import Floats
from telemetry.model.finding import End
from telemetry.model.force import ForceMap, NoForceMap, SpeedOf
from telemetry.model.parts_checked import CheckedEnd, CheckedForce, Part

from .paper_rides import PaperRun
from .paper_trials import SEED, Trying
from .studied import RunStudy

PLACES_TO_RIDE_BY = 2
"""At so many places a stated part has to part from its maps before these are ridden in its place: of 24 simulated
ends that were rightly stated one parted at one place, none at two."""
DRAWS = 48
"""Of all parts together, not ridden: how well stated forces are known. Own choice."""


def _drawn(trying: Trying) -> list[PaperSetup]:
    """Return the baseline with drawn parts, as often as one comes out that can be ridden."""
    alone = replace(trying, candidates=())
    draws, found = draws_of(alone.papers, DRAWS, (SEED, 3)), list[PaperSetup]()
    for number in range(DRAWS):
        try:
            found += alone.papers(draws.one(number))
        except ValueError:
            continue
    return found


def _refused(found: list[NoForceMap]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(f"no map of it: {one.reason}" for one in found))


def maps_of(runs: Sequence[RunStudy], end: End) -> list[ForceMap]:
    """Return the restoring-force maps of an end that runs give."""
    return [found for run in runs for found in run.force_maps if isinstance(found, ForceMap) and found.end == end]


def unmapped(runs: Sequence[RunStudy], end: End) -> tuple[str, ...]:
    """Return why no run with the sensors for it gives a map of an end; none where one does."""
    refused = [one for run in runs for one in run.force_maps if isinstance(one, NoForceMap) and one.end == end]
    return () if maps_of(runs, end) else _refused(refused)


def parts_by_maps(stated: Stated, runs: Sequence[RunStudy]) -> frozenset[Part]:
    """Return which parts of an end ride as the baseline's maps show them: those not stated, where runs give maps."""
    known: dict[Part, object] = {"spring": springs_of(stated), "damper": measured_damper(stated)}
    unstated = frozenset(part for part, held in known.items() if held is None)
    return unstated if maps_of(runs, stated.end) else frozenset()


def by_maps(stated: Mapping[End, Stated], runs: Sequence[RunStudy], ridden: Sequence[PaperRun]) -> dict[End, ShownEnd]:
    """Return what maps show of ends whose spring or damper isn't stated.

    Parameters
    ----------
    stated : mapping of end to Stated
        Of the baseline, those that are ridden.
    runs : sequence of RunStudy
        The baseline's, also those that aren't ridden because they lack the other end.
    ridden : sequence of PaperRun
        Those that are: about their mean travel a map is put right.
    """
    found = {end: parts_by_maps(own, runs) for end, own in stated.items()}
    return {
        end: shown_end(maps_of(runs, end), 1e3 * _settled_m(ridden, end), parts)
        for end, parts in found.items()
        if parts
    }


def by_contradicting_maps(trying: Trying, checks: Sequence[CheckedEnd]) -> Trying:
    """Return what is ridden, parts that contradict their maps at several places as these show them too."""
    shown, every = dict(trying.shown), [run.run for run in trying.runs]
    for check in checks:
        end, was = check.end, shown.get(check.end)
        unfit = frozenset(
            part for part in PLACES if sum(not force.fits for force in check.of(part)) >= PLACES_TO_RIDE_BY
        )
        if was is not None:
            shown[end] = replace(was, parts=was.parts | unfit)
        elif unfit:
            shown[end] = shown_end(maps_of(every, end), 1e3 * _settled_m(trying.runs, end), unfit)
    return replace(trying, shown=shown)


def with_rides(checks: Sequence[CheckedEnd], shown: Mapping[End, ShownEnd]) -> tuple[CheckedEnd, ...]:
    """Return each end's check with the parts that ride as its maps show them."""
    found = []
    for check in checks:
        own = shown[check.end].parts if check.end in shown else frozenset()
        found.append(replace(check, rides_by_map=tuple(part for part in PLACES if part in own)))
    return tuple(found)


def _settled_m(runs: Sequence[PaperRun], end: End) -> float:
    return float(np.mean([run.settled_m[end] for run in runs]))


def checked_ends(trying: Trying) -> tuple[CheckedEnd, ...]:
    """Return each end that carries both sensors, its stated parts beside what its maps show; none on other days.

    Parameters
    ----------
    trying : Trying
        Its parts as stated can be put on paper.
    """
    maps = [(run.run.entry.name, found) for run in trying.runs for found in run.run.force_maps]
    ends = [end for end in trying.ends if any(found.end == end for _, found in maps)]
    if not ends:
        return ()
    stated = replace(trying, candidates=()).papers()[0]
    drawn = _drawn(trying) or [stated]
    return tuple(
        _checked(trying, end, [(run, found) for run, found in maps if found.end == end], (stated, drawn))
        for end in ends
    )


def _checked(
    trying: Trying,
    end: End,
    maps: list[tuple[str, ForceMap | NoForceMap]],
    papers: tuple[PaperSetup, list[PaperSetup]],
) -> CheckedEnd:
    told = [(run, found) for run, found in maps if isinstance(found, ForceMap)]
    if not told:
        refused = [found for _, found in maps if isinstance(found, NoForceMap)]
        return CheckedEnd(end=end, runs=(), forces=(), unchecked=_refused(refused))
    settled_m = _settled_m(trying.runs, end)
    speed_of: SpeedOf = told[0][1].speed_of
    stated, drawn = papers
    own = stated_forces(stated, end, settled_m, speed_of)
    others = [stated_forces(paper, end, settled_m, speed_of) for paper in drawn]
    shown = trying.shown[end].parts if end in trying.shown else frozenset()
    parts = [part for part in PLACES if part not in shown]
    forces: list[CheckedForce] = []
    for part in parts:
        spread: Floats = np.array([other[part] for other in others]).reshape(-1, len(PLACES[part]))
        forces += checked(part, own[part], spread, trail_forces([found for _, found in told], part))
    return CheckedEnd(end=end, runs=tuple(run for run, _ in told), forces=tuple(forces))
