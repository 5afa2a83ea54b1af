"""The commands: add, check, analyse, compare, plan, bench, report."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from telemetry.errors import RideDayError

from .doubtful_parts import warn_of_parts
from .groups import AS_JSON, MAX_MEMORY, RIDE_DAY, WITHOUT_NAMES, telemetry
from .lending import lending_options, read_lent
from .tables import say_json

LOOK_EVERY_S = 0.3


@telemetry.command(epilog="Example: telemetry add my_day --setup oil_8")
@RIDE_DAY
@click.option("--setup", metavar="NAME", help="What the new runs were ridden with; else it is asked.")
@click.option("--look", is_flag=True, help="Show what would be written, and write nothing.")
@MAX_MEMORY
def add(ride_day: Path, *, setup: str | None, look: bool) -> None:
    """Enter the logs of an existing ride day that it lacks: runs, and recordings with the run they stand before."""
    from telemetry.pipeline import add_logs, new_in
    from telemetry.ride_day import read_ride_day, write

    from .entering import added_sheet
    from .tables import say

    day = read_ride_day(ride_day)
    found, failed = new_in(day)
    if setup is None and any(item.what.kind == "run" for item in found):
        setup = _asked_setup([*day.setups], day.runs[-1].setup if day.runs else next(iter(day.setups), ""))
    added = add_logs(day, found, setup)
    added_sheet(added, failed)
    if added.proposal is None:
        say("nothing to enter")
    elif look:
        say("nothing written: without --look it is")
    else:
        write(added.proposal)
        say(f"wrote {day.path}: `telemetry check {ride_day}` next")


def _asked_setup(setups: list[str], last: str) -> str | None:
    """Ask which setup was ridden, where someone sits at the terminal and there are several; None elsewhere."""
    if len(setups) < 2 or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return None
    listed = ", ".join(f"{number} {name}" for number, name in enumerate(setups, 1))
    numbers = click.IntRange(1, len(setups))
    given = click.prompt(f"Ridden with which setup? {listed}", type=numbers, default=setups.index(last) + 1)
    return setups[int(given) - 1]


@telemetry.command(epilog="Example: telemetry check sample_runs/lower_leg_oil")
@RIDE_DAY
@click.option("--watch", is_flag=True, help="Go on and tell of each log as it is copied, until Ctrl-C.")
@click.option("--notes", is_flag=True, help="Show what asks for nothing, too.")
@AS_JSON
@MAX_MEMORY
def check(ride_day: Path, *, watch: bool, notes: bool, as_json: bool) -> None:
    """Say whether the file is right and each log can be trusted: good, with care, or ride again."""
    from telemetry import pipeline
    from telemetry.model.parts_stated import states_figures

    from .checks import check_sheet, checked, wrong, wrong_sheet
    from .progress import ProgressLine

    if watch:
        _watch(ride_day, as_json=as_json, notes=notes)
        return
    try:
        day = pipeline.read_and_reach(ride_day)
        if states_figures(day):
            pipeline.require_parts_agree(day)
    except RideDayError as error:
        if as_json:
            say_json(wrong(error))
        else:
            wrong_sheet(error)
        raise
    with ProgressLine(len(day.runs)) as progress:
        analysis = pipeline.analysis_of(pipeline.study(day, progress, even_none=True))
    if as_json:
        say_json(checked(analysis))
    else:
        check_sheet(analysis, notes=notes)
    pipeline.require_all_read(analysis.unread)


def _watch(ride_day: Path, *, as_json: bool, notes: bool) -> None:
    """Tell of the day, then of every log that comes, until Ctrl-C."""
    import time

    from telemetry.pipeline import Watch

    from .watching import watched

    watch = Watch(ride_day)
    try:
        while True:
            for told in watch.look():
                watched(told, as_json=as_json, notes=notes)
                sys.stdout.flush()
            time.sleep(LOOK_EVERY_S)
    except KeyboardInterrupt:
        return


@telemetry.command(epilog="Example: telemetry analyse sample_runs/lower_leg_oil --json")
@RIDE_DAY
@AS_JSON
@MAX_MEMORY
def analyse(ride_day: Path, *, as_json: bool) -> None:
    """Measure every run: sag, travel, bottom-outs, speeds, front against rear."""
    from telemetry import pipeline
    from telemetry.ride_day import read_ride_day

    from .progress import ProgressLine
    from .sheets import measure_sheet

    day = read_ride_day(ride_day)
    with ProgressLine(len(day.runs)) as progress:
        analysis = pipeline.analyse(day, progress)
    if analysis.tells and as_json:
        say_json(analysis.to_dict())
    elif analysis.tells:
        measure_sheet(analysis)
    warn_of_parts(day)
    pipeline.require_all_read(analysis.unread)
    pipeline.require_usable(analysis)


@telemetry.command(epilog="Example: telemetry compare sample_runs/lower_leg_oil --candidate oil_8")
@RIDE_DAY
@click.option("--baseline", metavar="NAME", help="Setup to compare with; else the day's own.")
@click.option("--candidate", "candidates", metavar="NAME", multiple=True, help="Setup to compare; may be repeated.")
@click.option("--full", is_flag=True, help="Say every row in a sentence, and how each run was cleaned.")
@lending_options
@AS_JSON
@MAX_MEMORY
def compare(ride_day: Path, *, baseline: str | None, candidates: tuple[str, ...], full: bool, as_json: bool) -> None:
    """Say what a change did: each measure changed, unchanged or undecided, with its interval."""
    from telemetry import pipeline

    from .progress import ProgressLine
    from .sheets import comparison_sheet

    day = read_lent(ride_day)
    with ProgressLine(len(day.runs)) as progress:
        comparison = pipeline.compare(day, baseline, candidates or None, progress=progress)
    if as_json:
        say_json(comparison.to_dict())
    else:
        comparison_sheet(comparison, full=full)
    warn_of_parts(day)
    pipeline.require_all_read(comparison.unread)


@telemetry.command(epilog="Example: telemetry plan sample_runs/lower_leg_oil --runs 4")
@RIDE_DAY
@click.option(
    "--runs", type=int, metavar="N", help="Runs of each setup that can be afforded; else as many as it takes."
)
@lending_options
@AS_JSON
@MAX_MEMORY
def plan(ride_day: Path, *, runs: int | None, as_json: bool) -> None:
    """Say before riding in which order, how many runs, and what such a day can see; a day without runs will do."""
    from telemetry import pipeline

    from .progress import ProgressLine
    from .sheets import plan_sheet

    day = read_lent(ride_day)
    with ProgressLine(len(day.runs)) as progress:
        answer = pipeline.plan(day, runs, progress=progress)
    if as_json:
        say_json(answer.to_dict())
    else:
        plan_sheet(answer)
    pipeline.require_all_read(answer.unread)


@telemetry.command(epilog="Example: telemetry bench sample_runs/lower_leg_oil")
@RIDE_DAY
@click.option("--full", is_flag=True, help="Print every figure of every part, and how well each is known.")
@AS_JSON
def bench(ride_day: Path, *, full: bool, as_json: bool) -> None:
    """Say what the parts of each setup do: springs, lower legs, damper, sag; a day without logs will do."""
    from telemetry import pipeline
    from telemetry.ride_day import read_ride_day

    from .sheets import bench_sheets

    answer = pipeline.bench_of(read_ride_day(ride_day))
    if as_json:
        say_json(answer.to_dict())
    else:
        bench_sheets(answer, full=full)


@telemetry.command(epilog="Example: telemetry report sample_runs/lower_leg_oil --out report.html")
@RIDE_DAY
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File to write, .pdf to print it; else report.html beside the ride day (customer.html with --for customer).",
)
@WITHOUT_NAMES
@click.option(
    "--for",
    "reader",
    type=click.Choice(["customer"]),
    help="The first page alone, without the evidence: one sheet of A4.",
)
@click.option(
    "--predict/--no-predict",
    "on_paper",
    default=None,
    help="Ride the change on paper, too, as `telemetry predict` does; else where its parts are stated. Half a minute.",
)
@click.option("--language", metavar="CODE", help="Of the customer's page: de, en; else [shop] language, else English.")
@lending_options
@MAX_MEMORY
def report(
    ride_day: Path,
    *,
    out: Path | None,
    without_names: bool,
    reader: str | None,
    on_paper: bool | None,
    language: str | None,
) -> None:
    """Write one self-contained page that opens from disk and prints, or a PDF of it (--out NAME.pdf)."""
    from dashboards.report import chromium, printed, render_for_the_customer, render_report
    from telemetry import pipeline
    from telemetry.files import check_writable, write_bytes

    from .in_language import said_in
    from .on_paper import report_on_paper
    from .progress import ProgressLine
    from .tables import say

    day = read_lent(ride_day)
    spoken = said_in(language, reader, day)
    target = out or day.folder / ("report.html" if reader is None else f"{reader}.html")
    check_writable(target)
    printer = chromium() if target.suffix.lower() == ".pdf" else None
    shown = pipeline.unnamed(day) if without_names else day
    with ProgressLine(len(day.runs)) as progress:
        analysis, comparison, along = pipeline.report_parts(shown, progress)
    only_parts = not day.runs and bool(day.setups) and bool(pipeline.bench_of(day).rows)
    if analysis.tells or only_parts:
        paper = on_paper is not False and reader is None
        should = report_on_paper(analysis, comparison, asked=on_paper) if paper else ()
        if reader is None:
            page = render_report(analysis, comparison, along, names=not without_names, predicted=should)
        else:
            page = render_for_the_customer(analysis, comparison, names=not without_names, language=spoken)
        write_bytes(target, page.encode() if printer is None else printed(page, printer))
        say(f"wrote {target}{': open it in a browser' if printer is None else ''}")
    warn_of_parts(day)
    pipeline.require_all_read(analysis.unread)
    if not only_parts:
        pipeline.require_usable(analysis)
