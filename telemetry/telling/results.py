"""A result in words: the number, how sure, the verdict, why, what next."""

from __future__ import annotations

import math
from dataclasses import replace

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import MOST_MORE_RUNS, PercentView, Result, Sign, Verdicts
from telemetry.model.interval import Interval
from telemetry.model.together import TogetherRow
from telemetry.sheet import ABSENT, Group, Table, table
from telemetry.words import figure, shown_unit, titled

from .measured import not_measured
from .names import PLACES, TITLES, named
from .values import both_in_words, places_of

WIDEST_RATIO = 100.0
LEAST_BEYOND_PCT = 0.1
"""How sure below this takes more figures than three."""


def _places(result: Result) -> int:
    """Return decimals for a result's figures; small differences get one more so that they don't read as nothing."""
    places = places_of(result.measure)
    if result.unit == "s":
        return places + 1
    return max(places, 1) if result.scale == "raw" else places


def _value(value: float, result: Result) -> str:
    return f"{figure(value, _places(result))} {shown_unit(result.unit)}".strip()


def values_in_words(result: Result, share: Result | None = None, language: Language = ENGLISH) -> str:
    """Return both setups' values: ``29.1 to 32.0 % (49 to 54 mm)``; empty where one is lacking.

    Values that print alike stand once: ``27.7 % (46 mm) both times``.
    Where a drift or the day is taken out they are those of the fit, and that is said. A row in mm may be told with the
    share that goes with it: ``49.8 to 61.1 mm (30.2 to 33.5 %)``.
    """
    a, b = result.baseline_value, result.candidate_value
    if a is None or b is None:
        return ""
    pairs = _printed(result, a, b, language)
    if share is not None and share.baseline_value is not None and share.candidate_value is not None:
        pairs += _printed(replace(share, travel=None), share.baseline_value, share.candidate_value, language)
    values = both_in_words(pairs, language)
    if not result.taken_out:
        return values
    what = [language.say(f"values.{taken}") for taken in result.taken_out]
    both = what[0] if len(what) == 1 else language.say("values.and", first=what[0], last=what[-1])
    return language.say("values.taken_out", values=values, what=both)


def _printed(result: Result, a: float, b: float, language: Language) -> list[tuple[str, str, str]]:
    """Return both values as they are printed: in the result's unit, in mm, as a share of stroke."""
    travel = result.travel
    places = _places(result)
    pairs = [(language.figure(a, places), language.figure(b, places), language.unit(result.unit))]
    if travel is None or travel.baseline_mm is None or travel.candidate_mm is None:
        return pairs
    pairs.append((language.figure(travel.baseline_mm, 0), language.figure(travel.candidate_mm, 0), "mm"))
    stroke_a, stroke_b = travel.baseline_stroke_pct, travel.candidate_stroke_pct
    if stroke_a is not None and stroke_b is not None:
        unit = language.unit("% of stroke")
        pairs.append((language.figure(stroke_a, 1), language.figure(stroke_b, 1), unit))
    return pairs


def _too_wide(result: Result, low: float | None, high: float | None) -> bool:
    """Tell whether an interval is wider than the quantity can be, or isn't one.

    Travel can't change by more than there is of it; of a rate or a speed a factor over 100 says nothing.
    """
    if low is None or high is None:
        return True
    if result.scale == "raw":
        return result.widest is not None and high - low > result.widest
    view = result.percent
    if view is None or view.low is None or view.high is None:
        return True
    return (100 + view.high) > WIDEST_RATIO * (100 + view.low)


def _contradicts(result: Result) -> bool:
    """Tell whether raw rates and a difference told from half an event more point to two sides."""
    a, b, d = result.baseline_value, result.candidate_value, result.difference
    return result.scale == "count" and None not in (a, b, d) and (b - a) * d <= 0  # type: ignore[operator]


def _shown(result: Result, language: Language = ENGLISH) -> tuple[float | None, Interval | None, str, int]:
    """Return difference and interval in the unit people read, that unit, and decimals.

    "Unchanged" rests on the 90 % interval of the two one-sided tests, so that is the one it is said with.
    """
    in_percent = result.scale == "log" and result.percent is not None
    view: Result | PercentView = result.percent if in_percent and result.percent is not None else result
    interval = view.interval
    if interval is not None and result.verdict == "unchanged":
        interval = interval.inner
    unit, places = ("%", 1) if in_percent else (language.difference_unit(result.unit), _places(result))
    return view.difference, interval, unit, places


def difference_in_words(result: Result, *, interval: bool = True, language: Language = ENGLISH) -> str:
    """Return the difference with its interval and how sure that is; empty where there is none.

    ``+2.9 points, between +1.6 and +4.3 (95 %)``. An interval wider than the quantity can be is left out; of rare
    events the difference with it, for the counts say all there is to say.
    """
    difference, told, unit, places = _shown(result, language)
    outer = result.interval
    wide = outer is None or _too_wide(result, outer.low, outer.high)
    if difference is None or (result.scale == "count" and (wide or _contradicts(result))):
        return ""
    text = f"{language.figure(difference, places, signed=True)} {unit}".strip()
    if not interval or outer is None or told is None:
        return text
    if wide or told.low is None or told.high is None:
        return language.say("difference.too_wide", difference=text)
    low, high = (language.figure(end, places, signed=True) for end in (told.low, told.high))
    sure = language.number(sure_in_words(told.level))
    return language.say("difference.between", difference=text, low=low, high=high, sure=sure)


