"""What was changed and no figure tells, with what would tell it; what is told of oil and adjusters in their range."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from telemetry.model.bench import Bench, SetupBench
from telemetry.model.bench_damper import Adjuster
from telemetry.model.comparison import SetupDifference
from telemetry.model.finding import End, Place
from telemetry.model.setup_keys import SPECS, KeyPart, is_change, part_of
from telemetry.words import figure

from .names import ENDS

NAMES: Mapping[KeyPart, str] = {"legs": "lower legs", "springs": "springs", "damper": "damping", "leverage": "leverage"}
ROWS: Mapping[KeyPart, tuple[str, ...]] = {
    "legs": ("springs", "lower_legs"),
    "springs": ("springs",),
    "damper": ("damper",),
    "leverage": ("leverage",),
}
"""Parts of the answer in whose figures a change of a part shows."""
LACKS: Mapping[KeyPart, tuple[str, ...]] = {
    "legs": ("springs", "lower legs"),
    "springs": ("springs", "negative air"),
    "damper": ("damper",),
    "leverage": ("leverage",),
}
"""How begins what lacks where it doesn't."""
BATTERY = "mass_kg is the bike with its battery, state it for either battery"
LEAST_SHARE = 0.01
"""Of an oil's viscosity: a smaller difference isn't told in a sentence; own choice."""


def sizes_between(first: float, second: float, places: int, way: str = "") -> str:
    """Return between what sizes something lies, to stand behind it: " (3 to 5 less)"; nothing where both read alike."""
    least, most = (figure(edge, places) for edge in sorted((abs(first), abs(second))))
    return "" if least == most else f" ({least} to {most}{way})"


def oil_lines(bench: Bench, own: SetupBench, end: End) -> Iterator[str]:
    """Yield how thick another damper oil is, where it is known."""
    old, new = (setup.at(end).damper for setup in (bench.setups[0], own))
    if old is None or new is None or old.oil is None or new.oil is None:
        return
    was, now = old.oil.cst, new.oil.cst
    if was is None or now is None or old.oil.temperature_c != new.oil.temperature_c or abs(now / was - 1) < LEAST_SHARE:
        return
    at = f"{new.oil.temperature_c:.0f} °C"
    apart = bench.apart((end, "damper", f"oil at {at}", "mm²/s"), own.name)
    between = ""
    if apart is not None and apart.low * apart.high > 0:
        between = sizes_between(apart.low, apart.high, 0, " less" if now < was else " more")
    yield (
        f"the {end}'s damper oil is {'thinner' if now < was else 'thicker'} at {at}: {figure(now, 0)} mm²/s for "
        f"{figure(was, 0)}{between}"
    )


def adjuster_changes(bench: Bench, own: SetupBench, end: End) -> Iterator[str]:
    """Yield where an adjuster stands that has come into the middle of its range, or close to an end of it."""
    old, new = (setup.at(end).damper for setup in (bench.setups[0], own))
    if old is None or new is None:
        return
    before: dict[str, Adjuster] = {item.key: item for item in old.adjusters}
    for item in new.adjusters:
        was = before.get(item.key)
        if was is not None and item.of and was.of and was.stands != item.stands:
            at = f"{item.from_closed:g} of {item.of:g} {item.unit} from closed"
            yield f"the {end}'s {item.words} stands {_short(item)} ({at}), and stood {_short(was)}"


def _short(item: Adjuster) -> str:
    return item.stands.partition(":")[0]


def untold_lines(bench: Bench, own: SetupBench) -> Iterator[str]:
    """Yield what a changed part does that no figure shows, and what to state; last what only riding tells."""
    changed = [item for item in bench.setup_differences if item.candidate == own.name]
    told: set[tuple[Place, str]] = {("both", "battery_mass_kg")}
    for end in ENDS:
        parts = {part_of(item.key) for item in changed if item.end == end}
        for part in NAMES:
            if part in parts and not _shows(bench, own, end, part):
                reasons = _why(bench, own, end, LACKS[part])
                told |= {(end, part)} if reasons else set()
                yield from (
                    f"what the change does to the {end}'s {NAMES[part]} can't be told: {why}" for why in reasons
                )
    keys = {item.key for item in changed}
    if "battery_mass_kg" in keys and not keys & {"mass_kg", "sprung_mass_kg"}:
        yield f"another battery changes nothing here: {BATTERY}"
    unseen = {(item.end, item.key): item.reason for item in bench.unseen if item.setup == own.name}
    yield from _of_geometry(bench, own, [item for item in changed if (item.end, item.key) not in unseen])
    ridden: list[SetupDifference] = []
    left = [item for item in changed if not {(item.end, part_of(item.key)), (item.end, item.key)} & told]
    for reason, items in _by_reason(left, unseen):
        if reason:
            yield f"no figure here goes by {_named(items, with_ends=True)}: {reason}"
        else:
            ridden += [item for item in items if is_change(item.key)]
    if ridden:
        yield f"what another {_named(ridden)} does only riding tells: no figure here goes by it"


def _of_geometry(bench: Bench, own: SetupBench, changed: Iterable[SetupDifference]) -> Iterator[str]:
    """Yield that springs or masses go by another head angle or wheelbase, while no geometry is worked out of it."""
    stance = [item for item in changed if item.key in SPECS and SPECS[item.key].geometry]
    for why in _why(bench, own, "both", ("geometry",)) if stance else ():
        yield f"what another {_named(stance)} does to the bike's geometry can't be told: {why}"


def _by_reason(
    items: Iterable[SetupDifference], unseen: Mapping[tuple[Place, str], str]
) -> Iterator[tuple[str, list[SetupDifference]]]:
    """Yield what moves no figure, gathered by what it would take."""
    found: dict[str, list[SetupDifference]] = {}
    for item in items:
        reason = unseen.get((item.end, item.key))
        if reason is not None:
            found.setdefault(reason, []).append(item)
    yield from found.items()


def _shows(bench: Bench, own: SetupBench, end: End, part: KeyPart) -> bool:
    """Tell whether a change shows in a figure of its part; oil and adjusters by themselves are no damping."""
    return any(
        row.end == end
        and row.part in ROWS[part]
        and (part != "damper" or row.figure.unit.startswith("N"))
        and (apart := row.differences.get(own.name)) is not None
        and not apart.is_nothing
        for row in bench.rows
    )


def _why(bench: Bench, own: SetupBench, end: Place, begins: tuple[str, ...]) -> tuple[str, ...]:
    """Return what lacks for figures that begin so, of the setup, else of the first, which they'd be told against."""
    for setup in (own, bench.setups[0]):
        lacking = (item for item in setup.absent if item.end == end and item.what.startswith(begins))
        reasons = list(dict.fromkeys(item.reason for item in lacking))
        if reasons:
            return (f"{'; '.join(reasons)}{'' if setup is own else f' ({setup.label})'}",)
    return ()


def _named(items: Sequence[SetupDifference], *, with_ends: bool = False) -> str:
    words = (item.words.partition(":")[0] for item in items)
    return " or ".join(dict.fromkeys(own if with_ends else own.partition(",")[0] for own in words))
