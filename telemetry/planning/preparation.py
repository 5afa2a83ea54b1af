"""What to do before riding and between the runs, in words; common practice, no source."""

from __future__ import annotations

PREPARATION = (
    (
        "Open both alike: where parts are opened for one setup, open, drain, grease, refill and bleed the other the "
        "same way, also where nothing is changed in it. Else the opening itself is what is tested."
    ),
    (
        "Before opening: let air out in small steps while cycling the part. An end that stays pulled down may hold "
        "trapped pressure: don't open it, its maker's service must."
    ),
    (
        "Adjusters to the middle of their range, so that there is somewhere to go; the same clicks in all setups, "
        "but for what is tested."
    ),
    (
        "Pressures after that, in steps, cycling so that both chambers level; no “just checking” between runs of one "
        "setup, for a pump refills its own hose. The maker's pressure limits, torques and instructions hold."
    ),
    "Axle, pinch and caliper bolts to torque, brake lever pumped, first run slow; local trail rules hold.",
    (
        "Both wheels lifted for 5 s, nobody aboard: before the first run, and again after every remounting and every "
        "opening of a part."
    ),
    "One sighting run, which isn't counted, then 5 min of riding to warm dampers and tyres.",
    "Three pushes at the start and at the end of every run: stand still, push both ends three times, stand still.",
    "Name up to three measures (focus) and their smallest change before the first run; `telemetry check` after each.",
)
