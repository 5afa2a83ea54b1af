"""Names of a package that load with the module that holds them, when the first of them is asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module


def names_of(package: str, homes: Mapping[str, str]) -> Callable[[str], object]:
    """Return the ``__getattr__`` of a package.

    Parameters
    ----------
    package : str
        Its full name.
    homes : mapping of str to str
        Modules, seen from the package, with the names it takes of each, spaces between them. What type checkers read
        stands beside it in a block of imports that never runs; a test holds the two together.
    """
    home_of = {name: home for home, names in homes.items() for name in names.split()}

    def asked(name: str) -> object:
        if name not in home_of:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        home = home_of[name]
        module = import_module(f".{home}", package)
        vars(sys.modules[package]).update({other: getattr(module, other) for other in homes[home].split()})
        return getattr(module, name)

    return asked
