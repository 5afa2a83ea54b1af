"""What changed in a rider's words: less oil, a fork that uses more of its travel on big hits."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import share_of
from telemetry.model.comparison import Result, SetupDifference, SummaryLine
from telemetry.model.finding import OTHER_END
from telemetry.model.ranges import Range
from telemetry.model.setup_keys import SPECS as KEYS
from telemetry.model.within import parted

from .candidate_results import CandidateResults, Told, chosen_for_the_rider
from .names import named, place_of
from .reasons import FORMS, parts_of, reason_in, verdict_to_the_rider
from .results import difference_in_words, next_step, sign_of, values_in_words

WAYS = MappingProxyType({"▲": "more", "▼": "less", "=": "same"})


def _words(measure: str, way: str, language: Language, *, rider: bool) -> str:
    """Return what a measure's verdict is called; to a rider, in the headline, in words that name no measure."""
    name, place = parted(measure)
    share = share_of(name)
    own = f"rider.{share or name}.{way}"
    words = language.say(own if rider and language.has(own) else f"measure.{share or name}.{way}")
    words = words if share is None else language.say("finding.in_mm", words=words)
    return words if place is None else language.say("finding.within", words=words, place=place_of(place, language))


def _finding(told: CandidateResults, result: Result, language: Language, *, headline: bool = False) -> str:
    """Return a changed or unchanged result as a finding, to stand within a sentence: ``front sits deeper``."""
    share = told.said_too(result)
    way = WAYS.get(sign_of(result))
    if way is None:
        return ""
    words = _words(result.measure if share is None else share.measure, way, language, rider=headline)
    if told.in_mm(result) is not None:  # the same per cent are other mm
        words = language.say("finding.as_share", words=words)
    if result.end == "both":
        return words
    return language.say("finding.of_end", end=language.say(f"end.subject_{result.end}"), words=words)


def line_to_the_rider(told: CandidateResults, rows: Told, language: Language) -> SummaryLine:
    """Return results as a line, without what only who measures asks about."""
    result, sign = rows[0], sign_of(rows[0])
    if len(rows) > 1:
        values = {row.end: values_in_words(row, language=language) for row in rows}
        apart = {row.end: difference_in_words(row, language=language) for row in rows}
        finding = language.say("finding.same_height", front=values["front"], rear=values["rear"])
        detail = language.say("finding.same_height_detail", front=apart["front"], rear=apart["rear"])
    else:
        what = named(result.measure, result.end, language) if sign == "?" else _finding(told, result, language)
        values_of = values_in_words(result, told.said_too(result), language)
        finding = f"{language.begin(what)}: {values_of}".rstrip(": ")
        verdict = verdict_to_the_rider(result, next_step(result, language), language)
        detail = f"{difference_in_words(result, language=language)}. {verdict}".lstrip(". ")
    return SummaryLine(sign=sign, finding=finding, detail=detail, rows=tuple((row.measure, row.end) for row in rows))


def row_in_words(result: Result, language: Language) -> str:
    """Return one row as a sentence, for those who can't see it drawn."""
    found = (values_in_words(result, language=language), difference_in_words(result, language=language))
    verdict = verdict_to_the_rider(result, next_step(result, language), language)
    return f"{named(result.measure, result.end, language)}: {', '.join(filter(None, found))}. {verdict}"


def lines_to_the_rider(results: Sequence[Result], language: Language = ENGLISH) -> tuple[SummaryLine, ...]:
    """Return what a rider would ask of one candidate's results, a line each."""
    told = CandidateResults(results)
    return tuple(line_to_the_rider(told, rows, language) for rows in chosen_for_the_rider(told))


