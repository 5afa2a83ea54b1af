"""Inertial sensors: readings to specific force and rotation in the bike's axes, and to attitude."""
