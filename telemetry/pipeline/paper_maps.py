"""The baseline's stated parts beside the restoring-force maps of its own runs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from telemetry.bench.paper.known import Drawn, PaperSetup
from telemetry.bench.paper.mapped import PLACES, checked, stated_forces, trail_forces
from telemetry.model.arrays import Floats
from telemetry.model.finding import End
from telemetry.model.force import ForceMap, NoForceMap, SpeedOf
from telemetry.model.parts_checked import CheckedEnd, CheckedForce, Part

from .paper_trials import SEED, Trying

DRAWS = 48
"""Of all parts together, not ridden: how well stated forces are known. Own choice."""


def _drawn(trying: Trying) -> list[PaperSetup]:
    """Return the baseline with drawn parts, as often as one comes out that can be ridden."""
    alone = replace(trying, candidates=())
    found: list[PaperSetup] = []
    for place in range(DRAWS):
        try:
            found += alone.papers(Drawn(np.random.default_rng((SEED, 3, place))))
        except ValueError:
            continue
    return found


def _refused(found: list[NoForceMap]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(f"no map of it: {one.reason}" for one in found))


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
    settled_m = float(np.mean([run.settled_m[end] for run in trying.runs]))
    speed_of: SpeedOf = told[0][1].speed_of
    stated, drawn = papers
    own = stated_forces(stated, end, settled_m, speed_of)
    others = [stated_forces(paper, end, settled_m, speed_of) for paper in drawn]
    parts: list[Part] = ["spring"]
    unchecked = []
    if (end, "unknown_damping") in stated.widths:
        unchecked.append("its damper isn't stated as measured: `damper_points`")
    else:
        parts.append("damper")
    forces: list[CheckedForce] = []
    for part in parts:
        spread: Floats = np.array([other[part] for other in others]).reshape(-1, len(PLACES[part]))
        forces += checked(part, own[part], spread, trail_forces([found for _, found in told], part))
    return CheckedEnd(end=end, runs=tuple(run for run, _ in told), forces=tuple(forces), unchecked=tuple(unchecked))
