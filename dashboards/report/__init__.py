"""The report: one self-contained page that opens from disk and prints."""

from .printing import chromium, printed
from .render import render_for_the_customer, render_report
from .together import render_together

__all__ = ["chromium", "printed", "render_for_the_customer", "render_report", "render_together"]
