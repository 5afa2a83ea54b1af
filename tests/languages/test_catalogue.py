"""Every language has every message, with the same fields and the forms its plural rule asks for, and nothing else."""

from __future__ import annotations

import datetime as dt
import re
import string

import pytest

from telemetry.languages import codes, language, messages_of
from telemetry.languages.said import Message
from telemetry.model.finding_codes import FINDINGS
from telemetry.model.setup_keys import SETUP_KEYS

ENGLISH = messages_of("en")
OTHERS = [code for code in codes() if code != "en"]
COUNTS = (0, 1, 2, 3, 4, 5, 11, 12, 14, 21, 22, 25, 101)


def forms(message: Message) -> tuple[str, ...]:
    return message if isinstance(message, tuple) else (message,)


def fields(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


def test_there_are_english_and_german() -> None:
    assert codes()[0] == "en"
    assert "de" in codes()


@pytest.mark.parametrize("code", OTHERS)
def test_no_message_is_missing_and_none_is_left_over(code: str) -> None:
    own = messages_of(code)
    missing, over = sorted(ENGLISH.keys() - own.keys()), sorted(own.keys() - ENGLISH.keys())
    assert not missing, f"{code} lacks {missing}"
    assert not over, f"{code} has {over}, which nothing says"


@pytest.mark.parametrize("code", OTHERS)
def test_every_form_has_the_fields_of_the_english_message(code: str) -> None:
    for name, message in messages_of(code).items():
        wanted = set().union(*map(fields, forms(ENGLISH[name])))
        for form in forms(message):
            assert fields(form) == wanted, f"{code}: {name}"


@pytest.mark.parametrize("code", codes())
def test_what_counts_has_as_many_forms_as_its_plural_rule_gives(code: str) -> None:
    own, said = messages_of(code), language(code)
    used = {said.form_of(count) for count in COUNTS}
    for name, message in own.items():
        assert isinstance(message, tuple) == isinstance(ENGLISH[name], tuple), name
        if isinstance(message, tuple):
            assert used == set(range(len(message))), name


@pytest.mark.parametrize("code", OTHERS)
def test_sentences_are_translated(code: str) -> None:
    """What has more than two words of its own reads the same in no two languages."""
    own = messages_of(code)
    alike = [name for name in own if own[name] == ENGLISH[name]]
    assert not [name for name in alike if len(re.sub(r"\{.*?\}|\W", " ", str(own[name])).split()) > 2]


def test_every_finding_of_a_comparison_and_every_key_has_its_words() -> None:
    codes_told = {spec.code for spec in FINDINGS if spec.of == "comparison"}
    assert {f"explains.{code}" for code in codes_told} <= ENGLISH.keys()
    assert {f"key.{spec.key}.name" for spec in SETUP_KEYS} <= ENGLISH.keys()


def test_numbers_dates_and_plurals() -> None:
    german, english = language("de"), language("en")
    day = dt.date(2026, 5, 6)
    assert (german.date(day), english.date(day)) == ("06.05.2026", "6 May 2026")
    assert (german.figure(-3.14, 1), german.figure(2.0, 1, signed=True)) == ("−3,1", "+2,0")
    assert english.figure(-3.14, 1) == "−3.1"
    assert [german.say("lap.flights", count=count) for count in (0, 1, 2)] == ["0 Flüge", "1 Flug", "2 Flüge"]
    assert english.say("lap.flights", count=1) == "1 flight"


def test_what_stands_in_a_field_is_text() -> None:
    said = language("de").say("setting.on_it", setup="{setup.__class__} {0} 50 %")
    assert said == "{setup.__class__} {0} 50 % (jetzt drauf)"
