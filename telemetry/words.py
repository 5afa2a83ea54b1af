"""Numbers as people read them: sensible digits, a real minus sign, the unit beside the figure."""

from __future__ import annotations

from collections.abc import Sequence

MINUS = "−"
NOT_STATED = "not stated"
MOST_IN_A_ROW = 5
"""So many things are named each by itself."""

_DECIMALS = {
    "%": 1,
    "% points": 1,
    "points": 1,
    "mm": 0,
    "mm/s": 0,
    "m/s": 1,
    "m/s2": 1,
    "1/min": 1,
    "s": 2,
    "ratio": 2,
    "mm per hit": 1,
    "Hz": 2,
    "-": 2,
    "count": 0,
}
_SHOWN_UNIT = {
    "% points": "points",
    "1/min": "a minute",
    "m/s2": "m/s²",
    "ratio": "",
    "-": "",
    "count": "",
    "mm per hit": "mm a hit",
}


def decimals(unit: str) -> int:
    """Return how many decimals a value in this unit is printed with."""
    return _DECIMALS.get(unit, 2)


def figure(value: float, places: int, *, signed: bool = False) -> str:
    """Return a number with so many decimals and a real minus sign; zero never carries a sign.

    Examples
    --------
    >>> figure(-3.14159, 1), figure(2.0, 1, signed=True), figure(-0.01, 1)
    ('−3.1', '+2.0', '0.0')
    """
    rounded = round(value, places) + 0.0  # -0.0 becomes 0.0
    text = f"{abs(rounded):.{places}f}"
    if rounded < 0:
        return MINUS + text
    return "+" + text if signed and rounded > 0 else text


def two_digits(value: float) -> str:
    """Return a number by its first two digits, written out.

    Examples
    --------
    >>> two_digits(214.3), two_digits(0.0153), two_digits(2.9)
    ('210', '0.015', '2.9')
    """
    return f"{float(f'{value:.2g}'):g}"


def percent(share: float) -> str:
    """Return a share in per cent, in two digits or whole.

    Examples
    --------
    >>> percent(0.000123), percent(0.0421), percent(0.9991)
    ('0.012', '4.2', '100')
    """
    return f"{100 * share:.0f}" if share >= 0.0995 else f"{100 * share:.2g}"


def counted(number: int, thing: str) -> str:
    """Return how many there are: ``1 run``, ``4 runs``."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def size_words(count: int) -> str:
    """Return a number of bytes as people read it.

    Examples
    --------
    >>> size_words(1), size_words(512), size_words(8_190_000), size_words(2_147_483_648)
    ('1 byte', '512 bytes', '8.2 MB', '2.1 GB')
    """
    for unit, size in (("GB", 1e9), ("MB", 1e6), ("kB", 1e3)):
        if count >= size:
            return f"{count / size:.1f} {unit}"
    return counted(count, "byte")


def shown_unit(unit: str) -> str:
    """Return the unit as people read it; empty where the figure needs none."""
    return _SHOWN_UNIT.get(unit, unit)


def difference_unit(unit: str) -> str:
    """Return the unit of a difference of values in `unit`, as people read it: shares differ by points."""
    return "points" if unit in {"%", "% points"} else shown_unit(unit)


def lower_first(text: str) -> str:
    """Return the text to stand within a sentence: ``dynamic sag``."""
    return text[0].lower() + text[1:]


def upper_first(text: str) -> str:
    """Return the text to begin a sentence with."""
    return text[0].upper() + text[1:]


def shortened(text: str, longest: int) -> str:
    """Return the text, cut short where it is longer than so many letters.

    Examples
    --------
    >>> shortened("mostly harmless", 20), shortened("mostly harmless", 7)
    ('mostly harmless', 'mostly…')
    """
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"


def first_to_last(names: Sequence[str]) -> str:
    """Return things in their order: a few each by itself, many from the first to the last.

    Examples
    --------
    >>> first_to_last(["May", "June"]), first_to_last(["1", "2", "3", "4", "5", "6"])
    ('May, June', '1 to 6')
    """
    return ", ".join(names) if len(names) <= MOST_IN_A_ROW else f"{names[0]} to {names[-1]}"


def shortlist(names: Sequence[str], most: int) -> str:
    """Return names in a row, no more than so many.

    Examples
    --------
    >>> shortlist(["a", "b", "c"], 2)
    'a, b and 1 more'
    """
    more = len(names) - most
    return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")


def with_end(name: str, end: str | None) -> str:
    """Return a name with the end it is of: ``Dynamic sag, front``; the name alone where it is of both, or of none."""
    return f"{name}, {end}" if end in {"front", "rear"} else name


def titled(label: str, unit: str) -> str:
    """Return a measure's label with its unit, once: ``Dynamic sag, %``, ``Hits a minute``.

    Examples
    --------
    >>> titled("Dynamic sag", "%"), titled("Hits a minute", "1/min"), titled("Bottom-outs", "count")
    ('Dynamic sag, %', 'Hits a minute', 'Bottom-outs')
    """
    shown = shown_unit(unit)
    return label if not shown or label.endswith(shown) else f"{label}, {shown}"


def quantity(value: float, unit: str, *, signed: bool = False) -> str:
    """Return a number with its unit.

    Examples
    --------
    >>> quantity(29.13, "%"), quantity(5.1, "1/min"), quantity(-13.04, "points", signed=True)
    ('29.1 %', '5.1 a minute', '−13.0 points')
    """
    return f"{figure(value, decimals(unit), signed=signed)} {shown_unit(unit)}".strip()


def share_of_travel(percent: float, mm: float, stroke_percent: float | None = None) -> str:
    """Return a share of travel with its millimetres, at the rear with the share of shock stroke too.

    Examples
    --------
    >>> share_of_travel(29.13, 49.08), share_of_travel(31.9, 52.6, 29.81)
    ('29.1 % (49 mm)', '31.9 % (53 mm, 29.8 % of stroke)')
    """
    stroke = "" if stroke_percent is None else f", {figure(stroke_percent, 1)} % of stroke"
    return f"{figure(percent, 1)} % ({figure(mm, 0)} mm{stroke})"
