"""Single changes that a setup allows: what can be turned, filled or swapped, one step either way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from telemetry.mechanics.viscosity_grade import GRADE_SHARE, GRADES_CST
from telemetry.model.day import EndSetup, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.setting import AdjusterPosition, Setting, SettingValue
from telemetry.model.setup_keys import DAMPER_ADJUSTERS, SPECS
from telemetry.words import figure, with_end

from .stated import imperial_of

PRESSURE_SHARE, OIL_ML, LEAST_BAR = 0.05, 5.0, 0.1
TURNED = {"clicks": 2.0, "turns": 0.25}
"""How large one step is: a change that a rider feels and a tuner makes. Own choices."""
GAUGE_BAR, GAUGE_PSI, SYRINGE_ML = 0.05, 1.0, 0.5
"""What a shock pump and a syringe can be read to; common practice, no source."""
SPRINGS_N_MM: Mapping[End, float] = {"front": 0.5, "rear": 5.0}
SPRINGS_LB_IN: Mapping[End, float] = {"front": 5.0, "rear": 25.0}
"""By which springs of one maker differ; common practice, no source."""
LOWER_LEG_OIL = tuple(f"lower_leg_oil_{side}_ml" for side in ("each", "spring_side", "damper_side"))
PRESSURE = "within the maker's least and most pressure; by the same pump, cold"
OPENED = "opens a part: let the air out first, and open the baseline's alike before you compare"
OPENED_COIL = (
    "opens a part: take its spring's load and any built-up air off first, as its maker states, and open the "
    "baseline's alike before you compare"
)
MORE_OIL = "more oil than the maker states can lock the fork before its end"
LESS_OIL = "with less oil than the maker states bushings and seals run dry"
COIL = "the nearest coil that there is, with stroke enough for its end, its preload set anew"
LINK = "a link takes its own bolts and torques; geometry moves with it: look at head angle and bottom bracket"


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleChange:
    """One change: the setup it makes, what it is in words, and what to mind."""

    setup: Setup
    words: str
    cautions: tuple[str, ...]


def _with(setup: Setup, end: End, key: str, value: SettingValue, entered: str) -> Setup:
    own: EndSetup = setup.at(end)
    held = own.settings.get(key)
    plus_minus = None if held is None else held.plus_minus
    setting = Setting(key=key, value=value, entered=entered, plus_minus=plus_minus)
    changed = replace(own, settings=MappingProxyType({**own.settings, key: setting}))
    return replace(setup, front=changed) if end == "front" else replace(setup, rear=changed)


def _number(setup: Setup, end: End, key: str, value: float, cautions: tuple[str, ...]) -> Iterator[SingleChange]:
    """Yield a change of one number to what can be set, told in the unit that the day states it in."""
    spec, was = SPECS[key], setup.at(end).number(key)
    within = not isinstance(spec.holds, str) and spec.holds.low <= value <= spec.holds.high
    if was is None or not within or math.isclose(value, was):
        return
    own, unit = imperial_of(setup.at(end), key), spec.unit
    old, new = was, value
    if own is not None:
        unit, old, new = own.unit, was / own.factor, value / own.factor
    places = next(places for places in (0, 1, 2) if places == 2 or math.isclose(round(new, places), new, rel_tol=1e-6))
    told = f"{figure(new, places)}{f' {unit}' if unit else ''}"
    words = f"{with_end(spec.words, end)}: {figure(old, places)} → {told}"
    words = f"{words} each" if key.endswith("_each_ml") else words
    yield SingleChange(setup=_with(setup, end, key, value, told), words=words, cautions=cautions)


def _opened(setup: Setup, end: End) -> str:
    """Return what to mind before an end is opened: one that states a coil and no pressure has no air to let out."""
    own = setup.at(end).settings
    return OPENED_COIL if "spring_rate_n_mm" in own and "air_pressure_bar" not in own else OPENED


def _to(step: float, value: float) -> float:
    """Return a value as near as whole steps come."""
    return round(round(value / step) * step, 6)


def _air(setup: Setup, end: End) -> Iterator[SingleChange]:
    own = setup.at(end)
    bar = own.number("air_pressure_bar")
    if bar is None:
        return
    psi = imperial_of(setup.at(end), "air_pressure_bar")
    step = max(PRESSURE_SHARE * bar, LEAST_BAR)
    gauge = GAUGE_BAR if psi is None else GAUGE_PSI * psi.factor
    spacers = own.number("volume_spacers") or 0.0
    held = setup if "volume_spacers" in own.settings else _with(setup, end, "volume_spacers", spacers, "0")
    for sign in (-1, 1):
        yield from _number(setup, end, "air_pressure_bar", _to(gauge, bar + sign * step), (PRESSURE,))
        yield from _number(held, end, "volume_spacers", spacers + sign, (OPENED,))


def _springs(setup: Setup, end: End) -> Iterator[SingleChange]:
    """Yield the next softer and the next stiffer spring that a maker has."""
    rate = setup.at(end).number("spring_rate_n_mm")
    if rate is None:
        return
    imperial = imperial_of(setup.at(end), "spring_rate_n_mm")
    step = SPRINGS_N_MM[end] if imperial is None else SPRINGS_LB_IN[end] * imperial.factor
    cautions = (COIL, _opened(setup, end)) if end == "front" else (COIL,)
    for sign in (-1, 1):
        yield from _number(setup, end, "spring_rate_n_mm", _to(step, rate + sign * step), cautions)


def _oils(setup: Setup, end: End) -> Iterator[SingleChange]:
    """Yield more and less oil in the lower legs, and the next thinner and thicker grade in the damper."""
    for key in LOWER_LEG_OIL:
        ml = setup.at(end).number(key) or 0.0
        for step, mind in ((-OIL_ML, LESS_OIL), (OIL_ML, MORE_OIL)):
            yield from _number(setup, end, key, _to(SYRINGE_ML, ml + step), (_opened(setup, end), mind))
    cst = setup.at(end).number("damper_oil_cst_40c")
    if cst is not None:
        grades = GRADES_CST.values()
        thinner = max((grade for grade in grades if grade < (1 - GRADE_SHARE) * cst), default=cst)
        thicker = min((grade for grade in grades if grade > (1 + GRADE_SHARE) * cst), default=cst)
        for grade in (thinner, thicker):
            yield from _number(setup, end, "damper_oil_cst_40c", grade, (_opened(setup, end),))


def _steps(setup: Setup, end: End) -> Iterator[SingleChange]:
    for step in (_air, _springs, _oils):
        yield from step(setup, end)


def _clicks(setup: Setup, end: End) -> Iterator[SingleChange]:
    for key in DAMPER_ADJUSTERS:
        position = setup.at(end).value(key)
        if not isinstance(position, AdjusterPosition) or not position.of:
            continue
        step = TURNED[position.unit]
        for sign, way in ((-1, "closed"), (1, "open")):
            clicks = position.from_closed + sign * step
            if 0 <= clicks <= position.of:
                entered = f"{clicks:g} {position.unit} from closed, of {position.of:g}"
                words = f"{with_end(SPECS[key].words, end)}: {step:g} {position.unit} towards {way}"
                turned = replace(position, from_closed=clicks)
                yield SingleChange(setup=_with(setup, end, key, turned, entered), words=words, cautions=())


def _links(setup: Setup, others: Mapping[str, Setup]) -> Iterator[SingleChange]:
    """Yield what other setups of the day have in place of this one's leverage."""
    for other in others.values():
        if other.rear.leverage is not None and other.rear.leverage != setup.rear.leverage:
            rear = replace(
                setup.rear,
                leverage=other.rear.leverage,
                full_travel_mm=other.rear.full_travel_mm,
                full_travel_from=other.rear.full_travel_from,
                stroke_mm=other.rear.stroke_mm,
            )
            yield SingleChange(
                setup=replace(setup, rear=rear), words=f"the leverage of {other.label}, rear", cautions=(LINK,)
            )


def single_changes(setup: Setup, others: Mapping[str, Setup], ends: tuple[End, ...] = ENDS) -> list[SingleChange]:
    """Return what can be changed of a setup by itself, one step either way.

    Parameters
    ----------
    setup : Setup
    others : mapping of name to Setup
        The day's: whose links there are.
    ends : tuple of End
        At which.
    """
    found = [change for end in ends for step in (_steps, _clicks) for change in step(setup, end)]
    return found + (list(_links(setup, others)) if "rear" in ends else [])
