"""Commands that move a bike over the ground, which takes numba: predict, simulate."""

from __future__ import annotations

from pathlib import Path

import click

from .groups import AS_JSON, MAX_MEMORY, RIDE_DAY, telemetry
from .lending import lending_options, read_lent
from .tables import say_json


@telemetry.command(epilog="Example: telemetry predict sample_runs/lower_leg_oil")
@RIDE_DAY
@click.option("--baseline", metavar="NAME", help="Setup that was ridden; else the day's own baseline.")
@click.option("--candidate", metavar="NAME", help="Setup to ride on paper, ridden or not; else the day's own.")
@click.option("--full", is_flag=True, help="Print what each interval comes from, and all that was taken for granted.")
@lending_options
@AS_JSON
@MAX_MEMORY
def predict(ride_day: Path, *, baseline: str | None, candidate: str | None, full: bool, as_json: bool) -> None:
    """Say what a change should have done: the baseline's own runs, ridden again on paper with the other parts."""
    from telemetry.pipeline.expecting import with_numba

    with with_numba("telemetry predict"):
        from telemetry.pipeline.predicting import RIDES_BESIDE, predict

    from telemetry import pipeline

    from .progress import ProgressLine
    from .sheets import prediction_sheets

    day = read_lent(ride_day)
    with ProgressLine(2 * len(day.runs) + RIDES_BESIDE, "riding") as progress:
        answer = predict(day, baseline, candidate, progress=progress)
    if as_json:
        say_json(answer.to_dict())
    else:
        prediction_sheets(answer, full=full)
    pipeline.require_all_read(answer.unread)


@telemetry.command(epilog="Example: telemetry simulate scenario.toml --out my_day")
@click.argument("scenario", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Folder for the ride day; made if need be.")
@click.option("--full-truth", is_flag=True, help="Also write each run's whole motion as Parquet, 4000 rows a second.")
def simulate(scenario: Path, *, out: Path, full_truth: bool) -> None:
    """Simulate a whole ride day from a scenario file: logs, ride_day.toml, and the truth beside them."""
    from telemetry.pipeline.expecting import with_numba
    from telemetry.ride_day import read_ride_day

    with with_numba("telemetry simulate"):
        from telemetry.simulation.day_made import make_day
        from telemetry.simulation.scenario import read_scenario

    from .progress import ProgressLine
    from .tables import say

    read = read_scenario(scenario)
    with ProgressLine(len(read.tables.day.order), "simulating") as progress:
        make_day(read, out, progress, read_ride_day, full_truth=full_truth)
    say(f"wrote {out}: `telemetry check {out}` next")
