"""Days that aren't as the samples are: every page still answers, or says why not."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import quote
from urllib.request import urlopen

import pytest

from dashboards.pages.questions import COMPARED, LAP
from tests.browser.served import Server, serving
from tests.pipeline.inertial_days import make_inertial_day
from tests.pipeline.setup_days import make_setup_day
from tests.pipeline.small_days import make_day

REFUSED = "<h1>This can't be shown</h1>"
QUESTIONS = [question.name for question in (*COMPARED, LAP)]
OF_TRAVEL = re.compile(r"[Tt]ravel|\bsag\b|[Bb]ottom|[Dd]eepest")
WHY_NOT = re.compile(
    r"[Nn]o displacement sensor at the \w+: sag, travel and bottoming can.{1,5}t come from acceleration"
    r"|everything of travel at the front"
)
SECONDS = 15.0
HOSTILE = "</script><img src=x onerror=alert(1)>&{{ 7*7 }}"


def one_end(folder: Path) -> None:
    """Take the rear's sensor out of a day."""
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    a = text.index("[sensors.shock]")
    b = text.index("[setups.")
    file.write_text(text[:a] + text[b:], encoding="utf-8")


def edited(folder: Path, old: str, new: str) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.fixture(scope="module")
def odd(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("odd")
    make_day(place / "two_runs", ("a", "b"), seconds=SECONDS)
    one_end(make_day(place / "one_end", ("a", "b", "b", "a"), seconds=SECONDS))
    one_end(make_day(place / "one_end_lap", ("a",), seconds=SECONDS))
    make_day(place / "three_setups", ("a", "b", "c", "c", "b", "a"), seconds=SECONDS)
    make_day(place / "five_setups", ("a", "b", "c", "d", "e"), seconds=SECONDS)
    edited(
        make_day(place / "left_out", ("a", "b", "b", "a"), seconds=SECONDS),
        'setup = "b"\n',
        f"setup = \"b\"\nleave_out = '''{HOSTILE}'''\n",
    )
    edited(
        make_day(place / "only_one_left", ("a", "b"), seconds=SECONDS),
        'setup = "b"\n',
        'setup = "b"\nleave_out = "fell"\n',
    )
    edited(
        make_day(place / "hostile", ("a", "b"), labels={"a": "plain", "b": HOSTILE}, seconds=SECONDS),
        "A test day",
        HOSTILE.replace('"', "'"),
    )
    marks = "".join(
        f'[[marks]]\nrun = "run_{n}"\nat_s = {at}\nname = "{at}"\n' for n in (1, 2) for at in (2.0, 7.0, 12.0)
    )
    make_day(place / "marks", ("a", "b"), seconds=SECONDS, extra=marks)
    still = make_day(place / "one_still", ("a", "b", "b", "a"), seconds=SECONDS)
    lines = (still / "run_2.csv").read_text(encoding="ascii").splitlines()
    stuck = [lines[0], *(f"{line.split(',')[0]},900,1100" for line in lines[1:])]
    (still / "run_2.csv").write_text("\n".join(stuck) + "\n", encoding="ascii")
    nothing = make_day(place / "nothing", ("a",), seconds=SECONDS)
    lines = (nothing / "run_1.csv").read_text(encoding="ascii").splitlines()
    (nothing / "run_1.csv").write_text(
        "\n".join([lines[0], *(f"{n * 4},900,1100" for n in range(3000))]) + "\n", encoding="ascii"
    )
    make_day(place / "sp ace & ünï", ("a", "b"), seconds=SECONDS)
    make_inertial_day(place / "felt", ("a", "b", "b", "a"), seconds=SECONDS)
    make_inertial_day(place / "felt_lap", ("a",), seconds=SECONDS)
    (place / "no_runs").mkdir()
    text = (place / "two_runs" / "ride_day.toml").read_text(encoding="utf-8")
    (place / "no_runs" / "ride_day.toml").write_text(text[: text.index("[[runs]]")], encoding="utf-8")
    make_setup_day(place / "setting_up")
    return place


@pytest.fixture(scope="module")
def server(odd: Path) -> Iterator[Server]:
    with serving(odd) as found:
        yield found


def body(server: Server, day: str, page: str, more: str = "") -> str:
    with urlopen(f"{server.link}?day={quote(day)}&page={page}{more}") as answer:  # noqa: S310 - our own server
        text: str = answer.read().decode("utf-8")
        return text


SHOWN = [
    "two_runs",
    "one_end",
    "one_end_lap",
    "three_setups",
    "left_out",
    "only_one_left",
    "hostile",
    "marks",
    "one_still",
    "sp ace & ünï",
    "felt",
    "felt_lap",
]


@pytest.mark.parametrize("day", SHOWN)
def test_every_page_answers(server: Server, day: str) -> None:
    server.wait_until_read(quote(day))
    for page in QUESTIONS:
        text = body(server, day, page)
        assert REFUSED not in text, (page, text[text.index("<main") :][:600])
        assert "program&#39;s own fault" not in text
        assert "<img src=x" not in text
        assert "onerror=alert(1)>" not in text.replace("onerror=alert(1)&gt;", "")


@pytest.mark.parametrize("day", ["felt", "felt_lap"])
def test_without_travel_no_page_asks_about_it(server: Server, day: str) -> None:
    server.wait_until_read(day)
    for page in QUESTIONS:
        text = body(server, day, page)
        shown = re.sub(r"(?s)<script.*?</script>|<[^>]*>", " ", text[text.index("<main") :])
        found = OF_TRAVEL.search(WHY_NOT.sub("", shown))
        assert not found, (page, found)


@pytest.mark.parametrize("more", ["&setup=a", "&setup=b", "&run=run_1", "&run=run_2&run=run_3", "&section=1"])
def test_every_page_answers_over_a_part(server: Server, more: str) -> None:
    server.wait_until_read("three_setups")
    for page in QUESTIONS:
        assert REFUSED not in body(server, "three_setups", page, more), page


def test_more_setups_than_can_be_told_apart_are_refused_with_a_choice(server: Server) -> None:
    server.wait_until_read("five_setups")
    text = body(server, "five_setups", "travel")
    assert "up to 4" in text
    assert text.count('name="setup"') == 5
    assert body(server, "five_setups", "travel", "&setup=a&setup=e").count('class="panel') >= 4


@pytest.mark.parametrize(
    ("day", "title", "says"),
    [
        ("nothing", "Can the logs be trusted?", "run_1: not to be used, ride again"),
        ("no_runs", "Can the logs be trusted?", "No run yet"),
        ("setting_up", "How does it sit?", "Sag, rider standing: rear 33.3 % (50 mm, 33.3 % of stroke), ± 2.0 mm;"),
    ],
)
def test_a_day_without_a_usable_run_says_what_there_is(server: Server, day: str, title: str, says: str) -> None:
    server.wait_until_read(day)
    text = unescape(body(server, day, "")).replace("\N{NO-BREAK SPACE}", " ")
    assert f"<h1>{title}</h1>" in text
    assert says in text
    for page in QUESTIONS:
        assert REFUSED not in body(server, day, page)


def test_a_day_in_the_list_says_how_it_sits(server: Server) -> None:
    server.wait_until_read("setting_up")
    with urlopen(server.link) as answer:  # noqa: S310 - our own server
        assert "no run yet; sag, rider standing: rear 33.3" in answer.read().decode("utf-8")
