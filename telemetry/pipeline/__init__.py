"""The one composer: a ride day's logs in, measures, findings and verdicts out.

The stages are siblings and don't know each other; only this package puts them together.
"""

from .analysing import analyse, require_usable
from .comparing import compare
from .drafting import draft
from .rides import load_ride
from .study import Study, study

__all__ = ["Study", "analyse", "compare", "draft", "load_ride", "require_usable", "study"]
