"""The compiled loop: forces of tyres, springs, dampers, friction and rider, integrated step by step.

Its parts are forced in line: packing their arguments for every call would take as long as the work itself.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from .compiled import compiled

KNEE_BAND = 0.2
"""As `telemetry.mechanics.damper` smooths its knee; not imported, because a compiled loop kept on disk would not
notice that it changed. A test holds the two together."""


@njit(error_model="numpy", forceinline=True)
def _damper_side(below, knee, above, speed):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    half = KNEE_BAND * knee
    if speed <= knee - half:
        return below * speed
    if speed >= knee + half:
        return below * speed + (above - below) * (speed - knee)
    into = speed - knee + half
    return below * speed + (above - below) * into * into / (4.0 * half)


@njit(error_model="numpy", forceinline=True)
def _damper(damper, speed):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    if speed >= 0:
        return _damper_side(damper[0], damper[1], damper[2], speed)
    return -_damper_side(damper[3], damper[4], damper[5], -speed)


@njit(error_model="numpy", forceinline=True)
def _end_force(end, travel, speed):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Return an end's forces along its path: elastic, damper, friction."""
    first, per_m, table, damper, friction, band = end
    place = (travel - first) * per_m
    index = min(max(int(place), 0), table.shape[0] - 2)
    share = place - index
    elastic = table[index, 0] + share * (table[index + 1, 0] - table[index, 0])
    per_lever = table[index, 1] + share * (table[index + 1, 1] - table[index, 1])
    shaft = speed * per_lever
    damping = _damper(damper, shaft) * per_lever
    if shaft > 0:
        damping *= table[index, 2] + share * (table[index + 1, 2] - table[index, 2])
    return elastic, damping, friction * per_lever * shaft / np.sqrt(shaft * shaft + band * band)


@njit(error_model="numpy", forceinline=True)
def _tyre(stiffness, loss, pressed, pressing):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Return a tyre's push, never a pull, and the power it loses."""
    if pressed <= 0.0:
        return 0.0, 0.0
    push = stiffness * pressed + loss * pressing
    if push <= 0.0:
        return 0.0, -stiffness * pressed * pressing
    return push, loss * pressing * pressing


CATCH_UP_S, MOST_BEHIND_M_S = 0.15, 0.5
"""What a tyre couldn't pass on is made good within this time, as far as it holds this much speed; own choice."""


