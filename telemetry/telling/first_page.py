"""The report's first page in words: who, the finding, what was done, what is set now, what else, what next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.comparison import Result, Summary, SummaryLine
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, Finding
from telemetry.model.picture import Picture
from telemetry.model.setting import AdjusterPosition, Setting
from telemetry.model.setup_keys import SPECS as KEYS
from telemetry.model.setup_keys import name_of
from telemetry.sheet import Table, table
from telemetry.words import NOT_STATED, counted, shortened, upper_first, with_end

from .day import date_in_words, settings_by_place, stated_keys
from .fairness import fair_in_words
from .lap import LapWords
from .names import short_name
from .results import next_step
from .sitting import sitting_in_short, sitting_table

MOST_FOUND, MOST_ROWS, MOST_SETTINGS, MOST_NOTES, MOST_WARNINGS = 3, 6, 10, 3, 2
MOST_STEPS = 2
"""What one sheet of A4 holds beside the rest; what is left out is counted there, or stands in the evidence."""
LONGEST_NAME, LONGEST_TEXT = 60, 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What is found of one candidate: its lines, and the results that carry the finding."""

    candidate: str
    label: str
    headline: str
    lines: tuple[SummaryLine, ...]
    rows: tuple[Result, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPage:
    """The report's first page, which stands alone.

    Attributes
    ----------
    logo : Picture or None
    shop, contact, whom : str
        Empty where not stated, or left out.
    when, headline : str
    found : tuple of Found
        A candidate each; empty where nothing is compared.
    happened : tuple of str
        What happened on the lap, where nothing is compared.
    sits : Table or None
        How the bike sits, where no run is usable.
    done : tuple of str
    now : str
        Which setup is on the bike.
    settings : Table
        A column a setup; rows that differ are marked.
    explains, to_come : tuple of str
        What else could explain it, and what may come next.
    """

    logo: Picture | None
    shop: str
    contact: str
    whom: str
    when: str
    headline: str
    found: tuple[Found, ...]
    happened: tuple[str, ...]
    sits: Table | None
    done: tuple[str, ...]
    now: str
    settings: Table
    explains: tuple[str, ...]
    to_come: tuple[str, ...]


def _short(text: str, longest: int = LONGEST_TEXT) -> str:
    return shortened(text, longest)


def sentence(text: str) -> str:
    """Return a text as a sentence; where it is too long, up to the last clause that fits whole."""
    short = upper_first(_short(text))
    if len(text) > LONGEST_TEXT and "; " in short:
        return f"{short.rpartition('; ')[0]} …"
    return short if short.endswith(("…", ".")) else f"{short}."


def _three(lines: Sequence[SummaryLine], most: int) -> tuple[SummaryLine, ...]:
    """Return the first lines, what stayed among them."""
    first = list(lines[:most])
    stayed = next((line for line in lines if line.sign == "="), None)
    if stayed is not None and stayed not in first:
        first[-1] = stayed
    return tuple(first)


def _carrying(results: Sequence[Result], own: Summary, lines: Sequence[SummaryLine], most: int) -> tuple[Result, ...]:
    """Return the results that carry the finding: what the shown lines tell of, then focus and what else changed."""
    told = [row for line in lines for row in line.rows]
    by_row = {(result.measure, result.end): result for result in results}
    return tuple(by_row[row] for row in list(dict.fromkeys((*told, *own.carrying)))[:most])


def _found(comparison: Comparison) -> tuple[Found, ...]:
    several = len(comparison.candidates)
    lines_each, rows_each = max(1, MOST_FOUND // several), max(2, MOST_ROWS // several)
    found = []
    for name in comparison.candidates:
        own = comparison.summaries[name]
        lines = _three(own.lines_to_the_rider, lines_each)
        results = [item for item in comparison.verdicts.results if item.candidate == name]
        found.append(
            Found(
                candidate=name,
                label=_short(comparison.day.setups[name].label, LONGEST_NAME),
                headline=own.to_the_rider,
                lines=lines,
                rows=_carrying(results, own, lines, rows_each),
            )
        )
    return tuple(found)


def _opened(setups: Sequence[Setup]) -> list[str]:
    """Return which ends were opened, by what differs in them or by the date written down."""
    lines = []
    for end in ENDS:
        settings = [setup.at(end).settings for setup in setups]
        inside = [
            name_of(key)
            for key in dict.fromkeys(key for own in settings for key in own)
            if end in KEYS[key].opens and len({repr(own[key].value) if key in own else "" for own in settings}) > 1
        ]
        dates = dict.fromkeys(own["parts_opened_on"].entered for own in settings if "parts_opened_on" in own)
        if dates:
            lines.append(f"{upper_first(end)} opened on {', '.join(dates)}.")
        elif inside:
            lines.append(f"{upper_first(end)} opened between the setups, for its {', '.join(inside)}.")
    return lines


def _notes(day: RideDay) -> list[str]:
    """Return what rider and tuner wrote of the runs, each text once."""
    by_text: dict[str, list[str]] = {}
    for run in day.runs:
        if run.note:
            by_text.setdefault(run.note, []).append(run.name)
    notes = [f"{', '.join(runs)}: “{_short(text, 160)}”" for text, runs in by_text.items()]
    return notes[:MOST_NOTES] + _more(len(notes), MOST_NOTES, "note")


def _more(count: int, shown: int, thing: str) -> list[str]:
    return [f"And {counted(count - shown, f'more {thing}')}."] if count > shown else []


def _done(comparison: Comparison, *, names: bool) -> tuple[str, ...]:
    lines = []
    for name in comparison.candidates:
        words = [item.words for item in comparison.setup_differences if item.candidate == name]
        whose = f"{comparison.day.setups[name].label}: " if len(comparison.candidates) > 1 else ""
        told = "; ".join(words[:MOST_SETTINGS]) or "nothing differs on paper"
        lines.append(sentence(f"{whose}{told}"))
    setups = [comparison.day.setups[name] for name in (comparison.baseline, *comparison.candidates)]
    return (*lines, *_opened(setups), *(_notes(comparison.day) if names else ()))


def _on_the_bike(analysis: Analysis, comparison: Comparison | None) -> tuple[str, str]:
    """Return the setup that is on the bike, and how that is known."""
    if analysis.runs:
        last = analysis.runs[-1].entry
        return last.setup, f"after the last run, {_short(last.name, LONGEST_NAME)}"
    recorded = next((item.entry for item in reversed(analysis.static) if item.entry.setup is not None), None)
    if recorded is not None and recorded.setup is not None:
        return recorded.setup, f"when {_short(recorded.name, LONGEST_NAME)} was recorded, the last"
    return (comparison.candidates[0] if comparison is not None else ""), "which was the change"


def _settings(setups: Sequence[Setup], now: str) -> Table:
    """Return what differs between setups, and what a rider sets by hand: a column a setup, by place."""
    differing, alike = [], []
    for place, settings in settings_by_place(setups).items():
        for key, differs in stated_keys(settings).items():
            row = [with_end(_name(key), place), *(_short(_entered(own, key), LONGEST_NAME) for own in settings)]
            if differs:
                differing.append(row)
            elif KEYS[key].by_hand:
                alike.append(row)
    shown = [*differing[:MOST_SETTINGS], *alike[: max(0, MOST_SETTINGS - len(differing))]]
    columns = [_short(setup.label, LONGEST_NAME) + (" (on it now)" if setup.name == now else "") for setup in setups]
    marked = range(min(len(differing), MOST_SETTINGS))
    return table(["setting", *columns], shown, right_from=9, marked=marked)


def _name(key: str) -> str:
    return f"{name_of(key)} from closed" if KEYS[key].holds == "position" else name_of(key)


def _entered(settings: Mapping[str, Setting], key: str) -> str:
    """Return a setting as it was entered; a position as ``6 of 14``, counted from closed."""
    if key not in settings:
        return NOT_STATED
    value = settings[key].value
    if isinstance(value, AdjusterPosition):
        return f"{value.from_closed:g} {value.unit}" if value.of is None else f"{value.from_closed:g} of {value.of:g}"
    return settings[key].entered


def _explains(comparison: Comparison) -> tuple[str, ...]:
    grave = [item for item in comparison.fairness_findings if item.severity != "note"]
    unknown = [item for item in comparison.fairness_findings if item.code == "not_judged"]
    lines = [sentence(item.message) for item in (*grave[:MOST_WARNINGS], *unknown)]
    return (f"{fair_in_words(comparison)}.", *lines, *_untold(grave[MOST_WARNINGS:]))


def _untold(left: Sequence[Finding]) -> list[str]:
    """Return what else speaks against the comparison by its short name: whoever holds the sheet can ask for that."""
    names = ", ".join(dict.fromkeys(item.code.replace("_", " ") for item in left))
    return [f"{counted(len(left), 'more warning')}, told in the shop's full report: {names}."] if left else []


def _to_come(comparison: Comparison) -> tuple[str, ...]:
    """Return what may come next, as starting points: what would settle what is open, and what the numbers leave."""
    results = comparison.verdicts.results
    open_rows = [row for row in results if row.verdict == "undecided" and not row.barred]
    asked = [row for row in open_rows if row.focus]
    if not any(row.focus or row.verdict in ("changed", "unchanged") for row in results):
        asked = open_rows
    steps = [f"{short_name(row.measure, row.end)}: {step}" for row in asked if (step := next_step(row))]
    lines = [f"What would settle what is undecided, {'; '.join(steps[:MOST_STEPS])}."] if steps else []
    if any(row.verdict == "changed" for row in results):
        return (*lines, "The numbers say what changed, not what suits: a starting point is the setup that felt better.")
    return (*lines, "Nothing measured speaks for either setup: a starting point is the one that felt better.")


def first_page(
    analysis: Analysis, comparison: Comparison | None, lap: LapWords | None, *, names: bool = True
) -> FirstPage:
    """Return the report's first page.

    Parameters
    ----------
    analysis : Analysis
    comparison : Comparison or None
        None where nothing is compared: the page then tells what happened on the lap.
    lap : LapWords or None
    names : bool
        False leaves out rider, customer and shop, and what was noted of the runs: it may name them.
    """
    day = analysis.day
    now, how = _on_the_bike(analysis, comparison)
    order = [] if comparison is None else [comparison.baseline, *comparison.candidates]
    setups = [day.setups[name] for name in dict.fromkeys([*order, now]) if name in day.setups]
    found = () if comparison is None else _found(comparison)
    whom = " · ".join(filter(None, [day.customer.get("name"), day.customer.get("bike")])) if names else ""
    sits = sitting_in_short(analysis)
    happened = f"How does it sit? {sits}" if sits else day.title
    if lap is not None:
        happened = f"What happened on this lap? {lap.finding}"
    return FirstPage(
        logo=day.logo if names else None,
        shop=_short(day.shop.get("name") or "", LONGEST_NAME) if names else "",
        contact=_short(day.shop.get("contact") or "", LONGEST_NAME) if names else "",
        whom=_short(f"for {whom}", 2 * LONGEST_NAME) if whom else "",
        when=date_in_words(day.date),
        headline=_short(found[0].headline if found else happened),
        found=found,
        happened=lap.lines if lap is not None and not found else (),
        sits=None if found or lap is not None else sitting_table(analysis),
        done=_done(comparison, names=names) if comparison is not None else tuple(_notes(day) if names else ()),
        now=f"On the bike {how}: {_short(day.setups[now].label, LONGEST_NAME)}." if now in day.setups else "",
        settings=_settings(setups, now),
        explains=() if comparison is None else _explains(comparison),
        to_come=(
            ("A starting point: two setups ridden in turns, three runs of each or more, tell what a change does.",)
            if comparison is None
            else _to_come(comparison)
        ),
    )
