"""The local server: one process, loopback only, every page a document of its own."""

from .door import Limits
from .handing_over import handed_over
from .server import Serving, serve, start

__all__ = ["Limits", "Serving", "handed_over", "serve", "start"]
