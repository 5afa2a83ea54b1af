"""How the bike sits, by recordings off the trail: sag and what friction makes of it, the zero found, how it bounces."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import Analysis, StaticAnalysis
from telemetry.model.finding import End
from telemetry.model.sensor import DisplacementSensor
from telemetry.sheet import ABSENT, Table, table

from .names import ENDS, label_of
from .values import places_of, quantity_in_words, value_in_words

SAGS = ("rider_sag", "free_sag")
LOADS: Mapping[str | None, str] = MappingProxyType(
    {"standing": "rider standing", "seated": "rider seated", "bike_alone": "bike alone", None: "load not stated"}
)
HALF_A_BAND = "± is half the friction band: one reading can't say where within it the end comes to rest."
NO_BAND = (
    "How far friction holds a sag reading off isn't known: record settle let go from compressed, and from extended, "
    "with the same setup and load."
)
OF_BOTH = "Sag read let go from both sides is the mean of the two: friction cancels as far as it is alike both ways."
NOT_LIFTED = "Zero is as calibrated where no lifted recording gave one: lift both wheels for 5 s and record it."


@dataclass(frozen=True, slots=True, kw_only=True)
class SagReading:
    """Sag of one end as one recording told it, or two let go from both sides.

    Attributes
    ----------
    value_pct : float
    band_mm : float or None
        The friction band it lies in, of the same setup, with the same load if there is one; None where none is known.
    full_mm : float
    both_sides : bool
        Whether it is the mean of what was let go from compressed and from extended.
    """

    item: StaticAnalysis
    end: End
    measure: str
    value_pct: float
    band_mm: float | None
    full_mm: float
    both_sides: bool

    @property
    def half_mm(self) -> float | None:
        """How far friction may hold the reading off either way; None where that isn't known, or evened out."""
        return None if self.band_mm is None or self.both_sides else self.band_mm / 2

    @property
    def half_pct(self) -> float:
        """The same in % of full travel; 0 where it isn't known, or evened out."""
        return 100.0 * (self.half_mm or 0.0) / self.full_mm

    @property
    def what(self) -> str:
        """Under which load: ``rider standing``."""
        return LOADS[self.item.entry.load]


def _bands(analysis: Analysis, item: StaticAnalysis, end: End) -> Iterator[float]:
    """Yield friction bands of a recording's setup, those with its own load first."""
    own = [other for other in analysis.static if other.setup == item.setup]
    for other in sorted(own, key=lambda other: other.entry.load != item.entry.load):
        band = other.value("friction_band", end)
        if band is not None:
            yield band


def _is_of_both_sides(analysis: Analysis, item: StaticAnalysis) -> bool:
    alike = [
        other.entry.settled_from
        for other in analysis.static
        if (other.entry.kind, other.setup, other.entry.load) == ("sag", item.setup, item.entry.load)
        and other.usable != "record again"
    ]
    return {"compressed", "extended"} <= set(alike)


def sag_readings(analysis: Analysis) -> tuple[SagReading, ...]:
    """Return every sag that recordings told, in file order, the rear before the front."""
    found = []
    for item in analysis.static:
        for end in ENDS:
            for measure in SAGS:
                value, full = item.value(measure, end), analysis.day.setups[item.setup].at(end).full_travel_mm
                if value is None or full is None:
                    continue
                found.append(
                    SagReading(
                        item=item,
                        end=end,
                        measure=measure,
                        value_pct=value,
                        band_mm=next(_bands(analysis, item, end), None),
                        full_mm=full,
                        both_sides=_is_of_both_sides(analysis, item),
                    )
                )
    return tuple(found)


def sag_in_words(analysis: Analysis, reading: SagReading, language: Language = ENGLISH) -> str:
    """Return a reading with what friction makes of it: ``24.5 % (42 mm), ± 4.0 mm``."""
    item = reading.item
    words = value_in_words(analysis.day, item.setup, reading.measure, reading.end, reading.value_pct, language=language)
    return words if reading.half_mm is None else f"{words}, ± {language.figure(reading.half_mm, 1)} mm"


Cells = Mapping[End, str]


def _sag_rows(analysis: Analysis, language: Language = ENGLISH) -> Iterator[tuple[str, StaticAnalysis, Cells]]:
    readings = sag_readings(analysis)
    for item in analysis.static:
        own = [reading for reading in readings if reading.item is item]
        if own:
            what = language.say(f"sits.{item.entry.load or 'unstated'}")
            yield what, item, {reading.end: sag_in_words(analysis, reading, language) for reading in own}


