"""Columns told by their names in the languages riders write; the words: from memory, no source."""

from __future__ import annotations

import pytest

from telemetry.ride_day.log_names import read_name
from telemetry.trade_words import end_named, ends_by_letter, plain_words, reading_named


def names(text: str) -> list[str]:
    return text.split()


FRONT = names(
    "fork Fork_mm FrontTravel Gabelweg Federweg_vorn GABEL fourche AV débattement_avant horquilla "
    "suspensión_delantera forcella ammortizzatore_anteriore garfo suspensão_dianteira voorvork veerweg_voor "
    "widelec amortyzator_przód vidlice přední_odpružení gaffel framgaffel haarukka front"
)
REAR = names(
    "shock Rear_Shock RearTravel Dämpferhub Daempfer Federbein Federweg_hinten amortisseur AR "
    "débattement_arrière amortiguador amortiguador_trasero mono ammortizzatore corsa_posteriore forcellone "
    "amortecedor suspensão_traseira achterdemper schokdemper tłumik damper amortyzator_tył tlumič zadní_tlumič "
    "bakre_dämpare rocker_angle rear"
)
SOMEWHERE = names("pot1 suspension_left POT_R travel potentiometer position susp_1 Weg course curso")
OTHER = names(
    "rpm RPM engine_rpm Drehzahl régime giri obroty otáčky temp fork_temp Temperatur température temperatura "
    "teplota mag_x MagX magnetometer battery vbat Batterie batería napětí_baterie brake_pressure Bremsdruck "
    "pression_avant throttle steering_angle Lenkwinkel hand_angle fork_angle fork_rate fork_velocity "
    "shock_speed altitude altezza výška cadence Trittfrequenz heart_rate time Zeit tiempo tijd lat lon gear "
    "sample battery_voltage command_fork"
)
SPEED = names("speed GPS_speed Geschwindigkeit vitesse velocidad velocità snelheid prędkość rychlost")
UNKNOWN = names("A0 A1 ch1 CHANNEL0 value x col3")


@pytest.mark.parametrize(
    ("names", "reading", "end"),
    [
        (FRONT, "position", "front"),
        (REAR, "position", "rear"),
        (SOMEWHERE, "position", None),
        (UNKNOWN, "", None),
    ],
    ids=["front", "rear", "somewhere", "unknown"],
)
def test_positions(names: list[str], reading: str, end: str | None) -> None:
    told = {name: (reading_named(name), end_named(plain_words(name))) for name in names}
    assert told == dict.fromkeys(names, (reading, end))


def test_what_is_no_position() -> None:
    assert {name: reading_named(name) for name in OTHER} == dict.fromkeys(OTHER, "other")
    assert {name: reading_named(name) for name in SPEED} == dict.fromkeys(SPEED, "ground_speed")


@pytest.mark.parametrize(
    ("name", "unit", "reading"),
    [
        ("Fork (bar)", "", "other"),
        ("Front", "°C", "other"),
        ("Shock [mm]", "", "position"),
        ("fork_voltage", "", "position"),
        ("rear", "km/h", "other"),
    ],
)
def test_a_unit_tells_too(name: str, unit: str, reading: str) -> None:
    assert reading_named(name, unit) == reading


def test_a_letter_tells_an_end_only_beside_the_other() -> None:
    assert ends_by_letter([("weg", "v"), ("weg", "h"), ("mag", "f")]) == {0: "front", 1: "rear"}
    assert ends_by_letter([("pot", "r"), ("pot", "l")]) == {}


RECORDINGS = {
    "lifted": "lifted_1.csv Lift.csv angehoben.csv soulevé_2.csv levantada.csv sollevata.csv opgetild.csv "
    "uniesiony.csv zdvihnuto.csv Nullpunkt.csv",
    "sag": "sag_1.csv SAG-sitzend.csv negativfederweg.csv hundimiento.csv affondamento.csv",
    "settle": "settle_1.csv settled.csv asentado.csv reibung_2.csv frottement.csv",
    "bounce": "bounce.csv ausschwingen.csv rebond_1.csv rimbalzo.csv stuiteren.csv",
    "still": "still_1.log Stillstand.csv immobile.csv static_2.csv stil.csv",
    None: "passage.csv shoplift.csv distill.csv run_1.csv Fahrt_2.csv descente_3.csv LOG0001.CSV",
}


@pytest.mark.parametrize("kind", RECORDINGS)
def test_recordings_by_their_files_names(kind: str | None) -> None:
    names = RECORDINGS[kind].split()
    assert {name: read_name(name).kind for name in names} == dict.fromkeys(names, kind)


@pytest.mark.parametrize(
    ("name", "run", "end"),
    [
        ("roues en l'air avant descente 3.csv", False, None),
        ("vor Fahrt 2 hochgehoben.csv", False, None),
        ("checked after run 2.csv", False, None),
        ("avant_3.csv", False, "front"),
        ("run_2_avant.csv", True, "front"),
        ("run 2 after oil.csv", True, None),
    ],
)
def test_what_stands_before_a_run_is_none_and_of_neither_end(name: str, end: str | None, *, run: bool) -> None:
    """French and Dutch write the same word for the front."""
    said = read_name(name)
    assert (said.run, said.end) == (run, end)


@pytest.mark.parametrize(
    ("name", "load"),
    [
        ("sag_standing.csv", "standing"),
        ("sag_debout.csv", "standing"),
        ("sag_stehend_1.csv", "standing"),
        ("sag_seduto.csv", "seated"),
        ("sag_sitzend.csv", "seated"),
        ("sag_bike_alone.csv", "bike_alone"),
        ("sag_leer.csv", "bike_alone"),
        ("sag.csv", None),
    ],
)
def test_who_was_aboard(name: str, load: str | None) -> None:
    assert read_name(name).load == load


@pytest.mark.parametrize(
    ("name", "at"),
    [
        ("2026-05-16_09-12-33.csv", "2026-05-16 09:12:33"),
        ("20260516_091233.csv", "2026-05-16 09:12:33"),
        ("run 2026.05.16 09h12.csv", "2026-05-16 09:12:00"),
        ("16.05.2026_run_3.csv", None),
        ("99999999_1.csv", None),
    ],
)
def test_times_in_names(name: str, at: str | None) -> None:
    assert (str(read_name(name).started_at) if read_name(name).started_at else None) == at


def test_two_before_ten() -> None:
    names = ["run_10.csv", "run_2.csv", "run_1.csv"]
    assert sorted(names, key=lambda name: read_name(name).order) == ["run_1.csv", "run_2.csv", "run_10.csv"]
