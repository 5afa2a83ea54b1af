"""The languages there are, each read from its file once."""

from __future__ import annotations

import gettext
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from telemetry.model.catalogue import CATALOGUE
from telemetry.model.setup_keys import SETUP_KEYS
from telemetry.model.within import WORDS

from .said import Language, Message

FIRST, ENDING = "en", ".toml"
HEAD = "language"
"""The table of a file that says how numbers and dates are written; which form a number takes is told there by an
expression in n, as gettext's ``Plural-Forms`` has it."""


@cache
def codes() -> tuple[str, ...]:
    """Return the languages there are, English first."""
    found = [file.stem for file in Path(__file__).parent.glob(f"*{ENDING}")]
    return tuple(sorted(found, key=lambda code: (code != FIRST, code)))


@cache
def language(code: str) -> Language:
    """Return a language.

    Parameters
    ----------
    code : str
        One of `codes`.

    Notes
    -----
    A message that its file lacks is said in English: `tests/languages` holds every file to all of them.
    """
    head, own = _read(code)
    return Language(
        code=code,
        messages=MappingProxyType({**messages_of(FIRST), **own}),
        form_of=gettext.c2py(head["plural"]),
        decimal=head["decimal"],
        date_form=head["date"],
        months=tuple(head["months"]),
        lowers=head["names_begin_small"],
    )


@cache
def messages_of(code: str) -> Mapping[str, Message]:
    """Return the messages that a language has itself, by id."""
    own = dict(_read(code)[1])
    return MappingProxyType({**dict(_catalogues()), **own} if code == FIRST else own)


@cache
def _read(code: str) -> tuple[Mapping[str, Any], Mapping[str, Message]]:
    text = Path(__file__).with_name(f"{code}{ENDING}").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    return table.pop(HEAD), dict(_flat(table))


def _flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Message]]:
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{before}{key}.")
        else:
            yield f"{before}{key}", tuple(value) if isinstance(value, list) else value


def _catalogues() -> Iterator[tuple[str, Message]]:
    """Yield what the catalogues say in English: measures that get verdicts or tell how a bike sits, keys of a setup."""
    for spec in CATALOGUE:
        if spec.in_family or spec.source == "static":
            yield f"measure.{spec.name}.label", spec.label
        if spec.in_family:
            yield from ((f"measure.{spec.name}.{way}", getattr(spec, way)) for way in ("more", "less", "same"))
    for key in SETUP_KEYS:
        yield f"key.{key.key}.name", key.words
        yield from ((f"key.{key.key}.{way}", words) for way, words in (("more", key.more), ("less", key.less)) if words)
    yield from ((f"place.{name}", words) for name, words in WORDS.items())


ENGLISH = language(FIRST)