@njit(error_model="numpy", forceinline=True)
def _along(levers, wheels, wanted, pushes, tilt):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Return both tyres' forces along the ground, as far as they grip, and what these do.

    `fork` pulls the frame down onto the front wheel where it is negative, `arm` lifts the rear wheel against the frame,
    `turning` pitches the frame nose up: in the air the rider turns it back, `tilt` its pitch and pitch rate off those
    that he aims at.
    """
    rake, patch, axle_f, axle_r, driving, braking, rider, grip, whole, holding, calming = levers
    force_f = min(max(wanted[0], -grip * pushes[0]), grip * pushes[0])
    force_r = min(max(wanted[1], -grip * pushes[1]), grip * pushes[1])
    along = (force_f + force_r) / whole
    lag_f, lag_r = wheels[0] * along, wheels[1] * along
    fork = rake * (force_f - lag_f)
    arm = (driving if force_r > 0.0 else braking) * force_r
    turning = patch * (force_f + force_r) - axle_f * lag_f - axle_r * lag_r + rider * along
    if pushes[0] <= 0.0:
        turning -= holding * tilt[0] + calming * tilt[1]
    return force_f, force_r, fork, arm, turning


@njit(error_model="numpy", forceinline=True)
def _slopes(y, inputs, masses, body, ends, levers):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Return five accelerations, tyres' forces up and along, powers: road, dampers, friction, tyres, rider, given."""
    frame, inertia, rider, wheel_f, wheel_r, usual = masses
    (
        ahead,
        behind,
        tyre_f,
        loss_f,
        tyre_r,
        loss_r,
        legs,
        legs_c,
        arms,
        arms_c,
        share,
        pedals,
        hands,
        sine,
        rest,
        held,
        held_c,
    ) = body
    road_f, road_r, rise_f, rise_r, push, wanted_f, wanted_r, gravity, turn, lift_f, lift_r, aim, aim_rate = inputs
    heave, pitch, zf, zr, zo = y[0], y[1], y[2], y[3], y[4]
    vh, vp, vf, vr, vo = y[5], y[6], y[7], y[8], y[9]
    speed_f, speed_r = (vf - vh - ahead * vp) / sine, vr - vh + behind * vp
    spring, damper, friction = _end_force(ends[0], (zf - heave - ahead * pitch) / sine, speed_f)
    front = (spring + damper + friction) / sine
    lost_damper, lost_friction = damper * speed_f, friction * speed_f
    spring, damper, friction = _end_force(ends[1], zr - heave + behind * pitch, speed_r)
    rear = spring + damper + friction
    lost_damper += damper * speed_r
    lost_friction += friction * speed_r
    push_f, lost_f = _tyre(tyre_f, loss_f, road_f - zf, rise_f - vf)
    push_r, lost_r = _tyre(tyre_r, loss_r, road_r - zr, rise_r - vr)
    along_f, along_r, fork, arm_rear, turning = _along(
        levers, (wheel_f, wheel_r), (wanted_f, wanted_r), (push_f, push_r), (pitch - rest - aim, vp - aim_rate)
    )
    heavier = gravity - usual
    given = fork * (vh + ahead * vp - vf) + arm_rear * (vr - vh + behind * vp) + turning * vp
    given += turn * vp + lift_f * vf + lift_r * vr
    given -= heavier * (frame * vh + wheel_f * vf + wheel_r * vr + rider * vo)
    weight = rider * usual
    slip_l, slip_a = vo - vh - pedals * vp, vo - vh - hands * vp
    lean = pitch - rest
    leg_spring = share * weight - legs * (zo - heave - pedals * lean)
    leg = leg_spring - legs_c * slip_l
    lost_rider = legs_c * slip_l * slip_l + arms_c * slip_a * slip_a
    arm = (1.0 - share) * weight - arms * (zo - heave - hands * lean) - arms_c * slip_a
    if leg < 0.0:  # feet don't pull: what the legs' spring and damper would have passed on isn't
        lost_rider = arms_c * slip_a * slip_a + leg_spring * slip_l
        leg = 0.0
    turning -= held * lean + held_c * vp
    lost_rider += held_c * vp * vp
    return (
        (front + rear - leg - arm - push + fork - arm_rear) / frame - gravity,
        (ahead * front - behind * rear - pedals * leg - hands * arm + ahead * fork + behind * arm_rear + turning + turn)
        / inertia,
        (push_f - front - fork + lift_f) / wheel_f - gravity,
        (push_r - rear + arm_rear + lift_r) / wheel_r - gravity,
        (leg + arm) / rider - gravity,
        push_f,
        push_r,
        along_f,
        along_r,
        push_f * rise_f + push_r * rise_r,
        lost_damper,
        lost_friction,
        lost_f + lost_r,
        lost_rider,
        given - push * vh,
    )


@njit(error_model="numpy", forceinline=True)
def _rest(inputs, n):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    return inputs[n, 5], inputs[n, 6], inputs[n, 7], inputs[n, 8], inputs[n, 9], inputs[n, 10]


