"""`bench`: what the parts of each setup do, worked out from the file alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from telemetry.bench.damper import in_its_oil
from telemetry.bench.friction import OfLoads, Settles, friction_changes, friction_part
from telemetry.bench.one_end import end_of, lacking_of
from telemetry.bench.set_up import lacking_wish
from telemetry.bench.springs import lacking_beside
from telemetry.bench.stated import Draw, PartError, Stated, as_stated
from telemetry.bench.whole_bike import BikeOf, Bikes, bikes_of, lacking_bike, plain_bikes_of, with_bike
from telemetry.errors import CallError, RideDayError, TelemetryError
from telemetry.model.bench import Bench, EndBench, SetupBench
from telemetry.model.bench_figures import Figure, FigureAt, FigureRow, Lacking, Part, Ranged
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, End, Place
from telemetry.ride_day import setup_differences
from telemetry.telling.bench import bench_sheet

from .bench_unseen import Again, unseen
from .parts_possible import problem_of, require_possible
from .recordings import analyse_recordings, settled_mm
from .rides import Rides
from .studied import baseline_of

DRAWS = 100
"""Of all figures at once: enough for a 90 % range to two digits. Own choice."""
SEED = 20_260_516
NO_SETTLES = "no settle recordings let go from compressed and from extended, with one setup and load"
NEGATIVE = "let go from compressed it comes to rest less deep than from extended: check which recording is which"
WITHOUT_SUSPENSION = frozenset(
    {
        *("wheel_diameter_mm", "rim_width_mm", "tyre_width_mm", "tyre_pressure_bar", "tyre_insert", "brake_rotor_mm"),
        *("tyre_stiffness_n_mm", "unsprung_mass_kg", "sprung_mass_kg", "axle_to_crown_mm", "offset_mm"),
    }
)
"""Keys of an end that a rigid one has too."""
BARE = (
    "no travel, spring or damper of it is stated. A rigid end has none; else begin with travel_mm, at the rear with "
    "stroke_mm and leverage, ratio or linkage"
)
LOW, HIGH = 0.05, 0.95


def bench_of(day: RideDay) -> Bench:
    """Work out what the parts of every setup do; a day without logs or runs will do.

    Parameters
    ----------
    day : RideDay

    Returns
    -------
    Bench
        ``.to_dict()`` is the JSON of ``telemetry bench --json``.

    Raises
    ------
    CallError
        If the day has no setup.
    RideDayError
        If figures of a setup contradict each other: more oil than volume.

    Examples
    --------
    >>> import telemetry
    >>> answer = telemetry.bench_of(telemetry.read_ride_day("sample_runs/lower_leg_oil"))
    >>> [setup.label for setup in answer.setups]
    ['20 ml per leg', '8 ml per leg']
    """
    if not day.setups:
        remedy = "write one as [setups.NAME]; [bike.front] and [bike.rear] hold what all setups share"
        raise CallError(str(day.path), "no setup", "at least one", remedy)
    require_possible(day)
    names = _names(day)
    settles = _settles(day)
    bikes = bikes_of(day, names, _recorded_sag_mm(day))
    setups = tuple(
        _without_bare(_with_friction(found, day.setups[found.name], settles.get(found.name, {})), _bare(day))
        for found in _of_setups(day, bikes.as_measured(), as_stated)
    )
    changes = [friction_changes(settles.get(names[0], {}), settles.get(name, {}), name) for name in names[1:]]
    drawn = _drawn(day, bikes)
    differences = tuple(
        item
        for name in names[1:]
        for item in setup_differences(day.setups[names[0]], day.setups[name], day.bike.geometry)
    )
    return Bench(
        day=day,
        setups=setups,
        rows=_rows(setups, drawn),
        possible=len(drawn) / DRAWS,
        friction=tuple(change for own in changes for change in own),
        setup_differences=differences,
        unseen=tuple(unseen(day, setups, _values(setups), differences, _again(day, bikes.as_measured()))),
        tell=bench_sheet,
    )


def _again(day: RideDay, bikes: Sequence[BikeOf]) -> Again:
    """Return what works out one setup's figures anew, beside the first alone."""

    def again(setup: Setup) -> Mapping[FigureAt, Figure] | None:
        own = next(bike for bike in bikes if bike.setup.name == setup.name)
        try:
            found = _of_setups(day, [bikes[0], replace(own, setup=setup)], as_stated)
        except RideDayError:
            return None
        return _values(found)[setup.name]

    return again


