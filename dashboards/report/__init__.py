"""The report: one self-contained page that opens from disk and prints."""

from .render import render_report

__all__ = ["render_report"]
