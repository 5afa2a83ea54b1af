"""Where trail and parts as stated part: findings of a ride on paper, and what to look at first by what was changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from telemetry.model.comparison import SetupDifference
from telemetry.model.finding import ENDS, Finding, Place
from telemetry.model.prediction import Predicted, Prediction
from telemetry.model.setup_keys import DAMPER_ADJUSTERS, KeyPart, part_of
from telemetry.words import figure, lower_first

from .names import short_name
from .paper_figures import expected_range, expected_words, measured_range, measured_words
from .parts_checked import unfit_in_words, whose_parts

UNTOLD = 2.0
"""A share whose 90 % interval is wider isn't told; own choice."""
FEW_SHARE = 1 / 3
"""A measured change below this share of the expected one is told as such."""
OIL = (
    "is the oil where you think, all of it below the seals, as much in each leg as stated? Let the air out before "
    "anything is opened, drain it into a syringe"
)
PRESSURE = "by one pump and gauge, cold and at that altitude; chambers equalised after pumping, no leak since"
LINK = "is it the one fitted, the right way round, its bolts tight, the shock eye to eye as stated?"
DAMPER_OIL = "is it in the damper's leg, bled free of air, and the old oil out of it?"
CLICKS = "count them from closed again, each adjuster by itself, in the leg that holds the damper"
COIL = "read the rate on the coil that is fitted, measure its preload"
SPACERS = "let the air out, open the air side and count them"
TRAVEL = "full travel, stroke and stops: measured with the air out?"
ELSE = "measure it again"
LOOKS: Mapping[str, str] = {
    **dict.fromkeys(("travel_mm", "measured_travel_mm", "bumper_touch_mm", "stroke_mm"), TRAVEL),
    **dict.fromkeys(("stanchion_mm", "stanchion_open_below"), ELSE),
    **dict.fromkeys(("volume_spacers", "spacer_ml"), SPACERS),
    **dict.fromkeys(("spring_rate_n_mm", "preload_mm"), COIL),
    **dict.fromkeys(("damper_oil_cst_40c", "damper_oil_viscosity_index"), DAMPER_OIL),
    **dict.fromkeys(DAMPER_ADJUSTERS, CLICKS),
    "tyre_pressure_bar": "by one gauge, cold, before every run",
    "reservoir_pressure_bar": "filled the maker's way, by one gauge, cold?",
    "oil_level_mm": "both legs alike, measured with the springs out?",
    "lever": "did it stand there on every run?",
    "valving": "is what was built in what is written down?",
}
"""By key."""
LOOKS_OF_PART: Mapping[KeyPart | None, str] = {
    "legs": OIL,
    "springs": PRESSURE,
    "damper": "measured at the clicks that were ridden, cold oil or warm?",
    "leverage": LINK,
}
"""Of other keys, by the part they are of."""
UNCHANGED = "nothing was changed there: was each run under the setup that was ridden, and what else differed?"


def _look(key: str) -> str:
    """Return what to look at first where a key was changed."""
    return LOOKS.get(key) or LOOKS_OF_PART.get(part_of(key), ELSE)