def sure_in_words(level: float) -> str:
    """Return how sure an interval of this level is: ``95 %``, ``99.8 %``, never ``100 %``.

    Examples
    --------
    >>> sure_in_words(0.015), sure_in_words(0.00024)
    ('98.5 %', '99.98 %')
    """
    beyond = 100 * level
    if beyond >= LEAST_BEYOND_PCT or beyond <= 0:
        return f"{100 - beyond:.3g} %"
    return f"{100 - beyond:.{math.ceil(-math.log10(beyond))}f} %"


def next_step(result: Result, language: Language = ENGLISH) -> str:
    """Return what would settle an undecided result, empty where nothing is known."""
    least, most = result.more_runs, result.more_runs_upper
    if result.verdict != "undecided" or (most is None and least is None):
        return ""
    if min(result.n_baseline, result.n_candidate) > 2:
        return language.say("next.about", count=least) if least is not None else ""
    if most is None:
        if least is not None and least < MOST_MORE_RUNS:
            return language.say("next.over", low=least, high=MOST_MORE_RUNS)
        return language.say("next.least", count=MOST_MORE_RUNS)
    return (
        language.say("next.range", low=least, high=most) if most != least else language.say("next.exactly", count=most)
    )


def verdict_in_words(result: Result) -> str:
    """Return the verdict, its reason and what next, such as ``Undecided: about 3 more runs of each.`` in full."""
    if result.verdict is None:
        return f"No verdict: {result.reason}."
    extra = "; ".join(filter(None, [result.reason, next_step(result)]))
    word = result.verdict.capitalize()
    return f"{word}: {extra}." if extra else f"{word}."


def sentence(result: Result) -> str:
    """Return one result as a plain sentence.

    Parameters
    ----------
    result : Result

    Returns
    -------
    str
        ``Rear, dynamic sag: 33.0 to 34.3 % (54 to 57 mm), +1.3 points, between −1.2 and +3.8. Undecided: ...``
    """
    found = ", ".join(filter(None, [values_in_words(result), difference_in_words(result)]))
    return f"{named(result.measure, result.end)}: {found or _lacking(result)}. {verdict_in_words(result)}"


def rows_table(comparison: Comparison, candidate: str) -> Table:
    """Return one candidate's results as a table no wider than 100 letters, an end after the other.

    Under each end's name: measure, both values, difference with its interval and how sure that is, verdict; what
    neither setup gave is left out. `results_in_words` says the same in sentences, with what would settle each.
    """
    rows = [row for row in comparison.verdicts.results if row.candidate == candidate]
    told = [row for row in rows if (row.baseline_value, row.candidate_value) != (None, None)]
    columns = ["measure", "before", "after", "difference", "between", "verdict"]
    cells: list[list[str]] = []
    for end in PLACES:
        own = [_cells(row) for row in told if row.end == end]
        cells.extend([[f"{TITLES[end]}:", *[""] * (len(columns) - 1)], *own] if own else [])
    return table(columns, cells, right_from=len(columns))


def _cells(result: Result) -> list[str]:
    values = (result.baseline_value, result.candidate_value)
    both = [ABSENT if value is None else figure(value, _places(result)) for value in values]
    name = titled(SPECS[result.measure].label, result.unit)
    return [name, *both, *_difference_cells(result), result.verdict or "none"]


def _difference_cells(result: Result) -> tuple[str, str]:
    """Return the difference, and its interval with how sure that is, as `difference_in_words` tells them."""
    difference, told, unit, places = _shown(result)
    outer = result.interval
    wide = outer is None or _too_wide(result, outer.low, outer.high)
    if difference is None:
        return ABSENT, ABSENT
    if result.scale == "count" and (wide or _contradicts(result)):
        return ABSENT, "too few events"
    own = unit == shown_unit(result.unit)  # said beside the measure's name
    shown = f"{figure(difference, places, signed=True)} {'' if own else unit}".strip()
    if wide or told is None or told.low is None or told.high is None:
        return shown, "too few runs"
    low, high = (figure(end, places, signed=True) for end in (told.low, told.high))
    return shown, f"{low} to {high} ({sure_in_words(told.level)})"


def _lacking(result: Result) -> str:
    if result.baseline_value is not None:
        return f"{_value(result.baseline_value, result)} with the baseline, not measured with the candidate"
    if result.candidate_value is not None:
        return f"{_value(result.candidate_value, result)} with the candidate, not measured with the baseline"
    return "not measured"


def sign_of(result: Result | TogetherRow) -> Sign:
    """Return the sign of a verdict: ▲ more, ▼ less, = unchanged, ? undecided."""
    if result.verdict == "unchanged":
        return "="
    if result.verdict == "changed" and result.difference is not None:
        return "▲" if result.difference > 0 else "▼"
    return "?"


def with_sentences(verdicts: Verdicts) -> Verdicts:
    """Return the same results, each with its sentence."""
    return replace(verdicts, results=tuple(replace(item, sentence=sentence(item)) for item in verdicts.results))


def results_in_words(comparison: Comparison, candidate: str) -> tuple[tuple[str, ...], tuple[Group, ...]]:
    """Return the sentences of one candidate's results, and what neither setup measured with the reason."""
    rows = [row for row in comparison.verdicts.results if row.candidate == candidate]
    absent = [row for row in rows if row.baseline_value is None and row.candidate_value is None]
    every = {(row.measure, row.end) for row in rows}
    return tuple(row.sentence for row in rows if row not in absent), not_measured(absent, every)
