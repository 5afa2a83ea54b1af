"""What a page shows of a studied day: pictures and a comparison over chosen setups, runs and trail sections."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from telemetry import measures
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.curves import RunPicture
from telemetry.model.measure import MeasureAt

from .comparing import compared, compared_setups, explored, selected_runs
from .sharing import Sections, Sharing
from .studied import Behind, Selection, Study
from .valuing import valued


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownDay:
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
    values: Mapping[str, Mapping[MeasureAt, measures.FamilyValue]]
    comparison: Comparison | None
    sections: Sections
    explored: bool


def nothing_to_see() -> ShownDay:
    """Return a day without any usable run."""
    sections = Sections(sharing=Sharing(stretches={}, words=""), complete=(), kept=(), count=0)
    return ShownDay(pictures=(), values={}, comparison=None, sections=sections, explored=False)


def look(done: Study, selection: Selection, *, all_named: bool = False) -> ShownDay | None:
    """Return a day over what was chosen of it; None where no usable run is left.

    Parameters
    ----------
    done : Study
    selection : Selection
        Names and section numbers that the day has.
    all_named : bool
        Whether setups without a usable run are compared too, to be told so.

    Raises
    ------
    CallError
        If the selection names what isn't there, or nothing of the trail is left.
    """
    runs = selected_runs(done, selection)
    if selection.candidates is not None:
        runs = tuple(run for run in runs if run.entry.setup in (selection.baseline, *selection.candidates))
    if not runs:
        return None
    by_looking = selection.runs is not None or selection.sections is not None
    setups = {run.entry.setup for run in runs}
    baseline, ridden = "", tuple[str, ...]()
    if len(setups) > 1:
        baseline, candidates = compared_setups(done.day, selection)
        ridden = tuple(name for name in candidates if all_named or (baseline in setups and name in setups))
    if ridden:
        runs = tuple(run for run in runs if run.entry.setup in (baseline, *ridden))
    found = valued(done, runs, selection.sections)
    numbers = compared(found, baseline, ridden) if ridden else None
    return ShownDay(
        pictures=tuple(
            run.picture if selection.sections is None else run.picture_of(found.sections.of(run.entry.name))
            for run in runs
        ),
        values=found.values,
        comparison=explored(numbers) if numbers is not None and by_looking else numbers,
        sections=found.sections,
        explored=by_looking,
    )


def _behind(answer: Analysis | Comparison) -> Behind:
    """Return what an answer was made of; TypeError where it is none of the pipeline's."""
    if not isinstance(answer.behind, Behind):
        raise TypeError("an answer of telemetry.analyse or telemetry.compare is needed")
    return answer.behind


def study_behind(answer: Analysis | Comparison) -> Study:
    """Return a day's runs as they were studied for an answer of `analyse` or `compare`."""
    return _behind(answer).done


def shown_of(answer: Analysis | Comparison) -> tuple[Study, ShownDay]:
    """Return what an answer was made of, and that day over what was asked for.

    Parameters
    ----------
    answer : Analysis or Comparison
        As `analyse` or `compare` gives it.
    """
    behind = _behind(answer)
    return behind.done, look(behind.done, behind.selection) or nothing_to_see()
