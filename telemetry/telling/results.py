"""A result in words: the number, how sure, the verdict, why, what next."""

from __future__ import annotations

from dataclasses import replace

from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import FAMILY
from telemetry.model.comparison import MOST_MORE_RUNS, PercentView, Result, Sign, Verdicts
from telemetry.sheet import Group
from telemetry.words import counted, decimals, difference_unit, figure, shown_unit

from .measured import not_measured
from .names import named

WIDEST_RATIO = 100.0


def _places(result: Result) -> int:
    """Return decimals for a result's figures; small differences get one more so that they don't read as nothing."""
    places = decimals(result.unit)
    if result.unit == "s":
        return places + 1
    return max(places, 1) if result.scale == "raw" else places


def _value(value: float, result: Result) -> str:
    return f"{figure(value, _places(result))} {shown_unit(result.unit)}".strip()


def values_in_words(result: Result) -> str:
    """Return both setups' values: ``29.1 to 32.0 % (49 to 54 mm)``; empty where one is lacking."""
    a, b = result.baseline_value, result.candidate_value
    if a is None or b is None:
        return ""
    travel = result.travel
    if travel is None or travel.baseline_mm is None or travel.candidate_mm is None:
        return f"{figure(a, _places(result))} to {_value(b, result)}"
    mm = f"{figure(travel.baseline_mm, 0)} to {figure(travel.candidate_mm, 0)} mm"
    share = f"{figure(a, 1)} to {figure(b, 1)} %"
    first, second = (mm, share) if travel.difference_mm is not None else (share, mm)  # mm first: full travel differs
    stroke_a, stroke_b = travel.baseline_stroke_pct, travel.candidate_stroke_pct
    if stroke_a is None or stroke_b is None:
        return f"{first} ({second})"
    return f"{first} ({second}, {figure(stroke_a, 1)} to {figure(stroke_b, 1)} % of stroke)"


def _tells_nothing(ends: tuple[float | None, float | None], result: Result) -> bool:
    """Tell whether the interval of a rate spans a factor of 100 or more: then the counts say all there is to say."""
    low, high = ends
    if low is None or high is None or result.percent is None or result.percent.low is None:
        return True
    most = result.percent.high
    return most is None or (100 + most) > WIDEST_RATIO * (100 + result.percent.low)


def _shown(result: Result) -> tuple[tuple[float | None, ...], str, int]:
    """Return difference, low and high in the unit people read, that unit, and decimals.

    Rates of rare events differ by events a minute; an interval that spans a factor of 100 is left out with its
    difference. "Unchanged" rests on the 90 % interval of the two one-sided tests, so that is the one it is said with.
    """
    in_percent = result.scale == "log" and result.percent is not None
    view: Result | PercentView = result.percent if in_percent and result.percent is not None else result
    ends = (view.inner_low, view.inner_high) if result.verdict == "unchanged" else (view.low, view.high)
    if result.scale == "count" and _tells_nothing(ends, result):
        return (None, None, None), "", 0
    if in_percent:
        return (view.difference, *ends), "%", 1
    unit = difference_unit(result.unit)
    return (view.difference, *ends), unit, _places(result)


def difference_in_words(result: Result, *, interval: bool = True) -> str:
    """Return the difference with its interval: ``+2.9 points, between +1.6 and +4.3``; empty where there is none.

    Where full travel differs, millimetres stand first; without the interval only the row's own scale is told.
    """
    (difference, low, high), unit, places = _shown(result)
    if difference is None:
        return ""
    if not interval:
        return _between((difference, None, None), unit, places)
    text, travel = _between((difference, low, high), unit, places), result.travel
    if travel is None or travel.difference_mm is None:
        return text
    return f"{_between((travel.difference_mm, travel.low, travel.high), 'mm', 1)}; {text}"


def _between(values: tuple[float, float | None, float | None], unit: str, places: int) -> str:
    difference, low, high = values
    text = f"{figure(difference, places, signed=True)} {unit}".strip()
    if low is None or high is None:
        return text
    return f"{text}, between {figure(low, places, signed=True)} and {figure(high, places, signed=True)}"


def next_step(result: Result) -> str:
    """Return what would settle an undecided result, empty where nothing is known."""
    if result.verdict != "undecided" or (result.more_runs_upper is None and result.more_runs is None):
        return ""
    most = result.more_runs_upper
    if min(result.n_baseline, result.n_candidate) <= 2:
        if most is None:
            few = result.more_runs is not None and result.more_runs < MOST_MORE_RUNS
            return f"{f'{result.more_runs} to over' if few else 'at least'} {MOST_MORE_RUNS} more runs of each"
        return f"{result.more_runs} to {most} more runs of each" if most != result.more_runs else _runs(most)
    return f"about {_runs(result.more_runs)}" if result.more_runs is not None else ""


def _runs(count: int) -> str:
    return f"{counted(count, 'more run')} of each"


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


def _lacking(result: Result) -> str:
    if result.baseline_value is not None:
        return f"{_value(result.baseline_value, result)} with the baseline, not measured with the candidate"
    if result.candidate_value is not None:
        return f"{_value(result.candidate_value, result)} with the candidate, not measured with the baseline"
    return "not measured"


def sign_of(result: Result) -> Sign:
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
    return tuple(row.sentence for row in rows if row not in absent), not_measured(absent, FAMILY)
