"""The controls above the figures: which setups, runs and trail sections count."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from telemetry.words import counted

from .view import View


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One check box: its value in the link, its words, the colour beside it, why it can't be chosen."""

    value: str
    words: str
    checked: bool
    token: str = ""
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chooser:
    """Everything a reader may choose.

    Attributes
    ----------
    setups, runs, sections : tuple of Box
    shared_by : str
        What the trail sections are.
    in_words : str
        What the figures count now.
    everything : str
        Link to the same page over everything; empty where that is what is shown.
    """

    setups: tuple[Box, ...]
    runs: tuple[Box, ...]
    sections: tuple[Box, ...]
    shared_by: str
    in_words: str
    everything: str


def _setups(view: View) -> Iterator[Box]:
    day, chosen = view.analysis.day, view.choice.setups
    for name in dict.fromkeys(run.setup for run in day.runs):
        style = view.styles.get(name)
        yield Box(
            value=name,
            words=day.setups[name].label,
            checked=chosen is None or name in chosen,
            token="" if style is None else style.token,
        )


def _runs(view: View) -> Iterator[Box]:
    chosen = view.choice.runs
    for run in view.analysis.runs:
        why = f"left out: {run.entry.leave_out}" if run.entry.leave_out else "" if run.measures else "not usable"
        style = view.styles.get(run.entry.setup)
        yield Box(
            value=run.entry.name,
            words=f"{run.entry.order} {run.entry.name}",
            checked=not why and (chosen is None or run.entry.name in chosen),
            token="" if style is None else style.token,
            why_not=why,
        )


def _sections(view: View) -> Iterator[Box]:
    sections = view.seen.sections
    broken = set(range(sections.count)) - set(sections.complete)
    for number in range(sections.count):
        yield Box(
            value=str(number + 1),
            words=str(number + 1),
            checked=number in sections.kept,
            why_not="not whole in every run" if number in broken else "",
        )


def _in_words(view: View) -> str:
    seen = view.seen
    parts = [counted(len(seen.pictures), "run")]
    if seen.sections.count > 1:
        every = len(seen.sections.kept) == seen.sections.count
        parts.append(f"{'all ' if every else f'{len(seen.sections.kept)} of '}{seen.sections.count} trail sections")
    return ", ".join(parts)


def chooser_of(view: View) -> Chooser:
    """Return the controls for a view."""
    chosen = (view.choice.setups, view.choice.runs, view.choice.sections) != (None, None, None)
    everything = view.choice.link(setups=None, runs=None, sections=None, event="", span=None)
    return Chooser(
        setups=tuple(_setups(view)),
        runs=tuple(_runs(view)),
        sections=tuple(_sections(view)) if view.seen.sections.count > 1 else (),
        shared_by=view.seen.sections.sharing.words,
        in_words=_in_words(view),
        everything=everything if chosen else "",
    )
