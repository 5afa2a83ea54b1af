"""Read and check one ``ride_day.toml``."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from telemetry import languages
from telemetry.errors import RideDayError
from telemetry.files import readable_name
from telemetry.model.day import Bike, RideDay
from telemetry.model.phase import PHASES
from telemetry.model.picture import Picture
from telemetry.toml_problems import nearest, shown
from telemetry.toml_tables import made

from . import tables as t
from .comparison_tables import check_focus, read_comparison, read_plan, read_wish
from .document import read_document
from .ends import check_measured_ends
from .file import content, find_ride_day, parse_text, text_of
from .imperial import Entered, as_written, to_metric
from .log_table import check_log, read_log_options
from .mechanism_stated import check_frame
from .names import check_labels, check_names
from .paths import WrongPathError, file_inside
from .picture_file import PictureFileError, read_picture
from .possible import check_geometry
from .problems import Problems
from .runs import RunReader
from .setups import MOST_SENSORS, MOST_SETUPS, SetupResolver
from .stretches import read_stretches
from .widths import KEY as WIDTHS
from .widths import WidthsStated, widths_of


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongDay:
    """A day whose file is wrong.

    Attributes
    ----------
    error : RideDayError
        All that is wrong in it.
    day : RideDay or None
        With stand-ins for what is wrong, good for nothing but checking the rest; None where too little is left.
    """

    error: RideDayError
    day: RideDay | None


def read_ride_day(path: str | os.PathLike[str]) -> RideDay:
    """Read a ride day and check all of it.

    Parameters
    ----------
    path : str or path
        A ``ride_day.toml`` or the folder that holds one.

    Returns
    -------
    RideDay
        Frozen, validated, everything inherited resolved; runs in the order ridden. Logs are looked for, not opened.

    Raises
    ------
    RideDayError
        With every problem found, each with its key path.
    CallError
        If there is no such file or it can't be read as text.

    Examples
    --------
    >>> read_ride_day("sample_runs/lower_leg_oil").runs[0].setup
    'oil_20'
    """
    file = find_ride_day(path)
    return day_of(file, content(file))


def day_of(file: Path, source: bytes) -> RideDay:
    """Return the day that a file's content says, checked in full.

    Parameters
    ----------
    file : Path
        Where it stands; logs lie beside it.
    source : bytes
        Its content; the day keeps it.

    Raises
    ------
    RideDayError
    CallError
        If it isn't text.
    """
    read = _as_far(file, source)
    if isinstance(read, WrongDay):
        raise read.error
    return read


def read_as_far(path: str | os.PathLike[str]) -> RideDay | WrongDay:
    """Read a ride day as far as it is sound.

    Parameters
    ----------
    path : str or path
        A ``ride_day.toml`` or the folder that holds one.

    Returns
    -------
    RideDay or WrongDay

    Raises
    ------
    CallError
        If there is no such file or it can't be read as text.
    """
    file = find_ride_day(path)
    return _as_far(file, content(file))


def _as_far(file: Path, source: bytes) -> RideDay | WrongDay:
    text = text_of(source, file)
    try:
        raw = parse_text(text, file.name)
    except RideDayError as error:
        return WrongDay(error=error, day=None)
    problems = Problems()
    check_names(raw, problems)
    metric, entered = to_metric(raw, problems)
    document = read_document(metric, entered, problems)
    day = None if document is None else _day(file, document, entered, problems)
    if problems or day is None:
        return WrongDay(error=problems.error(file.name, raw, as_written(entered)), day=day)
    return replace(day, source=source)


def _day(file: Path, document: t.Document, entered: Entered, problems: Problems) -> RideDay | None:
    """Return the day; where `problems` holds anything afterwards, it isn't one."""
    if _too_many(document, problems):
        return None
    check_labels(document.setups, problems)
    resolver = SetupResolver(document, entered, file.parent, problems)
    reader = RunReader(document, resolver, file.parent, problems)
    runs = reader.runs()
    static = reader.static(runs)
    check_log(document.log, problems)
    log, front_log, rear_log = read_log_options(document.log)
    marks = reader.marks()
    stretches = read_stretches(document.stretches, document.runs, problems)
    places = (*PHASES, *dict.fromkeys(stretch.name for stretch in stretches))
    comparison = read_comparison(document.comparison, document.setups, file, places, problems)
    wish = None if document.wish is None else read_wish(document.wish, problems)
    plan = None if document.plan is None else read_plan(document.plan, file, places, problems)
    check_measured_ends(resolver.setups, (*runs, *static), resolver.is_known, problems)
    if static and not document.setups and not problems.is_wrong("setups"):
        problems.add("setups", "none", "at least one [setups.NAME]: recordings are read with a setup's travel")
    geometry = document.bike.geometry.model_dump(exclude={WIDTHS}, exclude_none=True)
    title = document.ride_day.title or readable_name(file.resolve().parent.name)
    bike = made(
        Bike,
        document.bike,
        geometry=MappingProxyType(geometry),
        geometry_plus_minus=MappingProxyType(widths_of(document.bike.geometry)),
    )
    check_geometry(bike, resolver.setups, problems)
    for first in list(resolver.setups.values())[:1]:
        check_frame(bike, first, problems)
    _check_widths(document, problems)
    _check_language(document.shop.language, problems)
    day = made(
        RideDay,
        document.ride_day,
        document.measures,
        document.conditioning,
        path=file,
        title=title,
        bike=bike,
        plus_minus=MappingProxyType(widths_of(document.ride_day)),
        sensors=resolver.base_sensors.sensors,
        setups=resolver.setups,
        runs=runs,
        static=static,
        marks=marks,
        stretches=stretches,
        log=log,
        front_log=front_log,
        rear_log=rear_log,
        comparison=comparison,
        plan=plan,
        wish=wish,
        shop=MappingProxyType(document.shop.model_dump()),
        logo=_logo(document.shop.logo, file.parent, problems),
        customer=MappingProxyType(document.customer.model_dump()),
    )
    if resolver.all_sensors_read:  # else it isn't known which ends are measured, and by what
        check_focus(day, problems)
    return day


def _check_widths(document: t.Document, problems: Problems) -> None:
    """Find widths of the day's figures, and of its geometry's, that can't be or are of nothing."""
    widths = WidthsStated()
    for path, table in (("ride_day", document.ride_day), ("bike.geometry", document.bike.geometry)):
        widths.check([(path, widths_of(table))], table.model_dump(exclude={WIDTHS}), problems)
    if not problems:
        widths.check_idle(problems)


def _check_language(code: str, problems: Problems) -> None:
    if code and code not in languages.codes():
        problems.add("shop.language", shown(code), nearest(code, languages.codes(), "a language there is"))


def _logo(name: str, folder: Path, problems: Problems) -> Picture | None:
    if not name:
        return None
    try:
        return read_picture(file_inside(folder, name, "a picture"))
    except WrongPathError as error:
        problems.add("shop.logo", error.found, error.expected)
    except PictureFileError as error:
        problems.add("shop.logo", f"{shown(name)}: {error.found}", error.expected)
    return None


def _too_many(document: t.Document, problems: Problems) -> bool:
    """Tell whether there are more setups or sensors than can be resolved in a moment; each is a problem."""
    counts = {"setups": (len(document.setups), MOST_SETUPS), "sensors": (len(document.sensors), MOST_SENSORS)}
    beyond = {key: held for key, held in counts.items() if held[0] > held[1]}
    for key, (there, most) in beyond.items():
        problems.add(key, f"{there} of them", f"{most} at most")
    return bool(beyond)
