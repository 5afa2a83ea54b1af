"""What a log's file name says: which recording or run, of which end, its number and when it was made."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias, TypeVar

from telemetry.model.finding import End
from telemetry.trade_words import POSITION, Vocabulary, end_named, plain_words, vocabulary

from .runs import stem

Kind: TypeAlias = Literal["lifted", "sag", "settle", "bounce", "still"]
Load: TypeAlias = Literal["standing", "seated", "bike_alone"]
LetGo: TypeAlias = Literal["compressed", "extended"]

KINDS: Mapping[Kind, Vocabulary] = {
    "lifted": vocabulary(
        "lift zero null cero leve levee leves geheven opgetild lyft loftet nostettu alzato alzata hung hanging",
        "lifted gehoben soulev levantad sollevat uniesion podniesion zdvihn zvedn aufgebockt nullpunkt topped",
    ),
    "sag": vocabulary("sag sags zakking", "negativfed hundim affaiss affondam afundam inzakk"),
    "settle": vocabulary(
        "zakken",
        "settl einpendel setzen absetz asentad asentam assest assentam tassement stabilis osiad ustal reibung friction "
        "frottement attrito frizione friccion atrito wrijving tarcie treni",
    ),
    "bounce": vocabulary(
        "rebond rebote rebot studs wippen veren odskok",
        "bounc ausschwing nachschwing wippen rimbalz oscill stuiter odbic odbij bujan houpan",
    ),
    "still": vocabulary(
        "still stil ruhe klid rest quieto quieta fermo ferma parado parada stilla static statisch statique "
        "estatico statico noise rauschen bruit ruido rumore",
        "immobil stillstand stilstand ruhend bezruch nieruchom nehybn reposo",
    ),
}
"""Words that name recordings made off the trail, in the languages riders write; from memory."""
LOADS: Mapping[Load, Vocabulary] = {
    "standing": vocabulary(
        "stand standing stood steh pie pied piedi staand vstoje", "stehend debout stojac stojic staende"
    ),
    "seated": vocabulary(
        "sit sitting seat seated sitz zittend vsede", "sitzend assis sentad sedut siedz sedic sittand"
    ),
    "bike_alone": vocabulary(
        "alone free bike only empty unladen leer frei seul vide solo sola leeg pusty allein alleine",
        "vacio vacia vuot vazi prazdn",
    ),
}
LET_GO: Mapping[LetGo, Vocabulary] = {
    "compressed": vocabulary(
        "down pushed pressed bas abajo baixo giu dolu", "compr eingefed gedruck gedrueck ingedr wcisn stlac"
    ),
    "extended": vocabulary(
        "up raised haut arriba cima su nahoru",
        "extend ausgefed gestreckt detend estir estes estend uitgev rozcia vytaz",
    ),
}
RUN = vocabulary(
    "run runs lap ride fahrt lauf abfahrt runde descente bajada manga discesa descida afdaling zjazd przejazd sjezd "
    "jizda"
)
BEFORE = vocabulary("before vor vorm voor avant prima przed pred antes foer foran forud ennen until bis")
"""Words of which some name the front, too; not where a word for a run follows."""
AFTER = vocabulary("after afterwards nach nachher danach apres despues dopo depois")
_DAY = re.compile(
    r"(?<!\d)(?:(?P<y>20\d\d)(?P<s>[-_. ]?)(?P<m>\d\d)(?P=s)(?P<d>\d\d)"
    r"|(?P<d2>\d\d?)[-_.](?P<m2>\d\d?)[-_.](?P<y2>20\d\d))"
    r"(?:[-_T .]+(?P<h>[01]\d|2[0-3])[-_.:h]?(?P<n>[0-5]\d)(?:[-_.:m]?(?P<q>[0-5]\d))?)?(?!\d)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogName:
    """What a log's file name says.

    Attributes
    ----------
    words : tuple of str
        Its words but for a date, in plain letters.
    kind : str or None
        The recording off the trail that it names.
    run : bool
        Whether it names a run as what it is, not as what it stands before or after.
    load, let_go : str or None
        Who was aboard, for sag; where it settled from.
    end : End or None
        The only end it speaks of.
    number : int or None
        The last number, or the one behind the word for a run.
    after : bool
        Whether it was recorded after what it names.
    day : date or None
    started_at : datetime or None
        Where it tells a time of day too.
    """

    words: tuple[str, ...]
    kind: Kind | None
    run: bool
    load: Load | None
    let_go: LetGo | None
    end: End | None
    number: int | None
    after: bool
    day: dt.date | None
    started_at: dt.datetime | None

    @property
    def order(self) -> tuple[tuple[int, int, str], ...]:
        """A key that puts run_2 before run_10."""
        return tuple((0, int(word), "") if word.isdigit() else (1, 0, word) for word in self.words)

    def speaks_of(self, name: str) -> bool:
        """Tell whether it holds the words of another name, one after the other."""
        own = plain_words(name)
        return bool(own) and any(self.words[at : at + len(own)] == own for at in range(len(self.words)))

    def apart_from_ends(self, letters: Sequence[str] = ()) -> tuple[str, ...]:
        """Return its words but for those that tell an end or what is measured; alike for two logs of one run.

        Single `letters` tell an end only where no word does.
        """
        letters = () if self.end is not None else letters
        return tuple(
            word
            for word in self.words
            if word.isdigit() or not (end_named([word]) is not None or POSITION.speaks_in([word]) or word in letters)
        )


def read_name(name: str) -> LogName:
    """Return what a log's file name says.

    Examples
    --------
    >>> said = read_name("2026-05-16 Sag sitzend_2.csv")
    >>> said.kind, said.load, said.number, said.day
    ('sag', 'seated', 2, datetime.date(2026, 5, 16))
    >>> read_name("angehoben_vor_run_3.csv").number, read_name("fork_run_10.csv.gz").end
    (3, 'front')
    """
    whole = stem(name)
    day, started_at = _when(whole)
    words = plain_words(_DAY.sub(" ", whole) if day else whole)
    kinds = [kind for word in words for kind, known in KINDS.items() if known.speaks_in([word])]
    beside = [word for word, after in pairwise(words) if RUN.speaks_in([after])]
    before = [word for word in beside if BEFORE.speaks_in([word])]
    kind = next((kind for kind in kinds if kind != "still"), kinds[0] if kinds else None)
    return LogName(
        words=words,
        kind=kind,
        run=RUN.speaks_in(words) and not before and not AFTER.speaks_in(beside),
        load=_first(LOADS, words),
        let_go=_first(LET_GO, words),
        end=end_named([word for word in words if word not in before]),
        number=_number(words),
        after=AFTER.speaks_in(words),
        day=day,
        started_at=started_at,
    )


Told = TypeVar("Told", Load, LetGo)


def _first(known: Mapping[Told, Vocabulary], words: Sequence[str]) -> Told | None:
    return next((what for what, own in known.items() if own.speaks_in(words)), None)


def _number(words: Sequence[str]) -> int | None:
    of_run = [after for word, after in pairwise(words) if RUN.speaks_in([word]) and after.isdigit()]
    numbers = of_run or [word for word in words if word.isdigit()]
    return int(numbers[-1]) if numbers else None


def _when(text: str) -> tuple[dt.date | None, dt.datetime | None]:
    found = _DAY.search(text)
    if found is None:
        return None, None
    part = {key: int(value) for key, value in found.groupdict().items() if value and key != "s"}
    with suppress(ValueError):
        year, month, day = (part.get(key, part.get(f"{key}2", 0)) for key in "ymd")
        date = dt.date(year, month, day)
        if "h" not in part:
            return date, None
        return date, dt.datetime.combine(date, dt.time(part["h"], part["n"], part.get("q", 0)))
    return None, None
