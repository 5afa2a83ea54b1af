"""Where an end counts as bottomed out."""

from __future__ import annotations

LINE_MM, LINE_SHARE = 3.0, 0.02


def bottoming_line_mm(full_travel_mm: float, bumper_touch_mm: float | None) -> float:
    """Return the depth from which a bottom-out counts, mm.

    Half-way between the bumper's first touch and full travel where the touch is known, else full travel less
    the larger of 3 mm and 2 % (common practice, no source).

    Examples
    --------
    >>> bottoming_line_mm(170.0, None), bottoming_line_mm(170.0, 160.0)
    (166.6, 165.0)
    """
    if bumper_touch_mm is not None:
        return (bumper_touch_mm + full_travel_mm) / 2
    return full_travel_mm - max(LINE_MM, LINE_SHARE * full_travel_mm)
