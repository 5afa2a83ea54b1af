"""Columns of an unknown log that are no end's travel, by their names, however much they move."""

from __future__ import annotations

import re

from .axes import words_of

OTHER = re.compile(
    "mag|magn|magnetometer|magnetic|m[xyz]|compass|heading|course|bearing|temp|temperature|humidity|pressure|baro"
    "|rpm|revs|cadence|power|watts?|torque|force|load|voltage|volts?|vbat|batt|battery|current|amps|throttle|tps|brake"
    "|gear|heart|pulse|hr|bpm|lat|lon|latitude|longitude|alt|altitude|elevation|sats|satellites|[hv]dop|fix|distance"
    "|roll|pitch|yaw|lean|steer|steering|hand|quaternion|quat|q[wxyz]|euler|rate|velocity|command|cmd|setpoint|target"
    "|error|acceleration|accel|acc|gyro|gyroscope|state|status|flag|mode|lap"
)
ANGLE = re.compile("angle|deg|rad|degrees")
OF_A_LINK = re.compile("link|linkage|rocker|shock|swingarm|travel|pot|sensor")
"""An angle may be travel where it is a link's, or nothing says whose: of a fork or a hand it is steering."""


def is_no_travel(name: str) -> bool:
    """Tell whether a column is something else than an end's travel by its name.

    Examples
    --------
    >>> [is_no_travel(name) for name in ("mag_x", "fork_temp", "fork_angle", "fork", "A0", "link_angle")]
    [True, True, True, False, False, False]
    """
    words = [word for word in words_of(name) if not word.isdigit()]
    if any(map(OTHER.fullmatch, words)):
        return True
    angle, rest = any(map(ANGLE.fullmatch, words)), [word for word in words if not ANGLE.fullmatch(word)]
    return angle and bool(rest) and not any(map(OF_A_LINK.fullmatch, rest))
