"""Names that people read: each can be seen, and no two look alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from telemetry.looks import as_seen, codes_of
from telemetry.model.day import Mark, TrailStretch
from telemetry.toml_problems import path_of

from . import tables as t
from .problems import Problems


def check_names(raw: Mapping[str, Any], problems: Problems) -> None:
    """Find keys of one table that look alike but aren't, and keys that show nothing."""
    _check_keys(raw, (), problems)


def _check_keys(value: Any, path: tuple[str | int, ...], problems: Problems) -> None:
    if isinstance(value, dict):
        _check_alike(((path_of((*path, key)), key) for key in value), problems)
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        _check_keys(item, (*path, key), problems)


def check_labels(setups: Mapping[str, t.SetupTable], problems: Problems) -> None:
    """Find labels that are another setup's, or its name; of names alike `check_names` tells."""
    names = {as_seen(name): (f"setups.{name}", name) for name in setups}
    labels = [(f"setups.{name}.label", own.label) for name, own in setups.items() if own.label and own.label != name]
    _check_alike([*names.values(), *labels], problems, same="a label of its own for each setup")


def check_run_names(names: Iterable[str], problems: Problems) -> None:
    """Find runs that are shown by the same name; one without a name was told already."""
    shown = [(f"runs[{place}].name", name) for place, name in enumerate(names, 1) if name]
    _check_alike(shown, problems, same="a name of its own for each run")


def check_place_names(table: str, places: Iterable[Mark | TrailStretch], problems: Problems) -> None:
    """Find names of places that look alike but aren't: the same place has the same name in every run."""
    _check_alike(((f"{table}[{number}].name", place.name) for number, place in enumerate(places, 1)), problems)


def _check_alike(named: Iterable[tuple[str, str]], problems: Problems, same: str = "") -> None:
    """Tell of names that look like one before; `same` is what is expected where names may not be the same either."""
    first: dict[str, tuple[str, str]] = {}
    for key, name in named:
        looks = as_seen(name)
        before, other = first.setdefault(looks, (key, name))
        if not looks:
            problems.add(key, f"a name that shows nothing ({codes_of(name)})", "letters that can be seen")
        elif name != other:
            found = f"{name!r} ({codes_of(name)}), which looks like {other!r} ({codes_of(other)}) of {before}"
            problems.add(key, found, "names that can be told apart by eye")
        elif same and key != before:
            problems.add(key, f"the name {name!r}, that of {_holder(before)} too", same)


def _holder(key: str) -> str:
    return key.removesuffix(".name").removesuffix(".label")