def require_parts_agree(day: RideDay) -> None:
    """Raise RideDayError where figures of parts contradict each other, as `bench_of` would; no log is read."""
    if day.setups:
        require_possible(day)
        _of_setups(day, plain_bikes_of(day, _names(day)), as_stated)


def _names(day: RideDay) -> list[str]:
    """Return the day's setups, the one first that others are told against."""
    baseline = baseline_of(day)
    return sorted(day.setups, key=lambda name: name != baseline)


def bench_where_it_holds(day: RideDay) -> Bench | None:
    """Return what the parts of a day with setups do; None where figures of them contradict each other."""
    try:
        return bench_of(day)
    except TelemetryError:
        return None


def _recorded_sag_mm(day: RideDay) -> dict[tuple[str, End], float]:
    """Return sag that was recorded, rider aboard, mm at the wheel; no log is read where there is no such recording."""
    if not any(item.kind == "sag" for item in day.static):
        return {}
    found = {}
    for item in analyse_recordings(Rides(day, runs=())):
        for own in item.measures:
            setup = day.setups[item.setup]
            full = None if own.end == "both" else setup.at(own.end).full_travel_mm
            if own.measure == "rider_sag" and own.end != "both" and full is not None:
                found[setup.name, own.end] = own.value / 100 * full
    return found


def _settles(day: RideDay) -> dict[str, dict[tuple[End, str | None], Settles]]:
    """Return where each setup's ends came to rest in settle recordings; no log is read where there are none."""
    found: dict[str, dict[tuple[End, str | None], Settles]] = defaultdict(dict)
    if any(item.kind == "settle" for item in day.static):
        for (setup, end, load), rest in settled_mm(Rides(day, runs=())).items():
            own = Settles(compressed_mm=tuple(rest["compressed"]), extended_mm=tuple(rest["extended"]))
            found[setup][end, load] = own
    return dict(found)


def _with_friction(found: SetupBench, setup: Setup, settles: OfLoads) -> SetupBench:
    front, rear = (
        replace(found.at(end), friction=friction_part(settles, end, setup.at(end).full_travel_mm)) for end in ENDS
    )
    settled = {end for end, _ in settles}
    lacking = [
        Lacking(what="friction", end=own.end, reason=NEGATIVE if own.end in settled else NO_SETTLES)
        for own in (front, rear)
        if own.friction is None
    ]
    return replace(found, front=front, rear=rear, absent=(*found.absent, *lacking))


def _bare(day: RideDay) -> frozenset[End]:
    """Return the ends of which no setup states any suspension, and no sensor reads it."""
    keys = {end: {key for setup in day.setups.values() for key in setup.at(end).settings} for end in ENDS}
    return frozenset(end for end in ENDS if end not in day.travel_ends and keys[end] <= WITHOUT_SUSPENSION)


def _without_bare(found: SetupBench, bare: frozenset[End]) -> SetupBench:
    """Return an answer that says once of such an end that nothing of it is stated, in place of each thing it lacks."""
    kept = tuple(item for item in found.absent if item.end not in bare)
    told = (Lacking(what="suspension", end=end, reason=BARE) for end in ENDS if end in bare)
    return replace(found, absent=(*kept, *told))


def _of_setups(day: RideDay, bikes: Sequence[BikeOf], draw: Draw) -> tuple[SetupBench, ...]:
    """Return every setup's answer, the first before those that are told against it."""
    known = [bike.stated(day, draw) for bike in bikes]
    first: SetupBench | None = None
    found = []
    for bike, own in zip(bikes, known, strict=True):
        others = [other for other in known if other is not own]
        try:
            front, beside_front = _end(own.front, known[0].front, [other.front for other in others])
            rear, beside_rear = _end(own.rear, known[0].rear, [other.rear for other in others])
            answer = SetupBench(name=bike.setup.name, label=bike.setup.label, front=front, rear=rear)
            answer = with_bike(answer, own, bike, first)
        except PartError as error:
            raise RideDayError(day.path.name, [problem_of(day, bike.setup.name, error)]) from None
        widths = {**own.front.widths, **own.rear.widths}
        beside = filter(None, (beside_front, beside_rear))
        absent = (*beside, *lacking_of(own.front), *lacking_of(own.rear), *lacking_bike(answer))
        wished = (lacking_wish(stated.wish, answer.at(stated.end)) for stated in (own.front, own.rear))
        absent = (*absent, *(item for lacking in wished for item in lacking))
        found.append(replace(answer, absent=absent, widths=tuple(widths.values())))
        first = first or found[0]
    return tuple(found)


