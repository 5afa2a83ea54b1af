"""The report's first page in words: who, the finding, what was done, what is set now, what else, what next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypedDict

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.comparison import Result, Summary, SummaryLine
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS
from telemetry.model.picture import Picture
from telemetry.model.setting import Setting
from telemetry.model.setup_keys import SPECS as KEYS
from telemetry.sheet import Table, table
from telemetry.words import shortened, upper_first

from .day import settings_by_place, stated_keys
from .fairness import explained, fair_to_the_rider
from .lap_sentences import LapToTheRider
from .names import short_name
from .results import next_step
from .riders_words import headline_to_the_rider, lines_to_the_rider, what_changed
from .settings_words import change_in_words, key_in_words, position_in_short, setting_in_words
from .sitting import sitting_in_short, sitting_table

MOST_FOUND, MOST_ROWS, MOST_SETTINGS, MOST_NOTES, MOST_WARNINGS = 3, 6, 10, 3, 4
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


MOST_STATED = 3
"""Setups side by side of a day that was neither ridden nor recorded; own choice."""


class Who(TypedDict):
    """Shop and customer as the page names them."""

    logo: Picture | None
    shop: str
    contact: str
    whom: str


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


def _found(comparison: Comparison, language: Language) -> tuple[Found, ...]:
    several = len(comparison.candidates)
    lines_each, rows_each = max(1, MOST_FOUND // several), max(2, MOST_ROWS // several)
    found = []
    for name in comparison.candidates:
        results = [item for item in comparison.verdicts.results if item.candidate == name]
        lines = _three(lines_to_the_rider(results, language), lines_each)
        both_values = next(iter(_differences(comparison, name, language)), "")
        change = what_changed(comparison, name, language, both_values)
        found.append(
            Found(
                candidate=name,
                label=_short(comparison.day.setups[name].label, LONGEST_NAME),
                headline=headline_to_the_rider(results, change, language),
                lines=lines,
                rows=_carrying(results, comparison.summaries[name], lines, rows_each),
            )
        )
    return tuple(found)


def _differences(comparison: Comparison, candidate: str, language: Language) -> list[str]:
    """Return what differs from the baseline on paper, each in words."""
    own = [item for item in comparison.setup_differences if item.candidate == candidate]
    return [change_in_words(comparison, item, language) for item in own]


def _opened(setups: Sequence[Setup], language: Language) -> list[str]:
    """Return which ends were opened, by what differs in them or by the date written down."""
    lines = []
    for end in ENDS:
        settings = [setup.at(end).settings for setup in setups]
        inside = [
            language.say(f"key.{key}.name")
            for key in dict.fromkeys(key for own in settings for key in own)
            if end in KEYS[key].opens and len({repr(own[key].value) if key in own else "" for own in settings}) > 1
        ]
        on = [own["parts_opened_on"] for own in settings if "parts_opened_on" in own]
        dates = dict.fromkeys(setting_in_words(one, language) for one in on)
        named = language.say(f"end.{end}")
        if dates:
            lines.append(language.say("opened.on", end=named, dates=", ".join(dates)))
        elif inside:
            lines.append(language.say("opened.between", end=named, settings=", ".join(inside)))
    return lines


def _notes(day: RideDay, language: Language) -> list[str]:
    """Return what rider and tuner wrote of the runs, each text once."""
    by_text: dict[str, list[str]] = {}
    for run in day.runs:
        if run.note:
            by_text.setdefault(run.note, []).append(run.name)
    notes = [language.say("note.of", runs=", ".join(runs), note=_short(text, 160)) for text, runs in by_text.items()]
    left = len(notes) - MOST_NOTES
    return notes[:MOST_NOTES] + ([language.say("note.more", count=left)] if left > 0 else [])


def _done(comparison: Comparison, language: Language, *, names: bool) -> tuple[str, ...]:
    lines = []
    for name in comparison.candidates:
        words = _differences(comparison, name, language)
        told = "; ".join(words[:MOST_SETTINGS]) or language.say("change.nothing")
        if len(comparison.candidates) > 1:
            told = language.say("change.of_setup", setup=comparison.day.setups[name].label, changes=told)
        lines.append(sentence(told))
    setups = [comparison.day.setups[name] for name in (comparison.baseline, *comparison.candidates)]
    return (*lines, *_opened(setups, language), *(_notes(comparison.day, language) if names else ()))


def _on_the_bike(analysis: Analysis, comparison: Comparison | None) -> tuple[str, str, str]:
    """Return the setup that is on the bike, how that is known, and by which run or recording."""
    if analysis.runs:
        last = analysis.runs[-1].entry
        return last.setup, "now.ridden", last.name
    recorded = next((item.entry for item in reversed(analysis.static) if item.entry.setup is not None), None)
    if recorded is not None and recorded.setup is not None:
        return recorded.setup, "now.recorded", recorded.name
    return (comparison.candidates[0] if comparison is not None else ""), "now.change", ""


def _now(day: RideDay, now: str, how: str, run: str, language: Language) -> str:
    if now not in day.setups:
        return ""
    return language.say(how, run=_short(run, LONGEST_NAME), setup=_short(day.setups[now].label, LONGEST_NAME))


def _settings(setups: Sequence[Setup], now: str, language: Language) -> Table:
    """Return what differs between setups, and what a rider sets by hand: a column a setup, by place."""
    differing, alike = [], []
    for place, settings in settings_by_place(setups).items():
        for key, differs in stated_keys(settings).items():
            row = [_name(key, place, language), *(_entered(own, settings[0], key, language) for own in settings)]
            if differs:
                differing.append(row)
            elif KEYS[key].by_hand:
                alike.append(row)
    shown = [*differing[:MOST_SETTINGS], *alike[: max(0, MOST_SETTINGS - len(differing))]]
    labels = [_short(setup.label, LONGEST_NAME) for setup in setups]
    columns = [
        language.say("setting.on_it", setup=label) if setup.name == now else label
        for setup, label in zip(setups, labels, strict=True)
    ]
    marked = range(min(len(differing), MOST_SETTINGS))
    return table([language.say("setting.column"), *columns], shown, right_from=9, marked=marked)


def _name(key: str, place: str, language: Language) -> str:
    return key_in_words(key, place, language, from_closed=KEYS[key].holds == "position")


def _entered(settings: Mapping[str, Setting], first: Mapping[str, Setting], key: str, language: Language) -> str:
    """Return a setting as it was entered; a position as ``6 of 14``, counted from closed.

    Another linkage than the first setup's is told as such: its points are too many for a cell.
    """
    own, others = settings.get(key), first.get(key)
    if key == "linkage" and own is not None and others is not None and own.value != others.value:
        return language.say("setting.linkage_other")
    return _short(position_in_short(settings.get(key), language), LONGEST_NAME)


def _explains(comparison: Comparison, language: Language) -> tuple[str, ...]:
    grave = [item for item in comparison.fairness_findings if item.severity != "note"]
    unknown = [item for item in comparison.fairness_findings if item.code == "not_judged"]
    told = list(dict.fromkeys(explained(item, language) for item in grave))
    left = len(told) - MOST_WARNINGS
    more = [language.say("fair.more", count=left)] if left > 0 else []
    notes = (sentence(explained(item, language)) for item in unknown)
    return (fair_to_the_rider(comparison, language), *told[:MOST_WARNINGS], *more, *notes)


def _to_come(comparison: Comparison, language: Language) -> tuple[str, ...]:
    """Return what may come next, as starting points: what would settle what is open, and what the numbers leave."""
    results = comparison.verdicts.results
    open_rows = [row for row in results if row.verdict == "undecided" and not row.barred]
    asked = [row for row in open_rows if row.focus]
    if not any(row.focus or row.verdict in ("changed", "unchanged") for row in results):
        asked = open_rows
    told = ((short_name(row.measure, row.end, language), next_step(row, language)) for row in asked)
    steps = [language.say("next.step", row=row, step=step) for row, step in told if step]
    lines = [language.say("next.settle", steps="; ".join(steps[:MOST_STEPS]))] if steps else []
    changed = any(row.verdict == "changed" for row in results)
    return (*lines, language.say("next.felt_better" if changed else "next.nothing"))


def first_page(
    analysis: Analysis,
    comparison: Comparison | None,
    lap: LapToTheRider | None,
    *,
    names: bool = True,
    language: Language = ENGLISH,
) -> FirstPage:
    """Return the report's first page.

    Parameters
    ----------
    analysis : Analysis
    comparison : Comparison or None
        None where nothing is compared: the page then tells what happened on the lap.
    lap : LapToTheRider or None
        In the page's language.
    names : bool
        False leaves out rider, customer and shop, and what was noted of the runs: it may name them.
    language : Language, optional
    """
    day = analysis.day
    now, how, run = _on_the_bike(analysis, comparison)
    order = [] if comparison is None else [comparison.baseline, *comparison.candidates]
    if not order and not now:  # nothing was ridden or recorded: what is stated
        order = list(day.setups)[:MOST_STATED]
    setups = [day.setups[name] for name in dict.fromkeys([*order, now]) if name in day.setups]
    found = () if comparison is None else _found(comparison, language)
    done: Sequence[str] = _notes(day, language) if names else ()
    return FirstPage(
        **_who(day, language, names=names),
        when=language.date(day.date),
        headline=_short(found[0].headline if found else _happened(analysis, lap, language)),
        found=found,
        happened=lap.lines if lap is not None and not found else (),
        sits=None if found or lap is not None else sitting_table(analysis, language),
        done=tuple(done) if comparison is None else _done(comparison, language, names=names),
        now=_now(day, now, how, run, language),
        settings=_settings(setups, now, language),
        explains=() if comparison is None else _explains(comparison, language),
        to_come=(language.say("next.compare"),) if comparison is None else _to_come(comparison, language),
    )


def _who(day: RideDay, language: Language, *, names: bool) -> Who:
    """Return shop and customer; nothing of them without names."""
    if not names:
        return {"logo": None, "shop": "", "contact": "", "whom": ""}
    whom = " · ".join(filter(None, [day.customer.get("name"), day.customer.get("bike")]))
    return {
        "logo": day.logo,
        "shop": _short(day.shop.get("name") or "", LONGEST_NAME),
        "contact": _short(day.shop.get("contact") or "", LONGEST_NAME),
        "whom": _short(language.say("page.for_whom", whom=whom), 2 * LONGEST_NAME) if whom else "",
    }


def _happened(analysis: Analysis, lap: LapToTheRider | None, language: Language) -> str:
    if lap is not None:
        return language.say("headline.lap", finding=lap.finding)
    sits = sitting_in_short(analysis, language)
    return language.say("headline.sits", finding=sits) if sits else analysis.day.title
