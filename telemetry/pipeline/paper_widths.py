"""What a ride on paper rests on, in words: figures taken as usual, and stated ones of which nobody says how well."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from telemetry.bench.paper.known import PaperSetup
from telemetry.model.bench_figures import Width
from telemetry.model.finding import ENDS, End, Place
from telemetry.model.prediction import Taken
from telemetry.words import two_digits, with_end

OF_THE_BIKE = frozenset(
    {
        "rider_hz",
        "rider_damping",
        "rider_lever_share",
        "holding_hz",
        "frame_front_share",
        "pitch_radius_share",
        "frame_share",
        "wheelbase_mm",
    }
)
"""What is taken once, whichever end asks for it first."""

Widths = Mapping[tuple[Place, str], Width]


def widths_of(papers: Iterable[PaperSetup]) -> Widths:
    """Return every figure that any of the setups rests on, once."""
    return {at: width for paper in papers for at, width in paper.widths.items()}


def _of_end(width: Width) -> End | None:
    """Return the end that a figure is of; None where it is the bike's or the rider's."""
    if width.key in OF_THE_BIKE:
        return None
    return next((end for end in ENDS if end == width.end), None)


def _named(width: Width) -> str:
    return with_end(width.words, _of_end(width))


def _taken(width: Width, value: str) -> Taken:
    return Taken(what=_named(width), value=value, name=width.words, end=_of_end(width))


def _unit(width: Width) -> str:
    """Return a figure's unit behind its number; nothing where it has none."""
    return f" {width.unit}" if width.unit else ""


def _begun(width: Width) -> str:
    return "what is stated of" if width.assumed is None else "what was taken for"


def _right(width: Width) -> str:
    """Return that a figure is right; behind the end it is of stands a comma."""
    name = _named(width)
    return f"{_begun(width)} {name}{',' if name != width.words else ''} is right"


def conditions(widths: Widths) -> dict[str, str]:
    """Return by "place key" what has to be so where a row rests on that figure."""
    return {f"{place} {key}": _right(width) for (place, key), width in widths.items()}


def taken_as_usual(widths: Widths) -> tuple[Taken, ...]:
    """Return what isn't stated at all, and what was taken for it."""
    return tuple(
        _taken(width, f"{width.assumed:g} ± {two_digits(width.plus_minus)}{_unit(width)}")
        for width in widths.values()
        if width.assumed is not None
    )


def known_as_usual(widths: Widths) -> tuple[Taken, ...]:
    """Return what is stated, but not how well it is known, and how well it was taken to be."""
    return tuple(
        _taken(width, f"± {two_digits(width.plus_minus)}{_unit(width)}")
        for width in widths.values()
        if width.assumed is None and not width.stated
    )