def _end(stated: Stated, first: Stated, others: Sequence[Stated]) -> tuple[EndBench, Lacking | None]:
    """Return an end's answer, and what it lacks beside the other setups: then nothing of its springs is told."""
    found = end_of(in_its_oil(stated, first), [other for other in others if "damper_points" in other.setup.settings])
    lacks = lacking_beside(stated, others)
    if found.springs is None or lacks is None:
        return found, lacks
    return replace(found, springs=None, masses=None, set_up=None), lacks


def _values(setups: Sequence[SetupBench]) -> dict[str, dict[FigureAt, Figure]]:
    """Return every figure of every setup, by its place, part, words and unit."""
    found: dict[str, dict[FigureAt, Figure]] = {}
    for setup in setups:
        places: dict[Place, dict[str, Part]] = {end: setup.at(end).parts for end in ENDS} | {"both": setup.parts}
        found[setup.name] = {
            (place, name, own.what, own.unit): own
            for place, parts in places.items()
            for name, part in parts.items()
            for own in part.figures
        }
    return found


def _drawn(day: RideDay, bikes: Bikes) -> list[dict[str, dict[FigureAt, Figure]]]:
    """Return the figures with what is stated drawn from what it may be; a draw that no parts could have is left out."""
    chance = np.random.default_rng(SEED)
    found = []
    for number in range(DRAWS):
        held: dict[tuple[Place, str, object], float] = {}

        def draw(place: Place, key: str, value: object, held: dict[tuple[Place, str, object], float] = held) -> float:
            if (place, key, value) not in held:
                held[place, key, value] = float(chance.standard_normal())
            return held[place, key, value]

        try:
            found.append(_values(_of_setups(day, bikes.drawn(number), draw)))
        except (RideDayError, ValueError):
            continue
    return found


def _rows(setups: Sequence[SetupBench], drawn: Sequence[dict[str, dict[FigureAt, Figure]]]) -> tuple[FigureRow, ...]:
    known = _values(setups)
    first = setups[0].name
    ranges: dict[tuple[str, FigureAt], list[float]] = defaultdict(list)
    apart: dict[tuple[str, FigureAt], list[float]] = defaultdict(list)
    for draw in drawn:
        for name, figures in draw.items():
            for key, own in figures.items():
                ranges[name, key].append(own.value)
                if name != first and key in draw[first]:
                    apart[name, key].append(own.value - draw[first][key].value)
    rows = []
    for key in _in_order(known.values()):
        having = {name: figures[key] for name, figures in known.items() if key in figures}
        values = {name: _ranged(own.value, ranges[name, key]) for name, own in having.items()}
        differences = {
            name: _ranged(own.value - having[first].value, apart[name, key])
            for name, own in having.items()
            if name != first and first in having
        }
        figure = next(iter(having.values()))
        rows.append(FigureRow(end=key[0], part=key[1], figure=figure, values=values, differences=differences))
    return tuple(rows)


def _in_order(held: Iterable[Mapping[FigureAt, Figure]]) -> list[FigureAt]:
    """Return every figure's place once, one that the first setup lacks behind what stands before it in its own."""
    found: list[FigureAt] = []
    for figures in held:
        after = -1
        for key in figures:
            if key not in found:
                found.insert(after + 1, key)
            after = found.index(key)
    return found


def _ranged(value: float, drawn: Sequence[float]) -> Ranged:
    """Return a value with its range, which holds it: curves through pairs drawn anew are straighter than the first."""
    low, high = np.quantile(drawn, [LOW, HIGH]).tolist() if drawn else (value, value)
    return Ranged(value=value, low=min(low, value), high=max(high, value))
