"""A large ride day on its pages: ``python -m tests.benchmarks.large_day [--minutes 20] [--rate 2000]``.

Eight invented runs, written to a temporary folder, are read as the server reads them. Printed: seconds to read; seconds
from then to the first page of figures and to the trail page; milliseconds to magnify, as the server's part of it; the
report's size; each as a ratio to one plain pass (least and most of every travel sample), timed in the same run.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyarrow as pa
from bokeh.document import Document
from pyarrow import csv

from dashboards.content.styles import styles_of
from dashboards.content.trail import Shown, axis_of, laid_over, trace_panels
from dashboards.pages.choice import Choice
from dashboards.pages.questions import COMPARED
from dashboards.pages.view import View
from dashboards.placing import served
from dashboards.report import render_report
from dashboards.serving.read_day import read_whole
from telemetry.model.finding import ENDS
from telemetry.pipeline import ShownDay
from telemetry.ride_day import read_ride_day
from tests.pipeline.small_days import HEAD

RUNS = 8
POINTS = 2400


def write_day(folder: Path, minutes: float, rate_hz: int) -> None:
    """Write eight runs of the same bumps, each with a line of its own."""
    text = [HEAD.format(title="A long day"), "[setups.a]\n[setups.b]\n"]
    count = round(minutes * 60 * rate_hz)
    shape = np.hanning(round(0.12 * rate_hz))
    rng = np.random.default_rng(1)
    rough = np.convolve(rng.standard_normal(count), shape, "same")
    rough /= rough.std()
    for number in range(1, RUNS + 1):
        own = np.convolve(np.random.default_rng(number + 1).standard_normal(count), shape, "same")
        mixed = rough + 0.1 * own / own.std()
        front = np.clip(45 + 15 * mixed, 0.5, 159.0)
        stroke = np.clip(45 + 15 * np.roll(mixed, rate_hz // 5), 0.5, 149.0) / 2.5
        table = pa.table(
            {
                "t_ms": np.round(np.arange(count) * 1000 / rate_hz, 1),
                "A0": np.round(100 + front * 20).astype(np.int32),
                "A1": np.round(200 + stroke * 50).astype(np.int32),
            }
        )
        csv.write_csv(table, folder / f"run_{number}.csv")
        text.append(f'[[runs]]\nlog = "run_{number}.csv"\nsetup = "{"ab"[number % 2]}"\n')
    (folder / "ride_day.toml").write_text("\n".join(text), encoding="utf-8")


def timed(work: Callable[[], object]) -> float:
    """Return how long some work takes, s."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--rate", type=int, default=2000)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        write_day(folder, asked.minutes, asked.rate)
        start = time.perf_counter()
        read = read_whole(read_ride_day(folder / "ride_day.toml"))
        reading = time.perf_counter() - start
        seen: ShownDay | None = read.whole
        assert seen is not None
        signals = [end.travel_mm for run in read.done.runs if run.motion for end in run.motion.ride.ends.values()]
        floor = timed(lambda: [(signal.min(), signal.max()) for signal in signals])
        styles = styles_of(read.day, seen, "a")
        view = View(
            analysis=read.analysis,
            done=read.done,
            choice=Choice(day="."),
            seen=seen,
            styles=styles,
            along=lambda: read.along(seen),
            bench=read.bench,
            on_paper=read.paper.ask,
            ridden_on_paper=read.paper.known,
        )
        rows = [("plain pass over every sample", floor)]
        for question in COMPARED:

            def draw(answer: Callable[[View], object] = question.answer) -> None:
                found = answer(view)
                for panels in found.panels.values():  # type: ignore[attr-defined]
                    served(Document(), panels)

            rows.append((question.title, timed(draw)))
        along = read.along(seen)
        axis = axis_of(along)
        shown = Shown(pictures=seen.pictures, styles=styles, most_points=POINTS)
        assert trace_panels(along, shown, axis)
        first, last = float(along.borders[0]), float(along.borders[-1])
        for share in (1.0, 0.3, 0.03, 0.001):
            part = (first + (last - first) * 0.4, first + (last - first) * min(1.0, 0.4 + share))
            zoom = min(timed(lambda part=part: [laid_over(along, shown, part, end) for end in ENDS]) for _ in range(5))
            rows.append((f"magnified to {100 * share:g} % of the trail", zoom))
        report = render_report(read.analysis, seen.comparison, along)
    print(f"{RUNS} runs of {asked.minutes:g} min at {asked.rate} Hz; read and studied in {reading:.1f} s")
    for name, seconds in rows:
        print(f"{name:45s} {1000 * seconds:9.1f} ms  {seconds / floor:8.2f} x the plain pass")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"report {len(report) / 1e6:.1f} MB; most memory held {peak:.1f} GB")


if __name__ == "__main__":
    main()
