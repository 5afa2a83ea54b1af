"""Single changes that a setup allows: what can be turned, filled or swapped, one step either way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from telemetry.model.day import EndSetup, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.setting import AdjusterPosition, Setting, SettingValue
from telemetry.model.setup_keys import SPECS
from telemetry.words import with_end

PRESSURE_SHARE, SPRING_SHARE, OIL_FACTOR = 0.05, 0.06, 1.4
OIL_ML, LEAST_BAR = 5.0, 0.1
TURNED = {"clicks": 2.0, "turns": 0.25}
"""How large one step is: a change that a rider feels and a tuner makes. Own choices."""
ADJUSTERS = (
    "low_speed_compression",
    "high_speed_compression",
    "compression",
    "low_speed_rebound",
    "high_speed_rebound",
    "rebound",
)
LOWER_LEG_OIL = tuple(f"lower_leg_oil_{side}_ml" for side in ("each", "spring_side", "damper_side"))
PRESSURE = "within the maker's least and most pressure; by the same pump, cold"
OPENED = "opens a part: let the air out first, and open the baseline's alike before you compare"
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
    spec, was = SPECS[key], setup.at(end).number(key)
    within = not isinstance(spec.holds, str) and spec.holds.low <= value <= spec.holds.high
    if was is not None and within and value != was:
        unit = f" {spec.unit}" if spec.unit else ""
        words = f"{with_end(spec.words, end)}: {was:.4g} → {value:.4g}{unit}"
        yield SingleChange(setup=_with(setup, end, key, value, f"{value:g}{unit}"), words=words, cautions=cautions)


def _air(setup: Setup, end: End) -> Iterator[SingleChange]:
    own = setup.at(end)
    bar = own.number("air_pressure_bar")
    if bar is None:
        return
    step = max(round(PRESSURE_SHARE * bar, 1), LEAST_BAR)
    spacers = own.number("volume_spacers") or 0.0
    held = setup if "volume_spacers" in own.settings else _with(setup, end, "volume_spacers", spacers, "0")
    for sign in (-1, 1):
        yield from _number(setup, end, "air_pressure_bar", round(bar + sign * step, 2), (PRESSURE,))
        yield from _number(held, end, "volume_spacers", spacers + sign, (OPENED,))


def _steps(setup: Setup, end: End) -> Iterator[SingleChange]:
    yield from _air(setup, end)
    opened = (OPENED,) if end == "front" else ()
    for key, factors, cautions in (
        ("spring_rate_n_mm", (1 - SPRING_SHARE, 1 + SPRING_SHARE), (COIL, *opened)),
        ("damper_oil_cst_40c", (1 / OIL_FACTOR, OIL_FACTOR), (OPENED,)),
    ):
        was = setup.at(end).number(key) or 0.0
        for factor in factors:
            yield from _number(setup, end, key, round(was * factor, 1), cautions)
    for key in LOWER_LEG_OIL:
        was = setup.at(end).number(key) or 0.0
        yield from _number(setup, end, key, was - OIL_ML, (OPENED, LESS_OIL))
        yield from _number(setup, end, key, was + OIL_ML, (OPENED, MORE_OIL))


def _clicks(setup: Setup, end: End) -> Iterator[SingleChange]:
    for key in ADJUSTERS:
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
