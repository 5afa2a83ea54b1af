"""What the measures of acceleration look at: one end's inertial sensors over what was ridden."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from telemetry.measures.missing import Missing
from telemetry.measures.view import RunMotion, inside
from telemetry.model.arrays import Bools
from telemetry.model.finding import End
from telemetry.model.inertial import InertialSignal, On
from telemetry.model.motion import MovedEnd, Stretch
from telemetry.model.stretches import mask_of
from telemetry.model.stretches import stretches as stretches_of

_More = ParamSpec("_More")
_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class InertialView:
    """One end's inertial signals and which of their samples count.

    Attributes
    ----------
    riding : bool array, shape (n,)
        Riding time within the stretches that are looked at.
    ridden : tuple of (start, stop)
        The same as stretches of samples without a gap: what is filtered lies within one of them.
    moved : MovedEnd or Missing
        How the end moves about its ride height; strokes of the stretches that are looked at.
    wheel, chassis : InertialSignal or None
    bike_share : float or None
        Of bike and rider together that is bike, by mass; None where not stated.
    whole : InertialView or None
        That of the whole ride where this is of some stretches: what was filtered there is cut, not filtered anew.
    worked_out : dict
        What several measures share, by `once`.
    """

    end: End
    rate_hz: float
    riding: Bools
    ridden: tuple[Stretch, ...]
    moved: MovedEnd | Missing
    wheel: InertialSignal | None
    chassis: InertialSignal | None
    bike_share: float | None = None
    whole: InertialView | None = None
    worked_out: dict[object, object] = field(default_factory=dict, compare=False, repr=False)

    @property
    def minutes(self) -> float:
        """Riding time, min."""
        return float(self.riding.sum()) / self.rate_hz / 60.0

    def lacks(self, on: On) -> Missing:
        """Return why nothing is said of a place without a sensor."""
        return Missing(f"no inertial sensor on the {on} at the {self.end}")

    def of(self, on: On) -> InertialSignal | None:
        """Return the signal of one of the end's own places."""
        return self.wheel if on == "wheel" else self.chassis


def once(
    function: Callable[Concatenate[InertialView, _More], _Found],
) -> Callable[Concatenate[InertialView, _More], _Found]:
    """Return a function of a view that is worked out once for each view and further arguments."""

    @wraps(function)
    def told(view: InertialView, /, *more: _More.args, **named: _More.kwargs) -> _Found:
        key = (function, more, tuple(named.items()))
        if key not in view.worked_out:
            view.worked_out[key] = function(view, *more, **named)
        return view.worked_out[key]  # type: ignore[return-value]

    return told


def _moved(own: MovedEnd | Missing, stretches: tuple[Stretch, ...]) -> MovedEnd | Missing:
    if isinstance(own, Missing):
        return own
    hits, returns = (strokes.where(inside(strokes.start, stretches)) for strokes in (own.hits, own.returns))
    return replace(own, hits=hits, returns=returns)


def inertial_view(
    run: RunMotion, end: End, *, stretches: tuple[Stretch, ...] | None = None, bike_share: float | None = None
) -> InertialView:
    """Return what the measures of acceleration look at, at one end.

    Parameters
    ----------
    run : RunMotion
    end : {"front", "rear"}
    stretches : tuple of (start, stop), optional
        Sample ranges in order; None is the whole ride.
    bike_share : float, optional
        Of bike and rider together that is bike, by mass.
    """
    signals = run.ride.inertial
    whole = InertialView(
        end=end,
        rate_hz=run.ride.rate_hz,
        riding=run.time.riding,
        ridden=stretches_of(run.time.riding, run.ride.segments),
        moved=run.moved.get(end, Missing(f"no inertial sensor on the wheel at the {end}")),
        wheel=signals.get((end, "wheel")),
        chassis=signals.get((end, "chassis")),
        bike_share=bike_share,
    )
    return whole if stretches is None else part_of(whole, run, stretches)


def part_of(whole: InertialView, run: RunMotion, stretches: tuple[Stretch, ...]) -> InertialView:
    """Return what they look at within some stretches of a ride.

    Parameters
    ----------
    whole : InertialView
        Of the whole ride.
    run : RunMotion
        The same ride.
    stretches : tuple of (start, stop)
        Sample ranges in order.
    """
    riding = whole.riding & mask_of(stretches, whole.riding.shape[0])
    return replace(
        whole,
        riding=riding,
        ridden=stretches_of(riding, run.ride.segments),
        moved=_moved(whole.moved, stretches),
        whole=whole,
        worked_out={},
    )
