"""The local server: one process, loopback only, every page a document of its own."""

from .server import Serving, serve, start

__all__ = ["Serving", "serve", "start"]
