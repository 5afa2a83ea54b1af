"""The command line. Heavy libraries load inside commands, so that ``--help`` answers at once."""

from .main import main

__all__ = ["main"]
