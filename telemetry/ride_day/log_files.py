"""Which files of a folder may be logs, by their names."""

from __future__ import annotations

from pathlib import Path

from telemetry.errors import CallError
from telemetry.files import readable_name
from telemetry.trade_words import plain_words, vocabulary

from .runs import stem

LOG_ENDINGS = (".csv", ".txt", ".log", ".tsv", ".dat", ".jsonl", ".ndjson", ".json")
_NO_LOG = ("leverage", "ride_day", "ride day", "readme", "license", "licence")
_NO_LOG_WORDS = vocabulary(
    "note notes notiz notizen notas appunti notities notatki poznamky liesmich lisezmoi leeme leggimi report bericht "
    "rapport todo changelog config settings truth"
)
"""Files beside the logs, in the languages riders write; and a simulated day's truth."""


def logs_in(folder: Path) -> list[Path]:
    """Return the files of a folder that may be logs, by name; links and hidden files are passed over.

    Raises
    ------
    CallError
        If the folder can't be listed.
    """
    try:
        return sorted(path for path in folder.iterdir() if _may_be_log(path))
    except OSError as error:
        raise CallError(str(folder), str(error.strerror).lower(), "a folder that can be listed") from None


def _may_be_log(path: Path) -> bool:
    name = path.name.lower()
    beside = name.startswith((".", *_NO_LOG)) or _NO_LOG_WORDS.speaks_in(plain_words(stem(name))[:1])
    named = name.removesuffix(".gz").endswith(LOG_ENDINGS) and _is_text(name)
    return named and bool(stem(name)) and not beside and path.is_file() and not path.is_symlink()


def unwritable_names(folder: Path) -> list[str]:
    """Return the names, as far as they are text, of files that no ride day can name, in order."""
    names = [path.name for path in folder.iterdir() if not _is_text(path.name)]
    return sorted(map(readable_name, names))


def _is_text(name: str) -> bool:
    """Tell whether a file's name can be written into the draft: some systems allow bytes that are no text."""
    return not any("\ud800" <= letter <= "\udfff" for letter in name)
