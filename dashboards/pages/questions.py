"""The questions in the order a tuner asks them, and which of them a day can be asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from dashboards.content.forces import tells_forces
from dashboards.content.inertial import has_inertial
from dashboards.figures.runs_by_setup import measured_ends
from telemetry.errors import CallError
from telemetry.model.parts_stated import states_parts
from telemetry.pipeline import asks_what_next, markable
from telemetry.telling.sitting import sitting_table

from . import compared, expected, forces, lap, marking, measured, parts, shaken, sits, trust, where
from .view import Page, View


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One page: its name in links, its title, who answers."""

    name: str
    title: str
    answer: Callable[[View], Page]


COMPARED: tuple[Question, ...] = (
    Question(name="trust", title="Can the logs be trusted?", answer=trust.page),
    Question(name="sits", title="How does it sit?", answer=sits.page),
    Question(name="fair", title="Is it a fair comparison?", answer=compared.fair),
    Question(name="change", title="Did the change do anything?", answer=compared.change),
    Question(name="where", title="Where on the trail?", answer=where.page),
    Question(name="travel", title="How is the travel used?", answer=measured.travel),
    Question(name="speed", title="How fast does it move?", answer=measured.speed),
    Question(name="shaken", title="How hard does it hit?", answer=shaken.page),
    Question(name="parts", title="What do the parts do?", answer=parts.page),
    Question(name="forces", title="What are spring and damper doing?", answer=forces.page),
    Question(name="together", title="Do the ends work together?", answer=measured.together),
    Question(name="expected", title="What should it have done?", answer=expected.page),
    Question(name="next", title="What to try next?", answer=expected.next_page),
)
MARK = Question(name="mark", title="Mark the trail", answer=marking.page)
"""Reached from what it marks, so it isn't among the questions."""
LAP = Question(name="lap", title="What happened on this lap?", answer=lap.page)
NEED_TWO_SETUPS = frozenset({"fair", "change", "expected"})
NEED_ONE_SETUP = frozenset({"next"})
"""Asked where runs are of one setup; with two what was ridden goes before, and what to try next stands behind it."""
NEED_TRAVEL = frozenset({"where", "travel", "speed", "together", "expected", "next"})
"""Questions about travel: asked where an end's travel is measured in a run that is shown."""
NEED_INERTIAL = frozenset({"shaken"})
NEED_RECORDINGS = frozenset({"sits"})
NEED_PARTS = frozenset({"parts"})
NEED_BOTH_KINDS = frozenset({"forces"})
OPENS_WITH = ("change", "lap", "sits", "trust")
"""The first of these that a day can be asked."""


def questions_for(view: View) -> tuple[Question, ...]:
    """Return the questions a view can be asked, in order: with one setup the lap first, and no verdicts."""
    unable = set() if measured_ends(view.seen.pictures) else set(NEED_TRAVEL)
    unable |= set() if sitting_table(view.analysis) is not None else NEED_RECORDINGS
    unable |= set() if has_inertial(view.seen.pictures) else NEED_INERTIAL
    unable |= set() if tells_forces(view.analysis) else NEED_BOTH_KINDS
    unable |= set() if states_parts(view.analysis.day) else NEED_PARTS
    unable |= NEED_ONE_SETUP if view.comparison is not None else NEED_TWO_SETUPS
    unable |= set() if asks_what_next(view.analysis.day) else NEED_ONE_SETUP
    able = tuple(item for item in COMPARED if item.name not in unable)
    return (LAP, *able) if view.comparison is None and view.seen.pictures else able


def asked(view: View) -> Question:
    """Return the question a link asks; what happened, or whether the change did anything, where it names none.

    A question that needs two setups gives way to the lap where one is shown, one about travel where none is measured;
    without any usable run there is how the bike sits, and whether the logs can be trusted.

    Raises
    ------
    CallError
        If there is no such question.
    """
    every = {item.name: item for item in (*COMPARED, LAP, MARK)}
    name = view.choice.page
    if name and name not in every:
        raise CallError("this link", f"a page {name!r}", f"one of {', '.join(every)}", "choose one of the questions")
    if name == MARK.name and markable(view.done):
        return MARK
    able = {item.name: item for item in questions_for(view)}
    return able.get(name) or next(able[first] for first in OPENS_WITH if first in able)
