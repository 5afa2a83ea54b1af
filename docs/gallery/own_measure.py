"""Did a measure of our own change? The mean speed of hits from deep in the travel, judged as the product does its own.

Runs are the replicates. It was thought of after riding: take what it says as a question for the next day.
"""

import numpy as np

import telemetry
from telemetry.statistics.difference import Sample, difference

FROM_MM, LEVEL = 60.0, 0.10
day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
hits = telemetry.analyse(day).hits()
deep = hits[(hits.end == "front") & (hits.from_mm > FROM_MM)]
value = deep.groupby("run").peak_wheel_mm_s.mean()  # one figure a run


def sample(setup: str) -> Sample:
    """Return one setup's runs: their values, and when each was ridden."""
    runs = [run for run in day.runs if run.setup == setup and run.name in value]
    return Sample(
        values=value[[run.name for run in runs]].to_numpy(float),
        orders=np.array([float(run.order) for run in runs]),
        sections=np.empty((len(runs), 0)),
        days=np.ones(len(runs)),
    )


found = difference(sample("oil_20"), sample("oil_8"))
half = None if found is None else found.half_width(LEVEL)
if found is None or half is None:
    print("the setup can't be told from the order ridden, or nothing varies")
else:
    print(f"hits from {FROM_MM:g} mm on, 8 ml against 20 ml: {found.d:+.0f} mm/s at the wheel")
    print(f"between {found.d - half:+.0f} and {found.d + half:+.0f} ({100 * (1 - LEVEL):.0f} % interval over runs)")
