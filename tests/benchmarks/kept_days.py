"""Ten thousand kept days: ``python -m tests.benchmarks.kept_days [--days 10000] [--anew]``.

One simulated day is kept as `keep` does it, then entered again and again by the library's own functions with other
dates, bikes, customers, settings, values and files. They are made once, in the user's cache. Wanted: a search under
0.3 s, a bike's history under 1 s, each page of `serve` under 1 s (asked of a server of its own, whose processor time
isn't told), what `keep` adds to its analysis under 1 s, a catalogue under 100 MB.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import secrets
import shutil
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode
from urllib.request import urlopen

from telemetry import library, read_ride_day
from telemetry.library.catalogue import FILE, writing
from telemetry.library.entering import enter
from telemetry.library.record import Kept, KeptSetup
from telemetry.library.schema import MIGRATIONS
from telemetry.model.day import RideDay
from telemetry.own_folders import cache_folder
from telemetry.pipeline import bikes_of_kind, keep, together, with_kept_days
from telemetry.pipeline.earlier import earlier_days
from tests.browser.served import Server, serving

SAMPLE = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil"
FIRST = dt.date(2016, 3, 1)
BIKES, CUSTOMERS, TRAILS = 400, 250, 40
A_CHANGE = 500
REPEATS = 5


def of_setup(setup: KeptSetup, chance: random.Random) -> KeptSetup:
    """Return a setup with pressures and values of its own."""
    settings = []
    for item in setup.settings:
        if item.key.endswith("_bar") and item.number is not None:
            number = round(item.number * chance.uniform(0.8, 1.2), 1)
            settings.append(replace(item, number=number, text=repr(number), entered=f"{number} bar"))
        else:
            settings.append(item)
    values = tuple(replace(item, value=item.value * chance.uniform(0.9, 1.1)) for item in setup.values)
    return replace(setup, settings=tuple(settings), values=values)


def varied(kept: Kept, number: int, chance: random.Random) -> Kept:
    """Return another day: its own date, bike, customer, settings, values and files."""
    files = tuple(replace(file, sha256=chance.randbytes(32).hex()) for file in kept.files)
    return replace(
        kept,
        id=f"{FIRST + dt.timedelta(days=number // 3)}-{number:06x}",
        date=(FIRST + dt.timedelta(days=number // 3)).isoformat(),
        place=chance.randbytes(32).hex(),
        title=f"{chance.choice(('Oil', 'Spacers', 'Link', 'Shims', 'Pressure'))}, {number}",
        bike=f"Mule {chance.randrange(BIKES):03d}",
        kind="enduro",
        trail=f"Trail {chance.randrange(TRAILS)}, gate to ford",
        customer={"name": f"Customer {chance.randrange(CUSTOMERS)}", "bike": ""},
        setups=tuple(of_setup(setup, chance) for setup in kept.setups),
        files=files,
    )


def days(root: Path, count: int) -> Iterator[int]:
    """Make the library; yield how many days it has."""
    keep(read_ride_day(SAMPLE), root)
    with library.reading(root) as catalogue:
        (first,) = library.find(catalogue, library.Wanted())
        kept = library.record_of(catalogue, first.id)
    chance = random.Random(1)  # noqa: S311 - a benchmark's
    for start in range(0, count, A_CHANGE):
        with writing(root) as catalogue, catalogue.change():
            for number in range(start, min(start + A_CHANGE, count)):
                enter(catalogue, varied(kept, number, chance))
        yield start + A_CHANGE


def seconds(work: Callable[[], object]) -> str:
    """Return how long some work takes, and how much of that the processor: others may be using the machine."""
    taken, worked = [], []
    for _ in range(REPEATS):
        start, busy = time.perf_counter(), time.process_time()
        work()
        taken.append(time.perf_counter() - start)
        worked.append(time.process_time() - busy)
    middle, processor = statistics.median(taken), statistics.median(worked)
    return f"{middle:.3f} s ({min(taken):.3f} to {max(taken):.3f}), {processor:.3f} s of a processor"


def searched(root: Path, **wanted: object) -> Callable[[], object]:
    def work() -> object:
        with library.reading(root) as catalogue:
            return library.find(catalogue, library.Wanted(**wanted))  # type: ignore[arg-type]

    return work


def put_beside(root: Path, kept: Kept) -> Callable[[], object]:
    """Return what `keep` does beside analysing and writing Parquet: copies, a look whether it is known, the change."""

    def work() -> object:
        store = library.Store(root)
        with store.staged() as staged:
            listed = ((file, store.path(file.kind, file.sha256)) for file in kept.files)
            files = tuple(
                replace(store.take_in(staged, path, file.path, file.kind), is_run=file.is_run) for file, path in listed
            )
            own = staged / "own"
            own.write_text(secrets.token_hex(8))
            files = (*files[1:], store.take_in(staged, own, "own.txt"))
            return library.put(root, staged, replace(kept, files=files, id="", number=0, place=secrets.token_hex(8)))

    return work


def planned_day(place: Path, bike: str) -> RideDay:
    """Return a day of a bike that is yet to be ridden, on the trail of most of its kept days."""
    with library.reading(place) as catalogue:
        trail = catalogue.db.execute(
            "SELECT trail FROM versions WHERE bike = ? GROUP BY trail ORDER BY count(*) DESC LIMIT 1", (bike,)
        ).fetchone()[0]
    day = read_ride_day(SAMPLE)
    day = replace(day, bike=replace(day.bike, name=bike), trail=trail, date=dt.date(2099, 1, 1), runs=(), customer={})
    return with_kept_days(day, place)


def with_records(root: Path, kept: Kept, bike: str) -> str:
    """Write a record for each of a bike's days, alike but for its names; return its most ridden trail."""
    with library.reading(root) as catalogue:
        rows = library.find(catalogue, library.Wanted(bike=bike))
        for day in rows:
            own = replace(
                kept, id=day.id, number=day.version, date=day.date, title=day.title, bike=bike, trail=day.trail
            )
            if not catalogue.store.record(own.stem).exists():
                catalogue.store.write_record(own.stem, own.packed())
    trails = [day.trail for day in rows]
    return max(trails, key=trails.count)


