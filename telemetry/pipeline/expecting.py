"""What a change should have done, for pages: whether a day states enough of its parts, and the ride on paper itself."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from telemetry.bench.paper.idle import idle
from telemetry.bench.paper.known import lacking
from telemetry.bench.stated import PartError
from telemetry.errors import CallError
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.prediction import NotRidden, Predicted
from telemetry.model.sensor import InertialSensor
from telemetry.ride_day import setup_differences

from .paper_differences import nothing_to_ride
from .studied import Progress, Selection, Study, baseline_of

LACKING_EXTRA = "in a checkout `pip install '.[simulate]'` installs it"


@contextmanager
def with_numba(command: str) -> Iterator[None]:
    """Say what to install where numba is lacking."""
    try:
        yield
    except ModuleNotFoundError as error:
        if error.name != "numba":
            raise
        raise CallError(command, "no numba", "the extra simulate", LACKING_EXTRA) from error


def asks_what_next(day: RideDay) -> bool:
    """Tell whether a day whose runs are of one setup asks for more: by a wish, or by another setup that it states."""
    ridden = {run.setup for run in day.runs}
    return len(ridden) == 1 and ((day.wish is not None and day.wish.asks) or len(day.setups) > 1)


def _mappable(day: RideDay) -> frozenset[End]:
    """Return the ends whose springs a force map may show: with a sensor of position, and one on the chassis."""
    every = [day.sensors, *(own.sensors for own in day.setups.values()), *(run.sensors for run in day.runs)]
    inertial = [one for own in every for one in own.values() if isinstance(one, InertialSensor)]
    return day.travel_ends & {one.end for one in inertial if one.on == "chassis"}


def unstated(day: RideDay, baseline: str | None = None, candidate: str | None = None) -> tuple[NotRidden, ...]:
    """Return what each end lacks to be ridden on paper; nothing where one end at least is stated of both setups.

    Parameters
    ----------
    day : RideDay
    baseline, candidate : str, optional
        Setups of the day; by default its own baseline, alone.
    """
    found = []
    mappable = _mappable(day)
    names = [name for name in (baseline or baseline_of(day), candidate) if name is not None]
    for end in ENDS:
        try:
            lost = (lacking(day, day.setups[name], end, shown=end in mappable) for name in names)
            gone = {item.reason: None for own in lost for item in own}
        except PartError:
            return ()  # riding it says which figure is wrong
        if not gone:
            return ()
        found.append(NotRidden(what=f"the {end}", reason="; ".join(gone)))
    return tuple(found)


def ridden_alike(day: RideDay, baseline: str, candidate: str) -> str:
    """Return why a ride of the candidate's on paper would be the baseline's again; nothing where it wouldn't.

    Where an end may ride by its force map, what rests beside that is told once the logs are read.

    Parameters
    ----------
    day : RideDay
    baseline, candidate : str
        Setups of the day.
    """
    setups = (day.setups[baseline], day.setups[candidate])
    differences = setup_differences(*setups, day.bike.geometry)
    mappable = _mappable(day)
    ends = tuple(end for end in ENDS if end in day.travel_ends and not _lacks(day, setups, end, shown=end in mappable))
    by_map = any(_lacks(day, setups, end, shown=False) for end in ends)
    return nothing_to_ride(differences, ends, frozenset() if by_map else idle(day, setups, ends, differences))


def _lacks(day: RideDay, setups: tuple[Setup, Setup], end: End, *, shown: bool) -> bool:
    try:
        return any(lacking(day, setup, end, shown=shown) for setup in setups)
    except PartError:
        return False  # riding it says which figure is wrong


def expected(
    done: Study, selection: Selection, candidate: str | None = None, progress: Progress | None = None
) -> Predicted:
    """Return what a change should have done, ridden on paper; takes up to a minute. Logs aren't read again.

    Raises
    ------
    CallError
        If numba is lacking, or as `predict` says.
    """
    with with_numba("riding on paper"):
        from .predicting import predicted  # noqa: PLC0415 - it takes numba
    return predicted(done, selection, candidate, progress=progress)