@compiled(error_model="numpy", nogil=True)
def march(y, dt, inputs, bike, kept):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Integrate by Heun's rule; fill `kept` (11, n); return works and the step at which the motion left all bounds.

    Parameters
    ----------
    y : float array, shape (10,)
        The state at the start; the state at the end when done.
    dt : float
    inputs : float array, shape (n, 11)
        Height under the front and the rear wheel, m; push down on the frame, N; forces along the ground that brakes
        and drive ask for at the front and the rear tyre, N, forward; gravity in the bike's plane, m/s²; a moment that
        pitches the frame nose up, N m; pushes up on the front and the rear wheel, N; pitch beyond that at rest, rad,
        and pitch rate, rad/s, to which the rider turns the bike in the air.
    bike : (masses, body, ends, levers)
        As `half_car` packs them.
    kept : float array, shape (11, n)
        Front and rear travel, speeds, tyre forces, heave, pitch, rider, tyre forces along the ground.
    """
    masses, body, ends, levers = bike
    count = inputs.shape[0]
    trial = np.empty(10)
    work = np.zeros(6)
    ahead, behind, sine = body[0], body[1], body[13]
    behind_f = behind_r = 0.0
    most = MOST_BEHIND_M_S * levers[8]
    for n in range(count):
        after = min(n + 1, count - 1)
        rise_f, rise_r = (inputs[after, 0] - inputs[n, 0]) / dt, (inputs[after, 1] - inputs[n, 1]) / dt
        more_f, more_r = behind_f / CATCH_UP_S, behind_r / CATCH_UP_S
        wanted_f, wanted_r = inputs[n, 3] + more_f, inputs[n, 4] + more_r
        at = (inputs[n, 0], inputs[n, 1], rise_f, rise_r, inputs[n, 2], wanted_f, wanted_r, *_rest(inputs, n))
        now = _slopes(y, at, masses, body, ends, levers)
        kept[0, n] = (y[2] - y[0] - ahead * y[1]) / sine
        kept[1, n] = y[3] - y[0] + behind * y[1]
        kept[2, n] = (y[7] - y[5] - ahead * y[6]) / sine
        kept[3, n] = y[8] - y[5] + behind * y[6]
        kept[4, n], kept[5, n] = now[5], now[6]
        kept[6, n], kept[7, n], kept[8, n] = y[0], y[1], y[4]
        kept[9, n], kept[10, n] = now[7], now[8]
        if n == count - 1:
            break
        for k in range(5):
            trial[k] = y[k] + dt * y[5 + k]
        trial[5], trial[6], trial[7] = y[5] + dt * now[0], y[6] + dt * now[1], y[7] + dt * now[2]
        trial[8], trial[9] = y[8] + dt * now[3], y[9] + dt * now[4]
        behind_f = min(max(behind_f + dt * (inputs[n, 3] - now[7]), -most), most)
        behind_r = min(max(behind_r + dt * (inputs[n, 4] - now[8]), -most), most)
        wanted_f, wanted_r = inputs[after, 3] + more_f, inputs[after, 4] + more_r
        ahead_of = (
            inputs[after, 0],
            inputs[after, 1],
            rise_f,
            rise_r,
            inputs[after, 2],
            wanted_f,
            wanted_r,
            *_rest(inputs, after),
        )
        then = _slopes(trial, ahead_of, masses, body, ends, levers)
        half = 0.5 * dt
        for k in range(5):
            y[k] += half * (y[5 + k] + trial[5 + k])
        y[5] += half * (now[0] + then[0])
        y[6] += half * (now[1] + then[1])
        y[7] += half * (now[2] + then[2])
        y[8] += half * (now[3] + then[3])
        y[9] += half * (now[4] + then[4])
        work[0] += half * (now[9] + then[9])
        work[1] += half * (now[10] + then[10])
        work[2] += half * (now[11] + then[11])
        work[3] += half * (now[12] + then[12])
        work[4] += half * (now[13] + then[13])
        work[5] += half * (now[14] + then[14])
        if not (abs(y[0] - inputs[after, 0]) < 1e3 and abs(y[1]) < 1e2 and abs(y[7]) < 1e4 and abs(y[8]) < 1e4):
            return work, n
    return work, -1


@compiled(error_model="numpy", nogil=True)
def forces_along(end, travel, speed):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Return an end's whole force along its path at each travel and speed, N, shape (n,).

    Parameters
    ----------
    end : tuple
        As `half_car` packs it.
    travel, speed : float array, shape (n,)
        m and m/s of the wheel along its path, positive in compression.
    """
    found = np.empty(travel.shape[0])
    for n in range(travel.shape[0]):
        elastic, damping, friction = _end_force(end, travel[n], speed[n])
        found[n] = elastic + damping + friction
    return found
