"""What an inertial sensor is told, and the steps that say how its readings were treated."""

from __future__ import annotations

from telemetry.model.finding import Finding, Step
from telemetry.model.inertial import InertialSignal
from telemetry.model.sensor import InertialSensor
from telemetry.units import STANDARD_GRAVITY_M_S2

from .gravity import AT_REST_SHARE, MOVING_SHARE, GravityFelt, likely_unit, own_scale
from .headings import Heading
from .mounting import UpFound, seat_in_words
from .rest import Rest
from .turning import ASTRAY_DEG, LEAST_LIKENESS, LIVELIEST_RAD_S, TurnsTold


def place_of(sensor: InertialSensor) -> str:
    """Return what a sensor is called in a sentence."""
    return f"the {sensor.end} {sensor.on}'s inertial sensor {sensor.name!r}"


def wrong_scale(run: str, sensor: InertialSensor, felt: GravityFelt) -> Finding:
    """Return what is told of a sensor that doesn't read 1 g where only gravity acts."""
    share = AT_REST_SHARE if felt.at_rest else MOVING_SHARE
    stated = f"acceleration_unit = {sensor.acceleration_unit!r}"
    if sensor.counts_per_g is not None:
        stated += f" and counts_per_g = {sensor.counts_per_g:g}"
    likely, own = likely_unit(sensor, felt.level_g), own_scale(sensor, felt.level_g)
    remedy = f"check its columns and {stated}"
    if likely and likely != stated:
        remedy = f"is it {likely} in place of {stated}? Correct [sensors.{sensor.name}]"
    elif own:
        remedy = f"check its columns; if they are right, state {own} in place of {stated}"
    message = (
        f"{run}: {place_of(sensor)} reads {felt.level_g:.4g} g {felt.source}; 1 g within {100 * share:.0f} % is "
        f"expected, so it is left out: {remedy}"
    )
    return Finding(code="wrong_scale", message=message, severity="warning", end=sensor.end)


def odd_acceleration(run: str, sensor: InertialSensor, largest_g: float, most_g: float) -> Finding:
    """Return what is told of a sensor that tells more than any bike does."""
    message = (
        f"{run}: {place_of(sensor)} tells {largest_g:.4g} g ({most_g:.0f} at most are believed): it is left out; check "
        "its columns and acceleration_unit"
    )
    return Finding(code="odd_acceleration", message=message, severity="warning", end=sensor.end)


def odd_rotation(run: str, sensor: InertialSensor, turns: TurnsTold) -> Finding:
    """Return what is told of a gyroscope that doesn't turn as gravity's direction does."""
    stated = f"rotation_unit = {sensor.rotation_unit!r}"
    found = {
        "reversed": (
            "turns the other way round than gravity's direction does: check signs and order of gx, gy and gz, and of "
            "ax, ay and az"
        ),
        "too small": f"turns too little for a bike that moves: is it rotation_unit = 'rad/s' in place of {stated}?",
        "too large": f"turns faster than any bike: is it rotation_unit = 'deg/s' in place of {stated}?",
    }[turns.wrong]
    if turns.wrong != "reversed" and repr(sensor.rotation_unit) in found.partition(" in place of")[0]:
        found = f"{found.partition(': is it')[0]}: check its columns and {stated}"
    told = (
        f"by {turns.spread_rad_s:.3g} rad/s (sd; {turns.calmest_rad_s:.2g} to {LIVELIEST_RAD_S:g} are expected)"
        if turns.spread_rad_s is not None and turns.likeness < LEAST_LIKENESS
        else f"{1 / turns.times:.3g} times as fast as gravity's direction (as fast is expected)"
    )
    message = (
        f"{run}: the gyroscope of {place_of(sensor)} turns {told}, so it is left out and attitude is known less well: "
        f"it {found}"
    )
    return Finding(code="odd_rotation", message=message, end=sensor.end)


