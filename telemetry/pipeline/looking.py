"""What a page shows of a studied day: pictures and a comparison over chosen setups, runs and trail sections."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from telemetry import comparison, measures
from telemetry.model.analysis import Comparison
from telemetry.model.curves import RunPicture
from telemetry.model.finding import Place
from telemetry.model.second_looks import SecondLooks
from telemetry.telling.summary import with_words

from .comparing import Wish, compared_setups, comparison_of
from .sharing import Sections, sections_of
from .study import RunStudy, Study, facts_for

CHOSEN = "explored after the fact"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A day over what was chosen of it.

    Attributes
    ----------
    pictures : tuple of RunPicture
        Of the runs that are shown, in the order ridden.
    values : mapping of run to mapping of (measure, end) to FamilyValue
        Over the chosen sections.
    comparison : Comparison or None
        None where fewer than two setups are shown. Without verdicts where runs or sections were chosen by looking.
    sections : Sections
        How the trail was shared, and which sections count.
    explored : bool
        Whether runs or sections were chosen after the rides were seen.
    """

    pictures: tuple[RunPicture, ...]
    values: Mapping[str, Mapping[tuple[str, Place], measures.FamilyValue]]
    comparison: Comparison | None
    sections: Sections
    explored: bool


def shown_runs(done: Study, wish: Wish) -> tuple[RunStudy, ...]:
    """Return the usable runs that a wish leaves, of every setup unless it names some; none left out by the day."""
    setups = None if wish.candidates is None else {wish.baseline, *wish.candidates}
    return tuple(
        run
        for run in done.runs
        if run.motion is not None
        and run.entry.leave_out is None
        and (wish.runs is None or run.entry.name in wish.runs)
        and (setups is None or run.entry.setup in setups)
    )


def explored(found: Comparison) -> Comparison:
    """Return the same numbers without any verdict: the runs or sections were chosen by looking."""
    verdicts = comparison.without_verdicts(found.verdicts, dict.fromkeys(found.candidates, CHOSEN))
    return with_words(replace(found, verdicts=verdicts, second=SecondLooks()))


def look(done: Study, wish: Wish) -> Seen | None:
    """Return a day over what was chosen of it; None where no usable run is left.

    Parameters
    ----------
    done : Study
    wish : Wish
        Names and section numbers that the day has.

    Raises
    ------
    CallError
        If the wish names what isn't there, or nothing of the trail is left.
    """
    runs = shown_runs(done, wish)
    if not runs:
        return None
    by_looking = wish.runs is not None or wish.sections is not None
    setups = {run.entry.setup for run in runs}
    found = None
    if len(setups) > 1:
        baseline, candidates = compared_setups(done.day, wish)
        ridden = tuple(name for name in candidates if name in setups)
        if baseline in setups and ridden:
            found = comparison_of(done, replace(wish, baseline=baseline, candidates=ridden))
            runs = tuple(run for run in runs if run.entry.setup in (baseline, *ridden))
    motions = {run.entry.name: run.motion for run in runs if run.motion is not None}
    sections = sections_of(done.day, motions, wish.sections)
    whole = wish.sections is None
    return Seen(
        pictures=tuple(
            measures.picture(
                motions[run.entry.name],
                run.entry.setup,
                run.entry.order,
                stretches=None if whole else sections.of(run.entry.name),
            )
            for run in runs
        ),
        values={
            run.entry.name: measures.family_values(
                motions[run.entry.name], sections.of(run.entry.name), facts_for(done.day, run.entry.setup)
            )
            for run in runs
        },
        comparison=explored(found) if found is not None and by_looking else found,
        sections=sections,
        explored=by_looking,
    )
