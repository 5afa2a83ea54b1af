"""Inertial sensors on the chassis made of given acceleration and rotation: what phases are tried on."""

from __future__ import annotations

import numpy as np

from telemetry.model.finding import End
from telemetry.model.inertial import Attitude, InertialSignal, Mounting

G_M_S2 = 9.80665


def chassis(
    upward_m_s2: np.ndarray,
    *,
    end: End = "front",
    forward_m_s2: np.ndarray | None = None,
    yaw_rad_s: np.ndarray | None = None,
    roll_rad: np.ndarray | None = None,
    within_deg: float = 1.0,
    heading_known: bool = True,
    gyroscope: bool = True,
) -> InertialSignal:
    """Return an upright, level sensor above an end: upward and forward acceleration, and how it swings and leans."""
    none = np.zeros(upward_m_s2.shape)
    forward = none if forward_m_s2 is None else forward_m_s2
    rotation = np.column_stack([none, none, none if yaw_rad_s is None else yaw_rad_s])
    return InertialSignal(
        sensor=f"{end}_chassis",
        end=end,
        on="chassis",
        specific_force_m_s2=np.column_stack([forward, none, upward_m_s2 + G_M_S2]),
        rotation_rad_s=rotation if gyroscope else None,
        mounting=Mounting(to_bike=np.eye(3), residual_deg=0.1, heading_known=heading_known, found_from="still stretch"),
        attitude=Attitude(
            pitch_rad=none,
            roll_rad=none if roll_rad is None else roll_rad,
            within_deg=within_deg,
            upward_m_s2=upward_m_s2,
            forward_m_s2=forward,
        ),
        noise_m_s2=0.1,
        saturated=np.zeros(upward_m_s2.shape, dtype=bool),
    )