def astray(run: str, sensor: InertialSensor, within_deg: float) -> Finding:
    """Return what is told of a gyroscope whose turns don't go with gravity, all along a ride."""
    message = (
        f"{run}: the gyroscope of {place_of(sensor)} loses gravity's direction by {within_deg:.0f} degrees over the "
        f"ride ({ASTRAY_DEG:.0f} at most are believed): it is left out and attitude is known less well; check signs "
        "and order of gx, gy and gz"
    )
    return Finding(code="odd_rotation", message=message, end=sensor.end)


def axes_disagree(run: str, sensor: InertialSensor, heading: Heading) -> Finding:
    """Return what is told of a sensor whose turning and acceleration don't fit together."""
    found = (
        f"forward lies {heading.disagree_deg:.0f} degrees elsewhere as it pitches than as it brakes and drives (the "
        "same is expected)"
    )
    if heading.mirrored:
        found = "the front swings to the other side than it begins to turn to (to the same is expected)"
    message = (
        f"{run}: by {place_of(sensor)} {found}, so which way is forward isn't taken as known: is an axis reversed, or "
        f"are two swapped? Check signs and order of the columns of [sensors.{sensor.name}]"
    )
    return Finding(code="axes_disagree", message=message, end=sensor.end)


def over_range(run: str, sensor: InertialSensor, samples: int, moments: int) -> Finding:
    """Return what is told of a sensor that reached the end of its range."""
    message = (
        f"{run}: {place_of(sensor)} reached the end of its range {moments} times ({samples} samples; none is "
        "expected): peaks there are lower bounds, and what is summed up from them reads low; set it to a larger range"
    )
    return Finding(code="over_range", message=message, end=sensor.end)


def seat(run: str, sensor: InertialSensor, signal: InertialSignal) -> tuple[Finding, ...]:
    """Return what is told of a sensor that doesn't sit along the bike's axes; it is turned all the same."""
    sits = seat_in_words(signal.mounting)
    if not sits:
        return ()
    message = f"{run}: {place_of(sensor)} sits {sits}, which is taken into account; nothing to do"
    return (Finding(code="sits_askew", message=message, end=sensor.end),)


def turned_since(run: str, sensor: InertialSensor, still: Rest, found: UpFound) -> Finding:
    """Return what is told where a recording at rest and the ride disagree on which way is up."""
    message = (
        f"{run}: {place_of(sensor)} is turned by {found.apart_deg:.0f} degrees between {still.source} and the ride (a "
        "few are expected): the ride's own is used; was it mounted anew, or did the bike lie down? Record it again, "
        "upright on level ground"
    )
    return Finding(code="turned_since", message=message, end=sensor.end)


def steps_of(sensor: InertialSensor, signal: InertialSignal, felt: GravityFelt) -> tuple[Step, ...]:
    """Return the steps that tell how a sensor's readings were treated."""
    mounting, within = signal.mounting, signal.attitude.within_deg
    name, end = sensor.name, sensor.end
    heading = "" if mounting.heading_known else "; which way is forward isn't known"
    by = "gravity and gyroscope" if sensor.turns else "slow gravity alone (no gyroscope)"
    return (
        Step(
            stage="gravity",
            end=end,
            words=f"{name}: {felt.level_g:.3f} g {felt.source}; noise sd {signal.noise_m_s2:.3f} m/s2 of a sample",
            parameters={
                "sensor": name,
                "level_m_s2": felt.level_g * STANDARD_GRAVITY_M_S2,
                "noise_m_s2": signal.noise_m_s2,
            },
        ),
        Step(
            stage="mounting",
            end=end,
            words=(
                f"{name}: turned to the bike's axes by {mounting.found_from}, to {mounting.residual_deg:.1f} deg"
                f"{heading}"
            ),
            parameters={
                "sensor": name,
                "residual_deg": mounting.residual_deg,
                "heading_known": mounting.heading_known,
                "to_bike": mounting.to_bike.tolist(),
            },
        ),
        Step(
            stage="attitude",
            end=end,
            words=f"{name}: by {by}, within {within:.1f} deg",
            parameters={"sensor": name, "within_deg": within},
        ),
    )
