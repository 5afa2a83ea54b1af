"""A day as one page sees it, and what a page answers: its finding, its panels, its facts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from bokeh.document import Document

from dashboards.figures.drawn import Drawn
from dashboards.theme import SetupStyle
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.bench import Bench
from telemetry.model.prediction import Predicted
from telemetry.pipeline import Along, ShownDay, Study
from telemetry.telling.earlier_laps import Lap

from .choice import Choice

EXPLORED = "Explored after the fact: numbers without verdicts"


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherLaps:
    """Laps of other days, as far as those have been read; `unread` are the earlier days that haven't."""

    laps: tuple[Lap, ...] = ()
    unread: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLinks:
    """Where a page of a day leads to besides its questions.

    Attributes
    ----------
    every_day : str
        What the list of all days is called; empty where there is no other.
    more : tuple of (words, link)
    writes : bool
        Whether its forms may be asked for: a kept day isn't changed.
    """

    every_day: str = ""
    more: tuple[tuple[str, str], ...] = ()
    writes: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPaper:
    """How far a ride on paper is: its answer, or why there is none, or what it is at.

    Attributes
    ----------
    predicted : Predicted or None
    trouble : str
    at : str
        What is being ridden, while it is.
    done : int
        How many rides on paper of this day had ended when the page was made: another number has it load again.
    """

    predicted: Predicted | None = None
    trouble: str = ""
    at: str = ""
    done: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A read day over what was chosen of it.

    Attributes
    ----------
    analysis : Analysis
        Of the whole day.
    done : Study
    choice : Choice
    seen : ShownDay
    styles : mapping of setup to SetupStyle
        Colours stay with a setup whatever is chosen, as long as the day has four setups or fewer.
    along : callable
        Returns the shown runs along the trail, worked out when first asked for.
    bench : callable
        Returns what the day's parts do, likewise.
    other_laps : callable
        Returns the laps of other days that are known, when first asked for.
    on_paper : callable
        Told baseline and candidate, None for the day's own, begins the ride on paper or returns how far it is; never
        waits for it.
    ridden_on_paper : callable
        Told the same, returns the answer where it is there by now; begins nothing.
    """

    analysis: Analysis
    done: Study
    choice: Choice
    seen: ShownDay
    styles: Mapping[str, SetupStyle]
    along: Callable[[], Along]
    bench: Callable[[], Bench]
    on_paper: Callable[[str | None, str | None], OnPaper]
    ridden_on_paper: Callable[[str, str], Predicted | None]
    other_laps: Callable[[], OtherLaps] = OtherLaps

    @property
    def comparison(self) -> Comparison | None:
        """The comparison over what was chosen; None with one setup."""
        return self.seen.comparison


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """What one page says and shows.

    Attributes
    ----------
    template : str
    finding : str
        One sentence.
    firm : str
        What of it stands in bold, first.
    panels : mapping of name to tuple of Drawn
    facts : mapping
        Everything else its template is filled with.
    live : callable, optional
        Told the document once its panels stand in it: what answers while the page is open.
    """

    template: str
    finding: str
    firm: str = ""
    panels: Mapping[str, tuple[Drawn, ...]] = field(default_factory=lambda: MappingProxyType({}))
    facts: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))
    live: Callable[[Document], None] | None = None