def looks(changed: Iterable[SetupDifference], place: Place) -> tuple[str, ...]:
    """Return what to look at first where an end doesn't do what was expected: each changed part there, once.

    Where nothing was changed at that end, what was changed elsewhere says nothing: who rode what is to be looked at.
    """
    own = [item for item in changed if place == "both" or item.end in (place, "both")]
    found: dict[str, list[str]] = {}
    for item in own:
        found.setdefault(_look(item.key), []).append(item.words)
    return tuple(f"{', '.join(words)}: {look}" for look, words in found.items()) or (UNCHANGED,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """How what was measured of a row differs from what was expected of it.

    Attributes
    ----------
    came : str
        What came of it: "the other way", "12 % of it".
    much : str
        How much of it: "less than a third of that"; empty where something else came.
    asks : str
        What that suggests.
    """

    came: str
    much: str = ""
    asks: str


def how_apart(row: Prediction) -> Apart:
    """Return how what was measured of a row differs from what was expected of it."""
    expected, measured = row.axis, row.measured_axis[0] if row.measured_axis else 0.0
    if row.least_move <= 0:
        return Apart(came="the parts leave it where it was", asks="something else changed there.")
    if expected * measured < 0:
        return Apart(came="the other way", asks="is each run under the setup that was ridden?")
    asks, share = "are parts, oil and pressure what is stated", f"{figure(100 * measured / expected, 0)} % of it"
    if abs(measured) < FEW_SHARE * abs(expected):
        came = f"less than a third, {share}"
        return Apart(came=came, much="less than a third of that", asks=f"{asks}, and where you think?")
    return Apart(came=share, much="more" if abs(measured) > abs(expected) else "less", asks=f"{asks}?")


def disagreeing(predicted: Predicted) -> tuple[Prediction, ...]:
    """Return the rows that disagree, the farthest off first; a share and its millimetres once."""
    rows = [row for row in predicted.predictions if row.agreement == "disagrees"]
    shares = {(row.measure, row.end) for row in rows}
    once = [row for row in rows if not (row.measure.endswith("_mm") and (row.measure[:-3], row.end) in shares)]
    return tuple(sorted(once, key=lambda row: -abs((row.measured_axis or (0.0, 0.0))[0] - row.axis)))


def share_words(predicted: Predicted) -> str:
    """Return how much of what was expected came: "Of the change … 45 % came (90 %: …)."; else nothing."""
    came = predicted.came
    if came is None or (came.as_expected and came.high - came.low > UNTOLD):
        return ""
    share, low, high = (figure(100 * value, 0) for value in (came.share, came.low, came.high))
    said = "" if came.as_expected else ": the other way, not as expected" if came.high < 0 else ": not as expected"
    of = f"Of the change in sag and travel that {whose_parts(predicted)} should make,"
    return f"{of} {share} % came (90 %: {low} to {high} %){said}."


def look_first(predicted: Predicted) -> tuple[str, ...]:
    """Return what to look at first where anything disagrees, each thing once; nothing where nothing does."""
    places = dict.fromkeys(row.end for row in disagreeing(predicted))
    if not places and predicted.came is not None and not predicted.came.as_expected:
        places = {predicted.came.end: None}
    return tuple(dict.fromkeys(line for place in places for line in looks(predicted.differences, place)))


def _setups(predicted: Predicted) -> str:
    setups = predicted.day.setups
    other = "" if predicted.candidate is None else setups[predicted.candidate].label
    return f"{other} against {setups[predicted.baseline].label}"


def _not_as_expected(predicted: Predicted, row: Prediction) -> Finding:
    expected = f"expected {expected_words(row)} (90 %: {expected_range(row)})"
    measured = f"measured {measured_words(row)} ({measured_range(row)})"
    first = "; ".join(looks(predicted.differences, row.end))
    return Finding(
        code="not_as_expected",
        message=(
            f"{_setups(predicted)}: {short_name(row.measure, row.end)}: {expected} from the {whose_parts(predicted)}, "
            f"{measured}, {how_apart(row).came}. Look first: {first}"
        ),
        end=next((end for end in ENDS if end == row.end), None),
        candidate=predicted.candidate,
        things=(row.measure,),
    )


def _share_off(predicted: Predicted) -> list[Finding]:
    """Return that not as much came as was expected, where no row by itself tells that."""
    came = predicted.came
    if came is None or came.as_expected:
        return []
    first = "; ".join(looks(predicted.differences, came.end))
    message = f"{_setups(predicted)}: {lower_first(share_words(predicted))} Look first: {first}"
    finding = Finding(
        code="not_as_expected",
        message=message,
        end=came.end,
        candidate=predicted.candidate,
        things=("share",),
    )
    return [finding]


def _not_ridden_back(predicted: Predicted) -> Finding:
    label, back = predicted.day.setups[predicted.baseline].label, predicted.rides_back
    unfit = [load.end for load in back.loads if not load.fits]
    first = (
        "pressures and springs as they were ridden, rider with all gear on a scale, the share on the front wheel"
        if unfit
        else "springs, damper and full travel as stated; calibration and zero of the sensors"
    )
    return Finding(
        code="not_ridden_back",
        message=(
            f"{label}: the model doesn't hold for this day, nothing is predicted: {back.reason}. Look first: {first}"
        ),
        end=next((end for end in ENDS if end in unfit), None) if "both" not in unfit else None,
        candidate=predicted.candidate,
    )


def findings_of(predicted: Predicted) -> tuple[Finding, ...]:
    """Return what a ride on paper finds wrong: the model, stated parts beside a force map, rows that disagree.

    No comparison's verdict rests on them: a trail is right where a prediction isn't.
    """
    found = [] if predicted.rides_back.holds else [_not_ridden_back(predicted)]
    found += [
        Finding(
            code="parts_contradicted",
            severity="warning" if part in end.rides_by_map else "note",
            message=f"{predicted.day.setups[predicted.baseline].label}: {line}",
            end=end.end,
            candidate=predicted.candidate,
            things=(part,),
        )
        for end in predicted.parts_checked
        for part, line in unfit_in_words(end).items()
    ]
    return (*found, *([_not_as_expected(predicted, row) for row in disagreeing(predicted)] or _share_off(predicted)))
