"""Words riders write for a bike's ends and for what a logger reads there, accents and case aside.

English, German, French, Spanish, Italian, Portuguese, Dutch, Polish, Czech and some more. Word lists from memory.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from telemetry.model.finding import ENDS, End

_PART = re.compile(r"[a-z]+|[A-Z]+(?![a-z])|[A-Z][a-z]*|\d+")
BRACKETED = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_NO_MARKS = str.maketrans({"ß": "ss", "ł": "l", "Ł": "L", "ø": "o", "Ø": "O", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i"})


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Words that are meant whole, and stems that are meant wherever they stand in a word."""

    whole: frozenset[str]
    stems: tuple[str, ...] = ()

    def speaks_in(self, words: Iterable[str]) -> bool:
        """Tell whether any of some plain words is among these."""
        return any(word in self.whole or any(stem in word for stem in self.stems) for word in words)


def vocabulary(whole: str, stems: str = "") -> Vocabulary:
    """Return a vocabulary of words parted by blanks."""
    return Vocabulary(frozenset(whole.split()), tuple(stems.split()))


FRONT_SIDE = vocabulary(
    "front vorn vorne avant av delante del ant przod predek fram etu elso fwd frt voor foran",
    "front vorder delanter anterior diantei voorwiel voorst przedn predni fremre forrest devant",
)
REAR_SIDE = vocabulary(
    "rear back hinten hinter heck ar arr atras tras post achter tyl bak bag taka hatso bagtil",
    "hinter arrier traser traseir posterior achterw achterst tyln zadni bakre bagest hinterrad derriere",
)
FRONT_PART = vocabulary(
    "villa gafel",
    "fork vork gabel fourche horquilla forcella garfo forquilh widelec widelc vidlic haaruk stanchion gaffel",
)
REAR_PART = vocabulary(
    "link mono damper linkage rocker rockerarm wippe schwinge basculante forcellone",
    "shock dampfer daempfer federbein stossd amortiss amortig amortizz ammortizz amortec amortyz demper schokbr tlumi "
    "swingarm biellet bielet iskari iskunvaim dampare stotdamp coilover forcellone",
)
POSITION = vocabulary(
    "pot poti pots susp travel stroke pos position displacement disp weg hub course corsa carrera curso skok zdvih "
    "slag hall lvdt sensor linear stringpot lin fahrwerk left right "
    "links rechts gauche droite izquierda derecha sinistra "
    "destra esquerda direita lewy prawy levy pravy vlevo vpravo compression eintauchung",
    "suspens sospension fjadring fjedring verplaats federweg einfeder debattem deplacem enfoncem recorrid desplazam "
    "escursion spostam desloca veerweg ugiec przemieszcz zawiesz odpruz zaves propruz poloh potenti potencjom potencio "
    "jousitus positie posicion posizione posicao pozycj pozice wegsensor wegaufn suspensao",
)
SPEED = vocabulary(
    "kmh mps kph mph nopeus",
    "speed velocity geschwind vitesse velocid velocita snelheid predkosc rychlost hastighet",
)
WEAKLY_OTHER = vocabulary(
    "volt volts voltage spannung tension tensione napiecie napeti dist odo distance distanz distancia distanza afstand"
)
"""Words of something else unless the name speaks of a suspension's part as well."""
TIME = vocabulary("time zeit temps tiempo tempo tijd czas cas tid aika hora heure", "uhrzeit timestamp")
OTHER = vocabulary(
    "mag magn mx my mz compass heading bearing temp tmp hum press lux humidity pressure baro rpm revs cadence power "
    "watt watts torque force load vbat batt current amps throttle tps brake gear heart pulse puls hr bpm lat lon "
    "latitude longitude alt altitude elevation sats hdop vdop fix roll pitch yaw lean steer steering hand quaternion "
    "quat qw qx qy qz euler rate velocity command cmd setpoint target error acceleration accel acc gyro gyroscope "
    "state status "
    "flag mode lap time zeit temps tiempo tempo tijd czas cas tid aika hora sample index counter akku accu druck druk "
    "tlak paine gas gaz freno freio rem frein broms gang marcia marche tours giri regime puissance potencia potenza "
    "potencja leistung kraft forza fuerza forca sila kracht moment couple moc vykon vermogen stuur gps hohe hoehe "
    "hauteur breite pedal crank kurbel seat dropper freq frequency",
    "magnet kompas boussol brujul bussol temper teplot lampotil drehzahl umdreh toeren obrot otack revoluc geschwind "
    "vitesse velocid velocita snelheid predkosc rychlost hastighet batter bateri pression presion pression pressao "
    "cisnien luftdruck altura altezza altitud hoogte wysok vyska acelerad accelerat throttle brems hamul brzd cadenc "
    "kadenz trittfreq herz cardia lenk guidon manillar manubrio sterzo kierown riditk handlebar uhrzeit timestamp "
    "feucht beschleun satell gyro strom",
)
"""Words of what is no end's travel however much it moves."""
OTHER_UNITS = vocabulary(
    "°c degc °f rpm u/min 1/min tr/min km/h kmh kph m/s mph bar psi hpa kpa mbar pa ut µt μt gauss mgauss watt nm bpm "
    "m/s2 m/s² m/s^2 mg dps deg/s °/s rad/s hz mm/s %rh lux ms us µs s"
)
ANGLE = vocabulary("angle deg rad degrees winkel angolo angulo hoek kat uhel")
OF_A_LINK = vocabulary("link linkage rocker shock swingarm travel pot sensor wippe schwinge")
"""An angle may be travel where it is a link's, or nothing says whose: of a fork or a hand it is steering."""
LENGTHS_MM = {
    "um": 0.001,
    "µm": 0.001,
    "μm": 0.001,
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "inch": 25.4,
    "inches": 25.4,
}
PERCENT = ("%", "pct", "percent", "prozent", "procent", "porcento")
LETTERS: tuple[tuple[str, str], ...] = (
    ("f", "r"),
    ("fr", "rr"),
    ("v", "h"),
    ("d", "t"),
    ("p", "t"),
    ("p", "z"),
    ("a", "p"),
    ("fw", "rw"),
    ("vr", "hr"),
)
"""Letters for front and rear, which mean them only where the other one is there too."""