def headline_to_the_rider(results: Sequence[Result], change: str, language: Language = ENGLISH) -> str:
    """Return one candidate's finding in a sentence.

    Parameters
    ----------
    results : sequence of Result
        Of one candidate.
    change : str
        What was changed, in words.
    language : Language, optional
    """
    told, change = CandidateResults(results), language.begin(change)
    changed = sorted(told.of("changed"), key=lambda item: not item.focus)
    if changed:
        return language.say("headline.found", change=change, findings=", ".join(_findings(told, changed, language)))
    verdicts = {item.verdict for item in results if item.verdict is not None}
    if verdicts == {"unchanged"}:
        return language.say("headline.nothing", change=change)
    if not verdicts and results:
        why = f"withheld.{results[0].reason.partition(': ')[0]}"
        said = language.say(why if language.has(why) else "withheld.other")
        return language.say("headline.no_verdict", change=change, why=said)
    waiting = [part for item in results for part in parts_of(item.reason) if FORMS["so_far"].fullmatch(part)]
    if waiting:
        return language.say("headline.found", change=change, findings=reason_in(waiting[0], language))
    return language.say("headline.none_seen" if "unchanged" in verdicts else "headline.not_yet", change=change)


def _findings(told: CandidateResults, changed: Sequence[Result], language: Language) -> list[str]:
    first = changed[0]
    parts = [_finding(told, first, language, headline=True), by_how_much(first, language)]
    other = next((item for item in changed[1:] if item.end != first.end), None)
    what = told.of_the_other_end(first)
    if other is not None:
        parts.append(_finding(told, other, language, headline=True))
    elif what is not None and first.end != "both":
        parts.append(language.say(f"headline.{what}", end=language.say(f"end.subject_{OTHER_END[first.end]}")))
    return [part for part in parts if part]


def by_how_much(result: Result, language: Language = ENGLISH) -> str:
    """Return the size of a difference, the direction being said: ``by 3.4 points``; empty where none can be told."""
    told = difference_in_words(result, interval=False, language=language)
    if told and result.scale == "log" and result.percent is not None:
        told = f"{language.figure(result.percent.difference, 0)} %"
    return language.say("difference.by", size=told.lstrip("+−")) if told else ""


def what_changed(comparison: Comparison, candidate: str, language: Language, otherwise: str) -> str:
    """Return what was changed: the one setting that differs, else which setup stands against which.

    Parameters
    ----------
    comparison : Comparison
    candidate : str
    language : Language
    otherwise : str
        The difference with both values, where more and less of it have no words.
    """
    own = [item for item in comparison.setup_differences if item.candidate == candidate]
    warned = any(
        item.severity != "note" and item.candidate in {None, candidate} for item in comparison.fairness_findings
    )
    if len(own) != 1 or warned:
        setups = comparison.day.setups
        labels = {"candidate": setups[candidate].label, "baseline": setups[comparison.baseline].label}
        return language.say("headline.against", **labels)
    return changed_in_riders_words(own[0], otherwise, language)


def changed_in_riders_words(difference: SetupDifference, otherwise: str, language: Language = ENGLISH) -> str:
    """Return a single change: ``less lower-leg oil at the front``; `otherwise` where it is no number.

    Examples
    --------
    >>> def of(key, old, new):
    ...     return SetupDifference(
    ...         candidate="b", end="front", key=key, baseline_value=old, candidate_value=new, words="both values"
    ...     )
    >>> changed_in_riders_words(of("lower_leg_oil_each_ml", 20.0, 8.0), "")
    'less lower-leg oil at the front'
    >>> changed_in_riders_words(of("rebound", 9, 12), ""), changed_in_riders_words(of("valving", "a", "b"), "a → b")
    ('rebound opened at the front', 'a → b')
    """
    old, new, spec = difference.baseline_value, difference.candidate_value, KEYS.get(difference.key)
    if spec is None or not isinstance(old, int | float) or not isinstance(new, int | float):
        return otherwise
    if spec.holds != "position" and not isinstance(spec.holds, Range):
        return otherwise
    way = "more" if new > old else "less"
    form = {"more": "opened", "less": "closed"}[way] if spec.holds == "position" else way
    own, setting = f"key.{difference.key}.{way}", language.say(f"key.{difference.key}.name")
    words = language.say(own) if language.has(own) else language.say(f"change.{form}", setting=setting)
    if difference.end == "both":
        return words
    return language.say("change.at", change=words, at_end=language.say(f"end.at_{difference.end}"))
