"""A new log entered: what it is, with which setup, and what else is known of it; one question a screen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from telemetry.errors import CallError, clean_text
from telemetry.model.day import RideDay, RunEntry, Setup
from telemetry.model.finding import ENDS
from telemetry.pipeline import last_ridden, new_logs
from telemetry.ride_day import KINDS, Kinds, NewLog, kind_in_words, raw_of, spelled, spellings_of

from .entries import NEXT_RUN, OF_KIND, tyre_field
from .fields import Field, Fields, Mistakes, options
from .new_logs import new_log

PAGE = "enter"
HOW: Mapping[Kinds, str] = {
    "run": "on the trail",
    "lifted": "both wheels off the ground, nobody aboard",
    "sag": "at rest",
    "settle": "let go and left to rest",
    "bounce": "pushed once, rider aboard, let go",
    "still": "nothing moves",
}
LOADS = (("standing", "the rider, standing"), ("seated", "the rider, seated"), ("bike_alone", "nobody: the bike alone"))
SIDES = (("compressed", "pressed down and let go"), ("extended", "raised and let down"))
PULLED = (("", "no, it came out by itself"), ("yes", "yes, pulled out against its negative spring"))
NEEDED = frozenset({"kind", "pair", "setup", "before", "load", "side"})
OF_RUN = ("setup", "tyres", "gauge", "levers", "trail", "words")


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """One question about a new log.

    Attributes
    ----------
    title : str
    fields : tuple of Field
    keeps : tuple of (name, value)
        What was answered before.
    step, back : str
        Its own name; that of the question before, empty on the first.
    after : str
        The name of the next question; empty on the last.
    enough : bool
        Whether all that must be asked has been: what comes later may be left out.
    mistake : str
        What is wrong and of no field here.
    number, count : int
    """

    title: str
    fields: tuple[Field, ...]
    keeps: Fields
    step: str
    back: str
    after: str
    enough: bool
    mistake: str
    number: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A new log, what was answered of it so far, and what is wrong with that."""

    day: RideDay
    looks: NewLog
    one: Mapping[str, str]
    mistakes: Mistakes
    raw: Mapping[str, Any]

    @property
    def kind(self) -> str:
        return self.one.get("kind") or self.looks.what.kind

    @property
    def setup(self) -> Setup:
        name = self.one.get("setup_of") or last_ridden(self.day) or ""
        if name not in self.day.setups:
            raise CallError("this link", f"no setup {clean_text(name, longest=80)!r}", "one of the day's setups")
        return self.day.setups[name]

    @property
    def last(self) -> RunEntry | None:
        return self.day.runs[-1] if self.day.runs else None

    def at(self, name: str, otherwise: str = "") -> str:
        return self.one.get(name, otherwise)

    def field(self, name: str, words: str, **more: Any) -> Field:
        return Field(name=name, words=words, mistake=self.mistakes.get(name, ""), **more)

    def choice(self, name: str, words: str, answers: tuple[tuple[str, str], ...], chosen: str, note: str = "") -> Field:
        found = options(answers, self.at(name, chosen), note if self.at(name, chosen) == chosen else "")
        return self.field(name, words, kind="choice", options=found)


def steps_of(day: RideDay, kind: str, *, two_logs: bool = False) -> tuple[str, ...]:
    """Return the questions asked of a log of a kind, in order."""
    pair = ("pair",) if two_logs or any(run.rear_log is not None for run in day.runs) else ()
    if kind == "run":
        return ("kind", *pair, *OF_RUN)
    return ("kind", "setup", *(("before",) if day.runs else ()), *OF_KIND.get(kind, ()))


def screen(day: RideDay, fields: Fields, step: str, mistakes: Mistakes | None = None) -> Screen:
    """Return one question about a new log.

    Parameters
    ----------
    day : RideDay
    fields : sequence of (name, value)
        What was answered before.
    step : str
        Which question; the first where there is none of that name.
    mistakes : mapping, optional
        What is wrong with the answers: the first question that a mistake is of is asked again.

    Raises
    ------
    CallError
        If there is no such new log.
    """
    if not day.setups:
        raise CallError(day.path.name, "no setup yet", "one that it was made with", "add one under What is set?")
    one, wrong = dict(fields), dict(mistakes or {})
    looks = new_log(day, one.get("name", ""))
    asked = _Asked(day=day, looks=looks, one=one, mistakes=wrong, raw=raw_of(day))
    steps = steps_of(day, asked.kind, two_logs=looks.rear_log is not None)
    every = {name: _QUESTIONS[name](asked) for name in steps}
    mistaken = next((name for name, (_, shown) in every.items() if any(item.mistake for item in shown)), None)
    own = mistaken or (step if step in steps else steps[-1] if wrong else steps[0])
    title, shown = every[own]
    place = steps.index(own)
    # going back, what comes later is asked anew: another setup has other tyres. What is mended keeps all that was said
    kept = steps if wrong else steps[:place]
    keeps = {item.name for name in kept if name != own for item in every[name][1]} | {"name"}
    return Screen(
        title=title,
        fields=shown,
        keeps=tuple((name, value) for name, value in fields if name in keeps),
        step=own,
        back=steps[place - 1] if place else "",
        after=steps[place + 1] if place + 1 < len(steps) else "",
        enough=not NEEDED & set(steps[place + 1 :]),
        mistake=wrong.get("", ""),
        number=place + 1,
        count=len(steps),
    )