def without_accents(text: str) -> str:
    """Return a text with plain letters in place of accented ones.

    Examples
    --------
    >>> without_accents("Dämpferhub débattement tłumik")
    'Dampferhub debattement tlumik'
    """
    apart = unicodedata.normalize("NFKD", text.translate(_NO_MARKS))
    return "".join(letter for letter in apart if not unicodedata.combining(letter))


def plain_words(name: str) -> tuple[str, ...]:
    """Return the words of a name in small letters without accents, however they are joined; numbers are words.

    Examples
    --------
    >>> plain_words("Gabelweg_mm"), plain_words("ForkPot1"), plain_words("Dämpfer hinten [mm]")
    (('gabelweg', 'mm'), ('fork', 'pot', '1'), ('dampfer', 'hinten'))
    """
    return tuple(part.lower() for part in _PART.findall(BRACKETED.sub(" ", without_accents(name))))


def bracketed_unit(name: str) -> str:
    """Return the unit that a name ends in, in brackets or as its last word; empty where it tells none.

    Examples
    --------
    >>> bracketed_unit("Fork [mm]"), bracketed_unit("shock_mm"), bracketed_unit("fork_pct"), bracketed_unit("fork")
    ('mm', 'mm', '%', '')
    """
    inside = [str(text).strip().lower() for text in BRACKETED.findall(name) if text.strip()]
    if inside:
        return "%" if inside[-1] in PERCENT else inside[-1]
    words = plain_words(name)
    if name.rstrip().endswith("%") or (len(words) > 1 and words[-1] in PERCENT):
        return "%"
    if words == ("mm",):
        return "mm"
    return words[-1] if len(words) > 1 and words[-1] in LENGTHS_MM and words[-1] not in ("m", "in") else ""


def end_named(words: Sequence[str]) -> End | None:
    """Return the end that plain words speak of: by the side they tell, else by its part; None where by neither.

    Examples
    --------
    >>> [end_named(plain_words(name)) for name in ("fork", "amortisseur avant", "Dämpfer", "front_shock", "A0")]
    ['front', 'front', 'rear', 'front', None]
    """
    sides: tuple[tuple[End, Vocabulary], ...] = (("front", FRONT_SIDE), ("rear", REAR_SIDE))
    told = [end for end, known in sides if known.speaks_in(words)]
    if len(told) == 1:
        return told[0]
    if told:
        return None
    if any("forcellone" in word for word in words):  # a swingarm, not a fork
        return "rear"
    if FRONT_PART.speaks_in(words):
        return "front"
    return "rear" if REAR_PART.speaks_in(words) else None


def of_a_part(words: Sequence[str]) -> bool:
    """Tell whether plain words speak of a suspension's part, or of position itself."""
    return any(known.speaks_in(words) for known in (FRONT_PART, REAR_PART, POSITION))


def ends_by_letter(names: Sequence[Sequence[str]]) -> dict[int, End]:
    """Return which of some names, in plain words, tell front and rear by a letter: alike but for ``f`` and ``r``.

    Examples
    --------
    >>> ends_by_letter([("susp", "f"), ("t",), ("susp", "r")])
    {0: 'front', 2: 'rear'}
    """
    found: dict[int, End] = {}
    known = {tuple(words): place for place, words in enumerate(names)}
    for place, words in enumerate(names):
        for at, word in enumerate(words):
            for letters in LETTERS:
                other = known.get((*words[:at], letters[1], *words[at + 1 :])) if word == letters[0] else None
                if other is not None and place not in found and other not in found:
                    found[place], found[other] = ENDS
    return found


Reading: TypeAlias = Literal["position", "ground_speed", "other", ""]


def reading_named(name: str, unit: str = "") -> Reading:
    """Return what a column reads by its name and unit; empty where they don't tell.

    A name that tells an end and nothing else (``front``) is a position's.

    Parameters
    ----------
    name : str
    unit : str
        What a row of units says beneath the name.

    Examples
    --------
    >>> [reading_named(name) for name in ("Gabelweg", "fork_temp", "fork_angle", "link_angle", "front", "A0")]
    ['position', 'other', 'other', 'position', 'position', '']
    >>> reading_named("fork_voltage"), reading_named("battery_voltage"), reading_named("GPS speed")
    ('position', 'other', 'ground_speed')
    """
    words = [word for word in plain_words(name) if not word.isdigit()]
    part = of_a_part(words)
    if SPEED.speaks_in(words):
        return "other" if part else "ground_speed"
    if OTHER.speaks_in(words) or OTHER_UNITS.speaks_in([(unit or bracketed_unit(name)).strip().lower()]):
        return "other"
    if WEAKLY_OTHER.speaks_in(words):
        return "position" if part else "other"
    if ANGLE.speaks_in(words) and any(not ANGLE.speaks_in([word]) for word in words):
        return "position" if OF_A_LINK.speaks_in(words) else "other"
    return "position" if part or end_named(words) is not None else ""
