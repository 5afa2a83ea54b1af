"""A library for the pages: a bike over three days with known answers, texts that try to be code, many other days."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from pathlib import Path

from telemetry import library, read_ride_day
from telemetry.library.catalogue import writing
from telemetry.library.entering import enter
from telemetry.pipeline import keep
from tests.pipeline.setup_days import make_setup_day

BIKE, TRAIL, RIDER = "Test mule", "Quarry gate to footbridge", "R1"
CUSTOMERS = tuple(f"Ann{letter} Example" for letter in "ab")
SCRIPT = "<script>document.title='broken'</script>"
PICTURE = "\"><img src=x onerror=document.title='broken'>"
HOSTILE_BIKE, HOSTILE_TRAIL, HOSTILE_RIDER = f"Bike {PICTURE}", f"Trail {{{{7*7}}}} {SCRIPT}", f"R {SCRIPT}"
TURNED, FACES, LONG = "\u202egnp.exe", "🚵‍♀️🏔️", "very " * 60 + "long"
MANY = 60
SECONDS = 8.0


def set_day(folder: Path, date: str, setups: tuple[str, ...], swaps: dict[str, str]) -> Path:
    """Write a day on a trail with recordings off it; `swaps` are what its file says otherwise."""
    file = make_setup_day(folder, setups, seconds=SECONDS) / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    own = f'title = "A test day"\nrider = "{RIDER}"\ntrail = "{TRAIL}"\n'
    for before, after in {'title = "A test day"\n': own, "2026-05-16": date, **swaps}.items():
        assert before in text, before
        text = text.replace(before, after, 1)
    file.write_text(text, encoding="utf-8")
    return folder


def toml_text(text: str) -> str:
    return '"' + re.sub(r'(["\\])', r"\\\1", text) + '"'


def make_library(root: Path, source: Path) -> dict[str, str]:
    """Keep the days; return the ids of those that tests name."""
    hostile = {
        f'trail = "{TRAIL}"': f"trail = {toml_text(HOSTILE_TRAIL)}",
        'title = "A test day"': f"title = {toml_text(f'{FACES} {TURNED} {SCRIPT}')}",
        f'rider = "{RIDER}"': f"rider = {toml_text(HOSTILE_RIDER)}",
        'name = "Test mule"': f"name = {toml_text(HOSTILE_BIKE)}",
        "label = 'setup a'": f"label = {toml_text(f'{PICTURE} {{{{7*7}}}}')}",
        "[[static]]": f"[customer]\nname = {toml_text(SCRIPT)}\nbike = {toml_text(LONG)}\n[[static]]",
    }
    made = {
        "march": set_day(source / "march", "2026-03-07", ("a", "b", "a", "b"), {}),
        "april": set_day(
            source / "april", "2026-04-11", ("a", "a"), {"air_pressure_bar = 6": "air_pressure_bar = 6.5"}
        ),
        "may": set_day(source / "may", "2026-05-02", ("a",), {"travel_mm = 160": "travel_mm = 165"}),
        "hostile": set_day(source / "hostile", "2026-06-01", ("a", "b"), hostile),
    }
    ids = {name: keep(read_ride_day(folder), root).put.id for name, folder in made.items()}
    others(root, ids["april"])
    return ids


def others(root: Path, like: str) -> None:
    """Enter many days of other bikes, older than all, by the library's own functions."""
    with library.reading(root) as catalogue:
        kept = library.record_of(catalogue, like)
    with writing(root) as catalogue, catalogue.change():
        for number in range(MANY):
            date = (dt.date(2024, 1, 1) + dt.timedelta(days=number)).isoformat()
            other = replace(
                kept,
                id=f"{date}-{number:06x}",
                date=date,
                place=f"{number:064x}",
                title=f"Day {number}",
                bike=f"Fleet {number % 5}",
                customer={"name": CUSTOMERS[number], "bike": ""} if number < len(CUSTOMERS) else {},
            )
            enter(catalogue, other)
            catalogue.store.write_record(other.stem, other.packed())