def _value_rows(analysis: Analysis, measure: str, language: Language) -> Iterator[tuple[str, StaticAnalysis, Cells]]:
    for item in analysis.static:
        values = {end: value for end in ENDS if (value := item.value(measure, end)) is not None}
        if not values:
            continue
        cells = {
            end: quantity_in_words(analysis.day, item.setup, measure, end, value, language=language)
            for end, value in values.items()
        }
        yield label_of(measure, language), item, cells


def _zero_of(items: Sequence[StaticAnalysis], end: End, language: Language) -> str:
    """Return what lifted recordings found at one end: ``−0.6 to +0.2 mm of stroke``."""
    found = [(value, item) for item in items if (value := item.value("zero_level", end)) is not None]
    if not found:
        return language.say("sits.as_calibrated")
    values, sensors = [value for value, _ in found], found[-1][1].entry.sensors.values()
    sensor = next(one for one in sensors if isinstance(one, DisplacementSensor) and one.end == end)
    places = places_of("zero_level")
    lowest, highest = (language.figure(value, places, signed=True) for value in (min(values), max(values)))
    span = lowest if lowest == highest else language.say("sits.span", low=lowest, high=highest)
    return language.say("sits.of_stroke", value=f"{span} mm") if sensor.measures == "stroke" else f"{span} mm"


def _zero_row(analysis: Analysis, language: Language) -> list[str]:
    items = [item for item in analysis.static if item.entry.kind == "lifted"]
    names = [item.entry.name for item in items]
    cells = [_zero_of(items, end, language) if end in analysis.day.travel_ends else ABSENT for end in ENDS]
    recorded = names[0] if len(names) == 1 else ""
    if len(names) > 1:
        recorded = language.say("sits.span", low=names[0], high=names[-1])
    return [language.say("sits.zero"), "", *cells, recorded]


def _rows(analysis: Analysis, language: Language) -> Iterator[list[str]]:
    rows = [*_sag_rows(analysis, language)]
    for measure in ("friction_band", "natural_frequency", "damping_ratio"):
        rows.extend(_value_rows(analysis, measure, language))
    for name, item, cells in rows:
        label = analysis.day.setups[item.setup].label
        yield [name, label, *(cells.get(end, ABSENT) for end in ENDS), item.entry.name]
    if rows or any(item.value("zero_level", end) is not None for item in analysis.static for end in ENDS):
        yield _zero_row(analysis, language)


def sitting_table(analysis: Analysis, language: Language = ENGLISH) -> Table | None:
    """Return what recordings off the trail told, the rear left of the front; None without any value."""
    rows = list(_rows(analysis, language))
    ends = [language.say(f"end.short_{end}") for end in ENDS]
    columns = [language.say("sits.column"), language.say("sits.setup"), *ends, language.say("sits.recording")]
    return table(columns, rows, right_from=5) if rows else None


def sitting_notes(analysis: Analysis) -> tuple[str, ...]:
    """Return what is to be known of the values: what friction makes of sag, where zero comes from."""
    readings, notes = sag_readings(analysis), list[str]()
    says: tuple[tuple[str, Callable[[SagReading], bool]], ...] = (
        (HALF_A_BAND, lambda one: one.half_mm is not None),
        (OF_BOTH, lambda one: one.both_sides),
        (NO_BAND, lambda one: one.band_mm is None and not one.both_sides),
    )
    notes.extend(words for words, holds in says if any(map(holds, readings)))
    if sitting_table(analysis) is not None:
        found = {end for item in analysis.static for end in ENDS if item.value("zero_level", end) is not None}
        notes.extend([] if analysis.day.travel_ends <= found else [NOT_LIFTED])
    return tuple(notes)


def sitting_in_short(analysis: Analysis, language: Language = ENGLISH) -> str:
    """Return how the bike sits in one sentence: the latest sag, else what else was told; empty where nothing was."""
    rows, sags = list(_rows(analysis, language)), list(_sag_rows(analysis, language))
    if sags:
        name, _, cells = sags[-1]
    elif rows:
        name, cells = rows[0][0], dict(zip(ENDS, rows[0][2:], strict=False))
    else:
        return ""
    told = [(language.say(f"end.short_{end}"), cells[end]) for end in ENDS if cells.get(end, ABSENT) != ABSENT]
    return language.say("sits.finding", what=name, values="; ".join(" ".join(pair) for pair in told))
