"""What a change should have done, in a page's words: what should have come and what came, and on what that rests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.model.catalogue import SPECS
from telemetry.model.prediction import Predicted, Prediction
from telemetry.sheet import ABSENT
from telemetry.words import counted, figure, lower_first, upper_first

from .names import ENDS, named
from .off_paper import disagreeing, how_apart, look_first, share_words
from .paper_figures import (
    FEW_RUNS,
    agreement_word,
    expected_range,
    expected_words,
    measured_range,
    measured_sure,
    measured_words,
)
from .parts_checked import whose_parts
from .prediction import back_words, budget_as_shown, next_words, parts_lines, wished_words

MOST_DISAGREEING = 2
"""Places of which a headline tells what disagrees; how many more rows there are is told behind them."""
MOST_EXPECTED = 2
NEXT = "What to try next?"
VERBS = {"is": "be", "goes": "go"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedWords:
    """A page's first lines.

    Attributes
    ----------
    finding : str
        What should have come, and what came.
    firm : str
        What disagrees, to stand in bold; else empty.
    elsewhere : str
        What disagrees most, to stand where nothing beside it says that it rests on parts.
    circumstances : str
    look_first : tuple of str
        Where to look where rows disagree, by what was changed.
    widths : tuple of str
        What makes expected intervals as wide as they are.
    """

    finding: str
    firm: str = ""
    elsewhere: str = ""
    circumstances: str = ""
    look_first: tuple[str, ...] = ()
    widths: tuple[str, ...] = ()


def infinitive(finding: str) -> str:
    """Return a finding's words behind "should".

    Examples
    --------
    >>> infinitive("sits deeper while riding"), infinitive("front hits faster against rear")
    ('sit deeper while riding', 'hit faster against rear')
    """
    words = finding.split()
    if words[0] == "front":
        words = words[1:]
    if words[0] in VERBS or words[0].endswith("s"):
        words[0] = VERBS.get(words[0], words[0].removesuffix("s"))
    return " ".join(words)


def _subject(row: Prediction) -> str:
    """Return who should do it: both ends together are told as the front against the rear."""
    return "the front" if row.end == "both" else f"the {row.end}"


def _as_before(row: Prediction) -> str:
    """Return who should do what if nothing changes there."""
    words = SPECS[row.measure].same.removesuffix(", in mm")
    if row.end == "both":
        return f"front and rear should {words.removeprefix('front and rear ')}"
    return f"{_subject(row)} should {infinitive(words)}"


def _doing(row: Prediction, axis: float) -> str:
    spec = SPECS[row.measure]
    return (spec.more if axis > 0 else spec.less).removesuffix(", in mm").removeprefix("front ")


def _amount(words: str) -> str:
    """Return how far, where the sentence says which way."""
    return words.lstrip("+−")


def _should(row: Prediction) -> str:
    if row.least_move > 0:
        less = ", less than matters" if abs(row.axis) + row.axis_half < 1 else ""
        doing = infinitive(_doing(row, row.axis))
        how_far = f"by {_amount(expected_words(row))} (90 %: {expected_range(row)})"
        return f"{_subject(row)} should {doing}, {how_far}{less}"
    if abs(row.axis) + row.axis_half < 1:
        return _as_before(row)
    where = lower_first(named(row.measure, row.end))
    return f"{where}: the parts leave it open, {expected_words(row)} (90 %: {expected_range(row)})"


def expected_sentence(row: Prediction) -> str:
    """Return what should have come of a row, and what came: "The front should go deeper, by 2.6 points …: agrees."."""
    begin = upper_first(_should(row))
    if row.agreement is None:
        return f"{begin}; not measured."
    return f"{begin}; measured {measured_words(row)}{measured_between(row)}: {agreement_word(row)}."


def measured_between(row: Prediction) -> str:
    """Return the range of what was measured, to stand behind it; nothing where it says nothing."""
    told = measured_range(row)
    return "" if told in (ABSENT, FEW_RUNS) else f" ({measured_sure(row)}: {told})"


def disagreement(row: Prediction) -> str:
    """Return a row that disagrees: what should have come, what came instead, and what that suggests."""
    measured = row.measured_axis[0] if row.measured_axis is not None else 0.0
    apart, told, between = how_apart(row), measured_words(row), measured_between(row)
    came = f"{apart.much} came, {told}" if apart.much else f"it {_doing(row, measured)}, by {_amount(told)}"
    return f"{upper_first(_should(row))}, and {came}{between}: {apart.asks}"


def disagreements(predicted: Predicted) -> tuple[str, ...]:
    """Return what disagrees: of each place the row that is farthest off in a sentence, the others by name."""
    rows = disagreeing(predicted)
    places = list(dict.fromkeys(row.end for row in rows))
    told = []
    for place in places[:MOST_DISAGREEING]:
        first, *rest = [row for row in rows if row.end == place]
        also = ", ".join(lower_first(SPECS[row.measure].label) for row in rest)
        told.append(f"{disagreement(first)} Nor does it agree in {also}." if also else disagreement(first))
    left = sum(row.end not in places[:MOST_DISAGREEING] for row in rows)
    return (*told, *([f"{counted(left, 'more row')} {'disagrees' if left == 1 else 'disagree'}."] if left else []))


def _leading(predicted: Predicted, focus: Sequence[tuple[str, str | None]]) -> list[Prediction]:
    """Return the rows that a headline tells: the focus first, else what the parts move most for sure."""
    told = [row for row in predicted.predictions if row.agreement != "disagrees"]
    named_first = [row for row in told if (row.measure, row.end) in focus or (row.measure, None) in focus]
    moved = sorted((row for row in told if row.least_move > 0 and row.end != "both"), key=lambda row: -row.least_move)
    left = [] if len(told) < len(predicted.predictions) else told[:1]
    return (named_first or moved or left)[:MOST_EXPECTED]


def part_title(predicted: Predicted) -> str:
    """Return the question that a prediction answers: with measured rows, without any, of no other setup."""
    if predicted.candidate is None:
        return NEXT
    ridden = any(run.setup == predicted.candidate for run in predicted.day.runs)
    return "What should it have done?" if ridden else "What should it do?"


def _what_next(predicted: Predicted) -> str:
    """Return the first thing to try, or that there is none."""
    if not predicted.try_next:
        return next_words(predicted)
    first, *rest = predicted.try_next
    others = f" {counted(len(rest), 'more change')} below." if rest else ""
    told = wished_words(first.wished)
    if len(first.wished) == 1:  # a table's head names it, a headline has none
        told = f"{lower_first(named(first.wished[0].measure, first.wished[0].end))} {told}"
    keeping = " that keeps what is to stay" if first.kept and first.keeps else ""
    return f"Furthest the wished way by a single change{keeping}: {first.change}; {told}.{others}"


def expected_in_words(predicted: Predicted, focus: Sequence[tuple[str, str | None]] = ()) -> ExpectedWords:
    """Return a page's first lines.

    Parameters
    ----------
    predicted : Predicted
    focus : sequence of (measure, end or None)
        Rows that were named as what the change is about.
    """
    if not predicted.rides_back.holds:
        takes = f"What it takes: {predicted.rides_back.criterion}."
        return ExpectedWords(finding=back_words(predicted), widths=(takes, *parts_lines(predicted)))
    if predicted.unpredicted:
        return ExpectedWords(finding=back_words(predicted), widths=parts_lines(predicted))
    rows = _leading(predicted, focus)
    differing = disagreeing(predicted)
    share = share_words(predicted)
    firm = "" if predicted.came is None or predicted.came.as_expected else share
    told = [*(expected_sentence(row) for row in rows), "" if firm else share, _counted(predicted)]
    sentences = " ".join(line for line in told if line)
    return ExpectedWords(
        finding=sentences or _what_next(predicted),
        firm=" ".join([*disagreements(predicted), *([firm] if firm else [])]),
        elsewhere=f"By the {whose_parts(predicted)}, {lower_first(disagreement(differing[0]))}" if differing else firm,
        circumstances=_circumstances(predicted),
        look_first=look_first(predicted),
        widths=(*_widths(predicted, rows), *parts_lines(predicted)),
    )


def _circumstances(predicted: Predicted) -> str:
    day, back = predicted.day, predicted.rides_back
    label = day.setups[predicted.baseline].label
    other = "" if predicted.candidate is None else f" with {day.setups[predicted.candidate].label}"
    off = 100 * max((row.off for row in back.rows), default=0.0)
    ridden = f"{counted(len(predicted.runs), 'run')} of {label} ridden again on paper{other}"
    return f"{ridden}. Ridden back with its own parts the model gives what was measured within {figure(off, 1)} %."


def _widths(predicted: Predicted, rows: Sequence[Prediction]) -> tuple[str, ...]:
    lines = [_whence(row, len(predicted.runs)) for row in rows[:1] if row.least_move > 0]
    unseen = dict(predicted.unseen)
    shares = " and ".join(f"{figure(100 * unseen[end], 0)} % of the time at the {end}" for end in ENDS if end in unseen)
    if shares:
        lines.append(f"A tyre that carries nothing feels no ground: {shares}. There it is guessed, several times over.")
    if predicted.assumed:
        count = len(predicted.assumed)
        isnt = "isn't stated and was" if count == 1 else "aren't stated and were"
        lines.append(
            f"{counted(count, 'figure')} of parts and rider {isnt} taken as usual; on screen “What it rests on” "
            "names them."
        )
    return tuple(lines)


def _whence(row: Prediction, runs: int) -> str:
    """Return what makes a row's interval as wide as it is; one run tells nothing of how runs differ."""
    own = budget_as_shown(row)
    parts = ", ".join(
        f"{name} {figure(half, own.places)}"
        for name, half in (
            ("how parts are known", own.parts),
            *([("how the runs differ", own.runs)] if runs > 1 else []),
            ("unseen ground", own.unseen_ground),
            ("the model", own.model),
        )
    )
    alone = "" if runs > 1 else " How runs differ a single one doesn't tell, and the box leaves it out."
    return f"{named(row.measure, row.end)}: half of the box's width, in {own.unit}, comes from {parts}.{alone}"


def _counted(predicted: Predicted) -> str:
    """Return how many rows agree; where none can be judged, why."""
    if predicted.unjudged:
        return f"Nothing that was measured is judged ({predicted.unjudged})."
    words = [row.agreement for row in predicted.predictions if row.agreement is not None]
    if not words:
        return ""
    agree, differ, open_ = (words.count(word) for word in ("agrees", "disagrees", "can't tell"))
    if open_ == len(words):
        return f"Of {counted(open_, 'row')} none can be told to agree or to disagree: the runs leave it open."
    agreeing = f"{agree or 'none'} {'agrees' if agree < 2 else 'agree'}"
    differing = f"{differ or 'none'} {'disagrees' if differ < 2 else 'disagree'}"
    left = f"; of {open_} it can't be told" if open_ else ""
    return f"Of {counted(len(words), 'row')} {agreeing} and {differing}{left}."