def pages(server: Server, bike: str, trail: str) -> dict[str, Callable[[], object]]:
    """Return what asks a running server for each kind of page, over HTTP."""

    def asked(**about: str) -> Callable[[], object]:
        def work() -> object:
            with urlopen(f"{server.link}?{urlencode(about)}") as answer:  # noqa: S310 - our own server
                return answer.read()

        return work

    return {
        "page: first of the list": asked(),
        "page: next of the list": asked(skip="25"),
        "page: last of the list": asked(skip="9975"),
        "page: found by two words": asked(words="oil ford"),
        "page: found by customer, verdict and date": asked(customer="er 12", verdict="changed", since="2020-01-01"),
        "page: a bike over time": asked(page="bike", bike=bike),
        "page: the laps of a trail": asked(page="laps", bike=bike, trail=trail),
    }


def main() -> None:
    """Print how long each takes."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--days", type=int, default=10_000)
    parser.add_argument("--anew", action="store_true")
    asked = parser.parse_args()
    place = cache_folder() / f"kept_days_{asked.days}_form_{len(MIGRATIONS)}"
    if asked.anew:
        shutil.rmtree(place, ignore_errors=True)
    if not place.exists():
        making = place.with_name(f".{place.name}")
        shutil.rmtree(making, ignore_errors=True)
        making.mkdir(parents=True)
        for number in days(making, asked.days):
            sys.stderr.write(f"\r{number} days")
        making.rename(place)
    with library.reading(place) as catalogue:
        sample = next(day for day in library.find(catalogue, library.Wanted(bike="shop mule")))
        kept = library.record_of(catalogue, sample.id)
        busiest = catalogue.db.execute(
            "SELECT bike FROM versions WHERE newest GROUP BY bike ORDER BY count(*) DESC LIMIT 1"
        ).fetchone()[0]
    questions: dict[str, Callable[[], object]] = {
        "find, everything": searched(place),
        "find, two words": searched(place, words="oil ford"),
        "find, a bike since a date": searched(place, bike="mule 123", since="2020-01-01"),
        "find, a setting": searched(place, settings=("lower_leg_oil_each_ml=8",)),
        "find, a pressure": searched(place, settings=("front.air_pressure_bar=5.1",)),
        "find, a verdict": searched(place, verdict="changed"),
        "find, a row's verdict and a customer": searched(
            place, verdict="dynamic_sag:front=unchanged", customer="er 12"
        ),
    }

    def past() -> object:
        with library.reading(place) as catalogue:
            return library.history(catalogue, busiest).to_dict()

    def lent() -> object:
        return earlier_days(lent_to).told

    lent_to = planned_day(place, busiest)
    questions["a bike's history"] = past
    questions["what its kept days lend a day"] = lent
    questions["the same change, on all days"] = lambda: together((), "lower_leg_oil_each_ml", place, open_too=True)
    questions["bikes of a kind"] = lambda: bikes_of_kind("enduro", place)
    questions["keep, beside analysis and Parquet"] = put_beside(place, kept)
    sys.stdout.write(f"{asked.days} kept days, catalogue {(place / FILE).stat().st_size / 1e6:.0f} MB\n")
    trail = with_records(place, kept, busiest)
    with serving(place) as server:
        for name, work in (questions | pages(server, busiest, trail)).items():
            sys.stdout.write(f"{name}: {seconds(work)}\n")


if __name__ == "__main__":
    main()
