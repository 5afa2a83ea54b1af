"""What an unknown log is, a run or a recording off the trail: by its name, and by what its signals do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from telemetry.model.finding import ENDS, End
from telemetry.model.log import ColumnSketch

from .log_names import Kind, LetGo, Load, LogName

MOVES_SHARE = 0.03
"""An end moves within a half second where it does so by this share of full travel; own choice: 5 mm, beyond how a rider
sways."""
RIDDEN_SHARE = 0.3
"""A run moves in this share of its half seconds, a recording only while it is pushed; own choice."""
LONGEST_RECORDING_S = 45.0
"""Own choice: what moves for longer is no recording of a push."""
AT_REST_SHARE, TOPPED_OUT_SHARE, DEEPEST_SAG = 0.05, 0.04, 0.6
"""Of full travel, own choices: what counts as one depth; as topped out; as deeper than any bike sags."""
LIFTED_SHARE = 0.10
"""A recording named lifted that rests deeper than this is asked about: another zero moves by less. Own choice."""

Kinds: TypeAlias = Literal["run", "lifted", "sag", "settle", "bounce", "still"]
KINDS: tuple[Kinds, ...] = get_args(Kinds)
SAID = {
    "run": "it moves as a run does",
    "lifted": "both ends rest topped out",
    "sag": "the ends rest part of the way down",
    "settle": "an end goes to another depth and rests there",
    "bounce": "an end is pushed and swings back to where it was",
    "still": "nothing moves",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Which reading of a column is topped out, and which full travel or near it."""

    topped_out: float
    full: float

    def depths(self, column: ColumnSketch) -> tuple[tuple[float, float], ...]:
        """Return a column's outline in shares of full travel, the shallower first."""
        span = self.full - self.topped_out
        shares = (((low - self.topped_out) / span, (high - self.topped_out) / span) for low, high in column.outline)
        return tuple((min(pair), max(pair)) for pair in shares)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signals:
    """What the ends do in a log: outlines in shares of full travel; and how long the log is, s, where it tells."""

    depths: Mapping[End, tuple[tuple[float, float], ...]]
    duration_s: float | None

    @property
    def moving(self) -> float:
        """The share of half seconds in which the livelier end moves; 0 where no end is read."""
        shares = [sum(high - low > MOVES_SHARE for low, high in own) / len(own) for own in self.depths.values() if own]
        return max(shares, default=0.0)

    @property
    def ends_at(self) -> dict[End, float]:
        """How deep each end rests in the last quarter."""
        return {end: _middle(own[-max(1, len(own) // 4) :]) for end, own in self.depths.items() if own}

    @property
    def starts_at(self) -> dict[End, float]:
        """How deep each end is in the first half second."""
        return {end: sum(own[0]) / 2 for end, own in self.depths.items() if own}

    @property
    def strays(self) -> float:
        """How far an end goes from where it rests at last."""
        last = self.ends_at
        far = [abs(depth - last[end]) for end, own in self.depths.items() for pair in own for depth in pair]
        return max(far, default=0.0)

    @property
    def long(self) -> bool:
        """Whether it goes on for longer than any recording that is pushed."""
        return self.duration_s is not None and self.duration_s > LONGEST_RECORDING_S


def _middle(pairs: Sequence[tuple[float, float]]) -> float:
    middles = sorted((low + high) / 2 for low, high in pairs)
    return middles[len(middles) // 2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recognised:
    """What a log is.

    Attributes
    ----------
    kind : str
        ``"run"``, or the kind of recording.
    sure : bool
        Whether its name says so and its signals don't speak against it; a run needs no name.
    disagree : bool
        Whether its name says one thing and its signals another.
    why : str
        What was gone by, in words: ``"by its name"``, ``"both ends rest topped out"``.
    load, let_go : str or None
        Who was aboard, for sag; where it settled from.
    long : bool
        Whether it goes on for longer than any recording that is pushed: at rest so long, it may be a run unplugged.
    """

    kind: Kinds
    sure: bool
    why: str
    disagree: bool = False
    load: Load | None = None
    let_go: LetGo | None = None
    long: bool = False

    @property
    def question(self) -> str:
        """What has to be asked of it; empty where it is sure."""
        if self.sure:
            return ""
        said = "its name doesn't tell;"
        if self.disagree:
            said = "its name says a run, but" if self.kind == "run" else "its name says so, but"
        return f"is it {kind_in_words(self.kind)}? {said} {self.why}"


def kind_in_words(kind: Kinds) -> str:
    """Return what a log is, in words."""
    return "a run" if kind == "run" else f"a {kind} recording"


def recognised(name: LogName, signals: Signals) -> Recognised:
    """Return what a log is by its name before its signals; where the two disagree that is told.

    Parameters
    ----------
    name : LogName
    signals : Signals
        Of the ends that are read; none where nothing is known of its columns.
    """
    seen, let_go = seen_in(signals)
    if name.kind is not None:
        wrong = _against(name.kind, seen, signals)
        return Recognised(
            kind=name.kind,
            sure=not wrong,
            disagree=bool(wrong),
            why=wrong or "by its name",
            load=name.load if name.kind == "sag" else None,
            let_go=(name.let_go or (let_go if seen == "settle" else None)) if name.kind in ("settle", "sag") else None,
        )
    if seen is None or seen == "run":
        return Recognised(kind="run", sure=True, why=SAID["run"] if seen else "")
    if name.run:
        return Recognised(kind="run", sure=False, disagree=True, why=SAID[seen])
    load = name.load if seen == "sag" else None
    return Recognised(kind=seen, sure=False, why=SAID[seen], let_go=let_go, load=load, long=signals.long)


def seen_in(signals: Signals) -> tuple[Kinds | None, LetGo | None]:
    """Return what the signals alone look like, and where an end settled from; None where no end is read."""
    if not any(signals.depths.values()):
        return None, None
    if signals.moving >= RIDDEN_SHARE:
        return "run", None
    rests = signals.ends_at
    if signals.strays <= AT_REST_SHARE:
        if all(depth <= TOPPED_OUT_SHARE for depth in rests.values()):
            return "lifted", None
        return ("sag" if max(rests.values()) <= DEEPEST_SAG else "still"), None
    sunk = max((signals.starts_at[end] - depth for end, depth in rests.items()), key=abs)
    if abs(sunk) > AT_REST_SHARE:
        return "settle", "compressed" if sunk > 0 else "extended"
    return "bounce", None


def _against(kind: Kind, seen: Kinds | None, signals: Signals) -> str:
    """Return what the signals say against a named kind; empty where nothing does."""
    if seen is None:
        return ""
    moves = kind not in ("bounce", "settle", "sag")
    if seen == "run" and (moves or signals.long):
        return SAID["run"]
    rests = signals.ends_at
    if kind == "lifted" and max(rests.values()) > LIFTED_SHARE:
        return f"an end rests {100 * max(rests.values()):.0f} % down"
    if kind == "sag" and seen == "lifted":
        return SAID["lifted"]
    if kind == "bounce" and signals.strays <= AT_REST_SHARE:
        return SAID["still"]
    return ""


def signals_of(columns: Mapping[End, ColumnSketch], scales: Mapping[End, Scale], duration_s: float | None) -> Signals:
    """Return what the ends do by their columns' outlines.

    Parameters
    ----------
    columns : mapping of end to ColumnSketch
        The column of each end that is read.
    scales : mapping of end to Scale
    duration_s : float or None
    """
    depths = {end: scales[end].depths(columns[end]) for end in ENDS if end in columns and end in scales}
    return Signals(depths=depths, duration_s=duration_s)