def _kind(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    what = asked.looks.what
    note = f"its name says so, but {what.why}" if what.disagree else f"it looks like one: {what.why}"
    kinds = tuple((kind, f"{kind_in_words(kind)}: {HOW[kind]}") for kind in KINDS)
    field = asked.choice("kind", "It is", kinds, what.kind, note if what.why else "")
    return f"What is {clean_text(asked.looks.log.name, longest=80)}?", (field,)


def _pair(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    others = [log.name for log in new_logs(asked.day) if log != asked.looks.log]
    answers = (("", "no: both ends are in this log"), *((name, clean_text(name, longest=80)) for name in others))
    usual = "" if asked.looks.rear_log is None else asked.looks.rear_log.name
    return "Has the rear a log of its own?", (asked.choice("rear_log", "The rear's log", answers, usual),)


def _setup(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    answers = tuple((name, setup.label) for name, setup in asked.day.setups.items())
    last = last_ridden(asked.day) or ""
    field = asked.choice("setup_of", "The setup", answers, last, "as the last run" if asked.day.runs else "")
    return "What was set?", (field,)


def _tyres(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    shown = []
    for end in ENDS:
        key = spelled("tyre_pressure_bar", asked.raw)
        unit = dict(spellings_of("tyre_pressure_bar"))[key]
        held = asked.setup.at(end).settings.get("tyre_pressure_bar")
        hint = f"in {unit}; {asked.setup.label} has " + (f"{held.entered}" if held else "none stated")
        value = asked.at(tyre_field(end), held.entered if held else "")
        shown.append(asked.field(tyre_field(end), f"{end.capitalize()} tyre", value=value, hint=hint))
    return "Tyre pressures before the run?", tuple(shown)


def _gauge(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    shown = []
    for end in ENDS:
        key = f"pressure_after_{end}_bar"
        value = None if asked.last is None else getattr(asked.last, key)
        last = "" if value is None else f"; {value:.3g} bar after the last run"
        shown.append(_of_run(asked, key, f"{end.capitalize()}, after the run", last))
    return "What did the gauge say after the run?", tuple(shown)


def _levers(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    shown = []
    for end in ENDS:
        value = (None if asked.last is None else getattr(asked.last, f"lever_{end}")) or ""
        hint = "open, middle, firm, or words of yours" + ("; as on the last run" if value else "")
        name = f"v_lever_{end}"
        shown.append(asked.field(name, f"{end.capitalize()} lever", value=asked.at(name, value), hint=hint))
    return "Where did the levers stand?", tuple(shown)


def _trail(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    temperature = _of_run(asked, "air_temperature_c", "Air temperature", "")
    rows = [temperature]
    for key, words, usual in (
        ("rider", "Rider", asked.day.rider),
        ("trail_state", "State of the trail", asked.day.trail_state),
    ):
        value = (None if asked.last is None else getattr(asked.last, key)) or ""
        hint = "as on the last run" if value else f"else as the day: {usual}" if usual else ""
        rows.append(asked.field(f"v_{key}", words, value=asked.at(f"v_{key}", value), hint=hint))
    return "Weather, rider, trail?", tuple(rows)


def _of_run(asked: _Asked, key: str, words: str, more: str) -> Field:
    unit = dict(spellings_of(key))[spelled(key, asked.raw)]
    return asked.field(f"v_{key}", words, value=asked.at(f"v_{key}"), hint=f"in {unit}{more}")


def _words(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    field = asked.field("v_note", "In the rider's words", kind="words", value=asked.at("v_note"))
    return "What did the rider say?", (field,)


def _before(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    runs = tuple((run.name, f"{run.name} ({asked.day.setups[run.setup].label})") for run in asked.day.runs)
    looks, known = asked.looks, {run.name for run in asked.day.runs}
    later = looks.after_all or (looks.before_run is not None and looks.before_run not in known)
    usual = NEXT_RUN if later else looks.before_run or ""
    answers = (*runs, (NEXT_RUN, "a run that isn't entered yet"))
    field = asked.choice("v_before_run", "Made before", answers, usual, "by its time or number" if usual else "")
    return "Before which run was it made?", (field,)


def _load(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    answers = LOADS if asked.kind == "sag" else (*LOADS, ("", "not known any more"))
    return "Who was on the bike?", (asked.choice("v_load", "On the bike", answers, asked.looks.what.load or ""),)


def _side(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    answers = SIDES if asked.kind == "settle" else (*SIDES, ("", "neither: bounced gently and settled"))
    return "Where did it settle from?", (
        asked.choice("v_from", "Settled from", answers, asked.looks.what.let_go or ""),
    )


def _pulled(asked: _Asked) -> tuple[str, tuple[Field, ...]]:
    return "Was the leg pulled out by hand?", (asked.choice("v_pulled", "Pulled", PULLED, ""),)


_QUESTIONS: Mapping[str, Callable[[_Asked], tuple[str, tuple[Field, ...]]]] = {
    "kind": _kind,
    "pair": _pair,
    "setup": _setup,
    "tyres": _tyres,
    "gauge": _gauge,
    "levers": _levers,
    "trail": _trail,
    "words": _words,
    "before": _before,
    "load": _load,
    "side": _side,
    "pulled": _pulled,
}
