"""What was done to a bike from kept day to kept day: settings that changed before riding, and on the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from telemetry.library import Kept, KeptSetting, KeptSetup
from telemetry.words import NOT_STATED, counted, shortened, with_end

LONGEST = 120
"""Letters of a setting and of a setup's label; own choice."""
Stated = Mapping[tuple[str, str], KeptSetting]


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What was done between the day before and this one, and on it; `number` is written in the figures."""

    number: int
    day: Kept
    before: tuple[str, ...]
    on_it: tuple[str, ...]


def work_done(days: Sequence[Kept]) -> tuple[Done, ...]:
    """Return where something was done, a row a day.

    Parameters
    ----------
    days : sequence of Kept
        Of one bike, the earliest first.

    Notes
    -----
    Before riding is what the setup of the first run states otherwise than the one that the bike was left with on the
    last kept day that tells. A setting that only one of them states tells no change: it is counted, not listed.
    """
    found: list[Done] = []
    last: KeptSetup | None = None
    for day in days:
        first = first_setup(day)
        before = () if last is None or first is None else tuple(changes(last, first))
        on_it = tuple(_tried(day, first))
        if before or on_it:
            found.append(Done(number=len(found) + 1, day=day, before=before, on_it=on_it))
        last = left_setup(day) or first or last
    return tuple(found)


def first_setup(day: Kept) -> KeptSetup | None:
    """Return the setup of a day's first run; the first there is where nothing was ridden."""
    ridden = min(day.runs, key=lambda run: run.order, default=None)
    named = [setup for setup in day.setups if ridden is not None and setup.name == ridden.setup]
    return next(iter([*named, *day.setups]), None)


def left_setup(day: Kept) -> KeptSetup | None:
    """Return the setup that was on the bike after the last run; None where no run tells."""
    return next((setup for setup in day.setups if setup.left), None)


def changes(before: KeptSetup, after: KeptSetup) -> Iterator[str]:
    """Yield what one setup states otherwise than another, in words."""
    old, new = _stated(before), _stated(after)
    both = [key for key in old if key in new]
    for key in both:
        if old[key].text != new[key].text:
            yield _change(old[key], new[key])
    stated, gone = len(new) - len(both), len(old) - len(both)
    if stated:
        yield f"{counted(stated, 'setting')} newly stated"
    if gone:
        yield f"{counted(gone, 'setting')} no longer stated"


def _stated(setup: KeptSetup) -> Stated:
    return {(item.end, item.key): item for item in setup.settings}


def _change(old: KeptSetting, new: KeptSetting) -> str:
    name = with_end(new.words, new.end)
    first, last = (shortened(item.entered, LONGEST) or NOT_STATED for item in (old, new))
    unit = f" {new.unit}"
    if new.unit and first.endswith(unit) and last.endswith(unit):
        first = first.removesuffix(unit)
    return f"{name} {first} → {last}"


def _tried(day: Kept, first: KeptSetup | None) -> Iterator[str]:
    """Yield what each other setup of the day changed, and which of them it was left with."""
    ridden = {run.setup for run in day.runs}
    for setup in day.setups:
        if first is None or setup is first or setup.name not in ridden:
            continue
        told = ", ".join(changes(first, setup)) or "nothing stated differs"
        stays = "; left so" if setup.left else ""
        yield f"{shortened(setup.label, LONGEST)}: {told}{stays}"
    if first is not None and first.left and len(ridden) > 1:
        yield f"left with {shortened(first.label, LONGEST)}, as before"
